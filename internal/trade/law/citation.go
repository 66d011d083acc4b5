// Package law holds the law as dated data: every number a rule reads, with the dates from which it holds, the clause it
// stands in and how well it is known; and the form of an answer that explains itself.
package law

// Source says how well a clause is known.
type Source string

// The sources, from the firmest down.
const (
	Text           Source = "text"            // read in the clause itself
	Derived        Source = "derived"         // worked out from clauses that were read
	Secondary      Source = "secondary"       // read about the clause elsewhere
	Memory         Source = "memory"          // from memory, to be checked
	CommonPractice Source = "common_practice" // no published source
)

func (s Source) known() bool {
	switch s {
	case Text, Derived, Secondary, Memory, CommonPractice:
		return true
	}
	return false
}

// Citation is the clause that an answer rests on.
type Citation struct {
	Clause string `json:"clause"`
	Source Source `json:"source"`
	Note   string `json:"note,omitempty"`
}

// Cite makes a citation of a clause.
func Cite(clause string, source Source) Citation { return Citation{Clause: clause, Source: source} }

// String is the citation as it is shown: what is not firm says so.
func (c Citation) String() string {
	switch c.Source {
	case Memory:
		return c.Clause + " (from memory)"
	case Secondary:
		return c.Clause + " (from a secondary source)"
	case Derived:
		return c.Clause + " (derived)"
	case CommonPractice:
		if c.Clause == "" {
			return "common practice"
		}
		return c.Clause + " (common practice)"
	}
	return c.Clause
}
