package assistance

import (
	"fmt"
	"slices"

	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// strength orders requirements of one kind, of which the most protective takes the others' place.
var strength = map[string]struct {
	kind string
	rank int
}{
	"visual_assessment": {"evaluation", 1}, "presumption": {"evaluation", 2}, "risk_assessment": {"evaluation", 2}, "lead_inspection": {"evaluation", 3}, "inspection_and_risk_assessment": {"evaluation", 3},
	"paint_stabilisation": {"control", 1}, "standard_treatments": {"control", 2}, "interim_controls": {"control", 2}, "abate_hazards": {"control", 3}, "abate_all_lead_paint": {"control", 4},
	"clear_worksite": {"clearance", 1}, "clear_unit": {"clearance", 2},
}

// order of the stages in an answer.
var stageOrder = map[Stage]int{Before: 0, During: 1, After: 2, Telling: 3, Ongoing: 4, Keeping: 5}

// require works everything out.
func (n numbers) require(f ProgrammesFacts) ProgrammesAnswer {
	a := ProgrammesAnswer{Outcome: NothingRequired, Programmes: []ProgrammeAnswer{}, Together: []Requirement{}}
	if !f.RiskAssessmentOn.IsZero() {
		through := f.RiskAssessmentOn.AddMonths(n.whole("risk_assessment_months"))
		a.RiskAssessment = &CurrentUntil{On: f.RiskAssessmentOn, Through: through, Current: !f.AsOf.After(through)}
	}
	if f.Exempt == law.Yes || before(f, n.whole("housing_rule_year")) == law.No {
		a.Outcome = ExemptFromRule
		return a
	}
	for _, p := range f.Programmes {
		a.Programmes = append(a.Programmes, n.row(f, p))
	}
	n.together(&a)
	a.Outcome = outcomeOf(a)
	return a
}

// together keeps the most protective requirement of each kind and the earliest deadline of each requirement (24 CFR 35.155(b)),
// and adds the records.
func (n numbers) together(a *ProgrammesAnswer) {
	for _, p := range a.Programmes {
		for _, q := range p.Requirements {
			a.take(q)
		}
	}
	slices.SortStableFunc(a.Together, func(x, y Requirement) int { return stageOrder[x.Stage] - stageOrder[y.Stage] })
	if len(a.Together) > 0 {
		years := n.tiers.records.Int()
		a.Together = append(a.Together, Requirement{Code: "keep_records", Stage: Keeping, Citation: n.tiers.records.Cite(),
			Text: fmt.Sprintf("Keep each notice, evaluation, and clearance or abatement report for at least %d years; where maintenance or reevaluation goes on, until %d years after it ends.", years, years)})
	}
}

// take adds a requirement unless one that protects as much is there, and drops what protects less. What protects less but must be
// met sooner stays beside the other.
func (a *ProgrammesAnswer) take(q Requirement) {
	for i, have := range a.Together {
		switch {
		case have.Code == q.Code:
			if q.sooner(have) {
				a.Together[i] = q
			}
			return
		case q.yields(have):
			a.superseded = append(a.superseded, gaveWay(q, have))
			return
		}
	}
	a.Together = slices.DeleteFunc(a.Together, func(have Requirement) bool {
		if have.yields(q) {
			a.superseded = append(a.superseded, gaveWay(have, q))
			return true
		}
		return false
	})
	a.Together = append(a.Together, q)
}

// yields reports whether a requirement gives way to another of its kind that protects more and is not due later.
func (q Requirement) yields(to Requirement) bool {
	s, t := strength[q.Code], strength[to.Code]
	return s.kind != "" && s.kind == t.kind && s.rank < t.rank && !q.sooner(to)
}

// sooner reports whether a requirement must be met before another of the same code.
func (q Requirement) sooner(have Requirement) bool {
	if !q.Due.IsZero() && !have.Due.IsZero() {
		return q.Due.Before(have.Due)
	}
	if q.Within != "" && have.Within != "" {
		return q.days < have.days
	}
	return q.Within != "" && have.Within == ""
}

func gaveWay(weaker, stronger Requirement) string {
	return fmt.Sprintf("%s of %s gives way to %s of %s, which protects more (24 CFR 35.155(b)).", weaker.Code, weaker.Programme, stronger.Code, stronger.Programme)
}

// outcomeOf is the most that is asked for.
func outcomeOf(a ProgrammesAnswer) ProgrammesOutcome {
	has := func(codes ...string) bool {
		return slices.ContainsFunc(a.Together, func(q Requirement) bool { return slices.Contains(codes, q.Code) })
	}
	switch {
	case has("abate_all_lead_paint"):
		return AbateAll
	case has("abate_hazards"):
		return AbateHazards
	case has("interim_controls", "standard_treatments"):
		return ControlsOfHazards
	case has("paint_stabilisation"):
		return Stabilisation
	case has("safe_work_practices"):
		return SafeWork
	case has("inspection_and_risk_assessment", "risk_assessment", "presumption"):
		return EvaluationOnly
	case has("ongoing_maintenance"):
		return MaintenanceOnly
	}
	return NothingRequired
}

// programmeAlternatives are facts that are not known, with what would ask for less, and amounts that people can change.
func (n numbers) programmeAlternatives(f ProgrammesFacts) []law.Alternative[ProgrammesFacts] {
	list := []law.Alternative[ProgrammesFacts]{}
	find := func(open bool, fact, value string, set func(*ProgrammesFacts)) {
		if open {
			list = append(list, law.Alternative[ProgrammesFacts]{Fact: fact, Value: value, Set: set})
		}
	}
	rule, older, least := n.whole("housing_rule_year"), n.whole("older_housing_year"), n.whole("multifamily_least_units")
	find(before(f, rule) == law.Unknown, "build_year", fmt.Sprintf("%d or later, recorded", rule), func(f *ProgrammesFacts) { f.BuildYear, f.Certainty = rule, home.Recorded })
	find(n.older(f) == law.Unknown, "build_year", fmt.Sprintf("%d or later, recorded", older), func(f *ProgrammesFacts) { f.BuildYear, f.Certainty = older, home.Recorded })
	find(f.Exempt == law.Unknown, "exempt", "yes", func(f *ProgrammesFacts) { f.Exempt = law.Yes })
	find(f.Units == 0, "units", fmt.Sprintf("fewer than %d", least), func(f *ProgrammesFacts) { f.Units = least - 1 })
	find(f.ChildUnderSix == law.Unknown, "child_under_six", "no", func(f *ProgrammesFacts) { f.ChildUnderSix = law.No })
	for i, p := range f.Programmes {
		list = append(list, n.ofProgramme(i, p)...)
	}
	return list
}

func (n numbers) ofProgramme(i int, p ProgrammeFacts) []law.Alternative[ProgrammesFacts] {
	with := func(set func(*ProgrammeFacts)) func(*ProgrammesFacts) {
		return func(f *ProgrammesFacts) {
			f.Programmes = slices.Clone(f.Programmes)
			set(&f.Programmes[i])
		}
	}
	most := func(fact string, told Money, limit *law.Value, set func(*ProgrammeFacts, Money)) law.Alternative[ProgrammesFacts] {
		return law.Alternative[ProgrammesFacts]{Fact: fact + " of " + string(p.Programme), Value: limit.Number().String() + " or less", Action: told.Known,
			Set: with(func(p *ProgrammeFacts) { set(p, Money{limit.Number(), true}) })}
	}
	switch p.Programme {
	case FederalProjectAid:
		return []law.Alternative[ProgrammesFacts]{most("amount_per_project_year", p.PerProjectYear, n.value["project_aid_amount"], func(p *ProgrammeFacts, m Money) { p.PerProjectYear = m })}
	case ProjectBased:
		return []law.Alternative[ProgrammesFacts]{most("amount_per_unit_year", p.PerUnitYear, n.value["project_based_amount"], func(p *ProgrammeFacts, m Money) { p.PerUnitYear = m })}
	case Rehabilitating:
		var list []law.Alternative[ProgrammesFacts]
		for _, limit := range []*law.Value{n.tiers.lower, n.tiers.upper} {
			if !p.PerUnit.Known || p.PerUnit.Dollars.Cmp(limit.Number()) > 0 {
				list = append(list, most("amount_per_unit", p.PerUnit, limit, func(p *ProgrammeFacts, m Money) { p.PerUnit = m }))
			}
		}
		return list
	case MortgageInsurance:
		if p.Major == law.Unknown {
			return []law.Alternative[ProgrammesFacts]{{Fact: "major_rehabilitation of " + string(p.Programme), Value: "no", Set: with(func(p *ProgrammeFacts) { p.Major = law.No })}}
		}
	}
	return nil
}
