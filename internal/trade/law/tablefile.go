package law

import (
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/parser"

	"sillbook/internal/trade/measure"
)

// parseTable reads one table's file.
func parseTable(name string, text []byte) (Table, error) {
	var t Table
	if err := yaml.UnmarshalWithOptions(text, &t, yaml.Strict()); err != nil {
		return Table{}, fmt.Errorf("%s: %w", name, err)
	}
	file, err := parser.ParseBytes(text, 0)
	if err != nil {
		return Table{}, fmt.Errorf("%s: %w", name, err)
	}
	c := checker{name: name, file: file}
	c.table(&t)
	return t, c.err
}

func (c *checker) table(t *Table) {
	c.wants("$", "name", t.Name)
	c.wants("$", "title", t.Title)
	c.wants("$", "description", t.Description)
	c.wants("$", "citation", t.Citation)
	if t.Name+".yaml" != c.name {
		c.wrong("$.name", "the table %s must be in %s.yaml", t.Name, t.Name)
	}
	if t.Effective.IsZero() || t.Recorded.IsZero() {
		c.wrong("$", "effective and recorded each need a date")
	}
	if len(t.Columns) == 0 || len(t.Rows) == 0 {
		c.wrong("$", "a table has columns and rows")
	}
	next := 1
	for i := range t.Rows {
		r, at := &t.Rows[i], fmt.Sprintf("$.rows[%d]", i)
		c.row(t, r, at)
		last := i == len(t.Rows)-1
		switch {
		case r.From != next:
			c.wrong(at, "the row must begin at %d, after the one before it", next)
		case last && r.To != 0:
			c.wrong(at, "the last row has no end: leave out to")
		case !last && r.To < r.From:
			c.wrong(at, "the row must end at %d or later", r.From)
		case !r.Recorded.IsZero():
			c.wrong(at, "recorded stands at the head of the table; a row of its own date is a correction")
		}
		next = r.To + 1
	}
	for i := range t.Corrections {
		c.correction(t, &t.Corrections[i], fmt.Sprintf("$.corrections[%d]", i))
	}
}

// correction checks that a correction has a row to correct, and comes after it and after the corrections before it.
func (c *checker) correction(t *Table, r *Row, at string) {
	c.row(t, r, at)
	there := false
	for _, row := range t.Rows {
		there = there || row.From == r.From && row.To == r.To
	}
	if !there {
		c.wrong(at, "there is no row from %d to %d to correct", r.From, r.To)
	}
	if r.Recorded.Before(t.Recorded) {
		c.wrong(at, "a correction needs the date on which it was recorded, no earlier than the table's")
	}
	for i := range t.Corrections {
		if &t.Corrections[i] == r {
			break
		}
		if t.Corrections[i].Recorded.After(r.Recorded) {
			c.wrong(at, "corrections must be in the order in which they were recorded")
		}
	}
}

func (c *checker) row(t *Table, r *Row, at string) {
	if len(r.Take) != len(t.Columns) {
		c.wrong(at, "take must have a number for each of the %d columns", len(t.Columns))
		return
	}
	if !r.Source.known() {
		c.wrong(at, "source %q is not text, secondary, memory, derived or common_practice", r.Source)
	}
	r.cells = make([]cell, len(r.Take))
	for i, text := range r.Take {
		var ok bool
		if r.cells[i], ok = parseCell(text); !ok || r.cells[i].count > r.From {
			c.wrong(at, "%q is not all, a whole number of at most %d, or a percentage", text, r.From)
		}
	}
}

func parseCell(text string) (cell, bool) {
	if text == All {
		return cell{all: true}, true
	}
	if percent, is := strings.CutSuffix(text, " %"); is {
		n, err := measure.ParseNumber(percent)
		ok := err == nil && n.Sign() > 0 && n.Cmp(measure.Int(100)) <= 0
		return cell{share: n.Mul(measure.Frac(1, 100))}, ok
	}
	n, err := strconv.Atoi(text)
	return cell{count: n}, err == nil && n > 0
}

// loadTables reads the printed tables of a book, by name.
func loadTables(files fs.FS) ([]Table, error) {
	names, err := fs.Glob(files, "tables/*.yaml")
	if err != nil {
		return nil, err
	}
	var tables []Table
	for _, name := range names {
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		t, err := parseTable(path.Base(name), text)
		if err != nil {
			return nil, err
		}
		tables = append(tables, t)
	}
	return tables, nil
}
