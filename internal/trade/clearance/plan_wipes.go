package clearance

import (
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/trade/law"
)

// The clauses that plans rest on, beside the citations of their numbers.
var (
	samplePlaces     = law.Cite("40 CFR 745.227(e)(8)(v)", law.Text)
	housingWorksite  = law.Cite("24 CFR 35.1340(g)", law.Text)
	housingOutdoors  = law.Cite("24 CFR 35.1340(b)", law.Text)
	technicianScheme = law.Cite("EPA and HUD dust sampling technician course", law.Text)
	oneKind          = law.Cite("40 CFR 745.227(g)", law.Text)
)

// builder makes one plan.
type builder struct {
	facts  PlanFacts
	n      numbersOfPlan
	plan   Plan
	d      law.Determination
	chosen []int // rooms, by index, in the order told
}

func (b *builder) use() {
	f := b.facts
	b.d.Use("extent", string(f.Extent))
	if f.Work != "" {
		b.d.Use("work", string(f.Work))
	}
	for _, told := range []struct {
		fact  string
		value law.Tri
	}{{"contained", f.Contained}, {"windows_covered", f.WindowsCovered}, {"openings_sealed", f.OpeningsSealed}} {
		if told.value != law.Unknown {
			b.d.Use(told.fact, told.value.String())
		}
	}
	if len(f.Programmes) > 0 {
		b.d.Use("programme", strings.Join(f.Programmes, ", "))
	}
	if len(f.Rooms) > 0 {
		b.d.Use("rooms", fmt.Sprint(len(f.Rooms)))
	}
	if f.Seed != "" {
		b.d.Use("seed", f.Seed)
	}
}

// inspect says what the visual inspection looks for. It comes first; wipes come after it, and after the dust has settled.
func (b *builder) inspect() {
	if b.facts.Extent == Outdoors {
		b.plan.Visual = append(b.plan.Visual, "No visible dust or debris on horizontal surfaces of the outdoor living area.",
			"No paint chips on the dripline or next to the foundation.")
	} else {
		b.plan.Visual = append(b.plan.Visual, "No deteriorated paint, and no visible dust or debris, in what was worked on.")
	}
	wait := b.n.limits.Wait
	if !wait.Known() {
		return
	}
	b.d.Because("visual_then_wait", "as_of", b.facts.AsOf.String(), wait.Citation,
		fmt.Sprintf("The visual inspection comes first; wipes are taken at least %s after the final cleaning.", wait.Value.Show()))
}

// indoors reports whether rooms are wiped.
func (b *builder) indoors() bool {
	return b.facts.Extent != Outdoors || b.facts.assisted() && b.facts.OpeningsSealed != law.Yes
}

// contained reports whether the wipes stay in a containment.
func (b *builder) contained() bool { return b.facts.Extent == Worksite && b.facts.Contained == law.Yes }

// chooseRooms takes all rooms where there are no more than the law asks for. Of more, the drawn ones: of a containment those in it; of a
// dwelling those that were worked in first (common practice). Without a seed none is left out.
func (b *builder) chooseRooms() {
	var first, rest []int
	for i, r := range b.facts.Rooms {
		switch {
		case r.Floor == PorchFloor:
		case r.Worked != law.No:
			first = append(first, i)
		case !b.contained():
			rest = append(rest, i)
		}
	}
	if b.explainRooms(len(first) + len(rest)); len(first)+len(rest) == 0 {
		b.d.Miss("rooms", "The rooms next to the openings are not named.", "Each is sampled, its floor, sill and trough.")
	}
	need := b.n.rooms.Int()
	if len(first)+len(rest) <= need {
		b.chosen = append(first, rest...)
	} else if b.facts.Seed == "" {
		b.chosen = append(first, rest...)
		b.d.Because("all_rooms_without_a_seed", "seed", "", b.n.rooms.Cite(), fmt.Sprintf("Without a seed to draw %d by, every room is sampled.", need))
		b.d.Miss("seed", "Which rooms are drawn turns on a seed, chosen before the rooms are looked at.", fmt.Sprintf("With one, %d rooms are enough.", need))
	} else {
		b.chosen = b.draw("worked", first, need)
		b.chosen = append(b.chosen, b.draw("others", rest, need-len(b.chosen))...)
		b.plan.Recipe = Recipe
		b.d.Because("rooms_drawn", "seed", b.facts.Seed, byDraw,
			fmt.Sprintf("%d of %d rooms are drawn by the seed, those that were worked in first, in the strata worked and others.", need, len(first)+len(rest)))
	}
	slices.Sort(b.chosen)
	for _, i := range b.chosen {
		b.plan.Rooms = append(b.plan.Rooms, b.facts.Rooms[i].Name)
	}
}

