package assistance

import (
	"fmt"
	"strconv"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// at is a JSON pointer to a field of an item of a list.
func at(list string, i int, field string) string { return list + "/" + strconv.Itoa(i) + field }

// older is whether a home has the stricter requirements of older housing: unless it is recorded to be newer.
func (n numbers) older(f ProgrammesFacts) law.Tri {
	return before(f, n.whole("older_housing_year"))
}

// before is whether a home was built before a year. Only a recorded year shows that it was not.
func before(f ProgrammesFacts, year int) law.Tri {
	switch {
	case f.Certainty == home.Recorded && f.BuildYear >= year:
		return law.No
	case f.Certainty != home.YearUnknown && f.BuildYear != 0 && f.BuildYear < year:
		return law.Yes
	}
	return law.Unknown
}

// parts builds the requirements of one programme.
type parts struct {
	n    numbers
	f    ProgrammesFacts
	p    ProgrammeFacts
	list []Requirement
}

func (b *parts) add(code string, stage Stage, cite law.Citation, text string) *Requirement {
	b.list = append(b.list, Requirement{Code: code, Programme: b.p.Programme, Stage: stage, Text: text, Citation: cite})
	return &b.list[len(b.list)-1]
}

// within gives a requirement its deadline. days compare it with another programme's.
func (q *Requirement) within(words string, due calendar.Date, days int) {
	q.Within, q.Due, q.days = words, due, days
}

// riskAssessment asks for a risk assessment; a lead hazard screen may take its place.
func (b *parts) riskAssessment(cite law.Citation, text string) *Requirement {
	if b.f.Presumed {
		return b.presumption(cite)
	}
	return b.add("risk_assessment", Before, cite, fmt.Sprintf("%s A lead hazard screen may take its place (24 CFR 35.1320; levels of %s ug/ft2 on floors and %s on sills, and none weaker than EPA's). A risk assessment is current for %d months (35.165).",
		text, b.n.value["screen_dust_floor"].Number(), b.n.value["screen_dust_sill"].Number(), b.n.whole("risk_assessment_months")))
}

func (b *parts) inspection(cite law.Citation, text string) *Requirement {
	if b.f.Presumed {
		return b.presumption(cite)
	}
	return b.add("inspection_and_risk_assessment", Before, cite, text)
}

// presumption stands in the place of an evaluation (24 CFR 35.120).
func (b *parts) presumption(cite law.Citation) *Requirement {
	return b.add("presumption", Before, law.Cite(cite.Clause+" with 35.120", cite.Source), "Lead-based paint and hazards are presumed on all painted surfaces instead of being evaluated.")
}

// controls asks for interim controls of what was found; where hazards are presumed, for standard treatments of the whole.
func (b *parts) controls(cite law.Citation) *Requirement {
	if b.f.Presumed {
		return b.add("standard_treatments", During, law.Citation{Clause: "24 CFR 35.120(a), 35.1335", Source: law.Memory, Note: "That standard treatments take the place of interim controls where hazards are presumed is from memory."},
			"Do standard treatments in place of interim controls: stabilise all deteriorated paint, make horizontal surfaces smooth and cleanable, treat dust and bare soil.")
	}
	return b.add("interim_controls", During, cite, "Control the hazards that the evaluation found by interim controls.")
}

// controlsInTime are controls within days of the evaluation where a child under six lives or moves in, else within months.
func (b *parts) controlsInTime(cite law.Citation) {
	days, months := b.n.whole("interim_control_days_child"), b.n.whole("interim_control_months")
	q := b.controls(cite)
	if b.f.ChildUnderSix == law.No {
		q.within(fmt.Sprintf("%d months of the evaluation; %d days of a child under six moving in", months, days), b.f.EvaluatedOn.AddMonths(months), months*31)
		return
	}
	due := b.f.EvaluatedOn.AddDays(days)
	if b.f.ChildMovedIn.After(b.f.EvaluatedOn) && !b.f.EvaluatedOn.IsZero() {
		due = earlier(b.f.EvaluatedOn.AddMonths(months), b.f.ChildMovedIn.AddDays(days))
	}
	q.within(fmt.Sprintf("%d days of the evaluation, or of a child under six moving in after it", days), due, days)
}

// earlier is the earlier of two dates, of which one may not be told.
func earlier(a, b calendar.Date) calendar.Date {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// stabilise asks for a visual assessment and paint stabilisation.
func (b *parts) stabilise(cite law.Citation, looking string) *Requirement {
	b.add("visual_assessment", Before, cite, looking)
	return b.add("paint_stabilisation", During, cite, "Stabilise all deteriorated paint, by safe work practices.")
}

func (b *parts) clear(cite law.Citation, text string) {
	b.add("clear_unit", After, cite, text)
}

// telling are the pamphlet and the notices. A visual assessment is no evaluation, and nobody is told of it.
func (b *parts) telling(cite law.Citation, evaluated bool) {
	days := b.n.tiers.notice.Int()
	if b.f.PamphletGiven != law.Yes {
		b.add("pamphlet", Telling, cite, "Give the lead hazard pamphlet to each occupied unit (24 CFR 35.130).")
	}
	words := fmt.Sprintf("%d calendar days", days)
	if evaluated {
		text := "Tell occupants, where lead-based paint or hazards were found (24 CFR 35.125(a))."
		if b.f.Presumed {
			text = "Tell occupants that lead-based paint or hazards are presumed (24 CFR 35.125(a))."
		}
		b.add("notice_of_evaluation", Telling, cite, text).within(words+" of the report or of presuming", b.f.EvaluatedOn.AddDays(days), days)
	}
	b.add("notice_of_hazard_reduction", Telling, cite, "Tell occupants of the hazard reduction, with the results of clearance and the lead-based paint that remains, surface by surface; not required where clearance is not (24 CFR 35.125(b)).").
		within(words+" of its completion", b.f.ReducedOn.AddDays(days), days)
}

func (b *parts) maintain(cite law.Citation, reevaluate bool) {
	b.add("ongoing_maintenance", Ongoing, cite, "Look at the paint at turnover and every year, answer residents' reports, and mend by safe work practices (24 CFR 35.1355(a)).")
	if reevaluate {
		b.add("reevaluation", Ongoing, cite, "Have the home reevaluated by a certified risk assessor on the schedule of 24 CFR 35.1355(b).")
	}
}
