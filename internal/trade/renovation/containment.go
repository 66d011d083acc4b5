package renovation

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// ContainmentFacts are what the extent of containment turns on.
type ContainmentFacts struct {
	On           calendar.Date
	Rooms        []WorkRoom
	Runs         []ExteriorRun
	Dusty        bool
	BlocksEgress law.Tri // as planned, it blocks the way out in an emergency
	Impossible   []Excused
	Wind         Ft // mph, of exterior work
}

// Excused is a step that cannot be done, and why: it is excused, recorded, and nothing else is.
type Excused struct{ Step, Why string }

// The outcomes of containment.
const (
	containStandard = "standard"
	containVertical = "vertical_containment"
	containBlocks   = "blocks_egress"
	containWind     = "stop_for_wind"
)

// Sheet is a piece of plastic by its geometry.
type Sheet struct {
	For    string         `json:"for"`
	Length *measure.Shown `json:"length,omitempty"`
	Width  *measure.Shown `json:"width,omitempty"`
	Area   *measure.Shown `json:"area,omitempty"`
	area   Ft
}

// VerticalBarrier is a vertical barrier, its length along the floor or ground, and its height.
type VerticalBarrier struct {
	Required bool           `json:"required"`
	Length   *measure.Shown `json:"length,omitempty"`
	Height   *measure.Shown `json:"height,omitempty"`
	Area     *measure.Shown `json:"area,omitempty"`
	area     Ft
}

// ToClose is what is done with an opening.
type ToClose struct {
	Name   string `json:"name"`
	Action string `json:"action"`
	Why    string `json:"why"`
}

// Contained is the containment of one room, or of one stretch of the exterior.
type Contained struct {
	Name     string           `json:"name"`
	Reach    *measure.Shown   `json:"reach"` // how far plastic goes beyond the surfaces
	Sheets   []Sheet          `json:"sheets"`
	Barrier  *VerticalBarrier `json:"barrier,omitempty"`
	Openings []ToClose        `json:"openings"`
	area     Ft               // ft2 of floor or ground covered
}

// Plastic is how much plastic it takes, by geometry: overlaps, cuttings and what is wrapped around objects are not in it.
type Plastic struct {
	Floor    *measure.Shown `json:"floor"`
	Ground   *measure.Shown `json:"ground"`
	Vertical *measure.Shown `json:"vertical"`
	ToBuy    *measure.Shown `json:"to_buy"`   // with the layers of dusty work
	Complete bool           `json:"complete"` // false where a measure is missing, so that it takes more
}

// ContainmentStep is one thing to do; one that cannot be done is excused, and why is recorded.
type ContainmentStep struct {
	Code     string       `json:"code"`
	Text     string       `json:"text"`
	Citation law.Citation `json:"citation"`
	Excused  bool         `json:"excused"`
	Record   string       `json:"record,omitempty"`
}

// ContainmentAnswer is how far containment goes, what is closed, and how much it takes.
type ContainmentAnswer struct {
	Outcome       string            `json:"outcome"`
	Rooms         []Contained       `json:"rooms"`
	Exterior      []Contained       `json:"exterior"`
	Plastic       Plastic           `json:"plastic"`
	Steps         []ContainmentStep `json:"steps"`
	Determination law.Determination `json:"determination"`
}

// Contain says how far plastic goes beyond the work, which openings are closed and how, where a vertical barrier must stand, and
// how much plastic it takes (40 CFR 745.85(a)(2)).
func (r Rules) Contain(f ContainmentFacts) (ContainmentAnswer, error) {
	c := containing{ContainmentFacts: f, n: r.numbers("/on", f.On), excused: map[string]string{}}
	for _, e := range f.Impossible {
		c.excused[e.Step] = e.Why
	}
	a := ContainmentAnswer{Rooms: []Contained{}, Exterior: []Contained{}, Steps: []ContainmentStep{}, Determination: law.NewDetermination("containment", f.On, r.RuleSet())}
	for _, room := range f.Rooms {
		a.Rooms = append(a.Rooms, c.room(room))
	}
	for _, run := range f.Runs {
		a.Exterior = append(a.Exterior, c.run(run))
	}
	a.Outcome = c.outcome()
	a.Determination.Outcome = a.Outcome
	a.Plastic = c.plastic(a)
	c.steps(&a)
	c.explain(&a)
	law.Otherwise(&a.Determination, f, c.alternatives(), func(f ContainmentFacts) string { return containing{ContainmentFacts: f, n: c.n}.outcome() })
	return a, c.n.err()
}

type containing struct {
	ContainmentFacts
	n       *numbers
	excused map[string]string
}

func (c containing) outcome() string {
	if c.BlocksEgress == law.Yes {
		return containBlocks
	}
	if len(c.Runs) > 0 && c.Wind.Known && c.Wind.N.Cmp(c.n.value("exterior_wind_speed").Number()) > 0 {
		return containWind
	}
	for _, run := range c.Runs {
		if c.nearLine(run) {
			return containVertical
		}
	}
	return containStandard
}

// nearLine reports whether the surfaces are so near the property line that a vertical barrier must stand; a distance that is not
// known counts as near.
func (c containing) nearLine(run ExteriorRun) bool {
	return !run.Line.Known || run.Line.N.Cmp(c.n.value("containment_property_line_distance").Number()) <= 0
}

