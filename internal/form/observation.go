package form

import (
	"encoding/json"
	"strings"
	"time"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/renovation"
)

// ClockSkew is by how much a device's clock may run ahead of the book's.
const ClockSkew = 2 * time.Minute

// earliest is before anything that a job's people can have seen.
var earliest = time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)

// details says which member of an observation goes with which kinds, and which kinds need theirs.
var details = []struct {
	member string
	told   func(api.ObservationCreate) bool
	kinds  []renovation.ObservationKind
	needed bool
}{
	{"method_used", func(o api.ObservationCreate) bool { return o.MethodUsed != nil }, []renovation.ObservationKind{renovation.MethodUsed}, true},
	{"sign", func(o api.ObservationCreate) bool { return o.Sign != nil }, []renovation.ObservationKind{renovation.SignPosted, renovation.SignRemoved}, false},
	{"containment", func(o api.ObservationCreate) bool { return o.Containment != nil }, []renovation.ObservationKind{renovation.ContainmentBuilt,
		renovation.ContainmentChecked, renovation.ContainmentBreached, renovation.ContainmentMended}, false},
	{"people", func(o api.ObservationCreate) bool { return o.People != nil }, []renovation.ObservationKind{renovation.OccupantMovedOut,
		renovation.OccupantBack, renovation.OccupantInWorkArea, renovation.Visitor}, false},
	{"waste", func(o api.ObservationCreate) bool { return o.Waste != nil }, []renovation.ObservationKind{renovation.WasteStored}, false},
	{"equipment", func(o api.ObservationCreate) bool { return o.Equipment != nil }, []renovation.ObservationKind{renovation.EquipmentChecked}, true},
	{"training", func(o api.ObservationCreate) bool { return o.Training != nil }, []renovation.ObservationKind{renovation.TrainingGiven}, true},
	{"presence", func(o api.ObservationCreate) bool { return o.Presence != nil }, []renovation.ObservationKind{renovation.RenovatorPresent}, true},
	{"photo", func(o api.ObservationCreate) bool { return o.Photo != nil }, []renovation.ObservationKind{renovation.Photo}, true},
}

// Observation reads an observation as a device tells it, and writes its content in the one way in which the book compares
// it: instants in UTC to the microsecond, what is absent left out.
func Observation(text []byte, now time.Time) (postgres.Telling, error) {
	var told api.ObservationCreate
	if err := json.Unmarshal(text, &told); err != nil {
		return postgres.Telling{}, fault.New(fault.Malformed, "malformed", "The body cannot be read: %s.", err)
	}
	var t postgres.Telling
	if told.Id != nil {
		t.ID, told.Id = *told.Id, nil
	}
	told.HappenedAt, told.ToldAt = told.HappenedAt.UTC().Truncate(time.Microsecond), told.ToldAt.UTC().Truncate(time.Microsecond)
	var faults fault.Faults
	checkObservation(told, now, &faults)
	if err := faults.Err(); err != nil {
		return t, err
	}
	content, err := json.Marshal(told)
	if err != nil {
		return t, err
	}
	draft, err := postgres.DraftOf(content)
	t.Content = draft.Fields
	return t, err
}

func checkObservation(o api.ObservationCreate, now time.Time, f *fault.Faults) {
	kind := renovation.ObservationKind(o.Kind)
	checkInstants(o, now, f)
	checkDetails(o, kind, f)
	if told(o.RoomId, o.ExteriorSideId) == 2 {
		f.Add("/room_id", "one_of_two", "Give room_id or exterior_side_id, not both; neither for the job as a whole.")
	}
	if o.MethodUsed != nil && kind == renovation.MethodUsed {
		checkMethodUsed(*o.MethodUsed, f)
	}
	if o.Containment != nil && o.Containment.Intact != nil && kind != renovation.ContainmentChecked {
		f.Add("/containment/intact", "not_of_this_kind", "Only a check says whether the containment was found intact; tell containment_checked as well.")
	}
	if o.People != nil && o.People.InWorkArea != nil && kind != renovation.Visitor {
		f.Add("/people/in_work_area", "not_of_this_kind", "Only of a visitor is it told whether they were in the work area; leave it out.")
	}
	if o.Note == nil && (kind == renovation.Note || kind == renovation.Injury || is(o.Withdrawn, true)) {
		f.Add("/note", "missing", "Say in a few words what it is about; of what is withdrawn, why.")
	}
}

func checkInstants(o api.ObservationCreate, now time.Time, f *fault.Faults) {
	happened(f, "/happened_at", o.HappenedAt, now.Add(ClockSkew))
	happened(f, "/told_at", o.ToldAt, now.Add(ClockSkew))
	if o.HappenedAt.Before(earliest) {
		f.Add("/happened_at", "too_early", "Nothing is told of the time before %s; correct the instant.", earliest.Format(time.DateOnly))
	}
	if o.ToldAt.Before(o.HappenedAt) {
		f.Add("/told_at", "contradiction", "It was told before it happened; correct one of the two instants.")
	}
}

func checkDetails(o api.ObservationCreate, kind renovation.ObservationKind, f *fault.Faults) {
	for _, d := range details {
		of := false
		for _, k := range d.kinds {
			of = of || k == kind
		}
		if d.told(o) && !of {
			f.Add("/"+d.member, "not_of_this_kind", "%s does not go with %s; leave it out, or correct kind.", d.member, o.Kind)
		}
		if of && d.needed && !d.told(o) {
			f.Add("/"+d.member, "missing", "Give %s with %s.", d.member, o.Kind)
		}
	}
}

// checkMethodUsed refuses quantities that are none, and facts that contradict one another.
func checkMethodUsed(m api.ObservedMethod, f *fault.Faults) {
	facts, err := PracticesFacts(api.PracticesFacts{Method: m.Method, Temperature: m.Temperature, Charring: m.Charring, WithHeatGun: m.WithHeatGun,
		Shroud: m.Shroud, Hepa: m.Hepa, VisibleDustOutside: m.VisibleDustOutside, WellVentilated: m.WellVentilated, VolatileStripper: m.VolatileStripper,
		OutletDistance: m.OutletDistance, SpotArea: m.SpotArea})
	f.Merge("/method_used", err)
	if err == nil {
		f.Merge("/method_used", facts.Check())
	}
	if m.Component != nil && strings.TrimSpace(*m.Component) == "" {
		f.Add("/method_used/component", "missing", "Name what it was used on, or leave it out.")
	}
}

// Identified gives an observation the identifier in its path. One in the body must be the same.
func Identified(t postgres.Telling, id uuid.UUID) (postgres.Telling, error) {
	var faults fault.Faults
	if t.ID != uuid.Nil && t.ID != id {
		faults.Add("/id", "contradiction", "The path names the observation %s; send the same identifier, or leave it out.", id)
	}
	t.ID = id
	return t, faults.Err()
}

// WithIdentifier demands the identifier that an item of a batch needs.
func WithIdentifier(t postgres.Telling) error {
	var faults fault.Faults
	if t.ID == uuid.Nil {
		faults.Add("/id", "missing", "Give the identifier that the device made, so that telling it again is safe.")
	}
	return faults.Err()
}
