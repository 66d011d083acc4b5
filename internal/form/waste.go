package form

import (
	"encoding/json"
	"fmt"
	"time"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/waste"
)

// The kinds that follow waste.
var (
	Container = kindOf("container", "containers", "Container", checkContainer)
	Trip      = kindOf("trip", "trips", "Trip", checkTrip)
)

func checkContainer(c api.ContainerCreate, now time.Time, f *fault.Faults) {
	happened(f, "/sealed_at", c.SealedAt, now)
	positive(f, "/weight", c.Weight, measure.Mass)
	if c.Weighed != nil && c.Weight == nil {
		f.Add("/weight", "missing", "weighed says how the weight is known; send the weight, or leave weighed out.")
	}
}

func checkTrip(t api.TripCreate, now time.Time, f *fault.Faults) {
	happened(f, "/departed_at", t.DepartedAt, now)
	once(f, "/container_ids", t.ContainerIds)
	if t.Arrival == nil {
		return
	}
	checkArrival(*t.Arrival, now, f, "/arrival")
	if !t.Arrival.ArrivedAt.After(t.DepartedAt) {
		f.Add("/arrival/arrived_at", waste.ArrivedBeforeLeft, "The trip cannot have arrived before it left; correct one of the two instants.")
	}
}

func checkArrival(a api.Arrival, now time.Time, f *fault.Faults, at string) {
	happened(f, at+"/arrived_at", a.ArrivedAt, now)
	once(f, at+"/received", a.Received)
}

// happened refuses an instant that has not come yet.
func happened(f *fault.Faults, pointer string, at, now time.Time) {
	if at.After(now) {
		f.Add(pointer, "in_the_future", "%s has not come yet; tell what happened, when it has happened.", at.UTC().Format(time.RFC3339))
	}
}

// once refuses a list that names a container twice.
func once(f *fault.Faults, pointer string, ids []uuid.UUID) {
	seen := make(map[uuid.UUID]bool, len(ids))
	for i, id := range ids {
		if seen[id] {
			f.Add(fmt.Sprintf("%s/%d", pointer, i), waste.ListedTwice, "The container %s is listed twice; list it once.", id)
		}
		seen[id] = true
	}
}

// ContainerEvent reads what happened to a container apart from trips.
func ContainerEvent(text []byte, now time.Time) (postgres.ContainerEvent, error) {
	var told api.ContainerEvent
	if err := json.Unmarshal(text, &told); err != nil {
		return postgres.ContainerEvent{}, err
	}
	e := postgres.ContainerEvent{What: waste.What(told.What), At: told.At}
	if told.Where != nil {
		e.Where = *told.Where
	}
	if told.Reason != nil {
		e.Reason = *told.Reason
	}
	var faults fault.Faults
	happened(&faults, "/at", told.At, now)
	switch lost := e.What == waste.Lost; {
	case lost && e.Reason == "":
		faults.Add("/reason", waste.LossWithoutReason, "Say what is known of the loss and who accounts for it.")
	case lost && e.Where != "":
		faults.Add("/where", "contradiction", "A lost container is not kept anywhere; say in reason what is known.")
	case !lost && e.Where == "":
		faults.Add("/where", "missing", "Say where the container is kept now.")
	case !lost && e.Reason != "":
		faults.Add("/reason", "contradiction", "Only a loss has a reason; leave it out.")
	}
	return e, faults.Err()
}

// Arrival reads what a facility took in.
func Arrival(text []byte, now time.Time) (postgres.Arrival, error) {
	var told api.Arrival
	if err := json.Unmarshal(text, &told); err != nil {
		return postgres.Arrival{}, err
	}
	a := postgres.Arrival{ArrivedAt: told.ArrivedAt, Received: told.Received}
	if told.Receipt != nil {
		a.Receipt = *told.Receipt
	}
	var faults fault.Faults
	if told.VehicleVacuumedOn != nil {
		day, err := calendar.ParseDate(told.VehicleVacuumedOn.String())
		faults.Merge("/vehicle_vacuumed_on", err)
		a.VehicleVacuumedOn = day
	}
	checkArrival(told, now, &faults, "")
	return a, faults.Err()
}

// Voiding reads a request to void a record that was entered in error. gone says how the thing itself leaves the book, for
// those who meant that.
func Voiding(text []byte, now time.Time, gone string) (postgres.Ending, error) {
	ending, err := Ending(text, now)
	if err != nil {
		return ending, err
	}
	var faults fault.Faults
	if ending.How != string(api.EndHowVoid) {
		faults.Add("/how", "only_void", "It can only be voided, as entered in error: send void. %s", gone)
	}
	return ending, faults.Err()
}
