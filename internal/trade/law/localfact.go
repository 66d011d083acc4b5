package law

import (
	"maps"
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
)

// LocalFacts are what local rules can read, by name, as text. A fact that is absent or "unknown" is not known.
type LocalFacts map[string]string

// LocalFact is a fact that local rules can read.
type LocalFact struct {
	Text   string   // what it is
	Number bool     // compared as a number
	Unit   string   // of a number
	Values []string // the only values of a text; empty: any
}

var yesOrNo = []string{"yes", "no"}

// localFacts are all of them. None is a restricted fact: a local rule cannot make one visible.
var localFacts = map[string]LocalFact{
	"home.covered":            {Text: "the home is target housing or a child-occupied facility", Values: yesOrNo},
	"home.build_year":         {Text: "the year it was built", Number: true},
	"home.kind":               {Text: "what it is", Values: []string{"dwelling", "common_area", "child_occupied_facility"}},
	"home.rented":             {Text: "it is rented", Values: yesOrNo},
	"home.units":              {Text: "dwellings in its building", Number: true},
	"home.child_under_six":    {Text: "a child under six lives or is expected to live there, or visits", Values: yesOrNo},
	"home.owner_occupied":     {Text: "its owner lives there", Values: yesOrNo},
	"home.assisted":           {Text: "it has federal housing assistance", Values: yesOrNo},
	"job.exterior":            {Text: "the work is on a building's exterior", Values: yesOrNo},
	"job.area":                {Text: "painted area disturbed at the place", Number: true, Unit: "ft2"},
	"job.method":              {Text: "how paint is disturbed, as small repairs and jobs name it"},
	"job.window_replaced":     {Text: "a window is replaced", Values: yesOrNo},
	"job.demolition":          {Text: "a painted surface is demolished", Values: yesOrNo},
	"job.mechanical_removal":  {Text: "paint is removed by a machine", Values: yesOrNo},
	"job.hazard_control":      {Text: "the work is done to control a lead hazard", Values: yesOrNo},
	"job.abatement":           {Text: "the work is done as abatement", Values: yesOrNo},
	"job.emergency":           {Text: "it is an emergency renovation", Values: yesOrNo},
	"paint.deteriorated":      {Text: "paint is in poor condition", Values: yesOrNo},
	"paint.deteriorated_area": {Text: "area of paint in poor condition at the place", Number: true, Unit: "ft2"},
	"clearance.failures":      {Text: "cleanings of the worksite after which clearance failed", Number: true},
	"clearance.visual_passed": {Text: "the visual inspection passed", Values: yesOrNo},
	"job.interim_controls":    {Text: "the work is done as interim controls", Values: yesOrNo},
}

// LocalFactNames are the names of all facts that local rules can read.
func LocalFactNames() []string { return slices.Sorted(maps.Keys(localFacts)) }

// LocalFactOf is a fact by its name.
func LocalFactOf(name string) (LocalFact, bool) {
	f, known := localFacts[name]
	return f, known
}

// Check is what cannot be about told facts, at "/job.area" and the like.
func (f LocalFacts) Check() error {
	var faults fault.Faults
	for _, name := range slices.Sorted(maps.Keys(f)) {
		kind, known := localFacts[name]
		value := f[name]
		switch {
		case !known:
			faults.Add("/"+name, "unknown_fact", "%q is not a fact that local rules read.", name)
		case value == "unknown":
		case kind.Number:
			n, err := measure.ParseNumber(value)
			faults.Merge("/"+name, err)
			if err == nil && n.Sign() < 0 {
				faults.Add("/"+name, "negative", "%s cannot be negative.", name)
			}
		case len(kind.Values) > 0 && !slices.Contains(kind.Values, value):
			faults.Add("/"+name, "unknown_value", "%s is never %q.", name, value)
		}
	}
	return faults.Err()
}

// value is a fact, if it is known.
func (f LocalFacts) value(name string) (string, bool) {
	v, told := f[name]
	return v, told && v != "unknown" && v != ""
}

// Holds compares one fact with a clause: unknown where the fact is.
func (c Clause) Holds(facts LocalFacts) Tri {
	value, known := facts.value(c.Fact)
	if !known {
		return Unknown
	}
	if !localFacts[c.Fact].Number {
		return triOf((c.Operator == IsNot) != slices.Contains(c.Values, value))
	}
	n, err := measure.ParseNumber(value)
	if err != nil {
		return Unknown
	}
	any := false
	for _, text := range c.Values {
		limit, err := measure.ParseNumber(text)
		if err != nil {
			return Unknown
		}
		any = any || c.Operator.compares(n.Cmp(limit))
	}
	return triOf(any)
}

func (o Operator) compares(cmp int) bool {
	switch o {
	case AtLeast:
		return cmp >= 0
	case MoreThan:
		return cmp > 0
	case AtMost:
		return cmp <= 0
	case LessThan:
		return cmp < 0
	case IsNot:
		return cmp != 0
	}
	return cmp == 0
}

func triOf(yes bool) Tri {
	if yes {
		return Yes
	}
	return No
}

// Applies says whether a requirement's clauses and condition hold: no if one does not, unknown if none does not and one is not
// known. missing are the facts that the clauses would need.
func (r Requirement) Applies(facts LocalFacts) (applies Tri, missing []string) {
	applies = Yes
	for _, c := range r.When {
		switch c.Holds(facts) {
		case No:
			return No, nil
		case Unknown:
			applies = Unknown
			missing = append(missing, c.Fact)
		}
	}
	if r.Condition == nil {
		return applies, missing
	}
	holds, err := r.Condition.Holds(facts)
	switch {
	case err != nil || holds == Unknown:
		return Unknown, missing
	case holds == No:
		return No, nil
	}
	return applies, missing
}
