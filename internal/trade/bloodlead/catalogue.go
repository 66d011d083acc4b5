package bloodlead

import "sillbook/internal/trade/law"

const calculation = "blood-lead-case"

var (
	all      = law.Cite(sections[""], law.Text)
	assisted = law.Cite("24 CFR 35.325, 35.730, 35.830, 35.1130, 35.1225 as amended by 82 FR 4151", law.Text)
)

// Catalogue is every rule of this package. All of them are restricted.
func Catalogue() []law.Rule {
	return []law.Rule{
		{
			Name: "level_of_a_case", Title: "Blood lead level of a case", Calculation: calculation,
			Text:       "A case begins with a confirmed blood lead level of a child under six at or above the level that had to be met on the day of the notice. It is enough to say that the level was reached. Where the health department already acted at so low a level, the lower one had to be met sooner, and that is taken to be so unless it is known not to be. Before the rule of 2017 it took one test at a higher level, or two some months apart.",
			Citation:   law.Cite("24 CFR 35.110; 82 FR 4151; 90 FR 5975", law.Text),
			Inputs:     []string{"notified_on", "tests", "at_or_above_level", "health_department_acted_at_low_level"},
			Parameters: []string{"blood_lead_level", "blood_lead_level_followed", "blood_lead_single", "blood_lead_repeated", "blood_lead_repeat_months"},
		},
		{
			Name: "child_under_six", Title: "Child under six", Calculation: calculation,
			Text:     "The rule is for children under six. An age that is not known counts as under six.",
			Citation: ageRule, Inputs: []string{"child_under_six"},
		},
		{
			Name: "confirmed_level", Title: "Confirmed level", Calculation: calculation,
			Text:     "A level that is known not to be confirmed starts nothing. One not known to be counts as confirmed.",
			Citation: confirmed, Inputs: []string{"confirmed"},
		},
		{
			Name: "programmes_with_deadlines", Title: "Programmes with deadlines", Calculation: calculation,
			Text:     "The federal deadlines are those of assistance by another federal agency, project-based and tenant-based assistance, housing owned by HUD and public housing. Where the programme is not known the earliest of all hold.",
			Citation: noneRule, Inputs: []string{"programme"},
		},
		{
			Name: "elevated_under_abatement_rules", Title: "Elevated level under the abatement rules", Calculation: calculation,
			Text:       "The abatement rules have a level of their own: one venous test, or two some months apart. It does not decide the deadlines.",
			Citation:   abatement,
			Inputs:     []string{"tests"},
			Parameters: []string{"blood_lead_abatement_single", "blood_lead_abatement_repeated", "blood_lead_abatement_months_least", "blood_lead_abatement_months_most"},
		},
		{
			Name: "verification", Title: "Verifying a report from elsewhere", Calculation: calculation,
			Text:       "A report that comes neither from a health department nor from a medical provider is verified with one of them at once, with some attempts, of which a record is kept. Verified, it counts as the notice.",
			Citation:   law.Citation{Clause: assisted.Clause, Source: law.Secondary, Note: "The number of attempts was read in HUD's training slides."},
			Inputs:     []string{"source", "verified_on", "not_verified_on", "verification_attempts"},
			Parameters: []string{"blood_lead_verification_attempts"},
		},
		{
			Name: "telling", Title: "Telling the health department and HUD", Calculation: calculation,
			Text:       "A case that did not come from the health department is told to it, and every case to HUD's field office and lead office, within some business days.",
			Citation:   law.Citation{Clause: all.Clause, Source: law.Memory, Note: "The days for the health department were read in the edition of 2015; those for HUD are from memory."},
			Inputs:     []string{"source", "told_health_department_on", "told_hud_on"},
			Parameters: []string{"blood_lead_health_department_days", "blood_lead_hud_days"},
		},
		{
			Name: "investigation", Title: "Investigation of the child's home", Calculation: calculation,
			Text:       "The child's unit and the common areas that serve it are investigated, even if the child has moved. It is complete when the responsible party receives the report. It is not needed where it was done, or the health department evaluated the home, after the blood was drawn and before the notice; a risk assessment in that time leaves only what it lacks. In tenant-based assistance, once the child has moved, it is needed only for another assisted household. Under another agency's assistance it is due at once.",
			Citation:   all,
			Inputs:     []string{"notified_on", "report_received_on", "investigated_on", "risk_assessed_on", "health_department_evaluated_on", "tests/drawn_on", "lives_there", "another_assisted_household"},
			Parameters: []string{"blood_lead_investigation_days"},
		},
		{
			Name: "report_to_owner", Title: "Report to the owner", Calculation: calculation,
			Text:     "In tenant-based assistance the owner is given the report at once.",
			Citation: reportToOwner, Inputs: []string{"report_received_on", "owner_given_report_on"},
		},
		{
			Name: "hazard_reduction", Title: "Hazard reduction in the child's home", Calculation: calculation,
			Text:       "Hazards that were found are reduced within some days of receiving the report: clearance is achieved and the report says that every hazard was treated, or the health department certifies it.",
			Citation:   all,
			Inputs:     []string{"report_received_on", "hazards_found", "cleared_on", "certified_on"},
			Parameters: []string{"blood_lead_reduction_days"},
		},
		{
			Name: "other_units", Title: "Other units with a child under six", Calculation: calculation,
			Text:       "Where the child's unit had hazards, the other assisted units with a child under six are assessed, and hazards found there are reduced, within times that are longer for many units.",
			Citation:   assisted,
			Inputs:     []string{"hazards_found", "other_units", "other_units_assessed_on", "other_units_with_hazards", "other_units_above_de_minimis", "other_units_cleared_on"},
			Parameters: []string{"blood_lead_other_units_days", "blood_lead_other_units_days_many", "blood_lead_many_units", "blood_lead_other_reduction_days", "blood_lead_other_reduction_days_many"},
		},
		{
			Name: "no_hazards_in_other_units", Title: "Other units without hazards", Calculation: calculation,
			Text:       "Where the other units have no hazards their residents, and HUD's field office, are told so.",
			Citation:   law.Citation{Clause: assisted.Clause, Source: law.Secondary, Note: "Read in HUD's training slides; the days are those of a notice of evaluation."},
			Inputs:     []string{"other_units_with_hazards", "residents_told_on"},
			Parameters: []string{"blood_lead_residents_days"},
		},
		{
			Name: "sampling_of_other_units", Title: "Sampling the other units", Calculation: calculation,
			Text:       "A random sample of the other units may be assessed only where there are more of them than a number that turns on the building's age; otherwise all are. The size of the sample is that of table 7.3 of the HUD Guidelines.",
			Citation:   law.Citation{Clause: "HUD Guidelines, table 7.3", Source: law.Secondary, Note: "Read in HUD's training slides."},
			Inputs:     []string{"other_units", "build_year"},
			Parameters: []string{"blood_lead_sampling_year", "blood_lead_sampling_older", "blood_lead_sampling_newer"},
		},
		{
			Name: "completion", Title: "Telling HUD that it is done", Calculation: calculation,
			Text:       "HUD's field office is told within some business days that hazard reduction is complete.",
			Citation:   law.Citation{Clause: assisted.Clause, Source: law.Memory, Note: "From memory."},
			Inputs:     []string{"cleared_on", "certified_on", "other_units_cleared_on", "told_hud_done_on"},
			Parameters: []string{"blood_lead_completion_days"},
		},
		{
			Name: "matching_addresses", Title: "Matching addresses", Calculation: calculation,
			Text:       "In tenant-based assistance the health department is asked from time to time for the names and addresses of children with an elevated level, and sent the assisted addresses. This is owed whatever the case.",
			Citation:   law.Cite("24 CFR 35.1225(g), formerly (f)", law.Text),
			Inputs:     []string{"programme", "addresses_matched_on"},
			Parameters: []string{"blood_lead_match_months"},
		},
		{
			Name: "closing_a_case", Title: "Closing a case", Calculation: calculation,
			Text:     "A case is closed by clearance, by the health department's certificate, because the investigation found nothing, because a report from elsewhere could not be verified, or because it was recorded by mistake.",
			Citation: closeRule,
			Inputs:   []string{"cleared_on", "certified_on", "hazards_found", "not_verified_on", "verification_attempts", "void_on"},
		},
		{
			Name: "messages_about_cases", Title: "Messages about cases", Calculation: calculation,
			Text:     "No name and no blood result is sent in messages that are not secure.",
			Citation: quietRule, Inputs: []string{"as_of"},
		},
	}
}
