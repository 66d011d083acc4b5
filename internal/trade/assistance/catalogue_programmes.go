package assistance

import "sillbook/internal/trade/law"

// programmeRules are the rows of 24 CFR part 35, subparts C to M, and what holds for all of them.
func programmeRules() []law.Rule {
	const question = "assistance-requirements"
	row := func(p Programme, cite law.Citation, title, text string, inputs []string, parameters ...string) law.Rule {
		return law.Rule{Name: "programme_" + string(p), Title: title, Text: text, Calculation: question, Citation: cite, Inputs: append([]string{"programmes"}, inputs...), Parameters: parameters}
	}
	return []law.Rule{
		row(FederalSale, part("35.210, 35.215"), "C: another federal agency sells housing",
			"Older housing is inspected and its risk assessed before the closing, and the hazards are abated; newer housing is inspected and assessed, and buyers learn the results.", []string{"build_year"}, "older_housing_year"),
		row(FederalProjectAid, part("35.300 to 35.325"), "D: project-based aid of another federal agency",
			"Above an amount a year for the project: a risk assessment on the agency's schedule, interim controls of what it finds, notices and the pamphlet.", []string{"amount_per_project_year"}, "project_aid_amount"),
		row(HUDSingleFamilySale, part("35.500, 35.510"), "F: HUD sells a home with a mortgage that it insures",
			"A visual assessment, stabilisation of all deteriorated paint and clearance; nobody moves in until it is cleared.", nil),
		row(MortgageInsurance, part("35.620, 35.625, 35.630"), "G: mortgage insurance of multifamily housing",
			"Older housing: a risk assessment before the firm commitment, interim controls and maintenance; newer housing: maintenance. Conversion and major rehabilitation: inspection and abatement of all lead-based paint before occupancy.", []string{"build_year", "major_rehabilitation"}, "older_housing_year", "major_rehabilitation_share"),
		row(ProjectBased, part("35.715, 35.720"), "H: project-based assistance",
			"Above an amount a year for each assisted unit of a multifamily property: a risk assessment, interim controls in time, maintenance and reevaluation. Otherwise a visual assessment, stabilisation before occupancy or within days, clearance, notice and maintenance.", []string{"amount_per_unit_year", "units", "deterioration_found_on"}, "project_based_amount", "multifamily_least_units", "stabilise_days"),
		row(HUDMultifamily, part("35.815, 35.820"), "I: multifamily housing that HUD owns",
			"Inspection and risk assessment within days or before it is advertised; interim controls in time, or by the buyer within days of the closing.", []string{"left_to_buyer", "child_under_six"}, "hud_owned_evaluation_days", "buyer_control_days", "buyer_control_days_child"),
		row(Rehabilitating, tierClause, "J: rehabilitation", "What its tier asks for, in the tier's own question.", []string{"amount_per_unit"}, "rehabilitation_lower_amount", "rehabilitation_upper_amount"),
		row(Services, part("35.1015"), "K: acquisition, leasing, support services, operation",
			"A visual assessment, stabilisation and clearance before occupancy, or at once where it is lived in; notice; maintenance where the help goes on.", []string{"occupied", "continuing"}),
		row(PublicHousing, part("35.1115, 35.1120"), "L: public housing",
			"Inspection of all of it, a risk assessment where there is lead-based paint, abatement in the course of modernisation and interim controls in time until then; maintenance and reevaluation.", []string{"child_under_six", "evaluation_received_on"}),
		row(TenantBased, part("35.1200, 35.1215"), "M: tenant-based rental assistance",
			"Only units with a child under six: visual assessment at the initial and each periodic inspection, stabilisation before occupancy or within days, clearance, notices and maintenance.", []string{"child_under_six", "deterioration_found_on"}, "stabilise_days", "stabilise_extension_days"),
		{Name: "exempt_from_programmes", Title: "Exempt homes owe nothing", Calculation: question, Citation: law.Cite("24 CFR 35.115(a)", law.Text), Parameters: []string{"housing_rule_year"},
			Text: "A home recorded to be built in or after the year, or otherwise exempt, owes nothing under the programmes.", Inputs: []string{"build_year", "exempt"}, Reasons: []string{"no_programme"}},
		{Name: "controls_in_time", Title: "When interim controls are done", Calculation: question, Citation: part("35.715, 35.820, 35.1120"), Parameters: []string{"interim_control_days_child", "interim_control_months"},
			Text: "Within days of the evaluation where a child under six lives, or of a child moving in after it; otherwise within months. Where it is not known, a child is presumed.", Inputs: []string{"child_under_six", "child_moved_in_on", "evaluation_received_on"}},
		{Name: "risk_assessment_current", Title: "How long a risk assessment is current", Calculation: question, Citation: part("35.165"), Parameters: []string{"risk_assessment_months"},
			Text: "A risk assessment is current for months; not in the case of a child with an elevated blood lead level.", Inputs: []string{"risk_assessment_on"}},
		{Name: "lead_hazard_screen", Title: "A lead hazard screen in its place", Calculation: question, Citation: part("35.120, 35.1320"), Parameters: []string{"screen_dust_floor", "screen_dust_sill"},
			Text: "A lead hazard screen may take the place of a risk assessment; its levels may not be weaker than EPA's.", Inputs: []string{"programmes"}},
		{Name: "presumed_instead", Title: "Presuming instead of evaluating", Calculation: question, Citation: part("35.120"),
			Text: "Lead-based paint and hazards may be presumed instead of evaluated: then standard treatments take the place of interim controls, and abatement is of the whole property. Public housing is inspected all the same.", Inputs: []string{"presumed"}},
		{Name: "programme_notices", Title: "Notices and the pamphlet", Calculation: question, Citation: part("35.125, 35.130"), Parameters: []string{"housing_notice_days"},
			Text: "Occupants are told within calendar days of an evaluation that found lead-based paint or hazards, or of presuming them, and of hazard reduction with the results of clearance; not of a visual assessment, which is no evaluation. They get the pamphlet unless they are shown to have it.", Inputs: []string{"evaluation_received_on", "hazard_reduction_completed_on", "pamphlet_given"}},
		{Name: "most_protective", Title: "The most protective of several programmes", Calculation: question, Citation: mostProtective,
			Text: "Where several programmes help a home, the most protective evaluation, control and clearance govern, and the earliest deadline.", Inputs: []string{"programmes"}},
		{Name: "programme_records", Title: "Records of the housing rule", Calculation: question, Citation: part("35.175"), Parameters: []string{"housing_records_years"},
			Text: "Each notice, evaluation, and clearance or abatement report is kept for years; where maintenance or reevaluation goes on, until years after it ends.", Inputs: []string{"programmes"}},
	}
}
