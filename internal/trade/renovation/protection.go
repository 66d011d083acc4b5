package renovation

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// ProtectionFacts are what the protection of occupants turns on.
type ProtectionFacts struct {
	On             calendar.Date
	Covered        law.Tri // a covered renovation, 40 CFR 745.82
	Assisted       law.Tri // the home has federal housing assistance
	AboveDeMinimis law.Tri // of 24 CFR 35.1350(d)
	Occupied       law.Tri // somebody lives there
	Indoors        law.Tri // some of the work is indoors
	LeadDisturbed  law.Tri // leaded paint is disturbed, or leaded dust or soil made
	Sealed         law.Tri // windows, doors and other openings in or near the worksite are sealed during the work and cleaned after it
	SafeEntry      law.Tri // an entry free of dust, debris and soil hazards is there
	Hours          measure.Number
	HoursKnown     bool // of one period of daytime hours in which the interior work is completed
	Days           int  // calendar days in which the interior work is completed; 0: not known
	Contained      law.Tri
	OtherHazard    law.Tri // the work creates another safety, health or environmental hazard
	CleanedDaily   law.Tri // the worksite, and around it as far as the rule asks, at the end of each day
	Sleeping       law.Tri // safe access
	Bathroom       law.Tri
	Kitchen        law.Tri

	Protected  law.Tri // protected occupants live or visit there, as told: a child under six above all
	Restricted bool    // a restricted fact asks for protection; no answer says so
}

// The outcomes of occupant protection.
const (
	protectRelocate = "relocate"
	protectStay     = "may_stay"
	protectKeepOut  = "keep_out"
	protectNothing  = "not_asked"
)

// Condition is one condition of an exception, as a request names its fact.
type Condition struct {
	Fact string `json:"fact"`
	Met  string `json:"met"`
}

// Exception is one of the four under which occupants may stay; it holds where all its conditions are met.
type Exception struct {
	Code       string      `json:"code"`
	Holds      bool        `json:"holds"`
	Conditions []Condition `json:"conditions"`
}

// ProtectionAnswer says who must leave, who is kept out, and what signs stand where.
type ProtectionAnswer struct {
	Outcome       string            `json:"outcome"`
	Advised       bool              `json:"relocation_advised"`
	Exceptions    []Exception       `json:"exceptions"`
	Steps         []Step            `json:"steps"`
	Determination law.Determination `json:"determination"`
}

var (
	relocation     = law.Cite("24 CFR 35.1345(a)", law.Text)
	fewDays        = law.Citation{Clause: relocation.Clause, Source: law.Text, Note: "That no other hazard may be made is read in the exception for one period; that it is a condition of this one, too, is from memory."}
	housingSigns   = law.Cite("24 CFR 35.1345(b)", law.Text)
	renovationSign = law.Cite("40 CFR 745.85(a)(1)", law.Text)
	protectMore    = law.Citation{Source: law.CommonPractice, Clause: "beside 24 CFR 35.1345(a) and 40 CFR 745.85(a)(1)", Note: "No federal rule asks for it where occupants may stay."}
)

// Protect decides whether occupants are relocated, may stay, or are only kept out. What is not known never lets anybody stay.
func (r Rules) Protect(f ProtectionFacts) (ProtectionAnswer, error) {
	n := r.numbers("/on", f.On)
	q := protecting{f, n}
	a := ProtectionAnswer{Outcome: q.outcome(), Exceptions: q.exceptions(), Steps: []Step{}, Determination: law.NewDetermination("occupant_protection", f.On, r.RuleSet())}
	a.Determination.Outcome = a.Outcome
	a.Advised = (a.Outcome == protectStay || a.Outcome == protectKeepOut) && (f.Restricted || f.Protected != law.No)
	q.steps(&a)
	q.explain(&a)
	law.Otherwise(&a.Determination, f, q.alternatives(), func(f ProtectionFacts) string { return protecting{f, n}.outcome() })
	return a, n.err()
}

type protecting struct {
	ProtectionFacts
	n *numbers
}

func (q protecting) outcome() string {
	switch {
	case q.Occupied == law.No, q.Covered == law.No && !q.housing():
		return protectNothing
	case !q.housing():
		return protectKeepOut
	}
	for _, e := range q.exceptions() {
		if e.Holds {
			return protectStay
		}
	}
	return protectRelocate
}

// housing reports whether the housing rule's relocation is asked for at all.
func (q protecting) housing() bool { return q.Assisted != law.No && q.AboveDeMinimis != law.No }

