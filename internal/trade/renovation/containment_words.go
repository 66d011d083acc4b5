package renovation

import (
	"fmt"

	"sillbook/internal/trade/law"
)

var (
	anchored   = law.Cite("40 CFR 745.86(b)(6)", law.Text)
	sheeting   = law.Citation{Clause: "beside 40 CFR 745.85(a)(2)", Source: law.CommonPractice, Note: "The renovation rule gives neither thickness nor layers."}
	impossible = law.Citation{Clause: "40 CFR 745.85(a)(2)", Source: law.Text, Note: "That a step which cannot be done is excused and the rest is not is a published answer of EPA; why is recorded under 745.86(b)(6)."}
	slippery   = law.Citation{Clause: "40 CFR 745.85(a)(2)(i)", Source: law.Text, Note: "EPA's published answer 23002-19908."}
	windy      = law.Citation{Clause: "HUD Guidelines (2012), chapter 8", Source: law.Memory}
	leaving    = law.Cite("40 CFR 745.85(a)(2)", law.Text)
)

// containmentSteps are the steps, in order. A step with a code of its own can be excused by it.
var containmentSteps = []struct {
	code string
	text string
	cite law.Citation
	when func(containing) bool
}{
	{"objects", "Take objects out of the work area, or cover them with plastic sealed at its edges.", containIndoors, containing.indoors},
	{"ducts", "Close the duct openings in the work area and cover them with taped-down plastic.", containIndoors, containing.indoors},
	{"windows", "Close the windows in the work area.", containIndoors, containing.indoors},
	{"doors", "Close the doors of the work area and cover them with plastic; cover a door that workers use so that they pass and dust and debris stay.", containIndoors, containing.indoors},
	{"exterior_openings", "Close windows and doors within {containment_openings_distance} feet of the work, on the same floor and on all floors below at the same horizontal distance; cover a door that workers use so that they pass.", floorsBelow, containing.outdoors},
	{"floor_cover", "Cover the floor, wall-to-wall carpet included, with taped-down plastic {containment_floor_distance} feet beyond the surfaces worked on, or as far as it takes to contain the dust, whichever is greater; or to a sealed vertical barrier from floor to ceiling.", containIndoors, containing.indoors},
	{"slippery_floor", "Where plastic makes the floor too slippery, lay paper or the like on top of it; the plastic stays, whole.", slippery, containing.slippery},
	{"ground_cover", "Cover the ground with plastic {containment_ground_distance} feet beyond the surfaces worked on, or as far as it takes to catch the debris, whichever is greater, unless the property line or a vertical barrier stops it.", containOutdoors, containing.outdoors},
	{"ground_cover_fixed", "Fasten the ground cover to the building and weight its edges.", anchored, containing.outdoors},
	{"vertical_containment", "Put up a vertical barrier, or take equivalent precautions, where surfaces within {containment_property_line_distance} feet of the property line are worked on.", containOutdoors, containing.nearAnyLine},
	{"sheeting", "Use plastic of at least {plastic_thickness} mil; for dusty work {plastic_layers_dusty} layers on the floor.", sheeting, nil},
	{"wind", "Stop exterior work when the wind is faster than {exterior_wind_speed} miles an hour.", windy, containing.windKnown},
	{"egress", "Keep the ways out in an emergency free: containment must not block them.", leaving, nil},
	{"leaving", "People, tools and the outside of waste containers are free of dust and debris before they leave the work area.", leaving, nil},
	{"intact", "Keep containment whole while the work lasts, and mend it at once where it is not.", leaving, nil},
}

func (c containing) indoors() bool { return len(c.Rooms) > 0 }

func (c containing) outdoors() bool { return len(c.Runs) > 0 }

// windKnown reports whether a speed of the wind is on record for the date.
func (c containing) windKnown() bool {
	_, ok := c.n.under("exterior_wind_speed", "hud")
	return c.outdoors() && ok
}

func (c containing) nearAnyLine() bool {
	for _, run := range c.Runs {
		if c.nearLine(run) {
			return true
		}
	}
	return false
}

func (c containing) slippery() bool {
	for _, room := range c.Rooms {
		if room.Slippery {
			return true
		}
	}
	return false
}

func (c containing) steps(a *ContainmentAnswer) {
	for _, s := range containmentSteps {
		if s.when != nil && !s.when(c) {
			continue
		}
		step := ContainmentStep{Code: s.code, Text: c.n.say(s.text), Citation: s.cite}
		if why, excused := c.excused[s.code]; excused {
			step.Excused, step.Record = true, "Record that this could not be done, and why: "+why
		}
		a.Steps = append(a.Steps, step)
	}
}

