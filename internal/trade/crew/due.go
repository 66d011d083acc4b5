package crew

import (
	"fmt"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Due is something to be done by a day, for a certificate to hold or to go on holding.
type Due struct {
	What     string        `json:"what"`
	On       calendar.Date `json:"due"`
	State    string        `json:"state"` // open, met, late or overdue
	Text     string        `json:"text"`
	Rule     string        `json:"rule"`
	Citation law.Citation  `json:"citation"`
}

// The states of what is due. Late is past the day on which it would have been in time, while it can still be done.
const (
	open    = "open"
	met     = "met"
	late    = "late"
	overdue = "overdue"
)

// dues lists what is to be done, the earliest day first within each kind.
func (r Certificates) dues(f CertificateFacts, j judgement) []Due {
	list := []Due{}
	if renewal, ok := r.renewal(f, j); ok {
		list = append(list, renewal)
	}
	for _, a := range j.stopped {
		change := f.Certificates[a.index].Changes[a.change]
		list = append(list, Due{What: "amend_certificate", On: a.by, State: stateOf(f.AsOf, a.by, change.AmendedOn), Rule: "firm_amendment", Citation: a.days.Cite(),
			Text: fmt.Sprintf("Have the certificate amended within %s days of the change of %s; after that the firm does no renovation until it is. The end of the certificate stays.", a.days.Value, change.ChangedOn)})
	}
	for _, c := range f.Certificates {
		list = append(list, r.ofApplication(c, f)...)
	}
	return list
}

// renewal is by when a holder must apply or take a refresher.
func (r Certificates) renewal(f CertificateFacts, j judgement) (Due, bool) {
	switch {
	case j.run.from.IsZero():
		return Due{}, false
	case f.Certificates[0].Discipline != Firm:
		return r.refresherDue(f, j), true
	}
	by, days := r.renewBy(j.run.to, f)
	if days == nil {
		return Due{}, false
	}
	d := Due{What: "apply_to_be_certified_again", On: by, State: open, Rule: "firm_renewal", Citation: days.Cite(),
		Text: fmt.Sprintf("Apply so that the postmark is at least %s days before the certificate ends on %s; then it stays valid until EPA decides, and the new one counts from the old one's end.", days.Value, j.run.to)}
	switch {
	case j.run.pending:
		d.State = met
	case f.AsOf.After(j.run.to):
		d.State = overdue
	case f.AsOf.After(by):
		d.State = late
		d.Text = fmt.Sprintf("The postmark was due at least %s days before the certificate ends on %s. Apply now; without a decision by then the firm does no renovation after that day.", days.Value, j.run.to)
	}
	return d, true
}

func (r Certificates) refresherDue(f CertificateFacts, j judgement) Due {
	d := Due{What: "take_refresher", On: j.run.to, State: stateOf(f.AsOf, j.run.to, 0), Rule: "certificate_renewal", Citation: renewalClause(f.Certificates[0].Discipline)}
	d.Text = fmt.Sprintf("Take a refresher course on or before %s; after that day only the initial course gives a certificate again.", j.run.to)
	switch {
	case f.Certificates[0].Discipline == Renovator && j.run.online:
		d.What = "take_refresher_with_hands_on"
		d.Text = fmt.Sprintf("Take a refresher course with hands-on training on or before %s: the latest one had none, and two in a row do not count.", j.run.to)
	case !f.Certificates[0].Discipline.ofRenovation():
		d.What = "certify_again"
		d.Text = fmt.Sprintf("Certify again on or before %s.", j.run.to)
	}
	return d
}

func renewalClause(d Discipline) law.Citation {
	if d.ofRenovation() {
		return law.Cite("40 CFR 745.90(a)(4)", law.Text)
	}
	return law.Cite("40 CFR 745.226(e)", law.Text)
}

// ofApplication are the days that a firm's application sets, and the fee of a new copy.
func (r Certificates) ofApplication(c Certificate, f CertificateFacts) (list []Due) {
	decision, supplement, of, asked := r.answers(c, f)
	if !decision.IsZero() && !c.AppliedOn.After(f.AsOf) {
		list = append(list, Due{What: "decision_on_application", On: decision, State: stateOf(f.AsOf, decision, max(c.IssuedOn, c.RefusedOn)), Rule: "firm_application", Citation: of.Cite(),
			Text: fmt.Sprintf("EPA decides on the application of %s within %s days.", c.AppliedOn, of.Value)})
	}
	if !supplement.IsZero() && !c.SupplementAskedOn.After(f.AsOf) {
		list = append(list, Due{What: "send_supplement", On: supplement, State: stateOf(f.AsOf, supplement, c.SupplementSentOn), Rule: "firm_application", Citation: asked.Cite(),
			Text: fmt.Sprintf("Send what was asked for on %s within %s days.", c.SupplementAskedOn, asked.Value)})
	}
	if fee := r.value(r.fee, f.AsOf, f.Jurisdictions); c.CopyLost && fee != nil {
		list = append(list, Due{What: "order_copy", On: f.AsOf, State: open, Rule: "replacement_certificate", Citation: fee.Cite(),
			Text: fmt.Sprintf("A new copy costs %s dollars. Certified people have the copies of their certificates with them at work.", fee.Value)})
	}
	return list
}

// stateOf is the state of what is due by a day and was done on another, none if it was not.
func stateOf(on, by, done calendar.Date) string {
	switch {
	case !done.IsZero() && !done.After(on) && !done.After(by):
		return met
	case !done.IsZero() && !done.After(on):
		return late
	case on.After(by):
		return overdue
	}
	return open
}

// Undone reports whether something due is still to be done. A firm that is late may still apply; the rest that is late was done
// late.
func (d Due) Undone() bool {
	return d.State == open || d.State == overdue || d.State == late && d.Rule == "firm_renewal"
}
