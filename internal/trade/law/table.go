package law

import (
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
)

// Table is a printed table that says, for a number of similar things, how many of them to take.
type Table struct {
	Name        string        `yaml:"name"`
	Title       string        `yaml:"title"`
	Description string        `yaml:"description"`
	Columns     []string      `yaml:"columns"`
	Effective   calendar.Date `yaml:"effective"` // from when it is used
	Citation    string        `yaml:"citation"`
	Recorded    calendar.Date `yaml:"recorded"` // when it was recorded here
	Note        string        `yaml:"note"`
	Rows        []Row         `yaml:"rows"`        // without a gap from 1 on; the last has no end
	Corrections []Row         `yaml:"corrections"` // each in the place of the row with the same bounds; added, never edited
}

// Row is what a table says for the counts from From to To, both included; To is 0 in the last row.
type Row struct {
	From     int           `yaml:"from"`
	To       int           `yaml:"to"`
	Take     []string      `yaml:"take"` // by column: "all", a number, or a percentage to be rounded up
	Source   Source        `yaml:"source"`
	Recorded calendar.Date `yaml:"recorded"` // of a correction
	Note     string        `yaml:"note"`

	cells []cell
}

// All is what a table says where none may be left out.
const All = "all"

// cell is one number of a table: all, a count, or a share.
type cell struct {
	all   bool
	count int
	share measure.Number // of the whole; 0: none
}

// On is the row for so many things; ok is false for less than one, and for a table that was not on record.
func (t *Table) On(things int) (row Row, ok bool) {
	for _, r := range t.Rows {
		if r.From <= things && (things <= r.To || r.To == 0) {
			row, ok = r, true
		}
	}
	for _, c := range t.Corrections {
		if ok && c.From == row.From && c.To == row.To {
			row = c
		}
	}
	return row, ok
}

// Of is how many of so many things the row says to take in a column, and whether that is all of them.
func (r Row) Of(things, column int) (take int, all bool) {
	c := r.cells[column]
	switch {
	case c.all:
		return things, true
	case c.share.IsZero():
		return c.count, false
	}
	return roundedUp(c.share.Mul(measure.Int(int64(things)))), false
}

// roundedUp is the least whole number that is not below a positive number.
func roundedUp(n measure.Number) int {
	whole := n.Scaled(0)
	if measure.Int(whole).Cmp(n) < 0 {
		whole++
	}
	return int(whole)
}

// Cite is the citation of a row of the table.
func (t *Table) Cite(r Row) Citation {
	note := r.Note
	if note == "" {
		note = t.Note
	}
	return Citation{Clause: t.Citation, Source: r.Source, Note: note}
}

// knownOn is the table as it was recorded at the end of a date: without the corrections that came later, and without rows before itself.
func (t Table) knownOn(date calendar.Date) Table {
	t.Corrections = slices.DeleteFunc(slices.Clone(t.Corrections), func(r Row) bool { return r.Recorded.After(date) })
	if t.Recorded.After(date) {
		t.Rows, t.Corrections = nil, nil
	}
	return t
}