// draw takes at most so many of some rooms.
func (b *builder) draw(stratum string, rooms []int, need int) (taken []int) {
	names := make([]string, len(rooms))
	for i, room := range rooms {
		names[i] = b.facts.Rooms[room].Name
	}
	order := Draw(b.facts.Seed, stratum, names)
	for i, d := range order {
		if d.Taken = i < need; d.Taken {
			taken = append(taken, rooms[slices.Index(names, d.Name)])
		}
		b.plan.Drawn = append(b.plan.Drawn, d)
	}
	return taken
}

// explainRooms says which rooms are looked at.
func (b *builder) explainRooms(rooms int) {
	need := b.n.rooms.Int()
	if b.facts.Extent == Outdoors {
		b.d.Because("openings_not_sealed", "openings_sealed", b.facts.OpeningsSealed.String(), housingOutdoors,
			"Work outdoors needs no clearance indoors only where the openings were sealed; they are not known to have been.")
	}
	if b.contained() {
		b.d.Because("rooms_in_containment", "rooms", fmt.Sprint(rooms), b.n.rooms.Cite(),
			fmt.Sprintf("In a containment at least %d rooms, halls or stairwells are sampled, or all where there are fewer; there are %d.", need, rooms))
		return
	}
	b.d.Because("rooms_of_the_dwelling", "rooms", fmt.Sprint(rooms), b.n.rooms.Cite(),
		fmt.Sprintf("Without a containment at least %d rooms, halls or stairwells of the dwelling are sampled, or all where there are fewer; there are %d.", need, rooms))
	if b.facts.Extent == Worksite && b.facts.Contained == law.Unknown {
		b.d.Miss("contained", "Whether the work area was contained is not known; the dwelling is sampled as if it was not, and outside too.",
			"In a containment only its rooms are sampled, and a floor outside.")
	}
}

// wipeRooms wipes the floor of each chosen room, and its sill and trough.
func (b *builder) wipeRooms() {
	technician := b.facts.Work == Renovation && !b.facts.assisted() && b.facts.Extent == Worksite
	noTrough := technician && b.facts.WindowsCovered == law.Yes
	carpeted, bare := 0, 0
	for _, i := range b.chosen {
		r, at := b.facts.Rooms[i], fmt.Sprintf("rooms/%d", i)
		floor := r.Floor
		if floor == "" {
			floor = FloorBare
			b.missRoom(at+"/floor", "Whether the floor of "+r.Name+" is bare or carpeted is not known.", "Wipes of the two are never put into one composite.")
		}
		if floor == FloorCarpeted {
			carpeted++
		} else {
			bare++
		}
		for range b.n.floorWipes.Int() {
			b.wipe(Planned{Place: r.Name, Surface: floor, Why: "The floor of each room that is sampled."})
		}
		windows := b.n.windowWipes.Int()
		for _, w := range []struct {
			surface Surface
			there   law.Tri
			fact    string
		}{{Sill, r.Sill, "/sill"}, {Trough, r.Trough, "/trough"}} {
			if w.there == law.No || windows == 0 || w.surface == Trough && noTrough {
				continue
			}
			windows--
			if w.there == law.Unknown {
				b.missRoom(at+w.fact, fmt.Sprintf("Whether %s has a %s is not known; a wipe is planned.", r.Name, w.surface), "Where there is none, that wipe falls away.")
			}
			b.wipe(Planned{Place: r.Name, Surface: w.surface, IfPresent: w.there == law.Unknown, Why: "One of each room that has one."})
		}
	}
	b.d.Because("sill_and_trough", "rooms", fmt.Sprint(len(b.chosen)), b.n.windowWipes.Cite(),
		fmt.Sprintf("In each room: the floor, and of a window's sill and trough %d, where they are there.", b.n.windowWipes.Int()))
	if technician {
		b.explainTechnician(noTrough)
	}
	if carpeted > 0 && bare > 0 {
		b.d.Because("carpets_apart", "rooms", fmt.Sprintf("%d carpeted, %d bare", carpeted, bare), oneKind,
			"Carpeted and bare floors are kept apart: a composite is of one kind of surface.")
	}
}

