package home

import (
	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Route is how a component is shown to be free of lead-based paint (40 CFR 745.82(a)(1) to (3)).
type Route string

// The routes: a certified inspector's or risk assessor's written finding that the firm holds; a recognised test kit used by a
// certified renovator; a paint chip that a certified renovator took and a recognised laboratory analysed.
const (
	ByInspection Route = "inspection"
	ByTestKit    Route = "test_kit"
	ByPaintChip  Route = "paint_chip"
)

// Result is what a test says of the paint.
type Result string

// The results. An XRF reading is inconclusive within a range that its maker's sheet gives for the substrate.
const (
	ResultUnknown Result = "unknown"
	Negative      Result = "negative"
	Positive      Result = "positive"
	Inconclusive  Result = "inconclusive"
)

// PaintFinding is one test of a component's paint, or an inspector's word on it.
type PaintFinding struct {
	Route      Route
	On         calendar.Date
	Result     Result
	Level      measure.Quantity // lead for each area or by weight; not known where none was told
	Certified  law.Tri          // by somebody certified for the route
	Written    law.Tri          // inspection: in writing
	Held       law.Tri          // inspection: the firm holds a copy
	Recognised law.Tri          // the kit, or the laboratory
	Followed   law.Tri          // kit: its maker's instructions

	Maker, Model, Laboratory, Address string // what the records name
}

// TestedComponent is one affected component and what was found of it.
type TestedComponent struct {
	Label     string
	Place     string  // where it is; empty where that was not told
	Whole     string  // the integrated whole it is part of, such as one stair; empty where it stands alone
	Repainted law.Tri // it looks repainted or refinished apart from the rest of the whole
	Findings  []PaintFinding
}

// LeadFreeFacts are the affected components of a job.
type LeadFreeFacts struct {
	AsOf       calendar.Date
	Components []TestedComponent
}

// LeadFreeAnswer says which components are shown to be free of lead-based paint, and what the others need.
type LeadFreeAnswer struct {
	Outcome    string              `json:"outcome"` // all_lead_free or not_all_lead_free
	Components []ComponentStanding `json:"components"`
	NotShown   []string            `json:"not_shown"` // labels
	Routes     []RouteRecord       `json:"routes"`
	KeepYears  int                 `json:"keep_records_years"`
	Why        law.Determination   `json:"determination"`
}

// RouteRecord is what the record of a route must hold (40 CFR 745.86(b)(1)).
type RouteRecord struct {
	Route    Route        `json:"route"`
	Record   []string     `json:"record"`
	Citation law.Citation `json:"citation"`
}

// Outcomes of components and of all of them.
const (
	AllLeadFree    = "all_lead_free"
	NotAllLeadFree = "not_all_lead_free"

	LeadFree       = "lead_free"
	LeadBasedPaint = "lead_based_paint"
	NotShown       = "not_shown"
)

// ComponentStanding is what one component's findings show.
type ComponentStanding struct {
	Component string   `json:"component"`
	Place     string   `json:"place,omitempty"`
	Outcome   string   `json:"outcome"`
	Route     Route    `json:"route,omitempty"`     // the route that shows it free
	TestedOn  string   `json:"tested_on,omitempty"` // the part of its integrated whole that was tested, where that is another
	Why       string   `json:"why"`
	Needs     []string `json:"needs"`           // what would show it free
	Records   []string `json:"records"`         // what the route's record must hold (40 CFR 745.86(b)(1))
	Lacking   []string `json:"records_lacking"` // what is not told of it

	rule    string
	cite    law.Citation
	can     []string // facts that can be put right
	lacks   []string // facts that are not known, as a request names them
	atLimit bool
	split   bool // its findings disagree
}

// ComponentRules are the parameters that the three routes read, found once.
type ComponentRules struct {
	book              *law.Book
	scope             law.Scope
	loading, fraction law.Handle
	chip, years       law.Handle
}

// NewComponentRules finds the parameters.
func NewComponentRules(book *law.Book) (ComponentRules, error) {
	r := ComponentRules{book: book}
	return r, book.Handles(map[string]*law.Handle{"lead_paint_loading": &r.loading, "lead_paint_fraction": &r.fraction,
		"lead_free_chip_route": &r.chip, "records_years": &r.years})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r ComponentRules) In(jurisdictions []string) ComponentRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// paintLimits are the levels from which paint is lead-based, and whether a renovator's paint chips count.
type paintLimits struct {
	loading, fraction *law.Value
	chips             bool
	years             *law.Value
}

// LeadFree says, component by component, which are shown to be free of lead-based paint by one of the three routes (40 CFR
// 745.82(a)). Lead found by anybody counts; freedom from it only by the whole of a route. A level exactly at a limit is
// lead-based paint.
func (r ComponentRules) LeadFree(f LeadFreeFacts) (LeadFreeAnswer, error) {
	l := r.book.Lookup(f.AsOf, "/as_of", r.scope)
	n := paintLimits{loading: l.Value(r.loading), fraction: l.Value(r.fraction), chips: l.Value(r.chip).Int() != 0, years: l.Value(r.years)}
	if err := l.Err(); err != nil {
		return LeadFreeAnswer{}, err
	}
	if err := n.check(f); err != nil {
		return LeadFreeAnswer{}, err
	}
	a := n.standings(f)
	a.Why = r.explain(f, n, a)
	law.Otherwise(&a.Why, f, n.alternatives(f, a), func(f LeadFreeFacts) string { return n.standings(f).Outcome })
	return a, nil
}

// check refuses findings that contradict themselves.
func (n paintLimits) check(f LeadFreeFacts) error {
	var faults fault.Faults
	seen := map[string]bool{}
	for i, c := range f.Components {
		if seen[c.Label] {
			faults.Add(pointer("/components", i, "/component"), "told_twice", "%s is told twice; put its findings into one entry.", c.Label)
		}
		seen[c.Label] = true
		for j, finding := range c.Findings {
			where := pointer("/components", i, pointer("/findings", j, ""))
			if finding.On.After(f.AsOf) {
				faults.Add(where+"/on", "in_the_future", "The finding is of %s, after the day asked about, %s; correct one of the two.", finding.On, f.AsOf)
			}
			if finding.Result == Negative && n.judge(finding.Level) == Positive {
				faults.Add(where+"/result", "contradiction", "The result is told to be negative, and %s is lead-based paint; correct one of the two.", finding.Level.Show())
			}
		}
	}
	return faults.Err()
}

// judge compares a level with its limit. "Less than" a bound shows paint to be below only where the bound is not above the limit.
func (n paintLimits) judge(level measure.Quantity) Result {
	if !level.Known() {
		return ResultUnknown
	}
	limit, unit := n.fraction.Number(), measure.Percent
	if level.Unit.Dimension() == measure.Loading {
		limit, unit = n.loading.Number(), measure.MilligramPerSquareCentimetre
	}
	c := level.In(unit).Cmp(limit)
	switch {
	case level.Qualifier == measure.LessThan && c <= 0, level.Qualifier == measure.Exactly && c < 0:
		return Negative
	case level.Qualifier == measure.LessThan:
		return Inconclusive
	}
	return Positive
}

// contested reports whether a level is exactly the share by weight, which two clauses leave out.
func (n paintLimits) contested(level measure.Quantity) bool {
	return level.Known() && level.Qualifier == measure.Exactly && level.Unit.Dimension() == measure.Fraction && level.In(measure.Percent).Cmp(n.fraction.Number()) == 0
}

// says is what a finding says of the paint: its level where one is told and the reading is conclusive, else its result.
func (n paintLimits) says(f PaintFinding) Result {
	judged := n.judge(f.Level)
	switch {
	case f.Result == Positive || f.Result == Inconclusive && f.Route == ByInspection:
		return f.Result
	case judged != ResultUnknown:
		return judged
	}
	return f.Result
}
