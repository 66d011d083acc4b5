package law

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
)

// Federal is the jurisdiction that holds everywhere.
const Federal = "us"

// Parameter is one number that rules read, with its whole history.
type Parameter struct {
	Name        string  `yaml:"name"`
	Title       string  `yaml:"title"`
	Description string  `yaml:"description"`
	Unit        string  `yaml:"unit"`     // empty for a plain number, a year or a count
	Stricter    string  `yaml:"stricter"` // lower or higher: which of two values protects more; neither: no place has one of its own
	Values      []Value `yaml:"values"`
}

// mayBeNothing reports whether 0 is a value of the parameter: where federal law has had one, and of a yes or no.
func (p Parameter) mayBeNothing() bool {
	one, most := measure.Int(1), measure.Int(0)
	for _, v := range p.Values {
		if v.number.IsZero() {
			return true
		}
		most = most.Max(v.number)
	}
	return p.Unit == "" && most.Cmp(one) <= 0
}

// Value is what a parameter is in one jurisdiction and programme from a date on.
type Value struct {
	Jurisdiction string        `yaml:"jurisdiction"`
	Programme    string        `yaml:"programme"`
	Value        string        `yaml:"value"`     // as published, in the parameter's unit
	Effective    calendar.Date `yaml:"effective"` // when it takes effect
	Required     calendar.Date `yaml:"required"`  // from when it must be met
	Until        calendar.Date `yaml:"until"`     // the first day on which it no longer holds; none: until another takes its place
	Citation     string        `yaml:"citation"`
	Source       Source        `yaml:"source"`   // text, secondary, memory, derived or common_practice
	Recorded     calendar.Date `yaml:"recorded"` // when it was recorded here
	Note         string        `yaml:"note"`

	number  measure.Number
	whole   int
	overlay int // of which overlay it is, from 1; 0: none
}

// Number is the exact value.
func (v Value) Number() measure.Number { return v.number }

// Int is the value of a count, a year or a number of days.
func (v Value) Int() int { return v.whole }

// Cite is the value's citation.
func (v Value) Cite() Citation { return Citation{Clause: v.Citation, Source: v.Source, Note: v.Note} }

// Scope is where and under what a value is asked for. Federal values are always in it.
type Scope struct {
	Jurisdictions []string // beside the federal one
	Programmes    []string // none: every programme
}

func (s Scope) holds(l *line) bool {
	return (l.jurisdiction == Federal || contains(s.Jurisdictions, l.jurisdiction)) &&
		(len(s.Programmes) == 0 || contains(s.Programmes, l.programme))
}

func contains(list []string, wanted string) bool {
	for _, s := range list {
		if s == wanted {
			return true
		}
	}
	return false
}

// Reading says which of a value's two dates decides.
type Reading uint8

// The readings. What must be met decides verdicts; what is in effect warns of what will have to be met.
const (
	Required Reading = iota
	InEffect
)

// line is the history of a parameter in one jurisdiction and programme, corrections applied.
type line struct {
	jurisdiction, programme string
	overlay                 int
	values                  []Value // by effective date
}

func (l *line) on(date calendar.Date, r Reading) *Value {
	var found *Value
	for i := range l.values {
		from := l.values[i].Required
		if r == InEffect {
			from = l.values[i].Effective
		}
		if !from.After(date) {
			found = &l.values[i]
		}
	}
	if found != nil && !found.Until.IsZero() && !found.Until.After(date) {
		return nil
	}
	return found
}
