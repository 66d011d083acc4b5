package home

import (
	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// HazardSurface is a painted surface as an assessor saw it.
type HazardSurface struct {
	Label         string
	Place         string // the room, or the outdoor place
	Exterior      bool
	Component     Component
	LeadBased     law.Tri
	Deteriorated  law.Tri
	Area          measure.Quantity // of deteriorated paint
	Share         measure.Quantity // of the component
	Friction      law.Tri          // rubbed by use: a window channel, a door's edge, a tread
	DustBelow     measure.Quantity // lead on the nearest horizontal surface below
	DustBelowSill bool             // that surface is a window sill; else a floor
	ImpactDamage  law.Tri          // damaged by another component that strikes it
	ToothMarks    law.Tri          // on a surface that a child can mouth
}

// SoilPlace is where soil was sampled.
type SoilPlace string

// The places. Everything but play areas is the rest of the yard.
const (
	PlayArea   SoilPlace = "play_area"
	Dripline   SoilPlace = "dripline"
	RestOfYard SoilPlace = "rest_of_yard"
)

// SoilSample is a soil sample, single or composite.
type SoilSample struct {
	Label string
	Where SoilPlace
	Bare  law.Tri
	Level measure.Quantity
}

// DustPlace is what dust was wiped from.
type DustPlace string

// What dust is wiped from. Troughs have a clearance level and no hazard level.
const (
	OnFloor  DustPlace = "floor"
	OnSill   DustPlace = "sill"
	OnTrough DustPlace = "trough"
)

// DustSample is a dust sample of a dwelling or common area: one wipe, or a composite of several.
type DustSample struct {
	Label   string
	Unit    string
	On      DustPlace
	Wipes   int
	Loading measure.Quantity // "<" as the laboratory reports it
}

// HazardUnit is a dwelling or common area, and the group of similar ones that it belongs to. One without samples follows those of
// its group that have some.
type HazardUnit struct{ Label, Group string }

// HazardFacts are what an assessment saw and measured.
type HazardFacts struct {
	AsOf     calendar.Date
	Surfaces []HazardSurface
	Soil     []SoilSample
	BareYard measure.Quantity // bare soil in the rest of the yard, all of the property
	Dust     []DustSample
	Units    []HazardUnit
}

// HazardOutcome is whether there are lead hazards.
type HazardOutcome string

// The outcomes. Presumed means that a fact that is not known could make none of it.
const (
	HazardsFound    HazardOutcome = "hazards_found"
	HazardsPresumed HazardOutcome = "hazards_presumed"
	NoHazards       HazardOutcome = "none_found"
)

// Hazard is one lead hazard, found or presumed.
type Hazard struct {
	Kind     string         `json:"kind"`
	Where    string         `json:"where"`
	Holds    string         `json:"holds"` // yes or unknown
	Level    *measure.Shown `json:"level,omitempty"`
	Limit    *measure.Shown `json:"limit,omitempty"`
	Abate    bool           `json:"must_be_abated,omitzero"` // for HUD
	Why      string         `json:"why"`
	Citation law.Citation   `json:"citation"`

	holds law.Tri
	open  []string // facts that are not known
	rule  string
}

// SurfaceCondition is how the paint of a surface is by its extent.
type SurfaceCondition struct {
	Surface   string `json:"surface"`
	Condition string `json:"condition"` // poor, not_poor or unknown
	Why       string `json:"why"`
}

// PracticeExtent is whether work practices are asked for to treat the hazards of a place, by EPA's rule and by HUD's.
type PracticeExtent struct {
	Test    string         `json:"test"`  // room, exterior or component
	Where   string         `json:"where"` // the room, "exterior", or the surface
	Extent  *measure.Shown `json:"extent,omitempty"`
	EPA     bool           `json:"epa_practices_apply"`
	HUD     bool           `json:"hud_practices_apply"`
	Why     string         `json:"why"`
	differs bool
}

// DustMean is the weighted mean of the samples of floors, or of sills, of a dwelling or common area.
type DustMean struct {
	Unit       string        `json:"unit"`
	On         DustPlace     `json:"surface"`
	Samples    int           `json:"samples"`
	Wipes      int           `json:"wipes"`
	Mean       measure.Shown `json:"mean"`
	Bounded    bool          `json:"less_than_bounds"` // results "less than" entered it with their bounds
	Hazard     string        `json:"hazard"`           // yes, no or unknown
	HazardFrom calendar.Date `json:"hazard_from,omitzero"`

	hazard law.Tri
}

// HazardAnswer is which lead hazards there are.
type HazardAnswer struct {
	Outcome    HazardOutcome      `json:"outcome"`
	Hazards    []Hazard           `json:"hazards"`
	Conditions []SurfaceCondition `json:"conditions"`
	Practices  []PracticeExtent   `json:"work_practices"`
	Means      []DustMean         `json:"dust_means"`
	SoilMean   *measure.Shown     `json:"soil_mean,omitempty"`
	Why        law.Determination  `json:"determination"`
}

// HazardRules are the parameters that hazards read, found once.
type HazardRules struct {
	book                      *law.Book
	scope                     law.Scope
	floor, sill               law.Handle
	play, yard, bare, abate   law.Handle
	poor, practice, deMinimis [3]law.Handle // in a room, outside, share of a small component
}

// NewHazardRules finds the parameters.
func NewHazardRules(book *law.Book) (HazardRules, error) {
	r := HazardRules{book: book}
	return r, book.Handles(map[string]*law.Handle{
		"hazard_dust_floor": &r.floor, "hazard_dust_sill": &r.sill,
		"soil_hazard_play_area": &r.play, "soil_hazard_yard": &r.yard, "hud_soil_bare_area": &r.bare, "hud_soil_abatement": &r.abate,
		"poor_condition_interior": &r.poor[0], "poor_condition_exterior": &r.poor[1], "poor_condition_component": &r.poor[2],
		"abatement_practice_interior": &r.practice[0], "abatement_practice_exterior": &r.practice[1], "abatement_practice_component": &r.practice[2],
		"hud_de_minimis_interior": &r.deMinimis[0], "hud_de_minimis_exterior": &r.deMinimis[1], "hud_de_minimis_component": &r.deMinimis[2],
	})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r HazardRules) In(jurisdictions []string) HazardRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// hazardLevels are the numbers of a date.
type hazardLevels struct {
	floor, sill               *law.Value // ug/ft2; 0 is any reportable level
	soonFloor, soonSill       *law.Value // in effect and not yet required; nil otherwise
	play, yard, bare, abate   *law.Value
	poor, practice, deMinimis [3]*law.Value
}

func (r HazardRules) levels(on calendar.Date) (hazardLevels, error) {
	l := r.book.Lookup(on, "/as_of", r.scope)
	n := hazardLevels{floor: l.Value(r.floor), sill: l.Value(r.sill), play: l.Value(r.play), yard: l.Value(r.yard), bare: l.Value(r.bare), abate: l.Value(r.abate)}
	for i := range r.poor {
		n.poor[i], n.practice[i], n.deMinimis[i] = l.Value(r.poor[i]), l.Value(r.practice[i]), l.Value(r.deMinimis[i])
	}
	n.soonFloor, n.soonSill = r.soon(r.floor, n.floor, on), r.soon(r.sill, n.sill, on)
	return n, l.Err()
}

// soon is a level that is in effect on a date, stricter than the one that must be met, or nil.
func (r HazardRules) soon(h law.Handle, now *law.Value, on calendar.Date) *law.Value {
	if v, ok := r.book.On(h, on, law.InEffect, r.scope); ok && v.Number().Cmp(now.Number()) < 0 {
		return v
	}
	return nil
}

// Hazards says which lead hazards an assessment found (40 CFR 745.65, 745.227(h)): of paint, soil and dust. It decides nothing
// about clearance, which judges each sample by itself and has levels of its own. A fact that is not known gets the protective
// answer.
func (r HazardRules) Hazards(f HazardFacts) (HazardAnswer, error) {
	if err := f.check(); err != nil {
		return HazardAnswer{}, err
	}
	n, err := r.levels(f.AsOf)
	if err != nil {
		return HazardAnswer{}, err
	}
	a := n.find(f)
	a.Why = r.explain(f, n, a)
	law.Otherwise(&a.Why, f, hazardAlternatives(f, a), func(f HazardFacts) string { return string(n.find(f).Outcome) })
	return a, nil
}

func (n hazardLevels) find(f HazardFacts) HazardAnswer {
	a := HazardAnswer{Outcome: NoHazards, Hazards: []Hazard{}, Conditions: []SurfaceCondition{}, Practices: []PracticeExtent{}, Means: []DustMean{}}
	n.paint(&a, f)
	n.soil(&a, f)
	n.dust(&a, f)
	for i := range a.Hazards {
		h := &a.Hazards[i]
		h.Holds = h.holds.String()
		switch {
		case h.holds == law.Yes:
			a.Outcome = HazardsFound
		case a.Outcome == NoHazards:
			a.Outcome = HazardsPresumed
		}
	}
	return a
}

// check refuses what says nothing, and what contradicts itself.
func (f HazardFacts) check() error {
	var faults fault.Faults
	if len(f.Surfaces)+len(f.Soil)+len(f.Dust) == 0 {
		faults.Add("/surfaces", "nothing_told", "Nothing was assessed: send painted surfaces, soil samples or dust samples.")
	}
	units, sampled := map[string]bool{}, map[string]bool{}
	for i, u := range f.Units {
		if units[u.Label] {
			faults.Add(pointer("/units", i, "/unit"), "told_twice", "The unit %s is told twice; send one entry for each.", u.Label)
		}
		units[u.Label] = true
	}
	for i, d := range f.Dust {
		sampled[d.Unit] = true
		if len(units) > 0 && !units[d.Unit] {
			faults.Add(pointer("/dust", i, "/unit"), "not_listed", "The sample is of %s, which is not among the units; list it there, or correct the sample.", d.Unit)
		}
		if d.Loading.Known() && d.Loading.Qualifier == measure.Exactly && d.Loading.Number().IsZero() {
			faults.Add(pointer("/dust", i, "/loading/value"), "not_detected", "A laboratory reports what it did not find as less than its limit; send that limit with the qualifier \"<\".")
		}
	}
	for i, s := range f.Surfaces {
		if s.Deteriorated == law.No && (s.Area.Known() && !s.Area.Number().IsZero() || s.Share.Known() && !s.Share.Number().IsZero()) {
			faults.Add(pointer("/surfaces", i, "/deteriorated"), "contradiction", "%s is told to have no deteriorated paint, and how much of it there is; correct one of the two.", s.Label)
		}
	}
	return faults.Err()
}
