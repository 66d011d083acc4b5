package assistance

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of assisted housing, question by question.
func Catalogue() []law.Rule {
	return slices.Concat(exemptionRules(), tierRules(), programmeRules(), upkeepRules())
}

func exemptionRules() []law.Rule {
	const question = "housing-rule-exemption"
	rule := func(n int, name, title, text string, inputs []string, parameters ...string) law.Rule {
		return law.Rule{Name: "exempt_" + name, Title: title, Text: text, Calculation: question, Citation: clause(n), Inputs: inputs, Parameters: parameters}
	}
	rules := []law.Rule{
		rule(1, "built_after", "Exempt: built later", "Housing built on or after 1 January of the year is exempt. Only a recorded year shows it.", []string{"as_of", "build_year"}, "housing_rule_year"),
		rule(2, "zero_bedroom", "Exempt: no bedroom", "A dwelling without a bedroom of its own, single rented rooms among them, is exempt from the housing rule, whoever lives there. The renovation rule has covered it since its definition changed, where a child under six lives or is expected to live there; the answer says so.", []string{"bedrooms", "child_under_six"}, "zero_bedroom_child_rule"),
		rule(3, "set_aside", "Exempt: older people or people with disabilities only", "Housing for older people or people with disabilities only is exempt unless a child under six lives or is expected to live there.", []string{"housing_for", "child_under_six"}),
		rule(4, "found_lead_free", "Exempt: found free of lead-based paint", "A property that a lead-based paint inspection found free of it is exempt.", []string{"found_lead_free"}),
		rule(5, "lead_paint_removed", "Exempt: all lead-based paint removed", "A property from which all lead-based paint was removed, and which was cleared, is exempt. Paint that was enclosed or encapsulated is still there.", []string{"lead_paint_removed", "removal_cleared", "enclosed_or_encapsulated"}),
		rule(6, "to_be_demolished", "Exempt: empty and to be demolished", "A property that is not lived in and will be demolished is exempt as long as it stays empty.", []string{"to_be_demolished", "unoccupied"}),
		rule(7, "non_residential", "Exempt: parts not lived in", "A part of a property that is not lived in is exempt; entries, halls and stairs that serve dwellings are not such a part.", []string{"non_residential", "shared_with_dwellings"}),
		rule(8, "no_paint_disturbed", "Exempt: rehabilitation that leaves paint alone", "Rehabilitation that disturbs no painted surface is exempt.", []string{"rehabilitation", "paint_disturbed"}),
		rule(9, "emergency_action", "Exempt: emergency actions", "What must be done at once against danger is exempt, and only that part of the work.", []string{"emergency_action"}),
		rule(10, "seized", "Exempt for a time: seized by law enforcement", "A home that a law enforcement agency has seized is exempt while it has owned it for fewer than a number of days.", []string{"seized_on"}, "seizure_exempt_days"),
		rule(11, "emergency_aid", "Exempt for a time: emergency aid", "Emergency rental help and help against foreclosure are exempt until a number of days after the first payment; the service lets it end on that day.", []string{"first_payment_on"}, "emergency_aid_exempt_days"),
		rule(12, "weather", "Exterior work may wait for weather", "Exterior work may be put off while weather does not allow it.", []string{"exterior_in_bad_weather"}),
		rule(13, "historic", "Historic property: interim controls", "In a historic property interim controls may take the place of abatement at the request of the historic preservation office.", []string{"historic", "preservation_office_asks"}),
		{Name: "no_exemption", Title: "No exemption is presumed", Calculation: question, Citation: protective("24 CFR 35.115(a)"), Text: "An exemption that rests on a fact that is not known does not hold.", Inputs: []string{"build_year", "bedrooms", "housing_for", "child_under_six"}},
	}
	for i, r := range rules {
		if r.Name == "exempt_seized" || r.Name == "exempt_emergency_aid" {
			rules[i].Reasons = []string{r.Name + "_ended"}
		}
	}
	return rules
}

