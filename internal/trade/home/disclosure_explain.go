package home

import (
	"fmt"
	"strconv"

	"sillbook/internal/trade/law"
)

func (r DisclosureRules) explain(f DisclosureFacts, n disclosure, a DisclosureAnswer) law.Determination {
	d := law.NewDetermination("disclosure", f.AsOf, r.book.RuleSet())
	d.Outcome = string(a.Outcome)
	if rule, fact, text := n.exemption(f); rule != "" {
		d.Because(rule, fact, f.value(fact), disclosureExempt, text)
	}
	for _, duty := range a.Duties {
		rule := "disclosure_before_contract"
		if duty.What == "give_time_to_inspect" {
			rule = "disclosure_inspection"
		}
		d.Because(rule, "contract_on", f.ContractOn.String(), duty.Citation, duty.Text+" "+stateWords[duty.State])
	}
	if a.Outcome == DisclosureTooLate {
		d.Because("disclosed_late", "contract_on", f.ContractOn.String(), disclosureDuty, "Something was disclosed only after the contract: whoever offered may amend the offer.")
	}
	if !a.KeepUntil.IsZero() {
		d.Because("disclosure_records", "began_on", f.BeganOn.String(), n.records.Cite(), fmt.Sprintf("Seller or landlord and agent keep the signed attachment at least until %s.", a.KeepUntil))
	}
	for _, fact := range []string{"dealing", "covered", "contract_on", "began_on", "foreclosure", "found_lead_free", "lease_days", "renewal"} {
		if v := f.value(fact); v != "" && v != "unknown" {
			d.Use(fact, v)
		}
	}
	if a.Outcome == DisclosureExempt {
		return d
	}
	if f.Covered == law.Unknown {
		d.Miss("covered", "The rule is for target housing; a home of which that is not known is presumed to be.", "In a home that is not target housing nothing is owed.")
	}
	if f.ContractOn.IsZero() {
		d.Miss("contract_on", "Everything is due before the contract binds.", "With its date the answer says what is late.")
	}
	if f.Dealing == Lease && f.LeaseDays == 0 {
		d.Miss("lease_days", "A short lease that cannot be renewed needs no disclosure.", fmt.Sprintf("A lease of at most %s days without renewal would be exempt.", n.short.Value))
	}
	return d
}

var stateWords = map[string]string{"open": "Still to be done.", "met": "Done in time.", "late": "Done too late.", "overdue": "Not done, and the contract has bound."}

// value is a fact as text, "unknown" where it is not known.
func (f DisclosureFacts) value(fact string) string {
	switch fact {
	case "dealing":
		return string(f.Dealing)
	case "covered":
		return f.Covered.String()
	case "contract_on":
		return f.ContractOn.String()
	case "began_on":
		return f.BeganOn.String()
	case "foreclosure":
		return f.Foreclosure.String()
	case "found_lead_free":
		return f.FoundFree.String()
	case "lease_days":
		if f.LeaseDays == 0 {
			return "unknown"
		}
		return strconv.Itoa(f.LeaseDays)
	case "renewal":
		return f.Renewal.String()
	}
	return ""
}

// alternatives are what could be found out, and what can be done before the contract binds.
func (n disclosure) alternatives(f DisclosureFacts) []law.Alternative[DisclosureFacts] {
	list := []law.Alternative[DisclosureFacts]{}
	add := func(fact, value string, action bool, set func(*DisclosureFacts)) {
		list = append(list, law.Alternative[DisclosureFacts]{Fact: fact, Value: value, Action: action, Set: set})
	}
	if f.Covered == law.Unknown {
		add("covered", "no", false, func(f *DisclosureFacts) { f.Covered = law.No })
	}
	if f.Dealing == Lease && f.FoundFree == law.Unknown {
		add("found_lead_free", "yes", false, func(f *DisclosureFacts) { f.FoundFree = law.Yes })
	}
	missing := f.PamphletOn.IsZero() || f.DisclosedOn.IsZero() || f.RecordsOn.IsZero() || f.AttachmentOn.IsZero()
	if missing {
		add("disclosed_on", "everything still owed, on "+f.AsOf.String(), true, func(f *DisclosureFacts) {
			f.PamphletOn, f.DisclosedOn = firstOf(f.PamphletOn, f.AsOf), firstOf(f.DisclosedOn, f.AsOf)
			f.RecordsOn, f.AttachmentOn = firstOf(f.RecordsOn, f.AsOf), firstOf(f.AttachmentOn, f.AsOf)
		})
	}
	if f.Dealing == Sale && f.Waived != law.Yes {
		add("inspection_waived", "yes, in writing by the buyer", true, func(f *DisclosureFacts) { f.Waived = law.Yes })
	}
	return list
}

// firstOf is a date, or another where there is none.
func firstOf[D comparable](told, other D) D {
	var none D
	if told != none {
		return told
	}
	return other
}

func disclosureRules() []law.Rule {
	const question = "disclosure"
	exempt := func(name, title, text string, inputs []string, parameters ...string) law.Rule {
		return law.Rule{Name: name, Title: title, Text: text, Calculation: question, Citation: disclosureExempt, Inputs: inputs, Parameters: parameters}
	}
	return []law.Rule{
		exempt("disclosure_target_housing", "Only of target housing", "What is not target housing needs no disclosure; not known counts as target housing.", []string{"covered"}),
		exempt("disclosure_foreclosure", "Not at foreclosure", "A sale at foreclosure needs no disclosure.", []string{"dealing", "foreclosure"}),
		exempt("disclosure_found_free", "Not at a lease of a home found free", "A lease of a home that a certified inspector found free of lead-based paint needs none.", []string{"dealing", "found_lead_free"}),
		exempt("disclosure_short_lease", "Not at a short lease", "A lease of at most the days, without renewal or extension, needs none.", []string{"lease_days", "renewable"}, "disclosure_short_lease_days"),
		exempt("disclosure_renewal", "Not again at a renewal", "A renewal needs none where everything was disclosed before and nothing new has come up.", []string{"renewal", "nothing_new"}),
		{Name: "disclosure_before_contract", Title: "Before the contract binds", Calculation: question, Citation: disclosureDuty,
			Text:   "Before a contract binds, the buyer or tenant gets the pamphlet, what is known of lead-based paint and hazards, all available records, and the attachment with the warning and the statements. A renovation's test, clearance or abatement report is an available record. If disclosed after an offer, the offer may be amended.",
			Inputs: []string{"contract_on", "pamphlet_given_on", "disclosed_on", "records_given_on", "attachment_signed_on", "records"}, Reasons: []string{"disclosed_late"}},
		{Name: "disclosure_inspection", Title: "A buyer's time to inspect", Calculation: question, Citation: disclosureTime,
			Text:   "A buyer has the days for an inspection or risk assessment, or the time that both agree on in writing, and may waive it in writing. Tenants have no such time.",
			Inputs: []string{"inspection_offered_on", "inspection_days_agreed", "inspection_waived"}, Parameters: []string{"disclosure_inspection_days"}},
		{Name: "disclosure_records", Title: "Keep the disclosure", Calculation: question, Citation: disclosurePaper,
			Text:   "Seller or landlord and agent keep the signed attachment the years from the completion of the sale or the start of the lease.",
			Inputs: []string{"began_on"}, Parameters: []string{"disclosure_records_years"}},
	}
}
