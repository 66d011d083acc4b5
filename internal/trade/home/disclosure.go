package home

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Dealing is what a home is the subject of.
type Dealing string

// The dealings that the disclosure rule knows.
const (
	Sale  Dealing = "sale"
	Lease Dealing = "lease"
)

// DisclosureFacts are what is known of a sale or a lease, and of what was told before it.
type DisclosureFacts struct {
	AsOf       calendar.Date
	Dealing    Dealing
	Covered    law.Tri       // target housing; not known counts as covered
	ContractOn calendar.Date // when the contract binds or bound; none when it is not planned yet
	BeganOn    calendar.Date // completion of the sale, or start of the lease

	Foreclosure law.Tri // a sale at foreclosure
	FoundFree   law.Tri // a certified inspector found a home to be let free of lead-based paint
	LeaseDays   int     // 0 when not known
	Renewable   law.Tri // the lease can be renewed or extended
	Renewal     law.Tri // a renewal in which everything was disclosed before
	NothingNew  law.Tri // and nothing new has come up

	PamphletOn   calendar.Date
	DisclosedOn  calendar.Date // what is known of lead-based paint and hazards
	RecordsOn    calendar.Date // all available records
	AttachmentOn calendar.Date // the attachment with the warning and the statements, signed
	Waived       law.Tri       // the buyer has waived the time for an inspection in writing
	AgreedDays   int           // another time that both agreed on in writing; 0: none
	OfferedOn    calendar.Date // when the time for an inspection began
	Records      []Record      // what is on record of the home
}

// Record is an available record: whatever was found about lead-based paint in a home, common areas and evaluations of the whole
// building included. The test, clearance or abatement report of a renovation is one.
type Record struct {
	What string
	On   calendar.Date
}

// DisclosureOutcome is the answer to what is owed.
type DisclosureOutcome string

// The outcomes.
const (
	DisclosureExempt   DisclosureOutcome = "exempt"
	DisclosureOwed     DisclosureOutcome = "owed"
	DisclosureMade     DisclosureOutcome = "made"
	DisclosureTooLate  DisclosureOutcome = "made_late" // after the contract bound
	DisclosurePresumed DisclosureOutcome = "presumed_owed"
)

// DisclosureAnswer says what a seller or landlord owes before a contract binds.
type DisclosureAnswer struct {
	Outcome   DisclosureOutcome `json:"outcome"`
	Duties    []DisclosureDuty  `json:"duties"`
	Disclose  []string          `json:"records_to_disclose"`
	KeepUntil calendar.Date     `json:"keep_until,omitzero"`
	Why       law.Determination `json:"determination"`
}

// DisclosureDuty is one thing to be done, and whether it was.
type DisclosureDuty struct {
	What     string        `json:"what"`
	Before   calendar.Date `json:"before,omitzero"` // it is in time before this day
	State    string        `json:"state"`           // open, met, late or overdue
	Text     string        `json:"text"`
	Citation law.Citation  `json:"citation"`
}

// DisclosureRules are the parameters that disclosure reads, found once.
type DisclosureRules struct {
	book                    *law.Book
	scope                   law.Scope
	inspect, records, short law.Handle
}

// NewDisclosureRules finds the parameters.
func NewDisclosureRules(book *law.Book) (DisclosureRules, error) {
	r := DisclosureRules{book: book}
	return r, book.Handles(map[string]*law.Handle{"disclosure_inspection_days": &r.inspect, "disclosure_records_years": &r.records, "disclosure_short_lease_days": &r.short})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r DisclosureRules) In(jurisdictions []string) DisclosureRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// disclosure are the numbers on a date.
type disclosure struct{ inspect, records, short *law.Value }

var (
	disclosureExempt = law.Cite("40 CFR 745.101; 24 CFR 35.82", law.Text)
	disclosureDuty   = law.Cite("40 CFR 745.107", law.Text)
	disclosureTime   = law.Cite("40 CFR 745.110", law.Text)
	disclosurePaper  = law.Cite("40 CFR 745.113; 24 CFR 35.92", law.Text)
	availableRecord  = law.Citation{Clause: "40 CFR 745.107(a)(4)", Source: law.Derived, Note: "A renovation's test, clearance or abatement report is an available record."}
)

// Judge works out what is owed before a sale or lease (40 CFR 745 subpart F, 24 CFR 35 subpart A).
func (r DisclosureRules) Judge(f DisclosureFacts) (DisclosureAnswer, error) {
	if err := f.check(); err != nil {
		return DisclosureAnswer{}, err
	}
	l := r.book.Lookup(f.AsOf, "/as_of", r.scope)
	n := disclosure{l.Value(r.inspect), l.Value(r.records), l.Value(r.short)}
	if err := l.Err(); err != nil {
		return DisclosureAnswer{}, err
	}
	a := n.judge(f)
	a.Why = r.explain(f, n, a)
	law.Otherwise(&a.Why, f, n.alternatives(f), func(f DisclosureFacts) string { return string(n.judge(f).Outcome) })
	return a, nil
}

