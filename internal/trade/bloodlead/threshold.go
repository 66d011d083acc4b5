package bloodlead

import (
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// threshold is the level of a case on the day of the notice.
type threshold struct {
	level    *law.Value // from 2017 on
	sooner   bool       // it is the one that had to be met sooner where the health department already acted on it
	coming   *law.Value // in effect and not yet to be met; nil if there is none
	single   *law.Value // before that: one test
	repeated *law.Value // or two
	months   *law.Value // some months apart
}

// levelOn finds the level that must be met on a day. The lower one, which had to be met sooner where the health department
// already acted on it, holds unless it is known that it did not.
func (r Rules) levelOn(f Facts) threshold {
	on, s := f.NotifiedOn, scope(f)
	t := threshold{level: r.value(r.level, on, s)}
	if f.LocalActed != law.No {
		if sooner := r.value(r.levelFollowed, on, s); sooner != nil && (t.level == nil || sooner.Number().Cmp(t.level.Number()) < 0) {
			t.level, t.sooner = sooner, true
		}
	}
	if r.value(r.level, on, law.Scope{}) == nil { // whatever a place adds, the federal test of the day holds too
		t.single, t.repeated, t.months = r.value(r.single, on, s), r.value(r.repeated, on, s), r.value(r.repeatMonths, on, s)
	}
	coming, ok := r.book.On(r.level, on, law.InEffect, s)
	if sooner, dated := r.book.On(r.levelFollowed, on, law.InEffect, s); dated && f.LocalActed != law.No {
		coming, ok = sooner, true
	}
	if ok && (t.level == nil || coming.Number().Cmp(t.level.Number()) < 0) {
		t.coming = coming
	}
	return t
}

// met says whether the level is reached: as told, or by the tests.
func (t threshold) met(f Facts) law.Tri {
	if f.Threshold != law.Unknown {
		return f.Threshold
	}
	return t.byTests(f.Tests)
}

// byTests says whether the tests reach the level.
func (t threshold) byTests(tests []Test) law.Tri {
	answer := law.No
	if t.level != nil {
		answer = reached(tests, t.level.Number())
	}
	if answer == law.Yes || t.single == nil {
		return answer
	}
	one := reached(tests, t.single.Number())
	switch {
	case one == law.Yes || apart(tests, t.repeated.Number(), t.single.Number(), t.months.Int(), 0):
		return law.Yes
	case one == law.Unknown:
		return law.Unknown
	}
	return answer
}

// reached says whether a test is at or above a level; without tests it is not known.
func reached(tests []Test, level measure.Number) law.Tri {
	answer := law.Unknown
	for i, t := range tests {
		at := atLeast(t.Level, level)
		switch {
		case at == law.Yes:
			return law.Yes
		case i == 0:
			answer = at
		case at == law.Unknown:
			answer = law.Unknown
		}
	}
	return answer
}

// atLeast compares a level told with another; "<5" is below 5, and may or may not be below 3.5.
func atLeast(told measure.Quantity, level measure.Number) law.Tri {
	if !told.Known() {
		return law.Unknown
	}
	switch over := told.In(measure.MicrogramPerDecilitre).Cmp(level); {
	case told.Qualifier == measure.LessThan && over > 0:
		return law.Unknown
	case told.Qualifier == measure.LessThan || over < 0:
		return law.No
	}
	return law.Yes
}

// apart reports whether two tests in a range were so many months apart. most is 0 where there is no most.
func apart(tests []Test, from, below measure.Number, least, most int) bool {
	var days []calendar.Date
	for _, t := range tests {
		if !t.Level.Known() || t.Level.Qualifier == measure.LessThan || t.DrawnOn.IsZero() {
			continue
		}
		if n := t.Level.In(measure.MicrogramPerDecilitre); n.Cmp(from) >= 0 && n.Cmp(below) < 0 {
			days = append(days, t.DrawnOn)
		}
	}
	slices.Sort(days)
	for i, first := range days {
		for _, second := range days[i+1:] {
			if !second.Before(first.AddMonths(least)) && (most == 0 || !second.After(first.AddMonths(most))) {
				return true
			}
		}
	}
	return false
}

// underAbatement says whether the tests are an elevated level under the abatement rules (40 CFR 745.223), which have a level of
// their own. A test not known to be venous is taken to be.
func (r Rules) underAbatement(f Facts) law.Tri {
	venous := slices.DeleteFunc(slices.Clone(f.Tests), func(t Test) bool { return t.Venous == law.No })
	single, repeated := r.value(r.abatementSingle, f.NotifiedOn, law.Scope{}), r.value(r.abatementRepeated, f.NotifiedOn, law.Scope{})
	least, most := r.value(r.abatementLeast, f.NotifiedOn, law.Scope{}), r.value(r.abatementMost, f.NotifiedOn, law.Scope{})
	if single == nil || repeated == nil || least == nil || most == nil {
		return law.Unknown
	}
	one := reached(venous, single.Number())
	if one == law.No && apart(venous, repeated.Number(), single.Number(), least.Int(), most.Int()) {
		return law.Yes
	}
	if len(venous) == 0 && len(f.Tests) > 0 {
		return law.No
	}
	return one
}
