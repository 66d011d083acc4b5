package clearance

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Who may clear is told by discipline. Whether a certificate holds on the day and in the place is another package's question; here it is a fact.
const (
	inspector    = "inspector"
	riskAssessor = "risk_assessor"
	technician   = "dust_sampling_technician"
)

// Relation is how whoever clears stands to whoever did the work.
type Relation string

// The relations. Any other is not known.
const (
	AnotherFirm Relation = "another_firm"
	OwnStaff    Relation = "own_staff"   // qualified staff of the owner or agency whose other staff did the work
	SameFirm    Relation = "same_firm"   // of the firm that did the work
	SamePerson  Relation = "same_person" // did some of it
)

// AuthorityFacts are what is known of whoever is to clear.
type AuthorityFacts struct {
	AsOf          calendar.Date
	Jurisdictions []string
	Work          Work
	Assisted      law.Tri // the housing is federally assisted: the housing rule holds
	Discipline    string  // empty: not known
	Certified     law.Tri // their certificate holds on the day and in the place

	// of a technician
	Supervised law.Tri // by an inspector or risk assessor who signs the report
	Licensed   law.Tri // as a sampling technician, by the state or tribe or EPA
	SingleUnit law.Tri // it is single-family housing, or a single unit
	Random     law.Tri // it is cleared by a random sample of units
	Approved   law.Tri // an inspector or risk assessor approved that sampling and signs the report

	Relation Relation
}

// The outcomes of the question who may clear.
const (
	May      = "may_clear"
	MayNot   = "may_not_clear"
	NotYet   = "not_shown"    // what was told does not show it
	Required = "required"     // of independence: it is asked for, and not there
	Met      = "met"          // it is asked for, and there
	NotAsked = "not_required" // nothing asks for it
)

// AuthorityAnswer says whether somebody may clear.
type AuthorityAnswer struct {
	Outcome       string            `json:"outcome"`
	Independence  string            `json:"independence"`
	WhoMay        []Clearer         `json:"who_may"`
	Determination law.Determination `json:"determination"`

	forbids []law.Reason
}

// Forbids are the reasons for which they may not clear; none where they may or where it is not shown.
func (a AuthorityAnswer) Forbids() []law.Reason { return a.forbids }

// Clearer is a discipline that may clear, and on what condition.
type Clearer struct {
	Discipline string       `json:"discipline"`
	Condition  string       `json:"condition,omitempty"`
	Citation   law.Citation `json:"citation"`
}

// Authorities answers who may clear.
type Authorities struct {
	book *law.Book

	renovation, abatement           law.Handle // a technician may
	licensed, supervised, random    law.Handle
	anotherFirm, ownStaff, neverOwn law.Handle
}

func newAuthorities(book *law.Book) (Authorities, error) {
	a := Authorities{book: book}
	return a, book.Handles(map[string]*law.Handle{
		"technician_clears_renovation": &a.renovation, "technician_clears_abatement": &a.abatement,
		"licensed_technician_clears_assisted": &a.licensed, "supervised_technician_clears_assisted": &a.supervised,
		"licensed_technician_random_sampling": &a.random, "clearance_by_another_firm": &a.anotherFirm,
		"clearance_by_own_staff": &a.ownStaff, "clearance_never_own_work": &a.neverOwn,
	})
}

// lawOfAuthority is the law on one date: 1 or 0, each with its clause.
type lawOfAuthority struct {
	renovation                                                               *law.Value // nil before there was a rule on renovations
	abatement, licensed, supervised, random, anotherFirm, ownStaff, neverOwn *law.Value
}

// Judge says whether somebody may clear: certified for it, and independent as far as the law asks. What is not known does not show it.
func (a Authorities) Judge(f AuthorityFacts) (AuthorityAnswer, error) {
	l, err := a.read(f)
	if err != nil {
		return AuthorityAnswer{}, err
	}
	answer := a.judge(f, l)
	law.Otherwise(&answer.Determination, f, f.otherwise(), func(f AuthorityFacts) string {
		l, err := a.read(f)
		if err != nil {
			return ""
		}
		return a.judge(f, l).Outcome
	})
	return answer, nil
}

