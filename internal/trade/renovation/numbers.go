package renovation

import (
	"strings"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// numbers reads the law's numbers of a date by their names, for one question, and keeps the first that was not on record then.
type numbers struct {
	rules Rules
	on    calendar.Date
	look  *law.Lookup
	fault error
}

func (r Rules) numbers(pointer string, on calendar.Date) *numbers {
	return &numbers{rules: r, on: on, look: r.book.Lookup(on, pointer, r.scope)}
}

// value is what a parameter of the catalogue asks for on the date, of all programmes that hold there.
func (n *numbers) value(name string) law.Value {
	handle, known := n.rules.said[name]
	if !known {
		n.fault = fault.New(fault.Internal, "parameter_not_in_catalogue", "No rule of the catalogue reads the parameter %s.", name)
		return law.Value{}
	}
	return *n.look.Value(handle)
}

// under is what one programme alone asks for; ok is false where it asks for nothing.
func (n *numbers) under(name, programme string) (law.Value, bool) {
	scope := n.rules.scope
	scope.Programmes = []string{programme}
	v, ok := n.rules.book.On(n.rules.said[name], n.on, law.Required, scope)
	if !ok {
		return law.Value{}, false
	}
	return *v, true
}

func (n *numbers) err() error {
	if n.fault != nil {
		return n.fault
	}
	return n.look.Err()
}

// say fills a sentence: {a parameter's name} by its value on the date, and pairs of a name and what stands for it.
func (n *numbers) say(text string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		text = strings.ReplaceAll(text, "{"+pairs[i]+"}", pairs[i+1])
	}
	return named.ReplaceAllStringFunc(text, func(match string) string { return n.value(match[1 : len(match)-1]).Value })
}

// shown is a number of a unit for an answer.
func shown(n measure.Number, u measure.Unit) *measure.Shown {
	s := u.Shown(n)
	return &s
}

// floorOf is the greatest whole number not above a number that is not negative.
func floorOf(n measure.Number) int {
	whole := n.Scaled(0)
	if measure.Int(whole).Cmp(n) > 0 {
		whole--
	}
	return int(whole)
}
