package home

import (
	"fmt"
	"slices"

	"sillbook/internal/trade/law"
)

// standings judges all components.
func (n paintLimits) standings(f LeadFreeFacts) LeadFreeAnswer {
	a := LeadFreeAnswer{Outcome: AllLeadFree, Components: []ComponentStanding{}, NotShown: []string{}, Routes: routes(n.chips), KeepYears: n.years.Int()}
	for i := range f.Components {
		s := n.standing(f, i)
		a.Components = append(a.Components, s)
		if s.Outcome != LeadFree {
			a.Outcome = NotAllLeadFree
			a.NotShown = append(a.NotShown, s.Component)
		}
	}
	if len(f.Components) == 0 {
		a.Outcome = NotAllLeadFree
	}
	return a
}

// routes are the routes that count, with what the record of each must hold.
func routes(chips bool) []RouteRecord {
	list := []RouteRecord{}
	for _, route := range []Route{ByInspection, ByTestKit, ByPaintChip} {
		if route == ByPaintChip && !chips {
			continue
		}
		var s ComponentStanding
		record(&s, PaintFinding{Route: route}, "")
		list = append(list, RouteRecord{Route: route, Record: s.Records, Citation: law.Cite("40 CFR 745.86(b)(1)", law.Text)})
	}
	return list
}

// heard is a finding that bears on a component: its own, or that of another part of its integrated whole.
type heard struct {
	PaintFinding
	of    string // the component tested
	open  bool   // whether it carries over is not known
	lacks []string
}

// heardOf gathers what bears on a component. One test serves all parts of an integrated whole, by kit or paint chip, unless parts
// look repainted or refinished apart; where that is not known, lead carries over and freedom from it does not.
func (n paintLimits) heardOf(f LeadFreeFacts, i int) []heard {
	c := f.Components[i]
	var list []heard
	for _, finding := range c.Findings {
		list = append(list, heard{PaintFinding: finding, of: c.Label, lacks: n.lacking(finding)})
	}
	for j, other := range f.Components {
		if j == i || c.Whole == "" || other.Whole != c.Whole || c.Repainted == law.Yes || other.Repainted == law.Yes {
			continue
		}
		for _, finding := range other.Findings {
			if finding.Route != ByInspection {
				open := c.Repainted == law.Unknown || other.Repainted == law.Unknown
				list = append(list, heard{PaintFinding: finding, of: other.Label, open: open, lacks: n.lacking(finding)})
			}
		}
	}
	return list
}

// lacking are the conditions of a finding's route that are not known, and "!" before one that is not met.
func (n paintLimits) lacking(f PaintFinding) (lacks []string) {
	need := func(fact string, t law.Tri) {
		switch t {
		case law.Unknown:
			lacks = append(lacks, fact)
		case law.No:
			lacks = append(lacks, "!"+fact)
		}
	}
	need("by_certified", f.Certified)
	switch f.Route {
	case ByInspection:
		need("written", f.Written)
		need("held_by_firm", f.Held)
	case ByTestKit:
		need("recognised", f.Recognised)
		need("instructions_followed", f.Followed)
	case ByPaintChip:
		need("recognised", f.Recognised)
		if !n.chips {
			lacks = append(lacks, "!route")
		}
	}
	return lacks
}

// standing judges one component.
func (n paintLimits) standing(f LeadFreeFacts, i int) ComponentStanding {
	c := f.Components[i]
	s := ComponentStanding{Component: c.Label, Place: c.Place, Outcome: NotShown, Needs: []string{}, Records: []string{}, Lacking: []string{}}
	list := n.heardOf(f, i)
	free := slices.IndexFunc(list, func(h heard) bool { return n.says(h.PaintFinding) == Negative && len(h.lacks) == 0 && !h.open })
	lead := slices.IndexFunc(list, func(h heard) bool { return n.says(h.PaintFinding) == Positive })
	switch {
	case lead >= 0:
		n.found(&s, list[lead], free >= 0)
	case free >= 0:
		n.free(&s, f, c, list[free])
	default:
		n.notShown(&s, c, list)
	}
	return s
}

func (n paintLimits) found(s *ComponentStanding, h heard, split bool) {
	s.Outcome, s.rule, s.cite, s.split, s.atLimit = LeadBasedPaint, "lead_paint_found", n.loading.Cite(), split, n.contested(h.Level)
	what := "Lead-based paint was found"
	if h.of != s.Component {
		what += " on " + h.of + ", of the same integrated whole"
	}
	if h.Level.Known() {
		what += fmt.Sprintf(" (%s; lead-based from %s mg/cm2 or %s %%)", h.Level.Show(), n.loading.Number(), n.fraction.Number())
	}
	s.Why = what + "."
	if split {
		s.Why += " Another finding says otherwise; the one that found lead counts."
	}
}