func (f DisclosureFacts) check() error {
	var faults fault.Faults
	if f.Dealing == Sale {
		if f.LeaseDays > 0 || f.Renewable != law.Unknown || f.Renewal != law.Unknown || f.FoundFree == law.Yes {
			faults.Add("/dealing", "contradiction", "Lengths and renewals are of leases, and a finding of no lead-based paint exempts leases only; leave them out for a sale.")
		}
	} else if f.Foreclosure == law.Yes || f.Waived == law.Yes || f.AgreedDays > 0 || !f.OfferedOn.IsZero() {
		faults.Add("/dealing", "contradiction", "Foreclosure and the time for an inspection are of sales; leave them out for a lease.")
	}
	if !f.ContractOn.IsZero() && !f.BeganOn.IsZero() && f.BeganOn.Before(f.ContractOn) {
		faults.Add("/began_on", "contradiction", "It cannot have begun on %s, before the contract of %s.", f.BeganOn, f.ContractOn)
	}
	for _, t := range []struct {
		name string
		on   calendar.Date
	}{{"pamphlet_given_on", f.PamphletOn}, {"disclosed_on", f.DisclosedOn}, {"records_given_on", f.RecordsOn}, {"attachment_signed_on", f.AttachmentOn}} {
		if t.on.After(f.AsOf) {
			faults.Add("/"+t.name, "in_the_future", "%s has not come by %s.", t.on, f.AsOf)
		}
	}
	return faults.Err()
}

// exemption is the exemption that holds, or nothing. One that rests on a fact that is not known does not hold.
func (n disclosure) exemption(f DisclosureFacts) (rule, fact, text string) {
	switch {
	case f.Covered == law.No:
		return "disclosure_target_housing", "covered", "The home is not target housing."
	case f.Dealing == Sale && f.Foreclosure == law.Yes:
		return "disclosure_foreclosure", "foreclosure", "A sale at foreclosure needs no disclosure."
	case f.Dealing == Lease && f.FoundFree == law.Yes:
		return "disclosure_found_free", "found_lead_free", "A certified inspector found the home free of lead-based paint."
	case f.Dealing == Lease && f.LeaseDays > 0 && f.LeaseDays <= n.short.Int() && f.Renewable == law.No:
		return "disclosure_short_lease", "lease_days", fmt.Sprintf("A lease of %d days, at most %s, that cannot be renewed needs no disclosure.", f.LeaseDays, n.short.Value)
	case f.Dealing == Lease && f.Renewal == law.Yes && f.NothingNew == law.Yes:
		return "disclosure_renewal", "renewal", "At a renewal where everything was disclosed before and nothing new has come up there is nothing to disclose."
	}
	return "", "", ""
}

func (n disclosure) judge(f DisclosureFacts) DisclosureAnswer {
	a := DisclosureAnswer{Outcome: DisclosureMade, Duties: []DisclosureDuty{}, Disclose: []string{}}
	if rule, _, _ := n.exemption(f); rule != "" {
		a.Outcome = DisclosureExempt
		return a
	}
	for _, record := range f.Records {
		a.Disclose = append(a.Disclose, record.What+", "+record.On.String())
	}
	a.owe(f, "give_pamphlet", f.PamphletOn, disclosureDuty, `Give the pamphlet "Protect Your Family From Lead in Your Home".`)
	a.owe(f, "disclose_what_is_known", f.DisclosedOn, disclosureDuty, "Say what is known of lead-based paint and of hazards in the home and its common areas.")
	a.owe(f, "give_records", f.RecordsOn, availableRecord, fmt.Sprintf("Give all available records and reports, those of the whole building too; %d are told here.", len(f.Records)))
	a.owe(f, "sign_attachment", f.AttachmentOn, disclosurePaper, "Attach the warning and the statements to the contract, signed and dated by all, the agent too.")
	if f.Dealing == Sale {
		a.Duties = append(a.Duties, n.inspection(f))
	}
	for _, d := range a.Duties {
		switch {
		case d.State == "open" || d.State == "overdue":
			a.Outcome = DisclosureOwed
		case d.State == "late" && a.Outcome == DisclosureMade:
			a.Outcome = DisclosureTooLate
		}
	}
	if a.Outcome == DisclosureOwed && f.Covered == law.Unknown {
		a.Outcome = DisclosurePresumed
	}
	if !f.BeganOn.IsZero() {
		a.KeepUntil = f.BeganOn.AddYears(n.records.Int())
	}
	return a
}

// owe adds what is to be done before the contract binds.
func (a *DisclosureAnswer) owe(f DisclosureFacts, what string, doneOn calendar.Date, cite law.Citation, text string) {
	d := DisclosureDuty{What: what, Before: f.ContractOn, Text: text, Citation: cite, State: "open"}
	bound := !f.ContractOn.IsZero()
	switch {
	case !doneOn.IsZero() && (!bound || !doneOn.After(f.ContractOn)):
		d.State = "met"
	case !doneOn.IsZero():
		d.State = "late"
	case bound && f.AsOf.After(f.ContractOn):
		d.State = "overdue"
	}
	a.Duties = append(a.Duties, d)
}

// inspection is the time that a buyer has to have the home inspected.
func (n disclosure) inspection(f DisclosureFacts) DisclosureDuty {
	d := DisclosureDuty{What: "give_time_to_inspect", Citation: n.inspect.Cite(), State: "open"}
	days := n.inspect.Int()
	if f.AgreedDays > 0 {
		days, d.Citation = f.AgreedDays, disclosureTime
	}
	d.Text = fmt.Sprintf("The buyer has %d days to have the home inspected before the contract binds, unless waived in writing.", days)
	if f.Waived == law.Yes {
		d.State, d.Text = "met", "The buyer has waived the time for an inspection in writing; keep the waiver."
		return d
	}
	if f.OfferedOn.IsZero() {
		return d
	}
	d.Before = f.OfferedOn.AddDays(days)
	if f.AsOf.Before(d.Before) {
		return d
	}
	d.State = "met"
	if !f.ContractOn.IsZero() && f.ContractOn.Before(d.Before) {
		d.State = "late"
	}
	return d
}