// read finds the law of the date. Independence is the housing rule's where the housing is assisted or may be, and any place's own.
func (a Authorities) read(f AuthorityFacts) (l lawOfAuthority, err error) {
	all := a.book.Lookup(f.AsOf, "/as_of", law.Scope{Jurisdictions: f.Jurisdictions})
	l = lawOfAuthority{abatement: all.Value(a.abatement), licensed: all.Value(a.licensed), supervised: all.Value(a.supervised),
		random: all.Value(a.random), ownStaff: all.Value(a.ownStaff)}
	if v, ok := a.book.On(a.renovation, f.AsOf, law.Required, law.Scope{Jurisdictions: f.Jurisdictions}); ok {
		l.renovation = v
	} else if f.Work == Renovation {
		return l, a.book.TooEarly(a.renovation, "/as_of", f.AsOf)
	}
	scope := law.Scope{Jurisdictions: f.Jurisdictions, Programmes: always}
	if f.Assisted != law.No {
		scope.Programmes = nil
	}
	asked := a.book.Lookup(f.AsOf, "/as_of", scope)
	l.anotherFirm, l.neverOwn = asked.Value(a.anotherFirm), asked.Value(a.neverOwn)
	if err := all.Err(); err != nil {
		return l, err
	}
	return l, asked.Err()
}

func (a Authorities) judge(f AuthorityFacts, l lawOfAuthority) AuthorityAnswer {
	j := authorityJudge{facts: f, law: l, d: law.NewDetermination("clearance_authority", f.AsOf, a.book.RuleSet())}
	j.use()
	j.byDiscipline()
	j.byCertificate()
	answer := AuthorityAnswer{Independence: j.independence(), WhoMay: j.whoMay()}
	switch {
	case j.no:
		answer.Outcome = MayNot
	case j.open:
		answer.Outcome = NotYet
	default:
		answer.Outcome = May
	}
	j.d.Outcome = answer.Outcome
	answer.Determination, answer.forbids = j.d, j.forbids
	return answer
}

// otherwise is what could be found out, or done, that would change whether they may.
func (f AuthorityFacts) otherwise() []law.Alternative[AuthorityFacts] {
	var list []law.Alternative[AuthorityFacts]
	find := func(fact, value string, unknown bool, set func(*AuthorityFacts)) {
		if unknown {
			list = append(list, law.Alternative[AuthorityFacts]{Fact: fact, Value: value, Set: set})
		}
	}
	do := func(fact, value string, can bool, set func(*AuthorityFacts)) {
		if can {
			list = append(list, law.Alternative[AuthorityFacts]{Fact: fact, Value: value, Action: true, Set: set})
		}
	}
	find("work", string(Renovation), f.Work == "", func(f *AuthorityFacts) { f.Work = Renovation })
	find("assisted", "no", f.Assisted == law.Unknown, func(f *AuthorityFacts) { f.Assisted = law.No })
	find("discipline", riskAssessor, f.Discipline == "", func(f *AuthorityFacts) { f.Discipline = riskAssessor })
	find("certified", "yes", f.Certified == law.Unknown, func(f *AuthorityFacts) { f.Certified = law.Yes })
	find("supervised", "yes", f.Supervised == law.Unknown, func(f *AuthorityFacts) { f.Supervised = law.Yes })
	find("licensed", "yes", f.Licensed == law.Unknown, func(f *AuthorityFacts) { f.Licensed = law.Yes })
	find("single_unit", "yes", f.SingleUnit == law.Unknown, func(f *AuthorityFacts) { f.SingleUnit = law.Yes })
	find("random_sampling", "no", f.Random == law.Unknown, func(f *AuthorityFacts) { f.Random = law.No })
	find("sampling_approved", "yes", f.Approved == law.Unknown, func(f *AuthorityFacts) { f.Approved = law.Yes })
	find("relation", string(AnotherFirm), !f.Relation.known(), func(f *AuthorityFacts) { f.Relation = AnotherFirm })
	do("clearer", "a certified inspector or risk assessor of another firm", true, func(f *AuthorityFacts) {
		f.Discipline, f.Certified, f.Relation = riskAssessor, law.Yes, AnotherFirm
	})
	do("supervised", "yes", f.Discipline == technician && f.Supervised == law.No, func(f *AuthorityFacts) { f.Supervised = law.Yes })
	do("sampling_approved", "yes", f.Discipline == technician && f.Approved == law.No, func(f *AuthorityFacts) { f.Approved = law.Yes })
	do("random_sampling", "no", f.Discipline == technician && f.Random == law.Yes, func(f *AuthorityFacts) { f.Random = law.No })
	return list
}

func (r Relation) known() bool {
	return r == AnotherFirm || r == OwnStaff || r == SameFirm || r == SamePerson
}
