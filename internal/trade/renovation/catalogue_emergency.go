package renovation

import "sillbook/internal/trade/law"

func emergencyRules() []law.Rule {
	const question = "emergency"
	return []law.Rule{
		{Name: "emergency_renovation", Title: "What an emergency renovation is", Calculation: question, Citation: emergencyMeans,
			Text:   "A renovation not planned but made necessary by a sudden, unexpected event which, not dealt with at once, is a safety or public health hazard, or threatens equipment or property with significant damage. What is not known makes no emergency.",
			Inputs: []string{"sudden", "hazard_if_not_dealt_with", "threatens_damage"}, Reasons: []string{"emergency_not_shown"}},
		{Name: "emergency_lifts", Title: "What an emergency lifts, and what never", Calculation: question, Citation: emergencyLifts,
			Text:   "The notice is lifted wholly. Signs, containment, waste handling, training and certification are lifted only as far as responding makes it necessary. Practices, cleaning, its verification and their record are never lifted; the record says what the emergency was and what was not followed.",
			Inputs: []string{"on", "not_followed"}, Parameters: []string{"certified_work_required"}, Reasons: []string{"emergency_not_followed"}},
		{Name: "emergency_notice_only", Title: "Emergencies without a sudden event", Calculation: question, Citation: emergencyMeans,
			Text: "Some work counts as an emergency renovation without a sudden event. It escapes the notice only, and nothing else is lifted.", Inputs: []string{"restricted_circumstance"}},
	}
}