func tierRules() []law.Rule {
	const question = "assistance-tier"
	deMinimis := []string{"hud_de_minimis_interior", "hud_de_minimis_exterior", "hud_de_minimis_component"}
	return []law.Rule{
		{Name: "federal_per_unit", Title: "Federal assistance for each unit", Calculation: question, Citation: perUnit,
			Text:   "All Federal money in the project counts, whatever it is spent on, acquisition, permits and fees too. It is divided by the assisted units.",
			Inputs: []string{"federal_assistance", "assisted_units"}},
		{Name: "hard_cost_per_unit", Title: "Hard costs for each unit", Calculation: question, Citation: perUnit,
			Text:   "The hard costs in the assisted units, divided by those, and the hard costs of common areas and exterior painted surfaces, divided by all units, are added.",
			Inputs: []string{"hard_costs_assisted_units", "hard_costs_common_and_exterior", "costs", "assisted_units", "units"}},
		{Name: "hard_costs_only", Title: "What is no hard cost", Calculation: question, Citation: perUnit,
			Text:   "Left out are lead evaluation and hazard reduction for the housing rule (site preparation, occupant protection, relocation, interim controls, abatement, clearance, waste handling), soft costs, acquisition, and what is spent in units that are not assisted.",
			Inputs: []string{"costs"}},
		{Name: "assistance_amount", Title: "The smaller of the two decides the tier", Calculation: question, Citation: perUnit,
			Text:   "The smaller of Federal assistance and hard costs for each assisted unit puts the project into the lowest, middle or highest tier. An amount exactly at the end of a tier is in that tier. One that is not known could be anything; where neither is known the highest tier is presumed.",
			Inputs: []string{"federal_assistance", "costs"}, Parameters: []string{"rehabilitation_lower_amount", "rehabilitation_upper_amount"}, Reasons: []string{"tier_presumed"}},
		{Name: "lowest_tier", Title: "What the lowest tier requires", Calculation: question, Citation: tierClause, Parameters: deMinimis,
			Text:   "Test the surfaces to be disturbed or presume; safe work practices and repair of the paint disturbed; clearance of the worksite, unless not more than the de minimis is disturbed or the surfaces were tested free.",
			Inputs: []string{"surfaces_tested_free"}},
		{Name: "middle_tier", Title: "What the middle tier requires", Calculation: question, Citation: tierClause, Parameters: deMinimis,
			Text:   "Test or presume, and a risk assessment of the assisted units, their common areas and the exterior; safe work practices and interim controls of the hazards found; clearance of the unit, or of a worksite that was contained.",
			Inputs: []string{"federal_assistance", "costs"}},
		{Name: "highest_tier", Title: "What the highest tier requires", Calculation: question, Citation: tierClause, Parameters: deMinimis,
			Text:   "Test or presume, and a risk assessment; abatement of the hazards found, with interim controls allowed on exterior surfaces that are not disturbed and on paint hazards not above the de minimis; clearance of the unit.",
			Inputs: []string{"federal_assistance", "costs"}},
		{Name: "home_rental", Title: "Rentals of the HOME programme", Calculation: question, Citation: homeRental,
			Text: "A rental that the HOME programme assists has ongoing lead-based paint maintenance.", Inputs: []string{"home_rental"}},
		{Name: "insular_area", Title: "Insular areas", Calculation: question, Citation: insularRule, Parameters: deMinimis,
			Text: "Insular areas have requirements of their own in place of those of the tiers.", Inputs: []string{"insular_area"}},
		{Name: "rehabilitation_notices", Title: "Notices, pamphlet and records of rehabilitation", Calculation: question, Citation: tellClause, Parameters: []string{"housing_notice_days", "housing_records_years"},
			Text: "Occupants get the pamphlet and, within a number of calendar days, notices of evaluation or presumption and of hazard reduction; the records are kept for years.", Inputs: []string{"as_of"}},
	}
}
