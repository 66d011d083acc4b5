package home

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func (r ComponentRules) explain(f LeadFreeFacts, n paintLimits, a LeadFreeAnswer) law.Determination {
	d := law.NewDetermination("lead_free_components", f.AsOf, r.book.RuleSet())
	d.Outcome = a.Outcome
	lacks := map[string][]string{}
	for _, s := range a.Components {
		d.Because(s.rule, "component", s.Component, s.cite, s.Why)
		d.Use(clip("findings of "+s.Component, 100), fmt.Sprint(findings(f, s.Component)))
		for _, fact := range s.lacks {
			if !slices.Contains(lacks[fact], s.Component) {
				lacks[fact] = append(lacks[fact], s.Component)
			}
		}
		if s.TestedOn != "" {
			d.Because("integrated_whole", "whole", s.Component, law.Cite("40 CFR 745.82(a)(2) and (3)", law.Text), "One test serves all parts of an integrated whole that look painted alike.")
		}
		if len(s.Lacking) > 0 {
			d.Because("lead_free_record", "component", s.Component, law.Cite("40 CFR 745.86(b)(1)", law.Text), "Its record must also hold: "+strings.Join(s.Lacking, ", ")+".")
		}
	}
	if len(f.Components) == 0 {
		d.Because("not_shown_free", "components", "none", law.Cite("40 CFR 745.82(a)", law.Text), "No component is told; each affected component must be shown to be free.")
	}
	for _, fact := range slices.Sorted(maps.Keys(lacks)) {
		d.Miss(fact, fmt.Sprintf("Every condition of a route must hold; it is not known for %s.", some(lacks[fact])), "Knowing that it holds could show these components to be free of lead-based paint.")
	}
	n.differ(&d, a)
	return d
}

// clip keeps a name within what an answer may hold.
func clip(name string, most int) string {
	if runes := []rune(name); len(runes) > most {
		return string(runes[:most])
	}
	return name
}

func findings(f LeadFreeFacts, label string) int {
	for _, c := range f.Components {
		if c.Label == label {
			return len(c.Findings)
		}
	}
	return 0
}

// differ says where the clauses differ, and where findings do.
func (n paintLimits) differ(d *law.Determination, a LeadFreeAnswer) {
	at, split := []string{}, []string{}
	for _, s := range a.Components {
		if s.atLimit {
			at = append(at, s.Component)
		}
		if s.split {
			split = append(split, s.Component)
		}
	}
	if len(at) > 0 {
		d.Differences = append(d.Differences, fmt.Sprintf("%s: the share by weight is exactly %s %%. 40 CFR 745.103, 745.82(a) and 24 CFR 35.110 say at or above; 40 CFR 745.223 and the definition of a recognised test kit in 745.83 say more than. It counts as lead-based paint.", some(at), n.fraction.Number()))
	}
	if len(split) > 0 {
		d.Differences = append(d.Differences, fmt.Sprintf("%s: the findings disagree; the one that found lead counts.", some(split)))
	}
}

// alternatives are what would show the components that are not shown to be free. Where lead was found nothing would, and where
// more components are open than a set can name, no set would.
func (n paintLimits) alternatives(f LeadFreeFacts, a LeadFreeAnswer) []law.Alternative[LeadFreeFacts] {
	list := []law.Alternative[LeadFreeFacts]{}
	open := slices.DeleteFunc(slices.Clone(a.Components), func(s ComponentStanding) bool { return s.Outcome == LeadFree })
	if len(open) > 3 || slices.ContainsFunc(open, func(s ComponentStanding) bool { return s.Outcome == LeadBasedPaint }) {
		return list
	}
	for _, s := range open {
		for _, fact := range slices.Compact(slices.Sorted(slices.Values(append(s.can, s.lacks...)))) {
			list = append(list, law.Alternative[LeadFreeFacts]{Fact: fact + " of " + s.Component, Value: wanted[fact], Action: slices.Contains(s.can, fact), Set: func(f *LeadFreeFacts) { f.Components = f.with(s.Component, fact) }})
		}
		if n.chips {
			list = append(list, law.Alternative[LeadFreeFacts]{Fact: "findings of " + s.Component, Value: "a paint chip that a recognised laboratory finds below the levels", Action: true,
				Set: func(f *LeadFreeFacts) { f.Components = f.with(s.Component, "") }})
		}
	}
	return list
}

// wanted is the value of a fact that would show a component free.
var wanted = map[string]string{"by_certified": "yes", "written": "yes", "held_by_firm": "yes", "recognised": "yes", "instructions_followed": "yes", "separately_repainted": "no", "result": "negative"}

// with is a copy of the components in which one has a fact as wanted, or a negative paint chip.
func (f LeadFreeFacts) with(label, fact string) []TestedComponent {
	components := slices.Clone(f.Components)
	whole := ""
	for _, c := range components {
		if c.Label == label {
			whole = c.Whole
		}
	}
	for i, c := range components {
		switch {
		case fact == "separately_repainted" && whole != "" && c.Whole == whole && c.Repainted == law.Unknown:
			components[i].Repainted = law.No
		case c.Label == label && fact == "":
			chip := PaintFinding{Route: ByPaintChip, On: f.AsOf, Result: Negative, Certified: law.Yes, Recognised: law.Yes, Level: measure.Quantity{}}
			components[i].Findings = append(slices.Clone(c.Findings), chip)
		case c.Label == label:
			components[i].Findings = slices.Clone(c.Findings)
			for j := range components[i].Findings {
				components[i].Findings[j].settle(fact)
			}
		}
	}
	return components
}

// settle sets a fact that is not known to what would show the component free.
func (f *PaintFinding) settle(fact string) {
	told := map[string]*law.Tri{"by_certified": &f.Certified, "written": &f.Written, "held_by_firm": &f.Held, "recognised": &f.Recognised, "instructions_followed": &f.Followed}
	if t, is := told[fact]; is && (*t == law.Unknown || fact == "held_by_firm") {
		*t = law.Yes
	}
	if fact == "result" && f.Result == ResultUnknown && !f.Level.Known() {
		f.Result = Negative
	}
}
