package httpapi_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"testing"

	"sillbook/internal/contracttest"
)

// frames are the statuses that the frame itself gives. Every operation that documents one is exercised with it, by tests
// that take their rows from the contract.
var frames = []int{400, 401, 403, 406, 413, 415, 428, 429, 500, 503}

// R5: after a whole run, the documented pairs of operation and status that no test of this package exercised. Those of the
// frame fail the run. The others are listed: most wait for the tests of an operation that is not built yet, and a 404 of a
// list cannot come from the list itself, but is documented because a request to it may meet one on its way.
func TestMain(m *testing.M) {
	flag.Parse()
	code := m.Run()
	if code == 0 && whole() {
		code = gate()
	}
	os.Exit(code)
}

// whole reports whether no flag has left tests out.
func whole() bool {
	for _, name := range []string{"test.run", "test.skip", "test.list", "test.fuzz"} {
		if flag.Lookup(name).Value.String() != "" {
			return false
		}
	}
	return true
}

func gate() int {
	missing, err := contracttest.Unexercised()
	if err != nil {
		fmt.Println(err)
		return 1
	}
	code, byStatus := 0, map[int]int{}
	for _, p := range missing {
		byStatus[p.Status]++
		fmt.Printf("not exercised: %s %d\n", p.Operation, p.Status)
		if slices.Contains(frames, p.Status) {
			fmt.Printf("FAIL: %s documents %d, which the frame gives, and no test has had it\n", p.Operation, p.Status)
			code = 1
		}
	}
	fmt.Printf("%d documented pairs of operation and status were not exercised; by status: %v\n", len(missing), byStatus)
	return code
}
