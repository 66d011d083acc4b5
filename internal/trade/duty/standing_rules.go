package duty

import (
	"strconv"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// StandingRules are the parameters that standings read, found once.
type StandingRules struct {
	book  *law.Book
	scope law.Scope
	soon  law.Handle
}

// NewStandingRules finds the parameters.
func NewStandingRules(book *law.Book) (StandingRules, error) {
	r := StandingRules{book: book}
	return r, book.Handles(map[string]*law.Handle{"duty_soon_days": &r.soon})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r StandingRules) In(jurisdictions []string) StandingRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// AsUsual is the number of days before its last day in which a duty is due soon, where a question names none.
const AsUsual = -1

// Soon is that number on a day: what was told, or the parameter.
func (r StandingRules) Soon(told int, on calendar.Date) (int, error) {
	if told != AsUsual {
		return told, nil
	}
	l := r.book.Lookup(on, "/as_of", r.scope)
	return l.Value(r.soon).Int(), l.Err()
}

// StandingAnswer is the standing of a unit in words.
type StandingAnswer struct {
	Outcome       string            `json:"outcome"` // the headline
	Conditions    []Shown           `json:"conditions"`
	ChangesOn     calendar.Date     `json:"changes_on,omitzero"`
	Determination law.Determination `json:"determination"`
}

// Shown is one condition in words.
type Shown struct {
	Code     string        `json:"code"`
	On       calendar.Date `json:"on,omitzero"` // the day that matters
	Text     string        `json:"text"`
	Rule     string        `json:"rule"`
	Citation law.Citation  `json:"citation"`
}

// Judge says how a unit stands and why. Soon may be AsUsual. Facts that contradict one another are faults.
func (r StandingRules) Judge(f StandingFacts) (StandingAnswer, error) {
	if err := f.check(); err != nil {
		return StandingAnswer{}, err
	}
	var err error
	if f.Soon, err = r.Soon(f.Soon, f.AsOf); err != nil {
		return StandingAnswer{}, err
	}
	return r.Explain(f, StandingOf(f)), nil
}

func (f StandingFacts) check() error {
	var faults fault.Faults
	for i, w := range f.Worksites {
		at := "/worksites/" + strconv.Itoa(i)
		if !w.EndedOn.IsZero() && w.EndedOn.Before(w.StartedOn) {
			faults.Add(at+"/ended_on", "contradiction", "Work that began on %s did not end on %s; correct one of the two.", w.StartedOn, w.EndedOn)
		}
		if !w.ClearedOn.IsZero() && w.EndedOn.IsZero() {
			faults.Add(at+"/ended_on", "contradiction", "A worksite is verified or cleared after its work has ended; tell when it ended, or leave cleared_on out.")
		}
		if !w.ClearedOn.IsZero() && w.ClearedOn.Before(w.EndedOn) {
			faults.Add(at+"/cleared_on", "contradiction", "What was checked on %s, before the work ended on %s, does not count; tell the check after the end, or leave it out.", w.ClearedOn, w.EndedOn)
		}
	}
	for i, o := range f.Owed {
		if o.Window.IsEmpty() {
			faults.Add("/duties/"+strconv.Itoa(i)+"/due", "contradiction", "Its last day, %s, lies before its first, %s; correct one of the two.", o.Window.To, o.Window.From)
		}
	}
	return faults.Err()
}