// routeRules are the rules' names and clauses of the routes.
var routeRules = map[Route]struct {
	rule string
	cite law.Citation
}{
	ByInspection: {"lead_free_by_inspection", law.Cite("40 CFR 745.82(a)(1)", law.Text)},
	ByTestKit:    {"lead_free_by_test_kit", law.Cite("40 CFR 745.82(a)(2)", law.Text)},
	ByPaintChip:  {"lead_free_by_paint_chip", law.Cite("40 CFR 745.82(a)(3)", law.Text)},
}

func (n paintLimits) free(s *ComponentStanding, f LeadFreeFacts, c TestedComponent, h heard) {
	s.Outcome, s.Route, s.rule, s.cite = LeadFree, h.Route, routeRules[h.Route].rule, routeRules[h.Route].cite
	s.Why = map[Route]string{
		ByInspection: "A certified inspector or risk assessor found it free of lead-based paint in writing, and the firm holds the finding.",
		ByTestKit:    "A certified renovator tested it with a recognised test kit, as its maker instructs, and found no lead-based paint.",
		ByPaintChip:  "A recognised laboratory found the paint chip that a certified renovator took to be below the levels.",
	}[h.Route]
	place := c.Place
	if h.of != c.Label {
		s.TestedOn = h.of
		s.Why += " The test was made on " + h.of + ", of the same integrated whole, which looks painted alike."
		for _, other := range f.Components {
			if other.Label == h.of {
				place = other.Place
			}
		}
	}
	record(s, h.PaintFinding, place)
}

// record says what the record of a route must hold, and what is not told of it (40 CFR 745.86(b)(1)).
func record(s *ComponentStanding, f PaintFinding, place string) {
	item := func(name string, told bool) {
		s.Records = append(s.Records, name)
		if !told {
			s.Lacking = append(s.Lacking, name)
		}
	}
	switch f.Route {
	case ByInspection:
		item("the inspector's or risk assessor's report", f.Held == law.Yes)
		return
	case ByTestKit:
		item("manufacturer of the kit", f.Maker != "")
		item("model of the kit", f.Model != "")
	case ByPaintChip:
		item("name of the laboratory", f.Laboratory != "")
		item("address of the laboratory", f.Address != "")
	}
	item("component and its location", place != "")
	item("result", f.Result != ResultUnknown || f.Level.Known())
}

// unmet puts the conditions of a route that are not met into words.
var unmet = map[string]string{
	"!by_certified": "it was not made by somebody certified for it", "!written": "it is not in writing", "!held_by_firm": "the firm does not hold a copy",
	"!recognised": "the test kit or the laboratory is not recognised", "!instructions_followed": "the kit's instructions were not followed",
	"!route":       "paint chips of a renovator did not count on that date",
	"by_certified": "whether it was made by somebody certified for it is not known", "written": "whether it is in writing is not known",
	"held_by_firm": "whether the firm holds a copy is not known", "recognised": "whether the test kit or the laboratory is recognised is not known",
	"instructions_followed": "whether the kit's instructions were followed is not known",
}

func (n paintLimits) notShown(s *ComponentStanding, c TestedComponent, list []heard) {
	s.rule, s.cite, s.Why = "not_shown_free", law.Cite("40 CFR 745.82(a)", law.Text), "Nothing was found of it; it is presumed to have lead-based paint."
	for _, h := range list {
		switch said := n.says(h.PaintFinding); {
		case said == Inconclusive && h.Route == ByInspection:
			s.rule, s.Why = "xrf_inconclusive", "The XRF reading is inconclusive for this substrate, and shows nothing either way."
			s.Needs = []string{"A paint chip sample, analysed by a recognised laboratory."}
			return
		case said == Inconclusive:
			s.Why = fmt.Sprintf("%s cannot be shown to be below the levels.", h.Level.Show())
			if !h.Level.Known() {
				s.Why = "The result is inconclusive."
			}
		case said == ResultUnknown:
			s.Why = "What the test said is not known."
			s.lacks = append(s.lacks, "result")
		case h.open:
			s.Why = "It is part of an integrated whole of which another part was tested, and whether parts look repainted apart is not known."
			s.lacks = append(s.lacks, "separately_repainted")
		case len(h.lacks) > 0:
			s.Why = "A finding of no lead-based paint does not count: " + unmet[h.lacks[0]] + "."
			for _, fact := range h.lacks {
				switch {
				case fact[0] != '!':
					s.lacks = append(s.lacks, fact)
				case fact == "!held_by_firm":
					s.can = append(s.can, "held_by_firm")
				}
			}
		}
	}
	s.Needs = []string{"A certified inspector's or risk assessor's written finding, of which the firm holds a copy; or a recognised test kit used by a certified renovator as its maker instructs; or a paint chip taken by a certified renovator and analysed by a recognised laboratory."}
	if c.Whole != "" {
		s.Needs = append(s.Needs, "One test serves all parts of an integrated whole, unless parts look repainted or refinished apart.")
	}
}
