package form

import (
	"sillbook/api"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/duty"
	"sillbook/internal/trade/home"
)

// StandingFacts reads what the standing of a unit turns on.
func StandingFacts(a api.StandingFacts) duty.StandingFacts {
	f := duty.StandingFacts{AsOf: Day(a.AsOf), Soon: soonDays(a.SoonDays),
		Covered: map[api.CoveredOutcome]home.Outcome{api.CoveredOutcomePresumedCovered: home.Presumed, api.CoveredOutcomeCovered: home.Covered}[a.Covered]}
	for _, w := range list(a.Worksites) {
		f.Worksites = append(f.Worksites, duty.Worksite{StartedOn: DayOf(w.StartedOn), EndedOn: DayOf(w.EndedOn), ClearedOn: DayOf(w.ClearedOn), Check: Tri(w.Check)})
	}
	for _, d := range list(a.Duties) {
		o := duty.Owed{Window: calendar.Window{From: DayOf(d.From), To: DayOf(d.Due)}, MetOn: DayOf(d.MetOn), Restricted: is(d.Restricted, true), Kept: is(d.OnlyKept, true)}
		if d.What != nil {
			o.What = *d.What
		}
		f.Owed = append(f.Owed, o)
	}
	return f
}

// soonDays reads how many days before its last day a duty is due soon.
func soonDays(told *int32) int {
	if told == nil {
		return duty.AsUsual
	}
	return int(*told)
}
