package demo

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"sillbook/api"
)

// verdict is a unit and what the service says of its coverage.
type verdict struct {
	unit *unitOf
	api.Determination
}

// outcomes are the three answers, in the order of the page.
var outcomes = []string{"covered", "presumed_covered", "not_covered"}

// signature is the same for homes that are covered, or not, for the same reasons.
func (v verdict) signature() string {
	var rules []string
	for _, r := range v.Reasons {
		rules = append(rules, r.Rule)
	}
	return v.Outcome + " " + strings.Join(rules, " ")
}

// coverage asks of every home whether it is covered (chapter 1).
func (s *story) coverage() {
	b := s.book
	s.chapter(1, "Which homes are covered, and why", s.clock.day(beginning))
	s.say(`%s told the service what it has: %d properties, %d buildings with %d exterior walls, %d homes, common areas and
		day cares with %d rooms, and %d households, each under its identifier in the landlord's rent system. Of the households
		only counts are told: no names, no birth dates.`,
		s.homes.Landlord, len(b.properties), b.counts["buildings"], b.counts["exterior sides"], len(b.units), len(b.rooms), b.counts["households"])
	verdicts := make([]verdict, len(b.units))
	together(len(b.units), func(i int) {
		verdicts[i] = verdict{b.units[i], read(s.owner.GetUnitCoverageWithResponse(s.ctx, b.units[i].id, &api.GetUnitCoverageParams{}))}
	})
	s.ask("Is this home covered by the lead-safe rules today, and why? Asked of each of the %d.", len(verdicts))
	counts := map[string]int{}
	for _, v := range verdicts {
		counts[v.Outcome]++
	}
	must(len(counts) == 3, "some homes are covered, some are presumed covered, some are not")
	s.answer("Covered, presumed covered because something is not known, or not covered:")
	for _, outcome := range outcomes {
		s.row(counts[outcome], words(outcome))
	}
	s.examples(verdicts)
	s.toFindOut(verdicts)
}

// examples are one home for each outcome and set of reasons, most homes first.
func (s *story) examples(verdicts []verdict) {
	groups := map[string][]verdict{}
	for _, v := range verdicts {
		groups[v.signature()] = append(groups[v.signature()], v)
	}
	s.say("One home of each sort, with the service's reasons:")
	order := slices.SortedFunc(maps.Keys(groups), func(a, b string) int {
		return cmp.Or(cmp.Compare(slices.Index(outcomes, groups[a][0].Outcome), slices.Index(outcomes, groups[b][0].Outcome)), cmp.Compare(len(groups[b]), len(groups[a])), cmp.Compare(a, b))
	})
	for _, sort := range order {
		v := groups[sort][0]
		like := ""
		if n := len(groups[sort]) - 1; n > 0 {
			like = fmt.Sprintf(" (and %d more like it)", n)
		}
		s.say("%s: %s%s", s.inFull(v.unit), words(v.Outcome), like)
		for _, r := range v.Reasons {
			s.item("%s [%s]", r.Text, cited(r.Citation))
		}
		if len(v.Missing) > 0 && v.Outcome == "presumed_covered" {
			s.item("Not known: %s.", unknown(v.Missing))
		}
	}
	studio, grandchild, lead := s.of(verdicts, "OM-1-2D"), s.of(verdicts, "LH-1-3B"), s.of(verdicts, "PC-1-1A")
	must(studio.Outcome != "not_covered", "a studio with a child is not excepted")
	must(grandchild.Outcome == "covered", "housing for older people is covered where a child lives")
	must(lead.Outcome == "not_covered", "a home found free of lead-based paint is not covered")
}

// inFull is a unit's name behind its property's, where the two differ.
func (s *story) inFull(u *unitOf) string {
	if property := s.book.names[u.property]; !strings.HasPrefix(u.name, property) {
		return property + ", " + u.name
	}
	return u.name
}

// unknown are the facts that were not known, in a row.
func unknown(missing []api.MissingFact) string {
	var facts []string
	for _, m := range missing {
		facts = append(facts, known(m.Fact))
	}
	return strings.Join(facts, "; ")
}

func (s *story) of(verdicts []verdict, external string) verdict {
	unit := s.book.unit(external)
	return verdicts[slices.IndexFunc(verdicts, func(v verdict) bool { return v.unit == unit })]
}

// toFindOut lists the facts that could change an answer, by how many homes they could change.
func (s *story) toFindOut(verdicts []verdict) {
	type gap struct{ fact, change string }
	homes := map[gap]int{}
	for _, v := range verdicts {
		for _, m := range v.Missing {
			homes[gap{m.Fact, m.WouldChange}]++
		}
	}
	must(len(homes) > 2, "several facts are worth finding out")
	s.ask("What should we find out, because it could change an answer?")
	s.answer("Until these are known the protective answer holds:")
	order := slices.SortedFunc(maps.Keys(homes), func(a, b gap) int { return cmp.Or(cmp.Compare(homes[b], homes[a]), cmp.Compare(a.fact, b.fact)) })
	for _, g := range order {
		s.row(homes[g], known(g.fact))
	}
	s.and("The number is of homes. What each would do:")
	for _, g := range order {
		s.item("%s", g.change)
	}
}
