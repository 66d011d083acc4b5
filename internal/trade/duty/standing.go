package duty

import (
	"math/bits"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// Condition is one thing that is so of a unit.
type Condition uint8

// The conditions, in the order in which they are the headline: the first that holds. Each has a day that matters.
const (
	NotCleared            Condition = iota // keep out: work ended, on that day, and nothing shows the worksite clean
	UnderWay                               // keep out: work that disturbs paint goes on, since that day
	PastDue                                // a duty is past its last day: that day
	ActionDue                              // a duty is due soon, by that day; or has no last day and could be met since that day
	RestrictedRequirement                  // a duty that follows from a restricted fact, due by that day; never which fact
	PresumedCovered                        // it counts as covered because facts are missing
	InOrder                                // covered, and nothing is to be done now
	NotCovered
	conditions // how many there are
)

// String is the condition's code.
func (c Condition) String() string {
	return [...]string{"not_cleared_keep_out", "work_under_way_keep_out", "overdue", "action_due", "restricted_requirement",
		"presumed_covered_facts_missing", "in_order", "not_covered"}[c]
}

// Conditions is a set of conditions, one bit each.
type Conditions uint8

// Has reports whether a condition is in the set.
func (s Conditions) Has(c Condition) bool { return s&(1<<c) != 0 }

// Worksite is one job's place of work in or beside a unit. What is of a later day than the one asked about has not happened.
type Worksite struct {
	StartedOn, EndedOn calendar.Date
	ClearedOn          calendar.Date // the cleaning was verified, or clearance passed, after the end
	Check              law.Tri       // it must be verified or cleared; not known counts as must
}

// Owed is a duty as the standing sees it.
type Owed struct {
	Window     calendar.Window
	MetOn      calendar.Date
	Restricted bool   // it follows from a restricted fact
	Kept       bool   // there is nothing to do but to keep something until the last day
	What       string // for words only
}

// StandingFacts are what the standing of a unit turns on.
type StandingFacts struct {
	AsOf      calendar.Date
	Soon      int // days before its last day in which a duty is due soon
	Covered   home.Outcome
	Worksites []Worksite
	Owed      []Owed // void duties are left out
}

// Standing is an answer, small enough to make a million of in a second; Explain finds the words.
type Standing struct {
	Set     Conditions
	Days    [conditions]calendar.Date // the day that matters, of each condition that has one
	Changes calendar.Date             // the first day on which time alone changes the set, none if it never does
}

// Headline is the first condition of the order that holds.
func (s Standing) Headline() Condition { return Condition(bits.TrailingZeros8(uint8(s.Set))) }

// StandingOf says how a unit stands, and until when. It does not allocate.
func StandingOf(f StandingFacts) Standing {
	s := f.on(f.AsOf)
	for day := f.nextTurn(f.AsOf); !day.IsZero(); day = f.nextTurn(day) {
		if f.on(day).Set != s.Set {
			s.Changes = day
			break
		}
	}
	return s
}

// on is the standing on a day, without the day on which it changes.
func (f *StandingFacts) on(day calendar.Date) Standing {
	var s Standing
	for i := range f.Worksites {
		f.Worksites[i].add(&s, day)
	}
	for i := range f.Owed {
		f.Owed[i].add(&s, day, f.Soon)
	}
	switch {
	case f.Covered == home.Presumed:
		s.hold(PresumedCovered, 0)
	case f.Covered == home.NotCovered:
		s.hold(NotCovered, 0)
	case s.Set == 0:
		s.hold(InOrder, 0)
	}
	return s
}

// hold adds a condition; of the days of one condition the earliest stays.
func (s *Standing) hold(c Condition, day calendar.Date) {
	if !s.Set.Has(c) || s.Days[c].IsZero() || !day.IsZero() && day.Before(s.Days[c]) {
		s.Days[c] = day
	}
	s.Set |= 1 << c
}

func (w *Worksite) add(s *Standing, day calendar.Date) {
	came := func(d calendar.Date) bool { return !d.IsZero() && !d.After(day) }
	ended := came(w.EndedOn)
	switch {
	case ended && w.Check != law.No && !(came(w.ClearedOn) && !w.ClearedOn.Before(w.EndedOn)):
		s.hold(NotCleared, w.EndedOn)
	case !ended && came(w.StartedOn):
		s.hold(UnderWay, w.StartedOn)
	}
}

func (o *Owed) add(s *Standing, day calendar.Date, soon int) {
	state := StateOf(o.Window, o.MetOn, day, soon)
	switch {
	case state == Met || o.Kept:
	case o.Restricted:
		s.hold(RestrictedRequirement, o.Window.To)
	case state == Overdue:
		s.hold(PastDue, o.Window.To)
	case state == DueSoon:
		s.hold(ActionDue, o.Window.To)
	case o.Window.To.IsZero() && !o.Window.From.After(day):
		s.hold(ActionDue, o.Window.From)
	}
}

// nextTurn is the first day after a day on which anything told could make the standing another, none if there is none.
func (f *StandingFacts) nextTurn(after calendar.Date) (next calendar.Date) {
	consider := func(day calendar.Date) {
		if day.After(after) && (next.IsZero() || day.Before(next)) {
			next = day
		}
	}
	for i := range f.Worksites {
		w := &f.Worksites[i]
		consider(w.StartedOn)
		consider(w.EndedOn)
		consider(w.ClearedOn)
	}
	for i := range f.Owed {
		o := &f.Owed[i]
		consider(NextTurn(o.Window, o.MetOn, after, f.Soon))
		if o.Window.To.IsZero() {
			consider(o.Window.From)
		}
	}
	return next
}
