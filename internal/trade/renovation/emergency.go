package renovation

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// EmergencyFacts are what an emergency renovation turns on.
type EmergencyFacts struct {
	On          calendar.Date
	Sudden      law.Tri // a sudden, unexpected event; nothing planned
	Hazard      law.Tri // not dealt with at once, it is a safety or public health hazard
	Damage      law.Tri // it threatens equipment or property with significant damage
	Restricted  bool    // a restricted fact makes it one of the emergencies without a sudden event, which lift the notice only
	NotFollowed []NotFollowed
}

// NotFollowed is a provision that was not followed, and whether responding to the emergency made that necessary.
type NotFollowed struct {
	Provision string
	Necessary law.Tri
}

// The outcomes.
const (
	anEmergency  = "emergency"
	noticeOnly   = "notice_lifted_only"
	noEmergency  = "not_an_emergency"
	liftedWhole  = "lifted"
	liftedAsFar  = "lifted_as_far_as_needed"
	neverLifted  = "never_lifted"
	stillInForce = "in_force"

	followedAsTold     = "followed"
	notFollowedAllowed = "allowed"
	notFollowedWrong   = "not_allowed"
	notFollowedUnshown = "not_shown"
)

// Provision is one provision of the rule, and what the emergency does to it.
type Provision struct {
	Provision string       `json:"provision"`
	Status    string       `json:"status"`
	Text      string       `json:"text"`
	Followed  string       `json:"followed"` // or whether not following it was allowed
	Citation  law.Citation `json:"citation"`
}

// EmergencyAnswer is what an emergency lifts, and what the record must say.
type EmergencyAnswer struct {
	Outcome       string            `json:"outcome"`
	Provisions    []Provision       `json:"provisions"`
	Record        []string          `json:"record"`
	Determination law.Determination `json:"determination"`
}

var (
	emergencyMeans = law.Cite(`40 CFR 745.83, "emergency renovation"`, law.Text)
	emergencyLifts = law.Cite("40 CFR 745.82(b)", law.Text)
	practicesStay  = law.Citation{Clause: "40 CFR 745.82(b)", Source: law.Derived, Note: "The clause lists signs, containment, waste handling, training and certification; practices are not among them."}
	recordsStay    = law.Citation{Clause: "40 CFR 745.82(b), 745.86(b)(6)", Source: law.Text, Note: "745.86(b)(7) is cited, too, although the section as read ends at (b)(6)."}
)

type provisionRule struct {
	name   string
	words  string
	status string // in an emergency
	text   string
	cite   law.Citation
}

// provisions are those that an emergency may touch: to what extent, and what stays.
var provisions = []provisionRule{
	{"notice", "the notice before the work", liftedWhole, "Neither the pamphlet nor a notice before the work is owed.", emergencyLifts},
	{"signs", "the posting of signs", liftedAsFar, "Signs may be left out as far as responding to the emergency makes it necessary.", emergencyLifts},
	{"containment", "containment", liftedAsFar, "Containment may be left out as far as responding to the emergency makes it necessary.", emergencyLifts},
	{"waste", "the handling of waste", liftedAsFar, "The handling of waste may depart from the rule as far as responding to the emergency makes it necessary.", emergencyLifts},
	{"training", "the training of workers", liftedAsFar, "Untrained workers may respond as far as the emergency makes it necessary; those who clean are certified renovators or trained by one.", emergencyLifts},
	{"certification", "certification", liftedAsFar, "Uncertified firms and people may respond as far as the emergency makes it necessary; a certified renovator verifies the cleaning.", emergencyLifts},
	{"practices", "a rule on practices", neverLifted, "Prohibited practices stay prohibited, and restricted ones restricted.", practicesStay},
	{"cleaning", "the cleaning", neverLifted, "The work area is cleaned as always, by certified renovators or people they trained.", emergencyLifts},
	{"verification", "the cleaning verification", neverLifted, "A certified renovator verifies the cleaning as always.", emergencyLifts},
	{"records", "the keeping of records", neverLifted, "The record of the work is kept; it says what the emergency was and which provisions were not followed.", recordsStay},
}

// Emergency says what an emergency renovation lifts: the notice wholly, some of the rest only as far as it must, and never the
// cleaning, its verification and their record. What is not known lifts nothing.
func (r Rules) Emergency(f EmergencyFacts) (EmergencyAnswer, error) {
	n := r.numbers("/on", f.On)
	everything := n.value("certified_work_required").Int() == 1
	a := EmergencyAnswer{Outcome: f.outcome(), Provisions: []Provision{}, Record: []string{}, Determination: law.NewDetermination("emergency", f.On, r.RuleSet())}
	a.Determination.Outcome = a.Outcome
	for _, p := range provisions {
		if everything || p.name == "notice" {
			a.Provisions = append(a.Provisions, f.provision(p, a.Outcome))
		}
	}
	f.record(&a)
	f.explain(&a)
	law.Otherwise(&a.Determination, f, f.alternatives(), EmergencyFacts.outcome)
	return a, n.err()
}

