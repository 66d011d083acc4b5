package waste

import "sillbook/internal/trade/law"

// Catalogue is every rule of waste.
func Catalogue() []law.Rule {
	const question = "waste-class"
	return []law.Rule{
		{Name: "household_exclusion", Title: "Household waste", Calculation: question, Citation: exclusion,
			Text:       "Waste of households, single and multiple residences among them, is no hazardous waste; since 2000 a contractor's work in a residence makes household waste too. What is not known to be of a household counts as none.",
			Inputs:     []string{"origin", "contractor"},
			Parameters: []string{"household_exclusion_contractor"}, Reasons: []string{"not_of_a_household", "contractor_waste_excluded_later"}},
		{Name: "intermediate_place", Title: "Waste held at a place in between", Calculation: question, Citation: law.Cite("40 CFR 261.4(b)(1)", law.Derived),
			Text:       "Where a jurisdiction reads the exclusion so, household lead waste that is not taken straight from the property to the facility loses it, and the place in between is a generator. Everywhere else the answer warns of it.",
			Inputs:     []string{"held", "jurisdictions"},
			Parameters: []string{"household_waste_intermediate_generator"}, Reasons: []string{"intermediate_place_generator"}},
		{Name: "residential_lead_waste_landfills", Title: "Where residential lead paint waste may go", Calculation: question, Citation: law.Cite("40 CFR 257.2, 258.2; 68 FR 36487", law.Text),
			Text:       "Since 2003 residential lead-based paint waste may go to a municipal landfill, or to a construction and demolition landfill that takes no other household waste.",
			Inputs:     []string{"origin"},
			Parameters: []string{"household_lead_waste_cd_landfill"}},
		{Name: "toxicity_of_the_extract", Title: "Toxicity characteristic", Calculation: question, Citation: law.Cite("40 CFR 261.24", law.Text),
			Text:       "Waste whose extract holds the limit of lead, or more, is hazardous. An extract that is not known counts as that.",
			Inputs:     []string{"extract"},
			Parameters: []string{"tclp_lead_limit"}, Reasons: []string{"toxicity_not_known"}},
		{Name: "total_lead_screen", Title: "Screen by total lead", Calculation: question, Citation: law.Cite("SW-846, Method 1311, section 1.2; 40 CFR 261.24", law.Derived),
			Text:       "The total divided by the ratio of liquid to solid is the highest extract possible: a total below the limit times the ratio cannot fail. A higher total decides nothing.",
			Inputs:     []string{"total"},
			Parameters: []string{"tclp_lead_limit", "tclp_liquid_ratio"}, Reasons: []string{"total_cannot_fail", "total_decides_nothing"}},
		{Name: "generator_class", Title: "Generator class by calendar month", Calculation: question, Citation: law.Cite("40 CFR 261.5, 262.34; since 2017 40 CFR 262.13", law.Text),
			Text:       "The hazardous waste of a calendar month makes its generator very small, small or large; more than a little acute hazardous waste makes it large. A month that is not known counts as large.",
			Inputs:     []string{"generated", "as_of"},
			Parameters: []string{"generator_very_small_mass", "generator_large_mass", "generator_acute_mass"}, Reasons: []string{"generator_acute"}},
		{Name: "accumulation_time", Title: "How long waste may be held", Calculation: question, Citation: law.Cite("40 CFR 262.34; since 2017 40 CFR 262.16, 262.17", law.Text),
			Text:       "A large generator sends waste off within days of the start of accumulation, a small one within more, and more still where the facility is farther than a distance; at exactly the distance the shorter time is taken. The authority may grant some days more.",
			Inputs:     []string{"accumulation_start", "distance", "extension_days", "ship_on"},
			Parameters: []string{"generator_large_days", "generator_small_days", "generator_small_days_far", "generator_far_distance", "generator_extension_days"}},
		{Name: "accumulation_caps", Title: "How much waste may be held", Calculation: question, Citation: law.Cite("40 CFR 261.5(g)(2), 262.34(f); since 2017 40 CFR 262.14(a)(4), 262.16(b)(1)", law.Text),
			Text:       "A very small generator that holds its cap, or more, is bound by a small one's rules from then on; a small one that holds more than its cap needs a permit.",
			Inputs:     []string{"on_site", "cap_reached_on"},
			Parameters: []string{"generator_very_small_cap", "generator_small_cap"}, Reasons: []string{"very_small_over_cap", "small_over_cap"}},
	}
}
