package clearance

import (
	"fmt"
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Work is what was done, as far as it decides how clearance is sampled.
type Work string

// The kinds of work. Any other is not known.
const (
	Renovation Work = "renovation" // cleared because the contract or another law asks for it (40 CFR 745.85(c))
	Abatement  Work = "abatement"
)

// Extent is what a sampling plan is for.
type Extent string

// The extents: where the work was, the whole unit, or only outdoors.
const (
	Worksite Extent = "worksite"
	Unit     Extent = "unit"
	Outdoors Extent = "exterior"
)

// PlanFacts are what is known of a place that is to be sampled.
type PlanFacts struct {
	AsOf           calendar.Date // of the sampling, local
	Jurisdictions  []string
	Programmes     []string
	Work           Work
	Extent         Extent
	Contained      law.Tri // the work area was contained
	WindowsCovered law.Tri // the windows of the work area were closed and covered
	OpeningsSealed law.Tri // of work outdoors: windows and doors near it were sealed
	Rooms          []Room
	Seed           string           // of the draw of rooms; empty: not told
	ReportingLimit measure.Quantity // of the laboratory that will measure; may be not known
}

// assisted reports whether a programme of HUD holds.
func (f PlanFacts) assisted() bool {
	return slices.Contains(f.Programmes, "hud") || slices.Contains(f.Programmes, "hud_grant")
}

// Room is a room, hall or stairwell, as a sampling plan needs it.
type Room struct {
	Name   string
	Worked law.Tri // work was done in it: it is in the containment, where there is one
	Sill   law.Tri // it has an interior window sill
	Trough law.Tri // it has a window trough
	Floor  Surface // floor_bare, floor_carpeted, porch_floor; empty: not known
}

// Plan is where to wipe, and with what.
type Plan struct {
	Outcome       string            `json:"outcome"` // wipes, or visual_only
	Wipes         []Planned         `json:"wipes"`
	Rooms         []string          `json:"rooms"`        // that are sampled
	Drawn         []Drawn           `json:"drawn"`        // the order of the draw, where one was made
	Recipe        string            `json:"recipe"`       // of the draw; empty where none was made
	Blanks        int               `json:"field_blanks"` // to send along
	BlankMost     *measure.Shown    `json:"field_blank_most"`
	Sizes         []WipeSize        `json:"sizes"`
	Visual        []string          `json:"visual"` // what the visual inspection, which comes first, looks for
	Determination law.Determination `json:"determination"`
}

// Planned is one wipe to take.
type Planned struct {
	Place     string  `json:"place"`
	Surface   Surface `json:"surface"`
	Outside   bool    `json:"outside_containment"`
	IfPresent bool    `json:"if_present"` // whether the room has such a surface is not known
	Why       string  `json:"why"`
}

// WipeSize is what one surface's wipes cover, and the highest limit a laboratory may have for it.
type WipeSize struct {
	Surface     Surface        `json:"surface"`
	Area        measure.Shown  `json:"area"`
	Advised     bool           `json:"advised"` // the bigger area that is advised for low levels
	Level       measure.Shown  `json:"level"`
	Decides     measure.Shown  `json:"decides_up_to"`     // with a reporting limit up to this, "<" shows a pass
	Recognised  *measure.Shown `json:"recognised_up_to"`  // up to this, it is as low as a recognised laboratory's must be
	CanDecide   *bool          `json:"can_decide"`        // the told laboratory's limit
	LimitMet    *bool          `json:"limit_met"`         // the same against Recognised
	AreaDecides *measure.Shown `json:"area_that_decides"` // the least area with which the told limit decides
	AreaMeets   *measure.Shown `json:"area_that_meets"`
}

// Plans answers where dust wipes are taken.
type Plans struct {
	limits *Rules

	rooms, floorWipes, windowWipes, outside, distance law.Handle
	floorArea, windowArea, floorAdvised, sillAdvised  law.Handle
	unitBlanks, wipesABlank                           law.Handle
}

// newPlans finds what it reads in the book.
func newPlans(limits *Rules) (Plans, error) {
	p := Plans{limits: limits}
	return p, limits.book.Handles(map[string]*law.Handle{
		"sampling_rooms": &p.rooms, "sampling_floor_wipes": &p.floorWipes, "sampling_window_wipes": &p.windowWipes,
		"sampling_floors_outside": &p.outside, "sampling_outside_distance": &p.distance,
		"wipe_floor_area": &p.floorArea, "wipe_window_area": &p.windowArea,
		"wipe_floor_area_advised": &p.floorAdvised, "wipe_sill_area_advised": &p.sillAdvised,
		"field_blanks_unit": &p.unitBlanks, "field_blank_wipes": &p.wipesABlank,
	})
}

// numbersOfPlan are what the law asks for on the date.
type numbersOfPlan struct {
	rooms, floorWipes, windowWipes, outside, distance *law.Value
	floorArea, windowArea                             *law.Value
	unitBlanks, wipesABlank                           *law.Value
	limits                                            Limits
}

// Plan is where wipes are taken for a worksite, a unit, or work outdoors (40 CFR 745.227(e)(8)(v); 24 CFR 35.1340(b) and (g)). What is not
// known is sampled. An error names what cannot be, or a date before the rules.
func (p Plans) Plan(f PlanFacts) (Plan, error) {
	if err := f.check(); err != nil {
		return Plan{}, err
	}
	n, err := p.numbers(f)
	if err != nil {
		return Plan{}, err
	}
	plan := p.plan(f, n)
	law.Otherwise(&plan.Determination, f, f.otherwise(), func(f PlanFacts) string { return p.plan(f, n).Determination.Outcome })
	return plan, nil
}

func (f PlanFacts) check() error {
	var faults fault.Faults
	if len(f.Rooms) == 0 && f.Extent != Outdoors {
		faults.Add("/rooms", "rooms_missing", "Name the rooms, halls and stairwells: the wipes are taken there.")
	}
	names, worked := make([]string, len(f.Rooms)), false
	for i, r := range f.Rooms {
		names[i] = r.Name
		worked = worked || r.Worked != law.No
		if r.Floor == PorchFloor && f.Extent != Outdoors {
			faults.Add(fmt.Sprintf("/rooms/%d/floor", i), "porch_indoors",
				"The floor of an open porch is wiped with work outdoors; a porch that is a living area is a room, and its floor bare or carpeted.")
		}
	}
	faults.Merge("/rooms", CheckDraw(names, "/name"))
	if f.Extent == Worksite && f.Contained == law.Yes && len(f.Rooms) > 0 && !worked {
		faults.Add("/rooms", "nothing_contained", "Every room is said to lie outside the containment; say of at least one that it was worked in.")
	}
	if f.Seed != "" && !oneLine(f.Seed) {
		faults.Add("/seed", "not_one_line", "A seed is one line of text, without blanks at its ends.")
	}
	if f.ReportingLimit.Known() {
		exact(&faults, "/reporting_limit", f.ReportingLimit)
	}
	return faults.Err()
}

func (p Plans) numbers(f PlanFacts) (numbersOfPlan, error) {
	look := p.limits.book.Lookup(f.AsOf, "/as_of", law.Scope{Jurisdictions: f.Jurisdictions})
	n := numbersOfPlan{rooms: look.Value(p.rooms), floorWipes: look.Value(p.floorWipes), windowWipes: look.Value(p.windowWipes),
		outside: look.Value(p.outside), distance: look.Value(p.distance), floorArea: look.Value(p.floorArea), windowArea: look.Value(p.windowArea),
		unitBlanks: look.Value(p.unitBlanks), wipesABlank: look.Value(p.wipesABlank),
		limits: p.limits.On(f.AsOf, f.Jurisdictions, f.Programmes)}
	return n, look.Err()
}

// plan is the plan without what would change it.
func (p Plans) plan(f PlanFacts, n numbersOfPlan) Plan {
	b := builder{facts: f, n: n, plan: Plan{Wipes: []Planned{}, Rooms: []string{}, Drawn: []Drawn{}, Sizes: []WipeSize{}, Visual: []string{}}}
	b.d = law.NewDetermination("sampling_plan", f.AsOf, p.limits.book.RuleSet())
	b.use()
	b.inspect()
	if b.indoors() {
		b.chooseRooms()
		b.wipeRooms()
		b.wipeOutside()
	}
	b.wipePorches()
	b.sendBlanks()
	b.plan.Sizes = p.sizes(f, n, b.surfaces())
	b.explainSizes()
	b.plan.Outcome, b.d.Outcome = "visual_only", "visual_only"
	if wipes := len(b.plan.Wipes); wipes > 0 {
		b.plan.Outcome, b.d.Outcome = "wipes", fmt.Sprintf("%d wipes", wipes)
	} else if b.indoors() {
		b.plan.Outcome, b.d.Outcome = "wipes", "wipes in rooms to be named"
	}
	b.plan.Determination = b.d
	return b.plan
}

// otherwise is what could be found out, or done, that would change the number of wipes.
func (f PlanFacts) otherwise() []law.Alternative[PlanFacts] {
	var list []law.Alternative[PlanFacts]
	add := func(fact, value string, action bool, set func(*PlanFacts)) {
		list = append(list, law.Alternative[PlanFacts]{Fact: fact, Value: value, Action: action, Set: set})
	}
	if f.Extent == Worksite && f.Contained == law.Unknown {
		add("contained", "yes", false, func(f *PlanFacts) { f.Contained = law.Yes })
	}
	if f.Extent == Worksite && f.Work != Abatement && f.Work != Renovation {
		add("work", string(Renovation), false, func(f *PlanFacts) { f.Work = Renovation })
	}
	if f.WindowsCovered == law.Unknown && f.Extent == Worksite {
		add("windows_covered", "yes", false, func(f *PlanFacts) { f.WindowsCovered = law.Yes })
	}
	if f.Extent == Outdoors && f.OpeningsSealed != law.Yes {
		add("openings_sealed", "yes", f.OpeningsSealed == law.No, func(f *PlanFacts) { f.OpeningsSealed = law.Yes })
	}
	if f.Seed == "" {
		add("seed", "a seed of your own", true, func(f *PlanFacts) { f.Seed = "a seed of your own" })
	}
	return list
}
