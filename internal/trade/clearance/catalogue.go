package clearance

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of clearance, question by question.
func Catalogue() []law.Rule {
	return slices.Concat(countRules())
}

func countRules() []law.Rule {
	const question = "unit-counts"
	inspection := []string{"target_housing_year", "inspection_sampling_year", "inspection_sampling_confidence", "inspection_sampling_share_before_1960",
		"inspection_sampling_share_from_1960", "inspection_sampling_most_before_1960", "inspection_sampling_most_from_1960"}
	return []law.Rule{
		{Name: "inspection_unit_counts", Title: "How many similar units to inspect", Calculation: question,
			Citation: law.Cite("HUD Guidelines (2012), chapter 7, Table 7.3; USACE EP 1110-1-31", law.Text),
			Text:     "Similar units, common areas or exterior sites are inspected by random sample where there are enough of them, by two columns: built before the year of the newer one, or in a year that is not known, and built from it on. Of fewer, each is inspected. The printed table inspection_unit_counts and the exact count stand side by side, and the larger governs.",
			Inputs:   []string{"purpose", "similar", "build_year"}, Parameters: append(inspection, "inspection_sampling_fewest_before_1960", "inspection_sampling_fewest_from_1960"),
			Reasons: []string{"inspection_sample", "inspection_of_all"}},
		{Name: "clearance_unit_counts", Title: "How many similar units to clear by random sample", Calculation: question, Citation: randomSampling,
			Text:   "A random sample of similarly built and maintained units is large enough to show, with the confidence named, that no more than a share of them, or no more than a number, whichever is smaller, exceed; whatever their age. In assisted housing there must be more than so many. The larger of the printed table's older column and the exact count governs. The crews must not know which units will be drawn.",
			Inputs: []string{"purpose", "similar", "crews_know_the_draw"}, Parameters: []string{"clearance_sampling_confidence", "clearance_sampling_share", "clearance_sampling_most", "clearance_sampling_above"},
			Reasons: []string{"clearance_sample", "clearance_of_all", "draw_known_to_crews", "similarly_built_and_maintained"}},
		{Name: "case_unit_counts", Title: "How many other units to assess after an elevated blood lead level", Calculation: question,
			Citation: law.Cite("24 CFR 35.325, .730, .830, .1130 and .1225 as amended 2017", law.Text),
			Text:     "The other covered units of the property are assessed by random sample, of the size that an inspection's has, only where there are more than so many of them, by their age; otherwise each is.",
			Inputs:   []string{"purpose", "similar", "build_year"}, Parameters: append(slices.Clone(inspection), "case_sampling_above_before_1960", "case_sampling_above_from_1960"),
			Reasons: []string{"elevated_blood_lead_sample", "elevated_blood_lead_of_all"}},
	}
}
