package crew

import (
	"slices"

	"sillbook/internal/trade/law"
)

// Catalogue is every rule of this package.
func Catalogue() []law.Rule {
	return slices.Concat(certificateRules, firmRules, trainingRules, authorityRules)
}

// certificateRules are answered by the calculation certificate.
var certificateRules = []law.Rule{
	{
		Name: "certificate_term", Title: "Term of a certificate", Calculation: "certificate",
		Text:       "A certificate holds for the term that its discipline, and for abatement and evaluation its test, gives it, counted from the day it was issued; an interim one for some months. A printed end that is earlier holds, a later one only where the issuer put the end off.",
		Citation:   law.Cite("40 CFR 745.89(a), 745.90(a)(4), 745.226(b)(4), (e)", law.Text),
		Inputs:     []string{"as_of", "certificates"},
		Parameters: []string{"firm_certificate_years", "renovator_certificate_years", "sampling_technician_certificate_years", "abatement_certificate_years_course", "abatement_certificate_years_proficiency", "interim_certificate_months"},
		Reasons:    []string{"interim_certificate", "certified", "certificate_ended", "certificate_not_begun", "certificate_not_shown", "certificate_of_later_day"},
	},
	{
		Name: "printed_end", Title: "Printed end of a certificate", Calculation: "certificate",
		Text:     "The end printed on a certificate holds where it is earlier than the rule's term. A later one holds only where the issuer put the end off, as EPA did for some renovators in 2015.",
		Citation: extension,
		Inputs:   []string{"certificates/expires_on", "certificates/extended"},
		Reasons:  []string{"end_put_off"},
	},
	{
		Name: "certificate_renewal", Title: "Refreshers renew a certificate that holds", Calculation: "certificate",
		Text:     "A refresher counts only if a certificate was valid on the day it was taken; after that the initial course is needed again. The copies of the initial and of the latest refresher certificate are carried at work, so a refresher alone shows nothing.",
		Citation: law.Cite("40 CFR 745.90(a)(4), (b); 745.226(e)", law.Text),
		Inputs:   []string{"certificates"},
		Reasons:  []string{"refresher_without_earlier", "refresher_after_expiry"},
	},
	{
		Name: "renovator_online_refresher", Title: "Renovator's refresher without hands-on training", Calculation: "certificate",
		Text:       "Since the rule of 2016 a renovator's refresher without hands-on training gives a shorter term, and the next one must have it; so there is hands-on training at least once in the two terms together. Before that every refresher had to have it.",
		Citation:   onlineRule,
		Inputs:     []string{"certificates/hands_on", "certificates/issued_on"},
		Parameters: []string{"renovator_online_years"},
		Reasons:    []string{"refresher_without_hands_on", "second_refresher_without_hands_on", "refresher_before_online"},
	},
	{
		Name: "earlier_course", Title: "First refresher on an earlier course", Calculation: "certificate",
		Text:     "People who had taken an earlier course of EPA or HUD became renovators by a refresher instead of the initial course; that first refresher must have hands-on training.",
		Citation: earlierRule,
		Inputs:   []string{"certificates/earlier_course", "certificates/hands_on"},
		Reasons:  []string{"refresher_on_earlier_course", "earlier_course_needs_hands_on"},
	},
	{
		Name: "where_valid", Title: "Where a certificate is valid", Calculation: "certificate",
		Text:       "EPA runs the rules itself except in states and tribes with an authorised programme, which issue certificates of their own. Those hold there and nowhere else, and EPA's do not hold there. Where it is not on record who runs the programme, either is accepted and the answer says so.",
		Citation:   placeRule,
		Inputs:     []string{"jurisdictions", "certificates/issuer"},
		Parameters: []string{"own_renovation_programme", "own_abatement_programme"},
		Reasons:    []string{"certificate_aside", "not_accepted_here", "programme_run_by"},
	},
	{
		Name: "replacement_certificate", Title: "New copy of a certificate", Calculation: "certificate",
		Text:       "A copy that was lost is replaced for a fee.",
		Citation:   law.Cite("40 CFR 745.92", law.Text),
		Inputs:     []string{"certificates/copy_lost"},
		Parameters: []string{"replacement_certificate_fee"},
	},
}

// firmRules are those for firms only.
var firmRules = []law.Rule{
	{
		Name: "firm_renewal", Title: "Certifying a firm again", Calculation: "certificate",
		Text:       "An application postmarked early enough before the end keeps the certificate valid until EPA decides. A later one does not: without a decision by the end the firm does no renovation after it. The new certificate counts from the end of the old one.",
		Citation:   law.Cite("40 CFR 745.89(b)", law.Text),
		Inputs:     []string{"certificates/applied_on", "certificates/issued_on", "certificates/refused_on"},
		Parameters: []string{"firm_renewal_days"},
		Reasons:    []string{"firm_certified_again", "firm_end_as_printed", "firm_earlier_not_told", "firm_application_in_time", "firm_application_late", "firm_application_refused"},
	},
	{
		Name: "firm_application", Title: "A firm's application", Calculation: "certificate",
		Text:       "EPA decides on an application within some days; what it asks for to complete it is due within some days of asking. Until it is decided a firm that was not certified is not.",
		Citation:   law.Cite("40 CFR 745.89(a)", law.Text),
		Inputs:     []string{"certificates/applied_on", "certificates/supplement_asked_on", "certificates/supplement_sent_on"},
		Parameters: []string{"firm_decision_days", "firm_supplement_days"},
		Reasons:    []string{"firm_application_undecided"},
	},
	{
		Name: "firm_amendment", Title: "Changes at a certified firm", Calculation: "certificate",
		Text:       "A change of what the application said is told within some days; otherwise the firm does no renovation until its certificate is amended. The end of the certificate stays.",
		Citation:   amendRule,
		Inputs:     []string{"certificates/changes"},
		Parameters: []string{"firm_amendment_days"},
		Reasons:    []string{"change_not_told"},
	},
}

// trainingRules are those on courses.
var trainingRules = []law.Rule{
	{
		Name: "course_length", Title: "Lengths of courses", Calculation: "certificate",
		Text:       "The initial courses of renovators and dust sampling technicians, and the renovators' refresher, take some training hours, of which some are hands-on; a training hour holds a given time of learning. A course known to be shorter gives no certificate.",
		Citation:   courseRule,
		Inputs:     []string{"certificates/course_minutes", "certificates/hands_on_minutes", "certificates/hands_on"},
		Parameters: []string{"training_hour", "renovator_course_hours", "renovator_course_hands_on_hours", "renovator_refresher_hours", "sampling_technician_course_hours", "sampling_technician_course_hands_on_hours", "sampling_technician_refresher_hands_on"},
		Reasons:    []string{"course_too_short", "course_without_hands_on"},
	},
	{
		Name: "sampling_technician_model_refresher", Title: "Model refresher of dust sampling technicians", Calculation: "certificate",
		Text:       "EPA's model refresher course has a length of its own. The rule gives none, so a shorter one counts, and the answer remarks on it.",
		Citation:   law.Cite("EPA-740-R-13-001", law.Text),
		Inputs:     []string{"certificates/course_minutes"},
		Parameters: []string{"sampling_technician_refresher_hours"},
		Reasons:    []string{"shorter_than_model_course"},
	},
}
