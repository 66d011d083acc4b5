package renovation

import "sillbook/internal/trade/law"

func noticeRules() []law.Rule {
	const question = "notice-window"
	return []law.Rule{
		{Name: "notice_window", Title: "When a notice may be given", Calculation: question, Citation: noticeTiming,
			Text:   "A pamphlet or notice is given no earlier than so many days before the start, and before it. Where a place asks for other numbers, the days that are valid under both are left.",
			Inputs: []string{"start", "how", "recipient", "given_on"}, Parameters: []string{"notice_days_before", "notice_least_days"}},
		{Name: "notice_mailed", Title: "By mail", Calculation: question, Citation: mailTiming,
			Text: "Mailed, with a certificate of mailing, it leaves so many days more before the start.", Inputs: []string{"start", "how", "given_on"}, Parameters: []string{"notice_mailing_days"}},
		{Name: "notice_attempted", Title: "Attempted delivery", Calculation: question, Citation: attemptClause,
			Text: "Where an occupant or a facility's representative cannot be reached or does not sign, the firm certifies the attempt. For an owner it does not count.", Inputs: []string{"how", "recipient"}},
		{Name: "common_area_notice", Title: "Work in common areas", Calculation: question, Citation: commonAreas,
			Text: "Beside the owner, who gets the pamphlet, each affected unit is told in writing, or signs stay up while the work lasts.", Inputs: []string{"place", "recipient", "how", "end"}},
		{Name: "facility_notice", Title: "Work in child-occupied facilities", Calculation: question, Citation: facilities,
			Text: "Beside the owner, an adult representative of the facility gets the pamphlet, and parents and guardians get it by hand or mail, or signs stay up while the work lasts.", Inputs: []string{"place", "recipient", "how", "end"}},
		{Name: "notice_of_change", Title: "Changed work", Calculation: question, Citation: changedWork,
			Text: "Where units were told in writing of work in common areas, and its scope, places or dates change, they are told again before the changed work begins.", Inputs: []string{"changed_start"}},
		{Name: "notice_emergency", Title: "Emergencies escape the notice", Calculation: question, Citation: emergencyFree,
			Text: "No notice is owed before an emergency renovation.", Inputs: []string{"emergency"}},
		{Name: "notice_contents", Title: "What a notice must hold", Calculation: question, Citation: mustHold,
			Text: "Each way of giving a notice has what it must hold: the acknowledgement, the certificate of mailing, the certification of an attempt, the written notice, the signs and the firm's statement of steps.", Inputs: []string{"how", "recipient"}},
	}
}