// outcome takes the more protective of two: what a restricted fact makes an emergency lifts the notice only, sudden or not.
func (f EmergencyFacts) outcome() string {
	switch {
	case f.Restricted:
		return noticeOnly
	case f.Sudden == law.Yes && (f.Hazard == law.Yes || f.Damage == law.Yes):
		return anEmergency
	}
	return noEmergency
}

func (f EmergencyFacts) provision(p provisionRule, outcome string) Provision {
	answer := Provision{Provision: p.name, Status: p.status, Text: p.text, Followed: followedAsTold, Citation: p.cite}
	if outcome == noEmergency || outcome == noticeOnly && p.status == liftedAsFar {
		answer.Status, answer.Text = stillInForce, "It is in force as always."
	}
	for _, not := range f.NotFollowed {
		if not.Provision == p.name {
			answer.Followed = allowed(answer.Status, not.Necessary)
		}
	}
	return answer
}

// allowed judges a provision that was not followed.
func allowed(status string, necessary law.Tri) string {
	switch {
	case status == liftedWhole, status == liftedAsFar && necessary == law.Yes:
		return notFollowedAllowed
	case status == liftedAsFar && necessary == law.Unknown:
		return notFollowedUnshown
	}
	return notFollowedWrong
}

func (f EmergencyFacts) record(a *EmergencyAnswer) {
	if a.Outcome == anEmergency {
		a.Record = append(a.Record, "What the emergency was.")
	}
	for _, p := range provisions {
		for _, not := range f.NotFollowed {
			if not.Provision == p.name {
				a.Record = append(a.Record, "That "+p.words+" was not followed, and why.")
			}
		}
	}
}

func (f EmergencyFacts) explain(a *EmergencyAnswer) {
	d := &a.Determination
	d.Use("on", f.On.String())
	for _, told := range []struct {
		fact string
		tri  law.Tri
	}{{"sudden", f.Sudden}, {"hazard_if_not_dealt_with", f.Hazard}, {"threatens_damage", f.Damage}} {
		if told.tri != law.Unknown {
			d.Use(told.fact, told.tri.String())
		}
	}
	switch a.Outcome {
	case anEmergency:
		d.Because("emergency_renovation", "sudden", "yes", emergencyMeans, "A sudden, unexpected event which, not dealt with at once, is a hazard or threatens significant damage.")
		d.Because("emergency_lifts", "", "", emergencyLifts, "The notice is lifted wholly; signs, containment, waste handling, training and certification only as far as responding makes it necessary; cleaning, its verification and their record never.")
	case noticeOnly:
		d.Because("emergency_notice_only", "", "", emergencyMeans, "Work of this kind counts as an emergency renovation without a sudden event, and only the notice is lifted.")
	default:
		d.Because("emergency_not_shown", "sudden", f.Sudden.String(), emergencyMeans, "It is not shown to be a sudden, unexpected event which, not dealt with at once, is a hazard or threatens significant damage, so nothing is lifted.")
	}
	for _, p := range a.Provisions {
		switch p.Followed {
		case notFollowedWrong:
			d.Because("emergency_not_followed", "not_followed", p.Provision, p.Citation, "It was not followed, and the emergency did not lift it.")
		case notFollowedUnshown:
			d.Miss("not_followed", "It is lifted only as far as responding to the emergency made it necessary.", "Knowing that it was necessary not to follow "+p.Provision+" allows it.")
		}
	}
	if a.Outcome != noEmergency {
		return
	}
	for _, gap := range []struct {
		fact string
		tri  law.Tri
		why  string
	}{{"sudden", f.Sudden, "Only a sudden, unexpected event is an emergency."}, {"hazard_if_not_dealt_with", f.Hazard, "It is one where waiting would be a hazard."}, {"threatens_damage", f.Damage, "It is one where it threatens significant damage."}} {
		if gap.tri == law.Unknown && f.Sudden != law.No {
			d.Miss(gap.fact, gap.why, "Together with the rest of the definition it would make this an emergency renovation.")
		}
	}
}

func (f EmergencyFacts) alternatives() []law.Alternative[EmergencyFacts] {
	list := []law.Alternative[EmergencyFacts]{}
	find := func(fact string, now law.Tri, set func(*EmergencyFacts)) {
		if now == law.Unknown {
			list = append(list, law.Alternative[EmergencyFacts]{Fact: fact, Value: "yes", Set: set})
		}
	}
	find("sudden", f.Sudden, func(f *EmergencyFacts) { f.Sudden = law.Yes })
	find("hazard_if_not_dealt_with", f.Hazard, func(f *EmergencyFacts) { f.Hazard = law.Yes })
	find("threatens_damage", f.Damage, func(f *EmergencyFacts) { f.Damage = law.Yes })
	return list
}
