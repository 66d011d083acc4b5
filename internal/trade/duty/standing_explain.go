package duty

import (
	"slices"
	"strconv"
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

var (
	keepOut       = law.Cite("40 CFR 745.85(a)(1), 745.85(b); 24 CFR 35.1345(a)", law.Text)
	ownOrder      = law.Citation{Clause: "the order of conditions", Source: law.CommonPractice}
	presumption   = law.Citation{Clause: `40 CFR 745.103, "target housing"`, Source: law.Derived, Note: "A fact that is not known gets the protective answer."}
	targetHousing = law.Cite(`40 CFR 745.103, "target housing"; 745.83, "child-occupied facility"`, law.Text)
)

// said is what each condition says; {day} stands for the day that matters.
var said = [conditions]struct {
	rule, fact, dated, undated string
	cite                       law.Citation
}{
	NotCleared:            {"standing_not_cleared", "worksites", "Keep out: work ended on {day}, and nothing shows that the worksite is clean.", "", keepOut},
	UnderWay:              {"standing_under_way", "worksites", "Keep out: work has been under way since {day}.", "", keepOut},
	PastDue:               {"standing_overdue", "duties", "Something is past its last day, the first since {day}.", "", ownOrder},
	ActionDue:             {"standing_action_due", "duties", "Something is to be done, by {day}.", "Something is to be done, with no last day.", ownOrder},
	RestrictedRequirement: {"standing_restricted", "duties", "A restricted requirement applies, due {day}.", "A restricted requirement applies.", ownOrder},
	PresumedCovered:       {"standing_presumed", "covered", "", "It counts as covered because facts are missing.", presumption},
	InOrder:               {"standing_in_order", "duties", "", "It is covered, and nothing is to be done now.", ownOrder},
	NotCovered:            {"standing_not_covered", "covered", "", "It is not covered.", targetHousing},
}

// Explain puts a standing into words. Restricted conditions never say which fact they follow from.
func (r StandingRules) Explain(f StandingFacts, s Standing) StandingAnswer {
	d := law.NewDetermination("standing", f.AsOf, r.book.RuleSet())
	d.Outcome = s.Headline().String()
	a := StandingAnswer{Outcome: d.Outcome, Conditions: []Shown{}, ChangesOn: s.Changes}
	for c := range conditions {
		if !s.Set.Has(c) {
			continue
		}
		text := f.words(c, s.Days[c])
		a.Conditions = append(a.Conditions, Shown{c.String(), s.Days[c], text, said[c].rule, said[c].cite})
		value := ""
		if !s.Days[c].IsZero() {
			value = s.Days[c].String()
		}
		d.Because(said[c].rule, said[c].fact, value, said[c].cite, text)
	}
	d.Use("covered", f.Covered.String())
	d.Use("soon_days", strconv.Itoa(f.Soon))
	d.Use("worksites", strconv.Itoa(len(f.Worksites)))
	if f.Covered == home.Presumed {
		d.Miss("covered", "Facts of the home are missing, so that it counts as covered.", "The facts that its coverage lacks could show that it is not covered.")
	}
	for i, w := range f.Worksites {
		if w.Check == law.Unknown && s.Set.Has(NotCleared) && (Worksite{EndedOn: w.EndedOn, ClearedOn: w.ClearedOn}).uncleared(f.AsOf) {
			d.Miss("worksites/"+strconv.Itoa(i)+"/check", "It is not known whether the job must be verified or cleared, so it must.", "A job that need not be would not keep anybody out after it ended.")
		}
	}
	law.Otherwise(&d, f, f.alternatives(), func(f StandingFacts) string { return StandingOf(f).Headline().String() })
	a.Determination = d
	return a
}

// words says what a condition says, with the names of the duties it comes from, where they were told.
func (f StandingFacts) words(c Condition, day calendar.Date) string {
	text := said[c].undated
	if !day.IsZero() && said[c].dated != "" {
		text = strings.ReplaceAll(said[c].dated, "{day}", day.String())
	}
	if c != PastDue && c != ActionDue {
		return text
	}
	names := []string{}
	for i := range f.Owed {
		var s Standing
		if f.Owed[i].add(&s, f.AsOf, f.Soon); s.Set.Has(c) && f.Owed[i].What != "" && !slices.Contains(names, f.Owed[i].What) {
			names = append(names, f.Owed[i].What)
		}
	}
	if len(names) == 0 {
		return text
	}
	slices.Sort(names)
	return strings.TrimSuffix(text, ".") + ": " + strings.Join(names, "; ") + "."
}

func (w Worksite) uncleared(day calendar.Date) bool {
	var s Standing
	w.add(&s, day)
	return s.Set.Has(NotCleared)
}

// alternatives are what could be found out, and what can be done by the day asked about.
func (f StandingFacts) alternatives() (list []law.Alternative[StandingFacts]) {
	if f.Covered == home.Presumed {
		for _, o := range []home.Outcome{home.NotCovered, home.Covered} {
			list = append(list, law.Alternative[StandingFacts]{Fact: "covered", Value: o.String(), Set: func(f *StandingFacts) { f.Covered = o }})
		}
	}
	for i, w := range f.Worksites {
		fact := "worksites/" + strconv.Itoa(i)
		change := func(name, value string, action bool, set func(*Worksite)) {
			list = append(list, law.Alternative[StandingFacts]{Fact: fact + "/" + name, Value: value, Action: action, Set: func(f *StandingFacts) {
				f.Worksites = slices.Clone(f.Worksites)
				set(&f.Worksites[i])
			}})
		}
		if !w.uncleared(f.AsOf) {
			continue
		}
		change("cleared_on", f.AsOf.String(), true, func(w *Worksite) { w.ClearedOn = f.AsOf })
		if w.Check == law.Unknown {
			change("check", "no", false, func(w *Worksite) { w.Check = law.No })
		}
	}
	for _, c := range []Condition{PastDue, ActionDue} {
		if f.on(f.AsOf).Set.Has(c) {
			list = append(list, law.Alternative[StandingFacts]{Fact: "duties/" + c.String(), Value: "met on " + f.AsOf.String(), Action: true, Set: func(f *StandingFacts) { f.meet(c) }})
		}
	}
	return list
}

// meet takes every duty that makes a condition for met on the day asked about.
func (f *StandingFacts) meet(c Condition) {
	f.Owed = slices.Clone(f.Owed)
	for i := range f.Owed {
		var s Standing
		if f.Owed[i].add(&s, f.AsOf, f.Soon); s.Set.Has(c) {
			f.Owed[i].MetOn = f.AsOf
		}
	}
}
