package law

import (
	"cmp"
	"slices"

	"sillbook/internal/trade/calendar"
)

// Lookup reads the numbers that must be met on one date, in one scope, and keeps the first fault of a date before the law.
type Lookup struct {
	book    *Book
	on      calendar.Date
	scope   Scope
	pointer string
	err     error
}

// Lookup reads on a date that a request told at a JSON pointer.
func (b *Book) Lookup(on calendar.Date, pointer string, s Scope) *Lookup {
	return &Lookup{book: b, on: on, scope: s, pointer: pointer}
}

// Value is a parameter's value; before the first one it is empty, and Err says so.
func (l *Lookup) Value(h Handle) *Value {
	v, ok := l.book.On(h, l.on, Required, l.scope)
	if !ok {
		if l.err == nil {
			l.err = l.book.TooEarly(h, l.pointer, l.on)
		}
		return &Value{}
	}
	return v
}

// Err is the fault of the first value that was not there, or nil.
func (l *Lookup) Err() error { return l.err }

// Past is every value of a parameter in a scope, corrections applied, in the order in which they take effect; stricter or not.
func (b *Book) Past(h Handle, s Scope) []Value {
	var values []Value
	for i := range b.lines[h-1] {
		if l := &b.lines[h-1][i]; s.holds(l) {
			values = append(values, l.values...)
		}
	}
	slices.SortStableFunc(values, func(v, w Value) int { return cmp.Compare(v.Effective, w.Effective) })
	return values
}
