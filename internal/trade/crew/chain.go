package crew

import (
	"cmp"
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// judgement is an answer before it is put into words, cheap to make again with other facts.
type judgement struct {
	standing Standing
	run      run      // of the certificates that are accepted in the place
	links    []link   // one for each certificate told, in the request's order
	stopped  []amends // of a firm
	places   []placed // where each certificate is accepted
	anywhere run      // of all certificates, wherever they are accepted
}

// run is an unbroken time of being certified: the last one that begins by the day asked about.
type run struct {
	from, to calendar.Date // to is none while a timely application is undecided
	online   bool          // the latest refresher had no hands-on training, so the next must have it
	pending  bool          // a timely application is undecided
}

// holds reports whether the run is on a day.
func (r run) holds(on calendar.Date) bool {
	return !r.from.IsZero() && !r.from.After(on) && (r.pending || !r.to.Before(on))
}

// worth says why a certificate counts or does not, and so names the reason.
type worth string

const (
	aside            worth = "certificate_aside" // of a later day, or not accepted in the place
	counts           worth = "certificate_term"
	interim          worth = "interim_certificate"
	withoutHandsOn   worth = "refresher_without_hands_on"
	secondWithout    worth = "second_refresher_without_hands_on"
	withoutTooEarly  worth = "refresher_before_online"
	noEarlier        worth = "refresher_without_earlier"
	lapsed           worth = "refresher_after_expiry"
	earlierCourse    worth = "refresher_on_earlier_course"
	earlierNoHandsOn worth = "earlier_course_needs_hands_on"
	tooShort         worth = "course_too_short"
	courseNoHandsOn  worth = "course_without_hands_on"
	firmAgain        worth = "firm_certified_again"
	firmPrinted      worth = "firm_end_as_printed"
	firmUnlinked     worth = "firm_earlier_not_told"
	firmPending      worth = "firm_application_in_time"
	firmLate         worth = "firm_application_late"
	firmApplied      worth = "firm_application_undecided"
	firmRefused      worth = "firm_application_refused"
)

// link is what one certificate adds to a run.
type link struct {
	worth worth
	to    calendar.Date // its last day, where it counts
	term  *law.Value    // by which parameter
	print printed
	old   calendar.Date // the last day before it
}

// printed says what the printed end of a certificate did.
type printed uint8

const (
	notPrinted printed = iota
	printedAgrees
	printedEarlier // it holds
	printedLater   // it does not hold: the rule gives no longer term
	putOff         // it holds: the issuer put the end off
)

func (r Certificates) judge(f CertificateFacts) judgement {
	j := judgement{places: make([]placed, len(f.Certificates))}
	accepted, all := make([]bool, len(f.Certificates)), make([]bool, len(f.Certificates))
	for i, c := range f.Certificates {
		j.places[i] = r.place(c, f.AsOf, f.Jurisdictions)
		accepted[i], all[i] = j.places[i].accepted, true
	}
	j.run, j.links = r.walk(f, accepted)
	j.anywhere, _ = r.walk(f, all)
	j.stopped = r.amendments(f)
	switch {
	case j.run.holds(f.AsOf) && slices.ContainsFunc(j.stopped, func(a amends) bool { return a.stops }):
		j.standing = Stopped
	case j.run.holds(f.AsOf):
		j.standing = Valid
	case j.anywhere.holds(f.AsOf):
		j.standing = NotValidHere
	case !j.run.from.IsZero():
		j.standing = Expired
	case slices.ContainsFunc(f.Certificates, func(c Certificate) bool { return c.IssuedOn.After(f.AsOf) || c.undecided() }):
		j.standing = NotYetValid
	default:
		j.standing = NotShown
	}
	return j
}

// walk follows a holder's certificates in the order of their dates, as they stood on the day asked about. in says which take
// part.
func (r Certificates) walk(f CertificateFacts, in []bool) (run, []link) {
	links := make([]link, len(f.Certificates))
	order := make([]int, 0, len(f.Certificates))
	for i, c := range f.Certificates {
		links[i].worth = aside
		if in[i] && !dateOf(c, f.AsOf).After(f.AsOf) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(dateOf(f.Certificates[a], f.AsOf), dateOf(f.Certificates[b], f.AsOf))
	})
	var now run
	for _, i := range order {
		c := f.Certificates[i]
		links[i].old = now.to
		if c.Discipline == Firm {
			r.firm(c, f, &now, &links[i])
		} else {
			r.person(c, f, &now, &links[i])
		}
	}
	return now, links
}

