package duty

import (
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
)

// codeOf are the duties that a certificate's days are; those that are no duty of its holder are left out.
var codeOf = map[string]string{"apply_to_be_certified_again": "renew_certificate", "take_refresher": "renew_certificate", "take_refresher_with_hands_on": "renew_certificate",
	"certify_again": "renew_certificate", "amend_certificate": "amend_firm_certificate", "send_supplement": "send_supplement"}

// holder lists what a firm or person owes for certificates to go on holding (40 CFR 745.89, 745.90), discipline by discipline.
func (r Rules) holder(l *ledger, f Facts, h crew.Holder) error {
	of := map[crew.Discipline][]crew.Certificate{}
	var order []crew.Discipline
	for _, c := range h.Certificates {
		if of[c.Discipline] == nil {
			order = append(order, c.Discipline)
		}
		of[c.Discipline] = append(of[c.Discipline], c)
	}
	for _, d := range order {
		a, err := r.certificates.Judge(crew.CertificateFacts{AsOf: f.AsOf, Jurisdictions: f.Jurisdictions, Certificates: of[d]})
		if err != nil {
			return err
		}
		for _, due := range a.Due {
			if code := codeOf[due.What]; code != "" {
				l.certify(h.Name, d, code, due)
			}
		}
	}
	return nil
}

// certify adds what is due for a certificate. Certificates are judged with their own states: what is met there is met here, and
// what can still be done though its last day has passed is overdue.
func (l *ledger) certify(name string, d crew.Discipline, code string, due crew.Due) {
	l.owe(draft{code: code, subject: name, detail: string(d), window: calendar.Window{To: due.On}, because: law.Yes, metBy: []string{"certificate"}, cite: due.Citation, text: due.Text})
	duty := &l.list[len(l.list)-1]
	done := due.State == "met" || due.State == "late" && code != "renew_certificate"
	if done {
		duty.State, duty.Late, duty.Reason = Met, due.State == "late", "What was told of the certificates meets it."
		if duty.Late {
			duty.Reason = "It was met after its last day, " + due.On.String() + "."
		}
	}
}

// mixed reports whether a holder has certificates of firms and of people.
func mixed(h crew.Holder) bool {
	firm := func(c crew.Certificate) bool { return c.Discipline == crew.Firm }
	return slices.ContainsFunc(h.Certificates, firm) && slices.ContainsFunc(h.Certificates, func(c crew.Certificate) bool { return !firm(c) })
}
