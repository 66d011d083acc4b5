package law

import (
	"slices"
	"strconv"
	"strings"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
)

// Requirement is something that a jurisdiction asks for beyond federal law: when, of whom, by when, and what shows that it was
// done.
type Requirement struct {
	Code      string        `json:"code"`
	Title     string        `json:"title"`
	Text      string        `json:"text"`
	Trigger   Trigger       `json:"trigger"`
	On        calendar.Date `json:"on,omitzero"`         // of the trigger OnDate
	Every     Span          `json:"every,omitzero"`      // of the trigger Interval
	When      []Clause      `json:"when,omitempty"`      // all of them; none: always
	Written   string        `json:"condition,omitempty"` // beside the clauses, as it was entered
	Condition Condition     `json:"-"`                   // the same, compiled; nil: none
	By        []string      `json:"by,omitempty"`        // who may meet it; empty: anybody
	MetBy     []string      `json:"met_by,omitempty"`    // the evidence that meets it
	Due       Due           `json:"due,omitzero"`
	Effective calendar.Date `json:"effective"`
	Until     calendar.Date `json:"until,omitzero"`
	Recorded  calendar.Date `json:"recorded,omitzero"`
	Citation  string        `json:"citation"`
	Source    Source        `json:"source"`
	Note      string        `json:"note,omitempty"`
}

// Cite is the requirement's citation.
func (r Requirement) Cite() Citation {
	return Citation{Clause: r.Citation, Source: r.Source, Note: r.Note}
}

// Trigger is what a requirement arises from.
type Trigger string

// The triggers.
const (
	MoveIn           Trigger = "move_in"
	Turnover         Trigger = "turnover"
	Lease            Trigger = "lease"
	Sale             Trigger = "sale"
	OnDate           Trigger = "date"
	Interval         Trigger = "interval"
	RenovationStart  Trigger = "renovation_start"
	RenovationEnd    Trigger = "renovation_end"
	AbatementStart   Trigger = "abatement_start"
	ClearanceSampled Trigger = "clearance_sampled"
	ClearanceFailed  Trigger = "clearance_failed"
	ResultReceived   Trigger = "result_received"
	HazardFound      Trigger = "hazard_found"
	InspectionMade   Trigger = "inspection_made"
)

// Triggers are all triggers.
func Triggers() []Trigger {
	return []Trigger{MoveIn, Turnover, Lease, Sale, OnDate, Interval, RenovationStart, RenovationEnd, AbatementStart, ClearanceSampled,
		ClearanceFailed, ResultReceived, HazardFound, InspectionMade}
}

// Span is a length of time.
type Span struct {
	Days     int  `json:"days,omitzero"`
	Months   int  `json:"months,omitzero"`
	Years    int  `json:"years,omitzero"`
	Business bool `json:"business,omitzero"` // days are business days
}

// IsZero reports whether it is none.
func (s Span) IsZero() bool { return s.Days == 0 && s.Months == 0 && s.Years == 0 }

// After is the date a span after another.
func (s Span) After(d calendar.Date) calendar.Date {
	d = d.AddMonths(12*s.Years + s.Months)
	if s.Business {
		return d.AddBusinessDays(s.Days)
	}
	return d.AddDays(s.Days)
}

// Before is the date a span before another.
func (s Span) Before(d calendar.Date) calendar.Date {
	return Span{-s.Days, -s.Months, -s.Years, s.Business}.After(d)
}

// Due says by when a requirement is to be met, counted from its trigger. Where nothing is said it is due on the day itself.
type Due struct {
	BeforeAtLeast Span `json:"before_at_least,omitzero"` // no later than this long before it
	BeforeAtMost  Span `json:"before_at_most,omitzero"`  // no sooner than this long before it
	Within        Span `json:"within,omitzero"`          // no later than this long after it
}

// Window is the days on which a requirement can be met.
func (d Due) Window(on calendar.Date) calendar.Window {
	w := calendar.Window{To: on}
	switch {
	case !d.BeforeAtLeast.IsZero():
		w.To = d.BeforeAtLeast.Before(on)
	case !d.Within.IsZero():
		w.To = d.Within.After(on)
	}
	if !d.BeforeAtMost.IsZero() {
		w.From = d.BeforeAtMost.Before(on)
	}
	return w
}

// Clause compares one fact with a value.
type Clause struct {
	Fact     string   `json:"fact"`
	Operator Operator `json:"operator"`
	Values   []string `json:"values"` // one, or for OneOf several
}

// Operator is how a clause compares.
type Operator string

// The operators.
const (
	Is       Operator = "is"
	IsNot    Operator = "is_not"
	OneOf    Operator = "one_of"
	AtLeast  Operator = "at_least"
	MoreThan Operator = "more_than"
	AtMost   Operator = "at_most"
	LessThan Operator = "less_than"
)

// Condition is a condition in a language of its own, compiled elsewhere over the same facts. Unknown when a fact that it needs
// is not known. An error means that it could not be worked out, which counts as unknown.
type Condition interface {
	Holds(facts LocalFacts) (Tri, error)
}

// check is what cannot be about a requirement.
func (r Requirement) check() error {
	var f fault.Faults
	if !slices.Contains(Triggers(), r.Trigger) {
		f.Add("/trigger", "unknown_trigger", "%q is not a trigger.", r.Trigger)
	}
	if (r.Trigger == OnDate) == r.On.IsZero() {
		f.Add("/on", "trigger_without_date", "The trigger date has a date in on, and no other trigger has.")
	}
	if (r.Trigger == Interval) == r.Every.IsZero() {
		f.Add("/every", "trigger_without_interval", "The trigger interval has a span in every, and no other trigger has.")
	}
	if !r.Due.BeforeAtLeast.IsZero() && !r.Due.Within.IsZero() {
		f.Add("/due", "before_and_after", "It is due before its trigger or within a time after it, not both.")
	}
	if w := r.Due.Window(calendar.Of(2026, 1, 1).AddDays(20)); w.IsEmpty() {
		f.Add("/due", "no_day_left", "No day is left: it would have to be met later than its last day.")
	}
	if !r.Source.known() {
		f.Add("/source", "unknown_source", sayHowKnown)
	}
	for i, c := range r.When {
		f.Merge("/when/"+strconv.Itoa(i), c.check())
	}
	return f.Err()
}

func (c Clause) check() error {
	var f fault.Faults
	kind, known := localFacts[c.Fact]
	switch {
	case !known:
		f.Add("/fact", "unknown_fact", "%q is not a fact that local rules can read; they are %s.", c.Fact, strings.Join(LocalFactNames(), ", "))
	case kind.Number:
		for _, text := range c.Values {
			if _, err := measure.ParseNumber(text); err != nil {
				f.Add("/values", "not_a_number", "%s is a number; %q is not.", c.Fact, text)
			}
		}
	default:
		if slices.Contains([]Operator{AtLeast, MoreThan, AtMost, LessThan}, c.Operator) {
			f.Add("/operator", "not_a_number", "%s is not a number and can only be compared by is, is_not or one_of.", c.Fact)
		}
		for _, text := range c.Values {
			if len(kind.Values) > 0 && !slices.Contains(kind.Values, text) {
				f.Add("/values", "unknown_value", "%s is never %q.", c.Fact, text)
			}
		}
	}
	if len(c.Values) == 0 || len(c.Values) > 1 && c.Operator != OneOf {
		f.Add("/values", "number_of_values", "%s takes one value; one_of takes at least one.", c.Operator)
	}
	return f.Err()
}