// dateOf is when a certificate matters for a day: when it was issued, or, while it was not, when it was applied for.
func dateOf(c Certificate, on calendar.Date) calendar.Date {
	if c.IssuedOn.IsZero() || c.IssuedOn.After(on) && !c.AppliedOn.IsZero() {
		return c.AppliedOn
	}
	return c.IssuedOn
}

// person adds a person's certificate to a run (40 CFR 745.90(a)(4), 745.226(b), (e)).
func (r Certificates) person(c Certificate, f CertificateFacts, now *run, l *link) {
	handsOn := c.HandsOn
	l.term = r.value(r.termOf(c), c.IssuedOn, f.Jurisdictions)
	l.worth = counts
	switch short := r.short(c, f.Jurisdictions); {
	case short == lacksTime:
		l.worth = tooShort
	case short == lacksHandsOn, c.Discipline.ofRenovation() && c.Basis == Initial && handsOn == law.No:
		l.worth = courseNoHandsOn
	case c.Basis == Interim:
		l.worth = interim
	case c.Basis == Refresher:
		r.refresher(c, f, now, l)
	}
	if !l.adds() {
		return
	}
	l.to = c.IssuedOn.AddYears(l.term.Int())
	if c.Basis == Interim {
		l.to = c.IssuedOn.AddMonths(l.term.Int())
	}
	l.asPrinted(c)
	now.extend(c.IssuedOn, l.to)
	now.online = l.worth == withoutHandsOn
}

// refresher says what a refresher is worth: it needs a certificate that held when it was taken.
func (r Certificates) refresher(c Certificate, f CertificateFacts, now *run, l *link) {
	linked := now.holds(c.IssuedOn)
	without := c.HandsOn != law.Yes
	leave := r.value(r.onlineYears, c.IssuedOn, f.Jurisdictions)
	if leave == nil && c.HandsOn == law.Unknown {
		without = false // every course had it then
	}
	switch {
	case c.Discipline == Renovator && !linked && c.EarlierCourse == law.Yes:
		l.worth = earlierCourse
		if without {
			l.worth = earlierNoHandsOn
		}
	case !linked && now.from.IsZero():
		l.worth = noEarlier
	case !linked:
		l.worth = lapsed
	case c.Discipline == SamplingTechnician && c.HandsOn == law.No:
		l.worth = courseNoHandsOn
	case c.Discipline != Renovator || !without:
	case leave == nil:
		l.worth = withoutTooEarly
	case now.online:
		l.worth = secondWithout
	default:
		l.worth, l.term = withoutHandsOn, leave
	}
}

// adds reports whether a certificate lengthens the time of being certified.
func (l link) adds() bool {
	switch l.worth {
	case counts, interim, withoutHandsOn, earlierCourse, firmAgain, firmPrinted:
		return true
	}
	return false
}

// asPrinted takes the printed end where it is earlier than the rule's, or where the issuer put it off.
func (l *link) asPrinted(c Certificate) {
	switch {
	case c.ExpiresOn.IsZero():
	case c.ExpiresOn == l.to:
		l.print = printedAgrees
	case c.ExpiresOn.Before(l.to):
		l.print, l.to = printedEarlier, c.ExpiresOn
	case c.Extended == law.Yes:
		l.print, l.to = putOff, c.ExpiresOn
	default:
		l.print = printedLater
	}
}

// extend lengthens a run, or begins another where it had ended.
func (n *run) extend(from, to calendar.Date) {
	if !n.holds(from) {
		*n = run{from: from}
	}
	n.pending = false
	n.to = max(n.to, to)
}

// termOf is the parameter of a certificate's term.
func (r Certificates) termOf(c Certificate) law.Handle {
	switch {
	case c.Discipline == Firm:
		return r.firmYears
	case c.Discipline == Renovator:
		return r.renovatorYears
	case c.Discipline == SamplingTechnician:
		return r.samplerYears
	case c.Basis == Interim:
		return r.interimMonths
	case c.Exam == Proficiency:
		return r.proficiencyYears
	}
	return r.courseYears
}

// value is a parameter that was in effect on a day, or nil before its first. Certificates were issued before the day from
// which they had to be had.
func (r Certificates) value(h law.Handle, on calendar.Date, jurisdictions []string) *law.Value {
	v, ok := r.book.On(h, on, law.InEffect, law.Scope{Jurisdictions: jurisdictions})
	if !ok {
		return nil
	}
	return v
}
