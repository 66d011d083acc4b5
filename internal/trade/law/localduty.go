package law

import (
	"slices"

	"sillbook/internal/trade/calendar"
)

// LocalEvent is what happened, or will: the question is what local rules ask because of it.
type LocalEvent struct {
	AsOf          calendar.Date
	Jurisdictions []string
	Trigger       Trigger
	On            calendar.Date // of the trigger
	Facts         LocalFacts
}

// LocalDuty is a local requirement that an event brings.
type LocalDuty struct {
	Jurisdiction string        `json:"jurisdiction"`
	Code         string        `json:"code"`
	Title        string        `json:"title"`
	Text         string        `json:"text"`
	Applies      string        `json:"applies"` // yes, or presumed where a fact is not known
	From         calendar.Date `json:"due_from,omitzero"`
	By           calendar.Date `json:"due_by"`
	Who          []string      `json:"who_may_meet_it"`
	MetBy        []string      `json:"met_by"`
	Missing      []string      `json:"missing"`
	Citation     Citation      `json:"citation"`
}

// LocalAnswer is what local rules ask because of an event.
type LocalAnswer struct {
	Requirements  []LocalDuty   `json:"requirements"`
	Determination Determination `json:"determination"`
}

// LocalDuties answers what the rules of the places named ask because of an event, in the order of the overlays. A requirement
// counts that was in effect on the day of the event. One whose facts are not all known is presumed to apply.
func (b *Book) LocalDuties(e LocalEvent) LocalAnswer {
	d := NewDetermination("local_requirements", e.AsOf, b.RuleSet())
	d.Use("event", string(e.Trigger))
	d.Use("on", e.On.String())
	answer := LocalAnswer{Requirements: []LocalDuty{}}
	for _, o := range b.overlays {
		if !contains(e.Jurisdictions, o.Jurisdiction) {
			continue
		}
		for _, r := range o.Requirements {
			if duty, arises := r.duty(o.Jurisdiction, e); arises {
				answer.Requirements = append(answer.Requirements, duty)
				d.Because("local_requirement", "jurisdictions", o.Jurisdiction, duty.Citation, r.Text)
				for _, fact := range duty.Missing {
					d.Miss(fact, "A local rule of "+o.Jurisdiction+" turns on it: "+r.Title+".", "Knowing it could show that the rule does not apply.")
				}
			}
		}
	}
	for name, value := range e.sorted() {
		d.Use(name, value)
	}
	d.Outcome = "none"
	if len(answer.Requirements) > 0 {
		d.Outcome = "required"
	} else {
		d.Because("local_requirement", "event", string(e.Trigger), Citation{Clause: "local rules on record", Source: Derived}, "No local rule on record asks for anything because of this.")
	}
	answer.Determination = d
	return answer
}

// sorted are the told facts in the order of their names.
func (e LocalEvent) sorted() func(func(string, string) bool) {
	return func(yield func(string, string) bool) {
		for _, name := range LocalFactNames() {
			if value, known := e.Facts.value(name); known && !yield(name, value) {
				return
			}
		}
	}
}

// duty is what a requirement asks because of an event; arises is false when it asks nothing.
func (r Requirement) duty(jurisdiction string, e LocalEvent) (duty LocalDuty, arises bool) {
	from := e.On
	if r.Trigger == OnDate {
		from = r.On
	}
	if r.Trigger == Interval {
		from = r.Every.After(e.On)
	}
	if r.Trigger != e.Trigger || r.Effective.After(e.On) || !r.Until.IsZero() && !r.Until.After(e.On) {
		return duty, false
	}
	applies, missing := r.Applies(e.Facts)
	if applies == No {
		return duty, false
	}
	w := r.Due.Window(from)
	duty = LocalDuty{Jurisdiction: jurisdiction, Code: r.Code, Title: r.Title, Text: r.Text, Applies: "yes", From: w.From, By: w.To,
		Who: append([]string{}, r.By...), MetBy: append([]string{}, r.MetBy...), Missing: append([]string{}, missing...), Citation: r.Cite()}
	if applies == Unknown {
		duty.Applies = "presumed"
	}
	return duty, true
}

// Localize adds to an answer what the places named have to do with it: a value of theirs that is weaker than the federal one and
// has no effect, and a place whose rules are not on record. parameters are those that the answer read.
func (b *Book) Localize(d *Determination, parameters, jurisdictions []string) {
	for _, name := range parameters {
		h, err := b.Handle(name)
		if err != nil {
			continue
		}
		weaker, federal := b.Weaker(h, d.AsOf, jurisdictions)
		for _, v := range weaker {
			note := b.parameters[h-1].Title + ": " + v.Jurisdiction + " has " + v.Value + " (" + v.Cite().String() + "), which is weaker; the federal minimum governs: " +
				federal.Value + " (" + federal.Cite().String() + ")."
			if !slices.Contains(d.Differences, note) {
				d.Differences = append(d.Differences, note)
			}
		}
	}
	for _, j := range jurisdictions {
		if !b.Knows(j) {
			d.Miss("jurisdictions", "No rules of "+j+" are on record here; federal law alone has answered.",
				"What "+j+" publishes, entered as an overlay, can only make the answer stricter.")
		}
	}
}