func (c containing) explain(a *ContainmentAnswer) {
	d := &a.Determination
	d.Use("on", c.On.String())
	d.Use("rooms", fmt.Sprint(len(c.Rooms)))
	d.Use("exterior", fmt.Sprint(len(c.Runs)))
	if c.indoors() {
		d.Because("containment_indoors", "rooms", fmt.Sprint(len(c.Rooms)), containIndoors, c.n.say("Indoors plastic goes {containment_floor_distance} feet beyond the surfaces worked on, or as far as it takes, whichever is greater."))
		c.housingTable(d)
	}
	if c.outdoors() {
		d.Because("containment_outdoors", "exterior", fmt.Sprint(len(c.Runs)), containOutdoors, c.n.say("Outdoors plastic goes {containment_ground_distance} feet beyond the surfaces worked on, or as far as it takes, whichever is greater."))
		d.Because("containment_openings", "exterior", "", floorsBelow, c.n.say("Windows and doors within {containment_openings_distance} feet are closed on the same floor and on all floors below; above only where conditions ask for it."))
	}
	if c.nearAnyLine() {
		d.Because("containment_property_line", "property_line_distance", "", containOutdoors, c.n.say("Surfaces within {containment_property_line_distance} feet of the property line, or of which that is not known, need a vertical barrier; the ground cover ends at the line."))
	}
	if a.Outcome == containBlocks {
		d.Because("containment_egress", "blocks_egress", "yes", leaving, "As planned, containment blocks a way out in an emergency: plan it otherwise.")
	}
	if a.Outcome == containWind {
		d.Because("containment_wind", "wind", c.Wind.N.String(), windy, c.n.say("The wind is faster than {exterior_wind_speed} miles an hour: exterior work stops."))
	}
	for _, e := range c.Impossible {
		d.Because("containment_impossible", "impossible", e.Step, impossible, "A step that cannot be done is excused, and why is recorded; every other step stays.")
	}
	c.barriers(d)
	c.miss(d)
}

// barriers says where a barrier cuts the plastic short, and where it does not.
func (c containing) barriers(d *law.Determination) {
	each := func(name string, b *Barrier) {
		switch {
		case b == nil:
		case b.Sealed == law.Yes && b.Distance.Known:
			d.Because("containment_barrier", "barrier", name, containIndoors, "Plastic may end at the sealed vertical barrier.")
		case b.Sealed == law.Unknown:
			d.Miss("barrier", "Plastic ends early only at a barrier that is sealed, indoors from floor to ceiling.", "Knowing that the barrier of "+name+" is sealed would let the plastic end there.")
		}
	}
	for _, room := range c.Rooms {
		each(room.Name, room.Barrier)
	}
	for _, run := range c.Runs {
		each(run.Name, run.Barrier)
	}
}

// housingTable says where the housing guidance is weaker, which has no effect.
func (c containing) housingTable(d *law.Determination) {
	own, ok := c.n.under("containment_floor_distance", "hud")
	governs := c.n.value("containment_floor_distance")
	if ok && own.Number().Cmp(governs.Number()) < 0 {
		d.Differences = append(d.Differences, fmt.Sprintf("The housing guidance asks for plastic %s feet beyond interior work (%s), %s for %s. The more protective holds.", own.Value, own.Cite(), governs.Cite().Clause, governs.Value))
	}
}

func (c containing) miss(d *law.Determination) {
	line, floors, distance, size := false, false, false, false
	for _, run := range c.Runs {
		line = line || !run.Line.Known
		size = size || !run.Width.Known || c.nearLine(run) && !run.Top.Known
		for _, o := range run.Openings {
			distance = distance || !o.Distance.Known
			floors = floors || o.Floor == 0 || run.Highest == 0
		}
	}
	for _, room := range c.Rooms {
		whole := room.Length.Known && room.Width.Known
		size = size || !whole && len(room.Surfaces) == 0
		for _, s := range room.Surfaces {
			size = size || !whole && (!s.Length.Known || !s.AlongWall && !s.Width.Known)
		}
	}
	if line {
		d.Miss("property_line_distance", "Near the property line a vertical barrier must stand.", c.n.say("A distance of more than {containment_property_line_distance} feet would need none."))
	}
	if distance {
		d.Miss("openings", "Openings near the work are closed.", c.n.say("A distance of more than {containment_openings_distance} feet would let an opening be."))
	}
	if floors {
		d.Miss("floor", "Openings on floors above the work are closed only where conditions ask for it.", "A floor above the work would let an opening be.")
	}
	if size {
		d.Miss("surfaces", "How much plastic it takes turns on the measures of what is worked on.", "With them the quantities are whole.")
	}
}

// alternatives are what could be found out, or done, so that less must stand around the work.
func (c containing) alternatives() []law.Alternative[ContainmentFacts] {
	list := []law.Alternative[ContainmentFacts]{}
	if c.BlocksEgress == law.Yes {
		list = append(list, law.Alternative[ContainmentFacts]{Fact: "blocks_egress", Value: "no", Action: true, Set: func(f *ContainmentFacts) { f.BlocksEgress = law.No }})
	}
	for i, run := range c.Runs {
		if !run.Line.Known {
			list = append(list, law.Alternative[ContainmentFacts]{Fact: fmt.Sprintf("exterior/%d/property_line_distance", i), Value: c.n.say("more than {containment_property_line_distance} ft"), Set: func(f *ContainmentFacts) {
				f.Runs = append([]ExteriorRun(nil), f.Runs...)
				f.Runs[i].Line = Feet(c.n.value("containment_property_line_distance").Number().Add(c.n.value("containment_property_line_distance").Number()))
			}})
		}
	}
	if c.outdoors() && c.Wind.Known {
		list = append(list, law.Alternative[ContainmentFacts]{Fact: "wind", Value: c.n.say("{exterior_wind_speed} mph or less"), Action: true, Set: func(f *ContainmentFacts) { f.Wind = Ft{} }})
	}
	return list
}