// exceptions are the four of 35.1345(a), each with all its conditions.
func (q protecting) exceptions() []Exception {
	few := func(known bool, met bool) law.Tri {
		switch {
		case !known:
			return law.Unknown
		case met:
			return law.Yes
		}
		return law.No
	}
	hours := few(q.HoursKnown, q.Hours.Cmp(q.n.value("relocation_one_period_hours").Number()) <= 0)
	days := few(q.Days > 0, q.Days <= q.n.value("relocation_days").Int())
	return []Exception{
		exception("nothing_leaded", Condition{"lead_disturbed", not(q.LeadDisturbed)}),
		exception("exterior_sealed", Condition{"indoors", not(q.Indoors)}, Condition{"openings_sealed", q.Sealed.String()}, Condition{"safe_entry", q.SafeEntry.String()}),
		exception("one_period", Condition{"one_period_hours", hours.String()}, Condition{"contained", q.Contained.String()}, Condition{"other_hazard", not(q.OtherHazard)}),
		exception("few_days", Condition{"days", days.String()}, Condition{"contained", q.Contained.String()}, Condition{"other_hazard", not(q.OtherHazard)}, Condition{"cleaned_daily", q.CleanedDaily.String()},
			Condition{"access_to_sleeping_areas", q.Sleeping.String()}, Condition{"access_to_bathroom", q.Bathroom.String()}, Condition{"access_to_kitchen", q.Kitchen.String()}),
	}
}

func exception(code string, conditions ...Condition) Exception {
	e := Exception{Code: code, Holds: true, Conditions: conditions}
	for _, c := range conditions {
		e.Holds = e.Holds && c.Met == "yes"
	}
	return e
}

// not is whether the absence of something is known.
func not(t law.Tri) string {
	switch t {
	case law.Yes:
		return "no"
	case law.No:
		return "yes"
	}
	return "unknown"
}

// alternatives are what could be found out, and what people can arrange.
func (q protecting) alternatives() []law.Alternative[ProtectionFacts] {
	type set = func(*ProtectionFacts)
	list := []law.Alternative[ProtectionFacts]{}
	add := func(action bool, fact, value string, can bool, set set) {
		if can {
			list = append(list, law.Alternative[ProtectionFacts]{Fact: fact, Value: value, Action: action, Set: set})
		}
	}
	find := func(fact, value string, told law.Tri, set set) { add(false, fact, value, told == law.Unknown, set) }
	do := func(fact, value string, told, now law.Tri, set set) { add(true, fact, value, told != now, set) }
	find("assisted", "no", q.Assisted, func(f *ProtectionFacts) { f.Assisted = law.No })
	find("above_de_minimis", "no", q.AboveDeMinimis, func(f *ProtectionFacts) { f.AboveDeMinimis = law.No })
	find("occupied", "no", q.Occupied, func(f *ProtectionFacts) { f.Occupied = law.No })
	find("covered", "no", q.Covered, func(f *ProtectionFacts) { f.Covered = law.No })
	find("lead_disturbed", "no", q.LeadDisturbed, func(f *ProtectionFacts) { f.LeadDisturbed = law.No })
	find("indoors", "no", q.Indoors, func(f *ProtectionFacts) { f.Indoors = law.No })
	hours, days := q.n.value("relocation_one_period_hours"), q.n.value("relocation_days")
	add(true, "one_period_hours", hours.Value+" or fewer", q.Indoors != law.No && (!q.HoursKnown || q.Hours.Cmp(hours.Number()) > 0), func(f *ProtectionFacts) { f.Hours, f.HoursKnown = hours.Number(), true })
	add(true, "days", days.Value+" or fewer", q.Indoors != law.No && q.Days != 0 && q.Days > days.Int() || q.Indoors != law.No && q.Days == 0, func(f *ProtectionFacts) { f.Days = days.Int() })
	do("openings_sealed", "yes", q.Sealed, law.Yes, func(f *ProtectionFacts) { f.Sealed = law.Yes })
	do("safe_entry", "yes", q.SafeEntry, law.Yes, func(f *ProtectionFacts) { f.SafeEntry = law.Yes })
	do("contained", "yes", q.Contained, law.Yes, func(f *ProtectionFacts) { f.Contained = law.Yes })
	do("other_hazard", "no", q.OtherHazard, law.No, func(f *ProtectionFacts) { f.OtherHazard = law.No })
	do("cleaned_daily", "yes", q.CleanedDaily, law.Yes, func(f *ProtectionFacts) { f.CleanedDaily = law.Yes })
	do("access_to_sleeping_areas", "yes", q.Sleeping, law.Yes, func(f *ProtectionFacts) { f.Sleeping = law.Yes })
	do("access_to_bathroom", "yes", q.Bathroom, law.Yes, func(f *ProtectionFacts) { f.Bathroom = law.Yes })
	do("access_to_kitchen", "yes", q.Kitchen, law.Yes, func(f *ProtectionFacts) { f.Kitchen = law.Yes })
	return list
}