func (b *builder) explainTechnician(noTrough bool) {
	if noTrough {
		b.d.Because("technician_without_trough", "windows_covered", "yes", technicianScheme,
			"After a renovation a trough is wiped only where windows were not closed and covered; they were.")
		b.d.Differences = append(b.d.Differences, "40 CFR 745.227(e)(8)(v) read by itself asks for a trough wherever there is one; the technician's course leaves it out "+
			"where windows were closed and covered. Wipe it where the contract or a local rule follows the clause.")
		return
	}
	if b.facts.WindowsCovered == law.Unknown {
		b.d.Miss("windows_covered", "Whether the windows of the work area were closed and covered is not known; troughs are planned.",
			"After a renovation no trough is wiped where they were.")
	}
}

// missRoom notes an unknown fact of a room. An answer lists at most a hundred; beyond, the wipes say if_present.
func (b *builder) missRoom(fact, why, would string) {
	if len(b.d.Missing) < 90 {
		b.d.Miss(fact, why, would)
	}
}

// wipeOutside wipes the floor outside a containment.
func (b *builder) wipeOutside() {
	if b.facts.Extent != Worksite || b.facts.Contained == law.No {
		return
	}
	place := fmt.Sprintf("outside the containment, within %s ft of it", b.n.distance.Number())
	for range b.n.outside.Int() {
		b.wipe(Planned{Place: place, Surface: FloorBare, Outside: true, Why: "A floor outside the containment that was not cleaned for the sampling."})
	}
	b.d.Because("floor_outside_containment", "contained", b.facts.Contained.String(), housingWorksite,
		fmt.Sprintf("Beside the rooms, %d wipe is taken of the floor outside the containment, within %s ft of it.", b.n.outside.Int(), b.n.distance.Number()))
}

// wipePorches wipes porch floors after work outdoors, where a programme or place sets a level for them.
func (b *builder) wipePorches() {
	if b.facts.Extent != Outdoors {
		return
	}
	level := b.n.limits.PorchFloor
	for _, r := range b.facts.Rooms {
		if r.Floor == PorchFloor && level.Known() {
			b.wipe(Planned{Place: r.Name, Surface: PorchFloor, Why: "A level for porch floors is set here."})
		}
	}
	if level.Known() {
		b.d.Because("porch_floors", "programme", strings.Join(b.facts.Programmes, ", "), level.Citation,
			"A level for porch floors is set here: each is wiped. Otherwise clearance outdoors is visual.")
	}
	if !b.indoors() {
		b.d.Because("visual_outdoors", "extent", string(Outdoors), samplePlaces, "Outdoors clearance is visual.")
	}
}

func (b *builder) wipe(w Planned) { b.plan.Wipes = append(b.plan.Wipes, w) }

// sendBlanks counts the field blanks.
func (b *builder) sendBlanks() {
	wipes := len(b.plan.Wipes)
	if wipes == 0 {
		return
	}
	each := b.n.wipesABlank.Int()
	b.plan.Blanks = max(b.n.unitBlanks.Int(), (wipes+each-1)/each)
	most := b.n.limits.FieldBlank.Value.Shown()
	b.plan.BlankMost = &most
	b.d.Because("field_blanks", "wipes", fmt.Sprint(wipes), b.n.wipesABlank.Cite(),
		fmt.Sprintf("At least %d field blank for each unit, and one for every %d wipes. With more than %s on one, its batch is suspect.",
			b.n.unitBlanks.Int(), each, b.n.limits.FieldBlank.Value.Show()))
}

// surfaces are those of the wipes planned, each once, in the order planned; bare and carpeted floors share their level and size.
func (b *builder) surfaces() (list []Surface) {
	for _, w := range b.plan.Wipes {
		s := w.Surface
		if s == FloorCarpeted {
			s = FloorBare
		}
		if !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}
