package practice

import "sillbook/internal/trade/law"

func exposureRules() []law.Rule {
	const question = "exposure"
	text := func(clause string) law.Citation { return law.Cite("29 CFR 1926.62"+clause, law.Text) }
	return []law.Rule{
		{Name: "exposure_average", Title: "Limit and action level", Calculation: question, Citation: text("(b), (c)(1)"),
			Text:       "Concentration times hours, summed over the day's tasks and divided by the hours of a shift, is compared with the permissible limit, which may not be exceeded, and with the action level, at which more is owed.",
			Inputs:     []string{"tasks"},
			Parameters: []string{"exposure_limit", "exposure_action_level", "exposure_shift_hours"}},
		{Name: "exposure_long_day", Title: "Long days", Calculation: question, Citation: text("(c)(2)"),
			Text:       "In a day longer than a shift the allowable average over the hours worked is the limit times the shift's hours divided by the hours worked. The action level is not lowered.",
			Inputs:     []string{"tasks", "hours_worked"},
			Parameters: []string{"exposure_limit", "exposure_shift_hours"}},
		{Name: "respirator_credit", Title: "Credit for respirators", Calculation: question, Citation: text("(c)(3)"),
			Text:   "For the limit alone, exposure while a respirator is worn counts divided by the respirator's protection factor, averaged with the rest of the day.",
			Inputs: []string{"tasks"}},
		{Name: "presumed_exposure", Title: "Presumed exposure until assessed", Calculation: question, Citation: text("(d)(2), (d)(3)(iii), (d)(3)(iv)(B)"),
			Text:       "Until exposure at a listed task is measured, the worker is treated as exposed as its list says, in three classes. A task of no list counts as the lowest class, one that is not known as the highest. Monitoring of the months before counts, objective data do not.",
			Inputs:     []string{"tasks"},
			Parameters: []string{"exposure_presumed_high", "exposure_presumed_highest", "exposure_data_months"}},
		{Name: "respirator_selection", Title: "Which respirators are enough", Calculation: question, Citation: law.Cite("29 CFR 1926.62(f)(3); 29 CFR 1910.134(d)(3)(i)(A)", law.Text),
			Text:   "A respirator is enough up to its assigned protection factor times the limit, and for a presumed class where that reaches its upper end; above the highest class's lower end a greater factor is needed. Air-purifying ones take HEPA filters.",
			Inputs: []string{"tasks"},
			Parameters: []string{"respirator_half_mask", "respirator_full_facepiece", "respirator_powered_loose", "respirator_powered_half_mask", "respirator_powered_full_facepiece",
				"respirator_powered_hood", "respirator_powered_hood_proven", "respirator_supplied_air_half_mask", "respirator_supplied_air_full_facepiece", "respirator_self_contained"}},
		{Name: "protective_clothing", Title: "Protective clothing", Calculation: question, Citation: text("(g)"),
			Text:       "Above the limit, and while exposure is presumed, protective clothing is provided, clean every week, or every day above a level. What is presumed counts as above it.",
			Inputs:     []string{"tasks"},
			Parameters: []string{"exposure_clothing_daily", "exposure_clothing_days"}},
		{Name: "exposure_monitoring", Title: "When to measure again", Calculation: question, Citation: text("(d)(6)"),
			Text:       "From the action level at one interval, above the limit at a shorter one, without regard to respirators; two results in a row, days apart, end it or make it rarer.",
			Inputs:     []string{"tasks", "earlier_results"},
			Parameters: []string{"exposure_monitoring_months", "exposure_monitoring_months_above", "exposure_monitoring_apart", "exposure_monitoring_results"}},
		{Name: "exposure_results_told", Title: "Workers are told the results", Calculation: question, Citation: text("(d)(8)"),
			Text:       "Within working days of the receipt of results each affected worker gets them in writing or by posting.",
			Inputs:     []string{"results_received_on"},
			Parameters: []string{"exposure_results_days"}},
		{Name: "exposure_programme", Title: "Written programme and training", Calculation: question, Citation: text("(e)(2), (l)"),
			Text:       "Above the limit a written programme comes before the job and is revised at an interval; from the action level workers are trained before and at an interval. Where an appendix names another interval, the rule's text counts.",
			Inputs:     []string{"tasks"},
			Parameters: []string{"exposure_programme_months", "exposure_training_months"}},
		{Name: "exposure_records", Title: "Exposure and medical records", Calculation: question, Citation: text("(n)"),
			Text:       "Exposure records and objective data are kept for years; medical records for the time of employment and years.",
			Inputs:     []string{"as_of"},
			Parameters: []string{"exposure_record_years", "exposure_medical_record_years"}},
	}
}

func medicalRules() []law.Rule {
	const question = "exposure"
	text := func(clause string) law.Citation { return law.Cite("29 CFR 1926.62"+clause, law.Text) }
	return []law.Rule{
		{Name: "medical_surveillance", Title: "Blood tests and the medical programme", Calculation: question, Citation: text("(j)(1), (j)(2)(i)(A)"),
			Text:       "Exposure on any day at or above the action level owes a first blood test; on more than a number of days in any 12 months the programme, with tests at a shorter interval at first. Days that are not known count as more.",
			Inputs:     []string{"tasks", "medical"},
			Parameters: []string{"medical_programme_days", "medical_test_months_first", "medical_test_first_months", "medical_test_months_later"},
			Reasons:    []string{"initial_medical_surveillance", "medical_programme"}},
		{Name: "worker_blood_tests", Title: "Tests after a raised result", Calculation: question, Citation: text("(j)(2), (j)(3)(i)(A)"),
			Text:       "A result at or above the raised level shortens the interval until two results in a row are below it, owes a yearly examination to those in the programme, and each result is told to the worker in writing within working days. Results are told for the question alone and kept nowhere.",
			Inputs:     []string{"medical"},
			Parameters: []string{"medical_level_raised", "medical_level_results", "medical_test_months_raised", "medical_notice_days", "medical_examination_months"}},
		{Name: "medical_removal", Title: "Removal and return", Calculation: question, Citation: text("(j)(2)(i)(C), (j)(2)(ii), (k)"),
			Text:       "A result at or above the level of removal owes a follow-up test within days; where that is too, the worker is removed from work at or above the action level, tested monthly, keeps earnings and rights for months, and returns after two results in a row below the raised level.",
			Inputs:     []string{"medical"},
			Parameters: []string{"medical_level_removal", "medical_follow_up_days", "medical_test_months_removed", "medical_benefit_months"}},
	}
}
