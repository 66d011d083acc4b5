package crew

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// firm adds a firm's certificate or application to a run (40 CFR 745.89(a), (b)). A new certificate counts from the end of
// the old one. An application in time keeps the old one valid until it is decided; a late one does not.
func (r Certificates) firm(c Certificate, f CertificateFacts, now *run, l *link) {
	decided := !c.IssuedOn.IsZero() && !c.IssuedOn.After(f.AsOf)
	refused := !c.RefusedOn.IsZero() && !c.RefusedOn.After(f.AsOf)
	inTime := r.inTime(c, f, now)
	switch {
	case decided:
		r.issued(c, f, now, l, inTime)
	case refused:
		l.worth = firmRefused
		if inTime && c.RefusedOn.After(now.to) {
			now.to = c.RefusedOn.AddDays(-1)
		}
	case inTime:
		l.worth, now.pending = firmPending, true
	case c.Basis == Recertification:
		l.worth = firmLate
	default:
		l.worth = firmApplied
	}
}

// inTime reports whether an application to be certified again was postmarked early enough.
func (r Certificates) inTime(c Certificate, f CertificateFacts, now *run) bool {
	if c.Basis != Recertification || c.AppliedOn.IsZero() || now.from.IsZero() {
		return false
	}
	days := r.value(r.renewalDays, c.AppliedOn, f.Jurisdictions)
	return days != nil && !c.AppliedOn.After(now.to.AddDays(-days.Int()))
}

// issued adds a certificate that was issued.
func (r Certificates) issued(c Certificate, f CertificateFacts, now *run, l *link, inTime bool) {
	l.term = r.value(r.firmYears, c.IssuedOn, f.Jurisdictions)
	l.worth, l.to = counts, c.IssuedOn.AddYears(l.term.Int())
	switch {
	case c.Basis == Recertification && now.from.IsZero() && c.ExpiresOn.IsZero():
		l.worth = firmUnlinked // the old end, from which the new one counts, may lie years back
		return
	case c.Basis == Recertification && now.from.IsZero():
		l.worth = firmPrinted
	case c.Basis == Recertification:
		l.worth, l.to = firmAgain, now.to.AddYears(l.term.Int())
	}
	l.asPrinted(c)
	if inTime {
		now.pending = true // the old one held until this one was issued
	}
	now.extend(c.IssuedOn, l.to)
}

// renewBy is the last day on which a firm's application is in time.
func (r Certificates) renewBy(to calendar.Date, f CertificateFacts) (calendar.Date, *law.Value) {
	days := r.value(r.renewalDays, f.AsOf, f.Jurisdictions)
	if days == nil {
		return to, nil
	}
	return to.AddDays(-days.Int()), days
}

// amends is one change at a firm: told in time, or stopping its work.
type amends struct {
	index, change int
	by            calendar.Date
	days          *law.Value
	stops         bool
}

// amendments finds the changes of a firm up to the day, and which of them stop its work (40 CFR 745.89(c)).
func (r Certificates) amendments(f CertificateFacts) (found []amends) {
	for i, c := range f.Certificates {
		for n, change := range c.Changes {
			days := r.value(r.amendmentDays, change.ChangedOn, f.Jurisdictions)
			if days == nil || change.ChangedOn.After(f.AsOf) {
				continue
			}
			a := amends{index: i, change: n, by: change.ChangedOn.AddDays(days.Int()), days: days}
			told := !change.AmendedOn.IsZero() && !change.AmendedOn.After(f.AsOf)
			a.stops = !told && f.AsOf.After(a.by)
			found = append(found, a)
		}
	}
	return found
}

// undecided reports whether a firm's application has not been decided.
func (c Certificate) undecided() bool { return c.IssuedOn.IsZero() && c.RefusedOn.IsZero() }

// answers are the days until which an application is decided and a supplement is due.
func (r Certificates) answers(c Certificate, f CertificateFacts) (decision, supplement calendar.Date, of, asked *law.Value) {
	if of = r.value(r.decisionDays, c.AppliedOn, f.Jurisdictions); of != nil && !c.AppliedOn.IsZero() {
		decision = c.AppliedOn.AddDays(of.Int())
	}
	if asked = r.value(r.supplementDays, c.SupplementAskedOn, f.Jurisdictions); asked != nil && !c.SupplementAskedOn.IsZero() {
		supplement = c.SupplementAskedOn.AddDays(asked.Int())
	}
	return decision, supplement, of, asked
}
