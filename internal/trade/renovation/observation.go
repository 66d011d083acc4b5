package renovation

import (
	"bytes"
	"cmp"
	"slices"
	"time"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/practice"
)

// ObservationKind is what was seen or done on a job.
type ObservationKind string

// The kinds.
const (
	SignPosted          ObservationKind = "sign_posted"
	SignRemoved         ObservationKind = "sign_removed"
	ContainmentBuilt    ObservationKind = "containment_built"
	ContainmentChecked  ObservationKind = "containment_checked"
	ContainmentBreached ObservationKind = "containment_breached"
	ContainmentMended   ObservationKind = "containment_mended"
	MethodUsed          ObservationKind = "method_used"
	OccupantMovedOut    ObservationKind = "occupant_moved_out"
	OccupantBack        ObservationKind = "occupant_back"
	OccupantInWorkArea  ObservationKind = "occupant_in_work_area"
	DayCleaned          ObservationKind = "day_cleaned"
	WasteStored         ObservationKind = "waste_stored"
	VentilationOff      ObservationKind = "ventilation_off"
	VentilationOn       ObservationKind = "ventilation_on"
	WindStop            ObservationKind = "wind_stop"
	WeatherStop         ObservationKind = "weather_stop"
	Visitor             ObservationKind = "visitor"
	Injury              ObservationKind = "injury"
	EquipmentChecked    ObservationKind = "equipment_checked"
	TrainingGiven       ObservationKind = "training_given"
	RenovatorPresent    ObservationKind = "renovator_present"
	Photo               ObservationKind = "photo"
	Note                ObservationKind = "note"
)

// Moment is one at which the certified renovator must be there in person (40 CFR 745.90(b)).
type Moment string

// The moments.
const (
	AtSigns       Moment = "signs"
	AtContainment Moment = "containment"
	AtCleaning    Moment = "cleaning"
)

// Spot is where something was seen: a room, an exterior side, or neither, which is the job as a whole.
type Spot struct {
	Room string `json:"room_id,omitempty"`
	Side string `json:"exterior_side_id,omitempty"`
	Name string `json:"-"` // for sentences
}

// is reports whether two spots are one.
func (s Spot) is(o Spot) bool { return s.Room == o.Room && s.Side == o.Side }

// whole reports whether the spot is the job as a whole.
func (s Spot) whole() bool { return s.Room == "" && s.Side == "" }

// covers reports whether what is done at a spot is done for another one: at the same, or for the whole job. What was told
// without a spot may be anywhere, so that only what is done for the whole job covers it.
func (s Spot) covers(o Spot) bool { return s.whole() || s.is(o) }

// in names the spot in a sentence, behind what was seen there.
func (s Spot) in() string {
	if s.Name == "" {
		return ""
	}
	return " (" + s.Name + ")"
}

// Observation is one thing seen or done on a job, as it stands by its latest telling.
type Observation struct {
	ID        string
	Kind      ObservationKind
	At        time.Time // it happened
	Spot      Spot
	Withdrawn bool // it did not happen, or not on this job: it counts for nothing

	Used      practice.Facts // by method_used; the date, the home and whether it is outdoors are not told with it
	Component string         // worked on
	Intact    law.Tri        // the containment, when it was checked
	InArea    law.Tri        // a visitor was in the work area; not known counts as yes
	WithChild law.Tri
	Moment    Moment
}

// ranks put what keeps work safe before work of the same instant: a sign posted at eight is up for work of eight.
var ranks = map[ObservationKind]int{SignPosted: -2, ContainmentBuilt: -2, ContainmentMended: -2, ContainmentChecked: -1}

// inOrderOfTime gives the observations that count, by when they happened; those of one instant by rank, then identifier.
func inOrderOfTime(set []Observation) []Observation {
	order := slices.DeleteFunc(slices.Clone(set), func(o Observation) bool { return o.Withdrawn })
	slices.SortFunc(order, func(a, b Observation) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(ranks[a.Kind], ranks[b.Kind]), cmp.Compare(a.ID, b.ID))
	})
	return slices.CompactFunc(order, func(a, b Observation) bool { return a.ID == b.ID })
}

// Telling is one content told under an observation's identifier.
type Telling struct {
	ToldAt  time.Time // by the device's clock
	Content []byte    // canonical
}

// Compare orders the tellings of one observation; the last one is how it stands. The later told comes last, and of two told
// at one instant the one with the greater bytes, so that the order in which they arrive decides nothing.
func (t Telling) Compare(o Telling) int {
	return cmp.Or(t.ToldAt.Compare(o.ToldAt), bytes.Compare(t.Content, o.Content))
}

// FindingKinds are the kinds of observations that can open a finding, or end one.
func FindingKinds() []ObservationKind {
	return []ObservationKind{SignPosted, SignRemoved, ContainmentBuilt, ContainmentChecked, ContainmentBreached, ContainmentMended,
		MethodUsed, OccupantInWorkArea, Visitor}
}

// OpensFindings reports whether an observation of the kind can open a finding, or end one.
func (k ObservationKind) OpensFindings() bool { return slices.Contains(FindingKinds(), k) }
