package crew

import (
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/trade/law"
)

var emergencyRule = law.Cite("40 CFR 745.82(b)", law.Text)

// explain puts who may do what into words.
func (r Authority) explain(f AuthorityFacts) AuthorityAnswer {
	c := r.roster(f)
	a := AuthorityAnswer{Outcome: c.outcome(), Acts: []ActAnswer{}, Nobody: []Act{}, Done: []DeedAnswer{}, Renewals: r.renewals(f)}
	d := law.NewDetermination("crew_authority", f.AsOf, r.book.RuleSet())
	d.Outcome = a.Outcome
	for _, act := range f.Acts {
		answer := c.answer(act)
		a.Acts = append(a.Acts, answer)
		if answer.State == nobody {
			a.Nobody = append(a.Nobody, act)
		}
		d.Because(answer.Rule, string(act), answer.State, answer.Citation, answer.Text)
	}
	if slices.ContainsFunc(a.Acts, func(answer ActAnswer) bool { return answer.State == lifted }) {
		d.Because("lifted_in_an_emergency", "emergency", f.Emergency.String(), emergencyRule,
			"In an emergency training and certification are lifted only to the extent necessary to respond. Presence at the cleaning and the cleaning verification are never lifted, and the record says what was not followed.")
	}
	for i, deed := range f.Done {
		a.Done = append(a.Done, c.judge(i, deed))
		if !a.Done[i].Allowed {
			d.Because("done_without_authority", fmt.Sprintf("done/%d", i), string(deed.Act), authorities[deed.Act].cite, a.Done[i].Why)
		}
	}
	if f.Kit != nil {
		kit := r.kits.judge(*f.Kit, f.AsOf)
		a.Kit = &kit
		d.Because("recognised_test_kit", "kit", f.Kit.Recognised.String(), kit.Citation, kit.Text)
		if f.Kit.Recognised == law.Yes && kit.Criteria == law.No.String() {
			d.Differences = append(d.Differences, "The kit is recognised, and what is told of how it tells does not meet the criteria; check which kit it is.")
		}
	}
	r.standings(&d, f)
	r.unknown(&d, f, c)
	law.Otherwise(&d, c, c.alternatives(), func(c roster) string { return c.outcome() })
	a.Explained = d
	return a
}

// answer is who may do an act, in words.
func (c roster) answer(act Act) ActAnswer {
	of := authorities[act]
	a := ActAnswer{Act: act, State: c.state(act), By: c.who(act), Rule: of.rule, Citation: of.cite, Text: of.text}
	switch {
	case a.State == somebody:
		a.Text += " Here: " + strings.Join(a.By, ", ") + "."
	case a.State == lifted:
		a.Text += " Nobody here may; in an emergency this is lifted, only to the extent necessary."
	case act == TestWithKit && c.noKit:
		a.Text += " Nobody may with this kit."
	case act == DirectTheWork && c.reachable != law.Yes && slices.ContainsFunc(c.members, func(m member) bool { return m.is(renovators) }):
		a.Text += " The certified renovator was not, or is not known to have been, reachable at all times."
	default:
		a.Text += fmt.Sprintf(" Nobody here is a %s on that day and in that place.", or(of.by))
	}
	return a
}

func or(by []Discipline) string {
	words := make([]string, len(by))
	for i, d := range by {
		words[i] = d.String()
	}
	return strings.Join(words, " or ")
}

// judge says whether somebody might do what they did.
func (c roster) judge(i int, deed Deed) DeedAnswer {
	a := DeedAnswer{Index: i, Allowed: c.allowed(deed)}
	switch {
	case a.Allowed && !slices.Contains(c.who(deed.Act), deed.By):
		a.Why = fmt.Sprintf("%s might do it in the emergency, only to the extent necessary.", deed.By)
	case a.Allowed:
		a.Why = fmt.Sprintf("%s might do it.", deed.By)
	default:
		a.Why = fmt.Sprintf("%s might not do it. %s", deed.By, authorities[deed.Act].text)
	}
	return a
}

// standings are what each certificate comes to.
func (r Authority) standings(d *law.Determination, f AuthorityFacts) {
	d.Use("as_of", f.AsOf.String())
	if len(f.Jurisdictions) > 0 {
		d.Use("jurisdictions", strings.Join(f.Jurisdictions, ", "))
	}
	unknown := false
	for _, h := range slices.Concat(f.Firms, f.People) {
		for _, discipline := range disciplines {
			g, j := r.standing(h, discipline, f)
			if len(g.Certificates) == 0 {
				continue
			}
			d.Use(h.Name+": "+discipline.String(), string(j.standing))
			for _, p := range j.places {
				unknown = unknown || p.unknown
			}
		}
		if h.Trained != law.Unknown {
			d.Use(h.Name+": trained by a certified renovator", h.Trained.String())
		}
	}
	for _, told := range []struct {
		fact  string
		value law.Tri
	}{{"reachable", f.Reachable}, {"emergency", f.Emergency}} {
		if told.value != law.Unknown {
			d.Use(told.fact, told.value.String())
		}
	}
	switch {
	case unknown && len(f.Jurisdictions) == 0:
		d.Miss("jurisdictions", "Certificates hold where their issuer runs the programme; the place was not told, so any issuer's are accepted.", "Where another authority runs the programme they would not be valid.")
	case unknown:
		d.Miss("own_programme", "It is not on record who runs the programmes in "+strings.Join(f.Jurisdictions, ", ")+", so EPA's and its own certificates are accepted.", "If the other one runs it, they would not be valid there.")
	}
}

// unknown lists what is not known of the crew.
func (r Authority) unknown(d *law.Determination, f AuthorityFacts, c roster) {
	if f.Reachable == law.Unknown && (c.asks(DirectTheWork) || c.asks(DoTheWork)) {
		d.Miss("reachable", "A certified renovator directs the work only while reachable on site or by telephone at all times; it is not taken to be so.", "If one was, that one may direct, and those whom one trained may work.")
	}
	for _, m := range c.members {
		if c.couldBeTrained(m) {
			d.Miss("trained: "+m.name, "Those who are not certified are trained by a certified renovator; it is not taken to be so.", "If "+m.name+" was, they may work under direction.")
		}
	}
	if f.Kit != nil && f.Kit.Recognised == law.Unknown {
		d.Miss("kit/recognised", "Only a kit that EPA recognises shows anything.", "If it is recognised its results count.")
	}
	if f.Emergency == law.Unknown && c.outcome() != Staffed {
		d.Miss("emergency", "In an emergency renovation some of this is lifted, to the extent necessary.", "An emergency would lift what is not about cleaning.")
	}
}
