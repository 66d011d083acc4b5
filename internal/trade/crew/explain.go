package crew

import (
	"fmt"
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

var (
	copies       = law.Cite("40 CFR 745.90(b)", law.Text)
	firmRule     = law.Cite("40 CFR 745.89(a), (b)", law.Text)
	amendRule    = law.Cite("40 CFR 745.89(c)", law.Text)
	onlineRule   = law.Cite("40 CFR 745.90(a)(4) as amended by 81 FR 7987", law.Text)
	secondOnline = law.Citation{Clause: "40 CFR 745.90(a)(4) as amended by 81 FR 7987", Source: law.Secondary, Note: "That two refreshers without hands-on training in a row do not count was read in secondary sources."}
	beforeOnline = law.Citation{Clause: "40 CFR 745.90(a)(4) before 81 FR 7987", Source: law.Derived, Note: "The leave to do without hands-on training came with that rule."}
	earlierRule  = law.Citation{Clause: "40 CFR 745.90(a)(2)", Source: law.Secondary, Note: "That the first refresher after an earlier course needs hands-on training was read in a secondary source; the paragraph is from memory."}
	courseRule   = law.Cite("40 CFR 745.225(c)(6)(vi), (vii)", law.Text)
	extension    = law.Cite("80 FR 20444", law.Text)
	lastDay      = law.Citation{Clause: "40 CFR 745.89(b), 745.90(a)(4), 745.226(e)", Source: law.Derived, Note: "A certificate is read to hold through the day that bears the same date so many years later; 29 February becomes 28 February."}
	placeRule    = law.Citation{Clause: "40 CFR 745.324 to 745.326", Source: law.Memory, Note: "That EPA's certificates do not hold where a state or tribe runs the programme, nor theirs elsewhere, is from memory, to be checked."}
)

// explain puts a judgement into words.
func (r Certificates) explain(f CertificateFacts, j judgement) CertificateAnswer {
	a := CertificateAnswer{Outcome: j.standing, ValidFrom: j.run.from, Certificates: []Counted{}, Due: r.dues(f, j)}
	if !j.run.pending {
		a.ValidTo = j.run.to
	}
	d := law.NewDetermination("certificate", f.AsOf, r.book.RuleSet())
	d.Outcome = string(j.standing)
	for i, c := range f.Certificates {
		why, cite := r.words(c, j.links[i], j.places[i], f)
		d.Because(reason(c, j.links[i], f), fact(i, ""), c.shown(), cite, why)
		a.Certificates = append(a.Certificates, Counted{Index: i, Record: c.Record, Counts: j.links[i].adds(), ValidTo: j.links[i].to, Why: why})
		r.alsoSay(&d, i, c, j.links[i], f)
	}
	r.overall(&d, f, j)
	r.use(&d, f)
	r.missing(&d, f, j)
	law.Otherwise(&d, f, r.alternatives(f, j), func(f CertificateFacts) string { return string(r.judge(f).standing) })
	a.Explained = d
	return a
}

// reason names why a certificate counts or does not.
func reason(c Certificate, l link, f CertificateFacts) string {
	if l.worth == aside && dateOf(c, f.AsOf).After(f.AsOf) {
		return "certificate_of_later_day"
	}
	return string(l.worth)
}

func fact(certificate int, field string) string {
	name := fmt.Sprintf("certificates/%d", certificate)
	if field != "" {
		name += "/" + field
	}
	return name
}

// shown is a certificate in a few words.
func (c Certificate) shown() string {
	words := fmt.Sprintf("%s, %s, by %s", c.Discipline, c.Basis, c.Issuer)
	if !c.IssuedOn.IsZero() {
		return words + ", issued " + c.IssuedOn.String()
	}
	return words + ", applied for " + c.AppliedOn.String()
}

// words say what a certificate is worth.
func (r Certificates) words(c Certificate, l link, p placed, f CertificateFacts) (string, law.Citation) {
	holds := fmt.Sprintf("It holds through %s.", l.to)
	cite := law.Citation{}
	if l.term != nil {
		cite = l.term.Cite()
	}
	switch l.worth {
	case counts:
		return fmt.Sprintf("Issued on %s for %s years. %s", c.IssuedOn, l.term.Value, holds), cite
	case interim:
		return fmt.Sprintf("An interim certificate of %s for %s months. %s", c.IssuedOn, l.term.Value, holds), cite
	case withoutHandsOn:
		return fmt.Sprintf("A refresher of %s without hands-on training, or not known to have had it, gives %s years. %s The next must have it.", c.IssuedOn, l.term.Value, holds), cite
	case secondWithout:
		return "The refresher before it had no hands-on training either, or is not known to have had it, so this one does not count.", secondOnline
	case withoutTooEarly:
		return "It had no hands-on training, which every refresher had to have on that day; it does not count.", beforeOnline
	case noEarlier:
		return "A refresher shows nothing without the certificate that it renews: the copies of both are to be at hand.", copies
	case lapsed:
		return fmt.Sprintf("No certificate told was valid on %s, when the refresher was taken: the one before it had ended on %s. The initial course is needed, or another certificate is missing here.", c.IssuedOn, l.old), renewalClause(c.Discipline)
	case earlierCourse:
		return fmt.Sprintf("A refresher with hands-on training on an earlier course of EPA or HUD. %s", holds), earlierRule
	case earlierNoHandsOn:
		return "The first refresher on an earlier course of EPA or HUD must have hands-on training; it does not count.", earlierRule
	case tooShort:
		return fmt.Sprintf("The course had %d minutes of learning, which is shorter than the rule asks, so it does not count.", c.CourseMinutes), courseRule
	case courseNoHandsOn:
		return "The course had less hands-on training than the rule asks, so it does not count.", courseRule
	}
	return r.firmWords(c, l, p, f, cite)
}

func (r Certificates) firmWords(c Certificate, l link, p placed, f CertificateFacts, term law.Citation) (string, law.Citation) {
	switch l.worth {
	case firmAgain:
		return fmt.Sprintf("Certified again on %s; the new certificate counts %s years from the end of the old one on %s. It holds through %s.", c.IssuedOn, l.term.Value, l.old, l.to), term
	case firmPrinted:
		return fmt.Sprintf("Certified again on %s; the old certificate, from whose end the new one counts, is not told, so the printed end is taken, at most %s years away. It holds through %s.", c.IssuedOn, l.term.Value, l.to), term
	case firmUnlinked:
		return "Certified again, but neither the old certificate, from whose end the new one counts, nor the printed end is told.", firmRule
	case firmPending:
		return fmt.Sprintf("Applied for on %s, in time, and not decided: the old certificate stays valid until it is.", c.AppliedOn), firmRule
	case firmLate:
		return fmt.Sprintf("Applied for on %s and not decided. It is not shown that this was in time, so the old certificate ends when it says.", c.AppliedOn), firmRule
	case firmApplied:
		return fmt.Sprintf("Applied for on %s and not decided: the firm is not certified yet.", c.AppliedOn), firmRule
	case firmRefused:
		return fmt.Sprintf("The application was refused on %s.", c.RefusedOn), firmRule
	}
	if dateOf(c, f.AsOf).After(f.AsOf) {
		return fmt.Sprintf("It is of %s, after the day that is asked about.", dateOf(c, f.AsOf)), lastDay
	}
	return r.placeWords(c, p, f)
}

func (r Certificates) placeWords(c Certificate, p placed, f CertificateFacts) (string, law.Citation) {
	where := strings.Join(f.Jurisdictions, ", ")
	switch {
	case p.by == nil:
		return fmt.Sprintf("It is a certificate of %s, which holds there only, and the work is in %s.", c.Issuer, where), placeRule
	case c.Issuer == EPA:
		return fmt.Sprintf("It is EPA's, and %s runs the programme itself: it takes a certificate of its own.", p.by.Jurisdiction), p.by.Cite()
	}
	return fmt.Sprintf("It is a certificate of %s, and EPA runs the programme in %s.", c.Issuer, where), p.by.Cite()
}

// alsoSay adds what the printed end did, and what a course was short of.
func (r Certificates) alsoSay(d *law.Determination, i int, c Certificate, l link, f CertificateFacts) {
	switch l.print {
	case printedEarlier:
		d.Because("printed_end", fact(i, "expires_on"), c.ExpiresOn.String(), lastDay, fmt.Sprintf("It is printed to end on %s, earlier than the rule's term; the printed end holds.", c.ExpiresOn))
	case printedLater:
		d.Because("printed_end", fact(i, "expires_on"), c.ExpiresOn.String(), lastDay, fmt.Sprintf("It is printed to end on %s, later than the rule's term gives; %s holds.", c.ExpiresOn, l.to))
		d.Differences = append(d.Differences, fmt.Sprintf("The printed end %s and the rule's term, which ends on %s, differ; the earlier one was taken.", c.ExpiresOn, l.to))
	case putOff:
		d.Because("end_put_off", fact(i, "extended"), law.Yes.String(), extension, fmt.Sprintf("Its issuer put its end off to %s.", c.ExpiresOn))
	}
	if r.belowModel(c, f.Jurisdictions) {
		model := r.value(r.samplerRefresherHours, c.IssuedOn, f.Jurisdictions)
		d.Because("shorter_than_model_course", fact(i, "course_minutes"), fmt.Sprint(c.CourseMinutes), model.Cite(),
			fmt.Sprintf("EPA's model refresher takes about %s training hours; this one was shorter, and counts all the same.", model.Value))
	}
}

// overall says why the holder is or is not certified, and gives the clause of the last day and of a change not told.
func (r Certificates) overall(d *law.Determination, f CertificateFacts, j judgement) {
	switch j.standing {
	case Valid:
		text := fmt.Sprintf("Certified on %s: from %s through %s.", f.AsOf, j.run.from, j.run.to)
		if j.run.pending {
			text = fmt.Sprintf("Certified on %s: an application in time is not decided yet.", f.AsOf)
		}
		d.Because("certified", "as_of", f.AsOf.String(), lastDay, text)
	case Expired:
		d.Because("certificate_ended", "as_of", f.AsOf.String(), lastDay, fmt.Sprintf("The last day of what was told and counts was %s.", j.run.to))
	case NotValidHere:
		d.Because("not_accepted_here", "jurisdictions", strings.Join(f.Jurisdictions, ", "), placeRule, "What would hold on that day is not accepted where the work is.")
	case NotYetValid:
		d.Because("certificate_not_begun", "as_of", f.AsOf.String(), lastDay, "Nothing told had been issued by that day.")
	case NotShown:
		d.Because("certificate_not_shown", "certificates", "", copies, "Nothing told shows a certificate on that day.")
	}
	for _, a := range j.stopped {
		if a.stops {
			change := f.Certificates[a.index].Changes[a.change]
			d.Because("change_not_told", fact(a.index, fmt.Sprintf("changes/%d/amended_on", a.change)), "", amendRule,
				fmt.Sprintf("The certificate was not amended within %s days of the change of %s: the firm does no renovation until it is.", a.days.Value, change.ChangedOn))
		}
	}
	for _, p := range j.places {
		if p.accepted && p.by != nil {
			text := fmt.Sprintf("EPA runs the programme in %s.", p.by.Jurisdiction)
			if p.by.Number().Sign() > 0 {
				text = fmt.Sprintf("%s runs the programme itself.", p.by.Jurisdiction)
			}
			d.Because("programme_run_by", "jurisdictions", strings.Join(f.Jurisdictions, ", "), p.by.Cite(), text)
			return
		}
	}
}

func (r Certificates) use(d *law.Determination, f CertificateFacts) {
	d.Use("as_of", f.AsOf.String())
	if len(f.Jurisdictions) > 0 {
		d.Use("jurisdictions", strings.Join(f.Jurisdictions, ", "))
	}
	for i, c := range f.Certificates {
		d.Use(fact(i, ""), c.shown())
		for _, told := range []struct {
			field string
			value law.Tri
		}{{"hands_on", c.HandsOn}, {"extended", c.Extended}, {"earlier_course", c.EarlierCourse}} {
			if told.value != law.Unknown {
				d.Use(fact(i, told.field), told.value.String())
			}
		}
		for _, told := range []struct {
			field string
			on    calendar.Date
		}{{"expires_on", c.ExpiresOn}, {"applied_on", c.AppliedOn}, {"refused_on", c.RefusedOn}} {
			if !told.on.IsZero() {
				d.Use(fact(i, told.field), told.on.String())
			}
		}
		if c.Exam != "" {
			d.Use(fact(i, "exam"), string(c.Exam))
		}
	}
}

// missing lists what was not told and could make a difference.
func (r Certificates) missing(d *law.Determination, f CertificateFacts, j judgement) {
	anywhere, unknown := false, false
	for i, c := range f.Certificates {
		l := j.links[i]
		anywhere, unknown = anywhere || j.places[i].anywhere, unknown || j.places[i].unknown
		if l.worth == aside {
			continue
		}
		switch {
		case c.Discipline == Renovator && c.Basis == Refresher && c.HandsOn == law.Unknown && l.worth != counts:
			d.Miss(fact(i, "hands_on"), "A refresher not known to have had hands-on training is taken to have had none.", "With hands-on training it gives the full term, if the certificate before it held.")
		case !c.Discipline.ofRenovation() && c.Basis != Interim && c.Exam == "":
			d.Miss(fact(i, "exam"), "The term turns on the test; the shorter one is taken.", "A proficiency test gives the longer term.")
		}
		switch l.worth {
		case noEarlier, lapsed, firmUnlinked, firmPrinted:
			d.Miss("certificates", "The certificate that this one renews is not among those told.", fmt.Sprintf("A certificate valid on %s could make it count.", c.IssuedOn))
		case firmLate:
			d.Miss("certificates", "Whether the application was in time turns on the end of the old certificate and on the postmark.", "An earlier postmark, or a later end of the old certificate, would keep the old one valid.")
		}
		if l.print == printedLater && c.Extended == law.Unknown {
			d.Miss(fact(i, "extended"), "The printed end is later than the rule's term gives.", "If the issuer put the end off, the printed end holds.")
		}
	}
	switch {
	case len(f.Certificates) == 0:
		d.Miss("certificates", "No certificate is on record, so none is taken to be held.", "A certificate that holds on the day would.")
	case anywhere:
		d.Miss("jurisdictions", "Certificates hold where their issuer runs the programme; the place was not told, so any issuer's are accepted.", "Where another authority runs the programme they would not be valid.")
	case unknown:
		d.Miss("own_programme", "It is not on record who runs the programme in "+strings.Join(f.Jurisdictions, ", ")+", so EPA's and its own certificates are accepted.", "If the other one runs it, the certificate would not be valid there.")
	}
}

// alternatives are what could be otherwise where a holder is not certified.
func (r Certificates) alternatives(f CertificateFacts, j judgement) (list []law.Alternative[CertificateFacts]) {
	if j.standing == Valid || len(f.Certificates) == 0 {
		return nil
	}
	set := func(i int, field, value string, change func(*Certificate)) {
		list = append(list, law.Alternative[CertificateFacts]{Fact: fact(i, field), Value: value, Set: func(f *CertificateFacts) {
			f.Certificates = append([]Certificate(nil), f.Certificates...)
			change(&f.Certificates[i])
		}})
	}
	for i, c := range f.Certificates {
		if c.Discipline.ofRenovation() && c.Discipline != Firm && c.Basis == Refresher && c.HandsOn == law.Unknown {
			set(i, "hands_on", "yes", func(c *Certificate) { c.HandsOn = law.Yes })
		}
		if c.Discipline == Renovator && c.Basis == Refresher && c.EarlierCourse == law.Unknown && j.links[i].worth == noEarlier {
			set(i, "earlier_course", "yes", func(c *Certificate) { c.EarlierCourse = law.Yes })
		}
		if !c.Discipline.ofRenovation() && c.Basis != Interim && c.Exam == "" {
			set(i, "exam", string(Proficiency), func(c *Certificate) { c.Exam = Proficiency })
		}
		if c.Extended == law.Unknown && j.links[i].print == printedLater {
			set(i, "extended", "yes", func(c *Certificate) { c.Extended = law.Yes })
		}
		if w := j.links[i].worth; w == noEarlier || w == lapsed || w == firmUnlinked {
			before := Certificate{Discipline: c.Discipline, Basis: Initial, Issuer: c.Issuer, IssuedOn: c.IssuedOn.AddMonths(-12), HandsOn: law.Yes}
			list = append(list, another(before, fmt.Sprintf("another certificate, valid on %s", c.IssuedOn), false))
		}
	}
	return append(list, r.deeds(f, j)...)
}

// deeds are what people can do by the day asked about.
func (r Certificates) deeds(f CertificateFacts, j judgement) (list []law.Alternative[CertificateFacts]) {
	first := f.Certificates[0]
	for _, a := range j.stopped {
		if a.stops {
			list = append(list, law.Alternative[CertificateFacts]{Fact: fact(a.index, fmt.Sprintf("changes/%d/amended_on", a.change)), Value: f.AsOf.String(), Action: true, Set: func(g *CertificateFacts) {
				g.Certificates = append([]Certificate(nil), g.Certificates...)
				c := &g.Certificates[a.index]
				c.Changes = append([]Amendment(nil), c.Changes...)
				c.Changes[a.change].AmendedOn = g.AsOf
			}})
		}
	}
	what := map[bool]string{true: "a new certificate of %s, issued by %s", false: "the initial course for a certificate of %s, completed by %s"}[first.Discipline == Firm]
	for _, issuer := range append([]string{EPA}, f.Jurisdictions...) {
		c := Certificate{Discipline: first.Discipline, Basis: Initial, Issuer: issuer, IssuedOn: f.AsOf}
		if r.value(r.termOf(c), f.AsOf, f.Jurisdictions) != nil && r.place(c, f.AsOf, f.Jurisdictions).accepted {
			list = append(list, another(c, fmt.Sprintf(what, issuer, f.AsOf), true))
		}
	}
	return list
}

func another(c Certificate, value string, deed bool) law.Alternative[CertificateFacts] {
	return law.Alternative[CertificateFacts]{Fact: "certificates", Value: value, Action: deed, Set: func(f *CertificateFacts) {
		f.Certificates = append(append([]Certificate(nil), f.Certificates...), c)
	}}
}
