package assistance

import (
	"fmt"

	"sillbook/internal/trade/law"
)

var (
	maintenance  = law.Cite("24 CFR 35.1355(a)", law.Text)
	reevaluation = law.Cite("24 CFR 35.1355(b)", law.Text)
	spacing      = law.Citation{Clause: "24 CFR 35.1355(b)", Source: law.Derived, Note: "A clean reevaluation at another spacing is read as the first of the two in a row; no published reading was found."}
)

func (r UpkeepRules) explain(f UpkeepFacts, n upkeep, a UpkeepAnswer) law.Determination {
	d := law.NewDetermination("reevaluation", f.AsOf, r.book.RuleSet())
	d.Outcome = string(a.Outcome)
	switch {
	case f.LeadRemains == law.No:
		d.Because("nothing_to_reevaluate", "lead_paint_remains", "no", reevaluation, "No lead-based paint was left in place, so there is nothing to reevaluate.")
	case f.ReducedOn.IsZero():
		d.Miss("hazard_reduction_completed_on", "Reevaluations are counted from the completion of hazard reduction.", "With its date, and lead-based paint left in place, a reevaluation could be due.")
	case a.Ended:
		d.Because("reevaluation_ended", "reevaluations", fmt.Sprint(len(f.Reevaluations)), n.row.Cite(), fmt.Sprintf("%s reevaluations in a row found nothing; no more are needed. Visual assessments go on.", n.row.Value))
	}
	for _, one := range a.Reevaluations {
		d.Because("reevaluations_in_a_row", "reevaluations", one.On.String(), spacing, one.Why)
	}
	for _, due := range a.Due {
		d.Because(due.Rule, "as_of", f.AsOf.String(), due.Citation, fmt.Sprintf("%s It is %s.", due.Text, due.State))
	}
	if f.LeadRemains == law.Unknown && !f.ReducedOn.IsZero() {
		d.Miss("lead_paint_remains", "Only where lead-based paint was left in place is there something to reevaluate; not known counts as left.", "Knowing that none was left would end reevaluation.")
	}
	if f.VisualOn.IsZero() {
		d.Miss("visual_assessment_on", "When the last visual assessment was made is not known, so one counts as overdue.", "Its date would say by when the next one is due.")
	}
	for i, e := range f.Reevaluations {
		if e.Found == law.Unknown {
			d.Miss(fmt.Sprintf("reevaluations.%d.hazard_found", i), "What it found is not known, which counts as a hazard.", "A reevaluation that found nothing counts towards the end of reevaluation.")
		}
	}
	for _, told := range f.dates() {
		if !told.on.IsZero() {
			d.Use(told.name, told.on.String())
		}
	}
	return d
}

// alternatives are what could be found out, and what can be done today.
func (n upkeep) alternatives(f UpkeepFacts) []law.Alternative[UpkeepFacts] {
	list := []law.Alternative[UpkeepFacts]{}
	if f.LeadRemains == law.Unknown && !f.ReducedOn.IsZero() {
		list = append(list, law.Alternative[UpkeepFacts]{Fact: "lead_paint_remains", Value: "no", Set: func(f *UpkeepFacts) { f.LeadRemains = law.No }})
	}
	if f.VisualOn != f.AsOf {
		list = append(list, law.Alternative[UpkeepFacts]{Fact: "visual_assessment_on", Value: f.AsOf.String(), Action: true, Set: func(f *UpkeepFacts) { f.VisualOn = f.AsOf }})
	}
	if !f.ReducedOn.IsZero() && f.LeadRemains != law.No {
		list = append(list, law.Alternative[UpkeepFacts]{Fact: "reevaluations", Value: "one on " + f.AsOf.String() + " that finds nothing", Action: true, Set: func(f *UpkeepFacts) {
			if k := len(f.Reevaluations); k == 0 || f.Reevaluations[k-1].On.Before(f.AsOf) {
				f.Reevaluations = append(f.Reevaluations[:k:k], Reevaluation{On: f.AsOf, Found: law.No})
			}
		}})
	}
	for i, p := range f.Reports {
		if p.AnsweredOn.IsZero() {
			list = append(list, law.Alternative[UpkeepFacts]{Fact: fmt.Sprintf("reports.%d.answered_on", i), Value: f.AsOf.String(), Action: true, Set: func(f *UpkeepFacts) {
				f.Reports = append([]Report{}, f.Reports...)
				f.Reports[i].AnsweredOn = f.AsOf
			}})
		}
	}
	return list
}

func upkeepRules() []law.Rule {
	const question = "reevaluation"
	return []law.Rule{
		{Name: "first_reevaluation", Title: "The first reevaluation", Calculation: question, Citation: reevaluation,
			Text:   "Where hazard reduction left lead-based paint in place, a certified risk assessor reevaluates the home within the months from its completion.",
			Inputs: []string{"hazard_reduction_completed_on", "lead_paint_remains"}, Parameters: []string{"reevaluation_first_months"}, Reasons: []string{"nothing_to_reevaluate"}},
		{Name: "reevaluation_spacing", Title: "Later reevaluations", Calculation: question, Citation: reevaluation,
			Text:   "Each later reevaluation follows the one before after the months, give or take the days.",
			Inputs: []string{"reevaluations"}, Parameters: []string{"reevaluation_months", "reevaluation_days_around"}},
		{Name: "reevaluations_in_a_row", Title: "Clean ones in a row end them", Calculation: question, Citation: spacing,
			Text:   "Reevaluation ends after so many in a row, at the spacing of the rule, that find no hazard. A finding starts the count again, and so does a spacing that is not the rule's.",
			Inputs: []string{"reevaluations"}, Parameters: []string{"reevaluation_clean_in_a_row"}, Reasons: []string{"reevaluation_ended"}},
		{Name: "visual_assessment", Title: "Visual assessments", Calculation: question, Citation: maintenance,
			Text:   "Painted surfaces are looked at when residents change, and at least every so many months.",
			Inputs: []string{"visual_assessment_on", "turnover_on"}, Parameters: []string{"visual_assessment_months"}},
		{Name: "resident_report", Title: "Residents' reports", Calculation: question, Citation: maintenance,
			Text:   "A resident's report of paint in poor condition is answered within the days.",
			Inputs: []string{"reports"}, Parameters: []string{"resident_report_days"}},
	}
}
