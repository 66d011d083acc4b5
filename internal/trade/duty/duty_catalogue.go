package duty

import "sillbook/internal/trade/law"

func dutyRules() []law.Rule {
	rule := func(code, title, text string, cite law.Citation, parameters []string, inputs ...string) law.Rule {
		return law.Rule{Name: "duty_" + code, Title: title, Text: text, Calculation: "duties", Citation: cite, Inputs: inputs, Parameters: parameters}
	}
	of := func(clause string) law.Citation { return law.Cite(clause, law.Text) }
	notices := []string{"notice_days_before", "notice_least_days", "notice_mailing_days"}
	return []law.Rule{
		rule("give_pamphlet", "Give the pamphlet", "Before a covered renovation that is no emergency the owner gets the pamphlet, and an adult occupant or a facility's representative who is somebody else. One given outside its window, or without its proof, does not meet it.", pamphletFor, notices, "jobs/planned_start", "jobs/notices", "jobs/covered", "home/owner_there"),
		rule("tell_affected_units", "Tell affected units, or post signs", "Before work in common areas the affected units, before work in child-occupied facilities parents and guardians, are told or find signs.", tellingAll, notices, "jobs/notices", "home/kind"),
		rule("post_warning_signs", "Post warning signs", "Signs are up before work starts.", signs, nil, "jobs/signs_posted_on"),
		rule("relocate_occupants", "Relocate occupants", "Occupants are out before assisted interior work above the de minimis, unless an exception holds.", relocation, nil, "jobs/occupants_out_on", "jobs/exception"),
		rule("clean_daily", "Clean daily", "At the end of each day of work waste is stored and the work area cleaned. A day of which that is not known was not.", dailyClean, nil, "jobs/days"),
		rule("clean", "Clean", "The work area is cleaned by the end of the job.", dailyClean, nil, "jobs/cleaned_on", "jobs/ended_on"),
		rule("verify_or_clear", "Verify cleaning, or clear", "Before the signs come down the cleaning is verified, or the worksite cleared.", verifying, nil, "jobs/verified_on", "jobs/cleared_on", "jobs/signs_removed_on"),
		rule("clear", "Clear", "After assisted work above the de minimis, and after abatement, the worksite is cleared before anybody uses it again.", clearing, nil, "jobs/cleared_on", "jobs/occupants_back_on"),
		rule("abatement_notice", "Abatement notice to the authority", "The authority has the notice so many business days before abatement starts. A later one does not meet it.", of("40 CFR 745.227(e)(4)"), []string{"abatement_notice_days"}, "jobs/authority_told_on"),
		rule("give_compliance_information", "Give compliance information", "Owner and occupants get the record of compliance at the final invoice or so many days after completion, the earlier.", of("40 CFR 745.86(c)"), []string{"compliance_information_days"}, "jobs/information_given_on", "jobs/final_invoice_on", "jobs/ended_on"),
		rule("give_dust_report", "Give the dust report", "The dust sampling report, where there is one or may be, is given with the record of compliance.", of("40 CFR 745.86(d)"), []string{"compliance_information_days"}, "jobs/dust_report_given_on"),
		rule("keep_job_records", "Keep the job's records", "They are kept so many years after completion.", of("40 CFR 745.86(a)"), []string{"records_years"}, "jobs/ended_on"),
		rule("keep_abatement_records", "Keep the abatement report", "It is kept so many years.", of("40 CFR 745.227(i)"), []string{"abatement_records_years"}, "jobs/abatement"),
		rule("keep_housing_records", "Keep notices, evaluations and clearance reports", "In assisted homes they are kept so many years, and where maintenance goes on so many years after it ends.", of("24 CFR 35.175"), []string{"housing_records_years"}, "maintenance/ended_on"),
		rule("notice_of_hazard_reduction", "Notice of hazard reduction", "In assisted homes occupants are told so many calendar days after the end.", of("24 CFR 35.125(b)"), []string{"housing_notice_days"}, "jobs/hazard_reduction", "jobs/reduction_notice_on"),
		rule("take_household_waste_off", "Take household waste off the property", "The waste of a job in a home is off the property by its end.", wasteOff, nil, "jobs/waste_off_on"),
		rule("notice_of_evaluation", "Notice of evaluation or presumption", "In assisted homes occupants are told so many calendar days after lead-based paint or hazards are reported or presumed. A visual assessment is no evaluation.", of("24 CFR 35.125(a)"), []string{"housing_notice_days"}, "evaluations"),
		rule("disclose", "Disclose at sale or lease", "Pamphlet, what is known, records and attachment come before the contract binds.", of("40 CFR 745.107, 745.113"), nil, "dealings"),
		rule("keep_disclosure", "Keep the disclosure", "The signed disclosure is kept so many years.", of("40 CFR 745.113; 24 CFR 35.92"), []string{"disclosure_records_years"}, "dealings/began_on"),
		rule("renew_certificate", "Renew a certificate", "A firm applies so many days before its certificate ends; a person is certified again before it does. What can still be done after its last day is overdue.", of("40 CFR 745.89(b), 745.90(a)(4), 745.226(e)"), []string{"firm_renewal_days"}, "holders"),
		rule("amend_firm_certificate", "Amend the firm's certificate", "A change at a firm is told within so many days.", of("40 CFR 745.89(c)"), []string{"firm_amendment_days"}, "holders"),
		rule("send_supplement", "Send what was asked for", "What is asked for to complete a firm's application is sent within so many days.", of("40 CFR 745.89(a)"), []string{"firm_supplement_days"}, "holders"),
		rule("local_requirement", "Local requirements", "What the places named ask because of an event becomes a duty. One whose facts are not all known is presumed; one met before its first day is not met.", law.Cite("local rules on record", law.Derived), nil, "events", "jurisdictions"),
		rule("visual_assessment", "Visual assessment", "Under ongoing maintenance the paint is looked at every so many months and at turnover.", of("24 CFR 35.1355(a)"), []string{"visual_assessment_months"}, "maintenance"),
		rule("respond_to_report", "Respond to a resident's report", "A report of paint in poor condition is answered within so many days.", of("24 CFR 35.1355(a)"), []string{"resident_report_days"}, "maintenance/reports"),
		rule("reevaluate", "Reevaluate", "After hazard reduction that left lead-based paint a risk assessor looks again, until enough clean ones in a row.", of("24 CFR 35.1355(b)"), []string{"reevaluation_first_months", "reevaluation_months", "reevaluation_days_around", "reevaluation_clean_in_a_row"}, "maintenance"),
	}
}
