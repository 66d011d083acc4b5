package assistance

import (
	"fmt"
	"slices"

	"sillbook/internal/trade/law"
)

var mostProtective = law.Cite("24 CFR 35.155(b)", law.Text)

func (n numbers) explain(ruleSet string, f ProgrammesFacts, a ProgrammesAnswer) law.Determination {
	d := law.NewDetermination("assistance_requirements", f.AsOf, ruleSet)
	d.Outcome = string(a.Outcome)
	f.use(&d)
	n.explainRiskAssessment(&d, a)
	if a.Outcome == ExemptFromRule {
		n.explainExempt(&d, f)
		return d
	}
	if f.Exempt == law.Unknown {
		d.Miss("exempt", "Homes and work that 24 CFR 35.115(a) exempts owe nothing under these programmes.", "An exemption would ask for nothing.")
	}
	if before(f, n.whole("housing_rule_year")) == law.Unknown {
		d.Miss("build_year", "Only a recorded build year takes a home out.", fmt.Sprintf("A recorded year of %d or later would ask for nothing.", n.whole("housing_rule_year")))
	}
	for _, p := range a.Programmes {
		d.Because("programme_"+string(p.Programme), "programmes", string(p.Programme), p.cite, p.Why)
		for _, l := range p.lacks {
			if !slices.ContainsFunc(d.Missing, func(m law.Missing) bool { return m.Fact == l.fact }) {
				d.Miss(l.fact, l.why, l.change)
			}
		}
	}
	if len(f.Programmes) == 0 {
		d.Because("no_programme", "programmes", "none", law.Cite("24 CFR 35.100", law.Text), "No programme is told, so the housing rule asks for nothing.")
	}
	n.explainTime(&d, f, a)
	explainPresumed(&d, f, a)
	if len(a.superseded) > 0 {
		d.Because("most_protective", "programmes", fmt.Sprint(len(f.Programmes)), mostProtective, "Where several programmes help a home, the most protective requirement of each kind governs, and the earliest deadline.")
		d.Differences = append(d.Differences, a.superseded[:min(len(a.superseded), 20)]...)
	}
	if len(a.Together) > 0 {
		d.Because("programme_records", "programmes", fmt.Sprint(len(f.Programmes)), n.tiers.records.Cite(), "Notices, evaluations and clearance reports are kept for years.")
	}
	return d
}

// use notes the facts that the answer rests on.
func (f ProgrammesFacts) use(d *law.Determination) {
	if year := (ExemptionFacts{BuildYear: f.BuildYear, Certainty: f.Certainty}).value("build_year"); year != "unknown" {
		d.Use("build_year", year)
	}
	if f.Units > 0 {
		d.Use("units", fmt.Sprint(f.Units))
	}
	for _, t := range []named{{"exempt", f.Exempt}, {"occupied", f.Occupied}, {"child_under_six", f.ChildUnderSix}, {"pamphlet_given", f.PamphletGiven}} {
		if t.told != law.Unknown {
			d.Use(t.name, t.told.String())
		}
	}
	for _, p := range f.Programmes {
		d.Use("programmes", string(p.Programme))
	}
}

func (n numbers) explainExempt(d *law.Determination, f ProgrammesFacts) {
	if f.Exempt == law.Yes {
		d.Because("exempt_from_programmes", "exempt", "yes", law.Cite("24 CFR 35.115(a)", law.Text), "It is told to be exempt from the housing rule.")
		return
	}
	d.Because("exempt_from_programmes", "build_year", fmt.Sprint(f.BuildYear), clause(1), fmt.Sprintf("It was built in or after %d.", n.whole("housing_rule_year")))
}

func (n numbers) explainRiskAssessment(d *law.Determination, a ProgrammesAnswer) {
	c := a.RiskAssessment
	if c == nil {
		return
	}
	verb := "is current through"
	if !c.Current {
		verb = "was current only through"
	}
	d.Because("risk_assessment_current", "risk_assessment_on", c.On.String(), n.value["risk_assessment_months"].Cite(),
		fmt.Sprintf("A risk assessment is current for %d months; that of %s %s %s. This does not hold for the case of a child with an elevated blood lead level.", n.whole("risk_assessment_months"), c.On, verb, c.Through))
}

// explainTime says which deadline of interim controls was taken.
func (n numbers) explainTime(d *law.Determination, f ProgrammesFacts, a ProgrammesAnswer) {
	timed := slices.ContainsFunc(f.Programmes, func(p ProgrammeFacts) bool {
		return slices.Contains([]Programme{ProjectBased, HUDMultifamily, PublicHousing}, p.Programme)
	}) && (a.Outcome == ControlsOfHazards || a.Outcome == AbateHazards || a.Outcome == AbateAll)
	if !timed {
		return
	}
	cite := n.value["interim_control_days_child"].Cite()
	if f.ChildUnderSix != law.Unknown {
		d.Because("controls_in_time", "child_under_six", f.ChildUnderSix.String(), cite, fmt.Sprintf("Interim controls have %d days where a child under six lives or moves in, and %d months otherwise.", n.whole("interim_control_days_child"), n.whole("interim_control_months")))
		return
	}
	d.Because("controls_in_time", "child_under_six", "unknown", protective(cite.Clause), fmt.Sprintf("Whether a child under six lives there is not known, so interim controls have %d days.", n.whole("interim_control_days_child")))
	if !slices.ContainsFunc(d.Missing, func(m law.Missing) bool { return m.Fact == "child_under_six" }) {
		d.Miss("child_under_six", "The deadline of interim controls turns on a child under six.", fmt.Sprintf("Knowing that none lives there would give %d months.", n.whole("interim_control_months")))
	}
}

func explainPresumed(d *law.Determination, f ProgrammesFacts, a ProgrammesAnswer) {
	if !f.Presumed {
		return
	}
	text := "Lead-based paint and hazards are presumed instead of evaluated: nothing is found free, and where abatement is required it is of the whole property."
	if slices.ContainsFunc(a.Programmes, func(p ProgrammeAnswer) bool { return p.Programme == PublicHousing }) {
		text += " Public housing is inspected all the same."
	}
	d.Because("presumed_instead", "presumed", "yes", law.Cite("24 CFR 35.120", law.Text), text)
}
