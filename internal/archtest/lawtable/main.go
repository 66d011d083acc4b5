// Command lawtable writes the table of the law that is applied: each rule with its clause, the numbers it reads, and the checks
// that hold it to its sources.
package main

import (
	"fmt"
	"os"

	"sillbook/internal/archtest/lawtable/table"
)

func main() {
	text, err := table.Write()
	if err == nil {
		err = os.WriteFile(table.Path, []byte(text), 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "lawtable:", err)
		os.Exit(1)
	}
}
