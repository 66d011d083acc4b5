// Package table writes the table of the law that is applied.
package table

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
	cases "sillbook/testdata/law"
)

// Path is where the table lies, from the top of the project.
const Path = "testdata/law/README.md"

const head = `# The law that is applied, and what holds it to its sources

Written by ` + "`make coverage-of-law`" + ` from the rules, the parameters and the cases in this folder; do not edit it. A check is
*published* where a source gives the numbers and the answer, *text* where the answer is read in the clause, *derived* where it is
worked out from the clause, *secondary*, from *memory* or *common practice* where no firmer source was read. Parameters that are
not from the text say so: (s) secondary, (m) memory, (d) derived, (c) common practice.

This is a record of what the program does. It is not the law and no legal advice; state, tribal and local codes can be stricter.

`

// Write writes the table.
func Write() (string, error) {
	book, err := law.Embedded()
	if err != nil {
		return "", err
	}
	files, err := cases.Read()
	if err != nil {
		return "", err
	}
	checks := map[string][]cases.Case{}
	for _, f := range files {
		for _, c := range f.Cases {
			for _, rule := range c.Rules {
				checks[rule] = append(checks[rule], c)
			}
		}
	}
	rules := slices.Clone(trade.Catalogue())
	slices.SortStableFunc(rules, func(a, b law.Rule) int { return cmp.Compare(a.Calculation, b.Calculation) })
	var b strings.Builder
	b.WriteString(head)
	fmt.Fprintf(&b, "%d rules, %d parameters, %d cases.\n", len(rules), len(book.Parameters()), count(files))
	calculation := ""
	for _, r := range rules {
		if r.Calculation != calculation {
			calculation = r.Calculation
			fmt.Fprintf(&b, "\n## %s\n\n| rule | clause | parameters | checks | sources |\n| --- | --- | --- | --- | --- |\n", calculation)
		}
		fmt.Fprintf(&b, "| %s: %s | %s | %s | %s | %s |\n", r.Name, cell(r.Title), cell(r.Citation.String()), parameters(book, r), kinds(checks[r.Name]), sources(checks[r.Name]))
	}
	return b.String(), nil
}

func count(files []cases.File) (n int) {
	for _, f := range files {
		n += len(f.Cases)
	}
	return n
}

// cell keeps a text within its cell.
func cell(text string) string { return strings.ReplaceAll(text, "|", "\\|") }

// parameters lists what a rule reads, each with the least firm of its sources.
func parameters(book *law.Book, r law.Rule) string {
	marks := map[law.Source]string{law.Secondary: " (s)", law.Memory: " (m)", law.Derived: " (d)", law.CommonPractice: " (c)"}
	order := []law.Source{law.Text, law.Derived, law.Secondary, law.Memory, law.CommonPractice}
	var list []string
	for _, name := range r.Parameters {
		worst := 0
		for _, p := range book.Parameters() {
			if p.Name != name {
				continue
			}
			for _, v := range p.Values {
				worst = max(worst, slices.Index(order, v.Source))
			}
		}
		list = append(list, name+marks[order[worst]])
	}
	return strings.Join(list, ", ")
}

// kinds counts the checks by kind, the firmest first.
func kinds(list []cases.Case) string {
	var parts []string
	for _, kind := range cases.Kinds {
		n := 0
		for _, c := range list {
			if c.Kind == kind {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, strings.ReplaceAll(kind, "_", " ")))
		}
	}
	return strings.Join(parts, ", ")
}

// sources lists where the checks come from, each once, at most six.
func sources(list []cases.Case) string {
	var names []string
	for _, c := range list {
		if !slices.Contains(names, c.Source) {
			names = append(names, c.Source)
		}
	}
	if len(names) > 6 {
		names = append(names[:6], fmt.Sprintf("and %d more", len(names)-6))
	}
	return cell(strings.Join(names, "; "))
}
