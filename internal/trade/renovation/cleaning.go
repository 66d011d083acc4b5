package renovation

import (
	"fmt"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// CleaningFacts are what the order of cleaning turns on.
type CleaningFacts struct {
	On       calendar.Date
	Rooms    []WorkRoom
	Outdoors bool    // some of the work is outdoors
	Days     int     // of the work; 0: not known
	Isolated law.Tri // sheeting isolates clean rooms from the work area
}

// Task is one step of a plan: what to do, with the law's numbers, why, and how much of what.
type Task struct {
	Code     string       `json:"code"`
	Text     string       `json:"text"`
	Why      string       `json:"why"`
	Citation law.Citation `json:"citation"`
	Amounts  []Amount     `json:"amounts"`
}

// Amount is how much of something a step takes.
type Amount struct {
	Of     string        `json:"of"`
	Amount measure.Shown `json:"amount"`
}

// CleaningAnswer is the order of cleaning.
type CleaningAnswer struct {
	Outcome       string            `json:"outcome"`
	Daily         []Task            `json:"daily"`
	Final         []Task            `json:"final"`
	Determination law.Determination `json:"determination"`
}

var (
	cleanDebris   = law.Cite("40 CFR 745.85(a)(5)(i)", law.Text)
	cleanIndoors  = law.Cite("40 CFR 745.85(a)(5)(ii)", law.Text)
	cleanAll      = law.Cite("40 CFR 745.85(a)(5)", law.Text)
	cleanDaily    = law.Cite("40 CFR 745.85(a)(4)", law.Text)
	housingClean  = law.Cite("HUD Guidelines, chapter 14", law.Text)
	carpetPasses  = law.Citation{Clause: "beside 40 CFR 745.85(a)(5)(ii)", Source: law.CommonPractice, Note: "The clause asks for a beater bar and gives no number of passes."}
	bagging       = law.Citation{Clause: "beside 40 CFR 745.85(a)(4) and (5)(i)", Source: law.CommonPractice, Note: "The clause asks for sealed, heavy-duty bags; how they are closed and how heavy they are is from memory."}
	doorwardClean = law.Citation{Clause: "HUD Guidelines, chapter 14", Source: law.Text, Note: "The renovation rule asks for high to low; away from the door and towards it is the guidance's."}
)

// Clean puts the cleaning in order: each day's end, and the final one, from the highest surface down and towards the door.
func (r Rules) Clean(f CleaningFacts) (CleaningAnswer, error) {
	c := cleaning{CleaningFacts: f, n: r.numbers("/on", f.On)}
	a := CleaningAnswer{Outcome: c.where(), Daily: []Task{}, Final: []Task{}, Determination: law.NewDetermination("cleaning", f.On, r.RuleSet())}
	a.Determination.Outcome = a.Outcome
	for _, t := range cleaningTasks {
		if !t.when(c) {
			continue
		}
		task := Task{Code: t.code, Text: c.n.say(t.text), Why: t.why, Citation: t.cite, Amounts: []Amount{}}
		if t.amounts != nil {
			task.Amounts = t.amounts(c)
		}
		if t.daily {
			a.Daily = append(a.Daily, task)
		} else {
			a.Final = append(a.Final, task)
		}
	}
	c.explain(&a.Determination)
	return a, c.n.err()
}

type cleaning struct {
	CleaningFacts
	n *numbers
}

func (c cleaning) where() string {
	switch {
	case c.indoors() && c.Outdoors:
		return "both"
	case c.Outdoors:
		return "outdoors"
	}
	return "indoors"
}

func (c cleaning) always() bool { return true }

// longer reports whether the work takes more than its last day, whose cleaning is the final one, or may.
func (c cleaning) longer() bool { return c.Days != 1 }

func (c cleaning) indoors() bool { return len(c.Rooms) > 0 }

func (c cleaning) isolated() bool { return c.indoors() && c.Isolated != law.No }

func (c cleaning) outdoors() bool { return c.Outdoors }

// carpet and hardFloor hold where the floor may be so.
func (c cleaning) carpet() bool { return c.any(func(r WorkRoom) bool { return r.Carpet != law.No }) }

func (c cleaning) hardFloor() bool {
	return c.any(func(r WorkRoom) bool { return r.Carpet != law.Yes })
}

func (c cleaning) any(is func(WorkRoom) bool) bool {
	for _, room := range c.Rooms {
		if is(room) {
			return true
		}
	}
	return false
}

// cleaningTasks are the steps, in order.
var cleaningTasks = []struct {
	code    string
	daily   bool
	text    string
	why     string
	cite    law.Citation
	when    func(cleaning) bool
	amounts func(cleaning) []Amount
}{
	{"bag_debris_daily", true, "Bag the day's debris and close the bags.", "Debris that lies about is carried out of the work area.", cleanDaily, cleaning.longer, nil},
	{"clean_surfaces_daily", true, "Clean the surfaces on which dust and debris have settled, inside the work area and where people leave it.", "What is left overnight is walked on in the morning.", housingClean, cleaning.longer, nil},
	{"store_waste_daily", true, "Store the waste under containment, in an enclosure or behind a barrier.", "Nobody may get at it or spread it overnight.", cleanDaily, cleaning.longer, nil},

	{"wait_before_cleaning", false, "Wait at least {cleaning_wait} h after the work that makes dust has ended.", "Dust in the air settles first, and is taken up with the rest.", housingClean, cleaning.indoors, nil},
	{"pick_up_debris", false, "Pick up all paint chips and debris without spreading them, and seal them in heavy-duty bags.", "What is big would be ground into dust.", cleanDebris, cleaning.always, nil},
	{"close_bags", false, "Close each bag by twisting its neck, folding it over and taping it; put what is sharp or wet into a second bag; keep a bag under about {waste_bag_weight} lb; wipe or vacuum its outside before it leaves.", "A bag that tears or sheds dust undoes the cleaning.", bagging, cleaning.always, nil},
	{"remove_sheeting", false, "Mist the sheeting, fold it with the dirty side in, and tape it shut or seal it in heavy-duty bags; it is waste.", "Mist and the fold hold the dust.", cleanDebris, cleaning.always, nil},
	{"vacuum_walls", false, "Clean the walls from the ceiling down, with a HEPA vacuum or a damp cloth.", "What falls is taken up below.", cleanIndoors, cleaning.indoors, nil},
	{"vacuum_surfaces", false, "Vacuum all other surfaces and objects with a HEPA vacuum, high to low and towards the door, in the work area and {cleaning_beyond_distance} feet beyond it.", "Dry dust is taken up before it is wetted, and nobody walks over what is clean.", doorwardClean, cleaning.indoors, cleaning.floors},
	{"vacuum_carpet", false, "Vacuum carpet and rugs with a HEPA vacuum and a beater bar, in {carpet_vacuum_passes} passes at right angles.", "Dust sits deep in carpet.", carpetPasses, cleaning.carpet, nil},
	{"wash_surfaces", false, "Wipe all surfaces except carpet and upholstery with a damp cloth, high to low, with detergent, and rinse.", "Wet cleaning takes up what the vacuum leaves.", cleanIndoors, cleaning.indoors, cleaning.water},
	{"mop_floors", false, "Mop uncarpeted floors with wash and rinse water kept apart in {cleaning_buckets} buckets, or with a wet mopping system; change the water room by room (rooms to one water: {cleaning_water_rooms}).", "Dirty water spreads the dust again.", cleanIndoors, cleaning.hardFloor, cleaning.buckets},
	{"vacuum_again", false, "When everything is dry, vacuum once more with a HEPA vacuum, high to low and towards the door.", "What washing loosened is taken up.", housingClean, cleaning.indoors, nil},
	{"remove_isolating_sheeting", false, "Take down the sheeting that isolates clean rooms last of all, misted and folded in the same way.", "Clean rooms stay closed until the work area is clean.", cleanDebris, cleaning.isolated, nil},
	{"clean_outdoors", false, "Clean all surfaces in the work area outdoors until no dust, debris or residue is seen.", "Rain and wind carry away what is left.", cleanAll, cleaning.outdoors, nil},
	{"store_waste", false, "Store the waste under containment, in an enclosure or behind a barrier until it is carried away.", "Nobody may get at it or spread it.", cleanDaily, cleaning.always, nil},
	{"look_before_verifying", false, "Look over everything; clean again what is not clean, before the certified renovator verifies it.", "What can be seen fails every check.", cleanAll, cleaning.always, nil},
}

// floors is how much floor is cleaned: the work area of each room and the distance beyond it, at most the room.
func (c cleaning) floors() []Amount {
	reach, beyond := c.n.value("containment_floor_distance").Number(), c.n.value("cleaning_beyond_distance").Number()
	total := Feet(measure.Number{})
	for _, room := range c.Rooms {
		total = plus(total, cleanedIn(room, reach.Add(beyond)))
	}
	if !total.Known {
		return []Amount{}
	}
	return []Amount{{Of: "floor, at most", Amount: *shown(total.N, measure.SquareFoot)}}
}

func cleanedIn(room WorkRoom, reach measure.Number) Ft {
	if room.Enough.Known {
		reach = reach.Max(room.Enough.N)
	}
	area := Ft{Known: len(room.Surfaces) > 0}
	for _, s := range room.Surfaces {
		sheet, _ := sheetOf(s, reach)
		area = plus(area, sheet.area)
	}
	if whole := times(room.Length, room.Width); whole.Known && (!area.Known || area.N.Cmp(whole.N) > 0) {
		return whole
	}
	return area
}

// water is how often wash and rinse water is made: once for every so many rooms.
func (c cleaning) water() []Amount {
	rooms, each := len(c.Rooms), c.n.value("cleaning_water_rooms").Int()
	if each < 1 {
		return []Amount{}
	}
	return []Amount{{Of: "fresh wash and rinse water", Amount: measure.Shown{Value: fmt.Sprint((rooms + each - 1) / each), Unit: "1", Computed: true}}}
}

func (c cleaning) buckets() []Amount {
	return append([]Amount{{Of: "buckets", Amount: measure.Shown{Value: c.n.value("cleaning_buckets").Value, Unit: "1", Computed: true}}}, c.water()...)
}

func (c cleaning) explain(d *law.Determination) {
	d.Use("on", c.On.String())
	d.Use("rooms", fmt.Sprint(len(c.Rooms)))
	d.Because("cleaning_order", "rooms", fmt.Sprint(len(c.Rooms)), cleanAll, "Debris first, then the sheeting, then everything from high to low, until no dust, debris or residue is left.")
	if c.indoors() {
		d.Because("cleaning_indoors", "rooms", fmt.Sprint(len(c.Rooms)), cleanIndoors, c.n.say("Indoors everything in the work area and within {cleaning_beyond_distance} feet of it is vacuumed, then wiped damp; uncarpeted floors are mopped with wash and rinse water apart."))
		d.Because("cleaning_guidance", "rooms", fmt.Sprint(len(c.Rooms)), housingClean, c.n.say("Wait {cleaning_wait} h first, change the water room by room (rooms to one water: {cleaning_water_rooms}), and vacuum once more at the end."))
	}
	if c.Outdoors {
		d.Because("cleaning_outdoors", "outdoors", "yes", cleanAll, "Outdoors chips and debris are picked up, sheeting misted and folded, and surfaces cleaned until nothing is seen.")
	}
	if c.Days != 1 {
		days := "unknown"
		if c.Days > 0 {
			days = fmt.Sprint(c.Days)
		}
		d.Because("cleaning_daily", "days", days, cleanDaily, "At the end of each day debris is bagged, surfaces are cleaned and waste is stored.")
	}
	if c.any(func(r WorkRoom) bool { return r.Carpet == law.Unknown }) {
		d.Miss("carpeted", "Carpet is vacuumed with a beater bar, other floors are mopped.", "Knowing the floor leaves the other step out.")
	}
	if c.indoors() && c.Isolated == law.Unknown {
		d.Miss("isolated", "Sheeting that isolates clean rooms comes down last.", "Knowing that there is none leaves the step out.")
	}
}