// reach is how far plastic goes beyond the surfaces: the rule's distance or what it takes, whichever is greater; less only where a
// sealed barrier stands nearer.
func (c containing) reach(parameter string, enough Ft, b *Barrier) measure.Number {
	reach := c.n.value(parameter).Number()
	if enough.Known {
		reach = reach.Max(enough.N)
	}
	if b != nil && b.Sealed == law.Yes && b.Distance.Known {
		reach = reach.Min(b.Distance.N)
	}
	return reach
}

// room covers the floor of a room: beyond each surface by the reach, at most the whole floor.
func (c containing) room(room WorkRoom) Contained {
	reach := c.reach("containment_floor_distance", room.Enough, room.Barrier)
	k := Contained{Name: room.Name, Reach: shown(reach, measure.Foot), Sheets: []Sheet{}, Openings: []ToClose{}, area: Ft{Known: len(room.Surfaces) > 0}}
	around := k.area
	for _, s := range room.Surfaces {
		sheet, edge := sheetOf(s, reach)
		k.Sheets = append(k.Sheets, sheet)
		k.area = plus(k.area, sheet.area)
		around = plus(around, edge)
	}
	if floor := times(room.Length, room.Width); floor.Known && (!k.area.Known || k.area.N.Cmp(floor.N) > 0) {
		k.area = floor
	}
	if room.Barrier != nil {
		k.Barrier = barrierOf(around, room.Height, false)
	}
	for _, o := range room.Openings {
		k.Openings = append(k.Openings, closeIndoors(o))
	}
	return k
}

// sheetOf is the plastic under one surface, and the length of a barrier around it: on one side along a wall, all around elsewhere.
func sheetOf(s WorkedSurface, reach measure.Number) (sheet Sheet, around Ft) {
	twice := reach.Add(reach)
	length, width := s.Length, s.Width
	if s.AlongWall && !width.Known {
		width = Feet(measure.Number{})
	}
	length.N, width.N = length.N.Add(twice), width.N.Add(twice)
	sides := measure.Int(2)
	if s.AlongWall {
		width.N, sides = width.N.Sub(reach), measure.Int(1)
	}
	sheet = Sheet{For: s.Name, Length: length.shown(measure.Foot), Width: width.shown(measure.Foot), area: times(length, width)}
	sheet.Area = sheet.area.shown(measure.SquareFoot)
	return sheet, Ft{length.N.Mul(sides).Add(width.N.Mul(measure.Int(2))), length.Known && width.Known}
}

func barrierOf(length, height Ft, required bool) *VerticalBarrier {
	b := &VerticalBarrier{Required: required, Length: length.shown(measure.Foot), Height: height.shown(measure.Foot), area: times(length, height)}
	b.Area = b.area.shown(measure.SquareFoot)
	return b
}

// run covers the ground along a stretch of the exterior, no further than the property line.
func (c containing) run(run ExteriorRun) Contained {
	reach := c.reach("containment_ground_distance", run.Enough, run.Barrier)
	depth := reach
	if run.Line.Known {
		depth = depth.Min(run.Line.N)
	}
	length := Ft{run.Width.N.Add(reach).Add(reach), run.Width.Known}
	sheet := Sheet{For: run.Name, Length: length.shown(measure.Foot), Width: shown(depth, measure.Foot), area: times(length, Feet(depth))}
	sheet.Area = sheet.area.shown(measure.SquareFoot)
	k := Contained{Name: run.Name, Reach: shown(reach, measure.Foot), Sheets: []Sheet{sheet}, Openings: []ToClose{}, area: sheet.area}
	if near := c.nearLine(run); near || run.Barrier != nil {
		k.Barrier = barrierOf(length, run.Top, near)
	}
	for _, o := range run.Openings {
		k.Openings = append(k.Openings, c.closeOutdoors(run, o))
	}
	return k
}

// plastic adds what it takes; a step that is excused takes none.
func (c containing) plastic(a ContainmentAnswer) Plastic {
	floor, ground, vertical := Feet(measure.Number{}), Feet(measure.Number{}), Feet(measure.Number{})
	for _, k := range a.Rooms {
		floor = plus(floor, k.area)
		vertical = plus(vertical, k.Barrier.needs())
	}
	for _, k := range a.Exterior {
		ground = plus(ground, k.area)
		vertical = plus(vertical, k.Barrier.needs())
	}
	for step, sum := range map[string]*Ft{"floor_cover": &floor, "ground_cover": &ground, "vertical_containment": &vertical} {
		if _, excused := c.excused[step]; excused {
			*sum = Feet(measure.Number{})
		}
	}
	buy := floor.N
	if c.Dusty {
		buy = buy.Mul(c.n.value("plastic_layers_dusty").Number())
	}
	buy = buy.Add(ground.N).Add(vertical.N)
	return Plastic{shown(floor.N, measure.SquareFoot), shown(ground.N, measure.SquareFoot), shown(vertical.N, measure.SquareFoot), shown(buy, measure.SquareFoot), floor.Known && ground.Known && vertical.Known}
}

// needs is the area of a barrier, none where there is none.
func (b *VerticalBarrier) needs() Ft {
	if b == nil {
		return Feet(measure.Number{})
	}
	return b.area
}

func (f Ft) shown(u measure.Unit) *measure.Shown {
	if !f.Known {
		return nil
	}
	return shown(f.N, u)
}

// plus adds; the sum is known where both are, and otherwise holds what is known so far.
func plus(a, b Ft) Ft { return Ft{a.N.Add(b.N), a.Known && b.Known} }

// times is an area; it is known where both sides are.
func times(a, b Ft) Ft {
	if !a.Known || !b.Known {
		return Ft{}
	}
	return Feet(a.N.Mul(b.N))
}
