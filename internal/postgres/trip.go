package postgres

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/waste"
)

// Arrival is the written form of what a facility took in.
type Arrival struct {
	ArrivedAt         time.Time     `json:"arrived_at"`
	Received          []uuid.UUID   `json:"received"`
	Receipt           string        `json:"receipt,omitempty"`
	VehicleVacuumedOn calendar.Date `json:"vehicle_vacuumed_on,omitzero"` // local date; no date while not told
}

// tripForm is what the book reads and keeps in step of a trip's written form.
type tripForm struct {
	FacilityID   uuid.UUID       `json:"facility_id"`
	Vehicle      string          `json:"vehicle"`
	CargoArea    waste.CargoArea `json:"cargo_area"`
	DepartedAt   time.Time       `json:"departed_at"`
	ContainerIDs []uuid.UUID     `json:"container_ids"`
	Arrival      *Arrival        `json:"arrival"`
	Short        []uuid.UUID     `json:"short"`
	FindingIDs   []uuid.UUID     `json:"finding_ids"`
}

// containers are all that the trip names, each once, in the order in which they are held.
func (f tripForm) containers() []uuid.UUID {
	ids := slices.Clone(f.ContainerIDs)
	if f.Arrival != nil {
		ids = append(ids, f.Arrival.Received...)
	}
	return inHoldingOrder(ids)
}

const insertLoads = `
insert into trip_load (organization_id, trip_id, container_id)
select $1, $2, unnest($3::uuid[])
on conflict do nothing`

const deleteLoads = `
delete from trip_load
where organization_id = $1
  and trip_id = $2`

// CreateTrip records a trip, and its arrival where that is told at once.
func (s *Store) CreateTrip(ctx context.Context, call Call, d Draft) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		trip := &heldTrip{record: Record{Kind: "trip", ID: newID()}, fields: d.Fields, fresh: true, action: "created"}
		if err := readFields(d.Fields, &trip.form); err != nil {
			return Outcome{}, err
		}
		a, err := t.openAccount(trip.form.containers())
		if err != nil {
			return Outcome{}, err
		}
		var faults fault.Faults
		a.demand(&faults, "/container_ids", trip.form.ContainerIDs)
		if trip.form.Arrival != nil {
			a.demand(&faults, "/arrival/received", trip.form.Arrival.Received)
			a.checkVacuuming(&faults, "/arrival/vehicle_vacuumed_on", *trip.form.Arrival)
		}
		if trip.facility, err = t.facilityName(&faults, trip.form.FacilityID); err != nil {
			return Outcome{}, err
		}
		if err := faults.Err(); err != nil {
			return Outcome{}, err
		}
		return a.tell(trip, 201, "/arrival")
	})
}

// facilityName reads the name of the facility that a trip goes to.
func (t *Tx) facilityName(faults *fault.Faults, id uuid.UUID) (string, error) {
	var facility struct {
		Name string `json:"name"`
	}
	record, err := t.Load("facility", id)
	switch {
	case fault.Is(err, fault.NotFound):
		faults.Add("/facility_id", "no_such_reference", "There is no facility with this identifier that this credential may see.")
		return "", nil
	case err != nil:
		return "", err
	case record.Ended:
		faults.Add("/facility_id", "reference_ended", "The facility has ended; name a live one.")
	}
	return facility.Name, record.Read(&facility)
}

// ArriveTrip records what the facility took in. It is told once.
func (s *Store) ArriveTrip(ctx context.Context, call Call, id uuid.UUID, arrival Arrival) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		known, err := t.Load("trip", id)
		if err != nil {
			return Outcome{}, err
		}
		var listed tripForm
		if err := known.Read(&listed); err != nil {
			return Outcome{}, err
		}
		a, err := t.openAccount(inHoldingOrder(append(listed.ContainerIDs, arrival.Received...)))
		if err != nil {
			return Outcome{}, err
		}
		trip := a.trip(id)
		switch {
		case trip == nil:
			return Outcome{}, ended() // voided: no container is on it any more
		case trip.form.Arrival != nil:
			return Outcome{}, fault.New(fault.Conflict, "already_arrived", "The arrival of this trip is told already.").
				Fix("Read the trip. If what was told is wrong, void the trip and tell it again, with its arrival.")
		}
		var faults fault.Faults
		a.demand(&faults, "/received", arrival.Received)
		a.checkVacuuming(&faults, "/vehicle_vacuumed_on", arrival)
		if err := faults.Err(); err != nil {
			return Outcome{}, err
		}
		trip.form.Arrival, trip.action = &arrival, "arrived"
		return a.tell(trip, 200, "")
	})
}

// tell records a new trip or a new arrival with all that follows. at is where the arrival is in the caller's body.
func (a *account) tell(trip *heldTrip, status int, at string) (Outcome, error) {
	if trip.fresh {
		a.trips = append(a.trips, trip)
	}
	ledger := waste.Account(a.history())
	err := a.refuse(ledger, func(c waste.Contradiction) string { return trip.place(c, at) })
	if err != nil {
		return Outcome{}, err
	}
	if err := a.settle(ledger); err != nil {
		return Outcome{}, err
	}
	a.later(insertLoads, a.organization(), trip.record.ID, trip.form.containers())
	return Outcome{Status: status, Record: trip.record}, nil
}

// place finds the part of the caller's body that a contradiction is about: the container among those loaded or received,
// or the instant of the arrival. at is where the arrival is; a request that tells an arrival alone has no list of those
// loaded.
func (p *heldTrip) place(c waste.Contradiction, at string) string {
	named := func(id uuid.UUID) bool { return id.String() == c.Container }
	received, loaded := -1, -1
	if p.form.Arrival != nil {
		received = slices.IndexFunc(p.form.Arrival.Received, named)
	}
	if p.fresh {
		loaded = slices.IndexFunc(p.form.ContainerIDs, named)
	}
	switch {
	case c.Container == "":
		return at + "/arrived_at"
	case received >= 0 && (loaded < 0 || c.At.Equal(p.form.Arrival.ArrivedAt)):
		return fmt.Sprintf("%s/received/%d", at, received)
	case loaded >= 0:
		return fmt.Sprintf("/container_ids/%d", loaded)
	}
	return at + "/received"
}

// checkVacuuming refuses a day of vacuuming that lies before the arrival or in the future.
func (a *account) checkVacuuming(f *fault.Faults, pointer string, arrival Arrival) {
	day := arrival.VehicleVacuumedOn
	switch {
	case day.IsZero():
	case day.Before(calendar.LocalDate(arrival.ArrivedAt, a.zone)):
		f.Add(pointer, "contradiction", "The vehicle unloaded on %s, and is vacuumed afterwards; send that day, or leave it out.",
			calendar.LocalDate(arrival.ArrivedAt, a.zone))
	case day.After(calendar.LocalDate(a.now, a.zone)):
		f.Add(pointer, "in_the_future", "%s has not come yet; tell what happened, when it has happened.", day)
	}
}

// VoidTrip ends a trip that was entered in error. Its containers are where they are without it.
func (s *Store) VoidTrip(ctx context.Context, call Call, id uuid.UUID, match *string, ending Ending) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		known, err := t.Load("trip", id)
		if err != nil {
			return Outcome{}, err
		}
		var listed tripForm
		if err := known.Read(&listed); err != nil {
			return Outcome{}, err
		}
		a, err := t.openAccount(listed.containers())
		if err != nil {
			return Outcome{}, err
		}
		before, err := t.HoldMatching("trip", id, match)
		if err != nil {
			return Outcome{}, err
		}
		if before.Version != known.Version {
			return Outcome{}, fault.New(fault.Conflict, "changed_meanwhile", "The trip changed while it was being voided.").
				Fix("Read the trip again; if it is still to be voided, send the request with its current ETag.")
		}
		after, err := t.End(before, ending)
		if err != nil {
			return Outcome{}, err
		}
		t.later(deleteLoads, t.organization(), id)
		a.voided = a.trip(id)
		a.trips = slices.DeleteFunc(a.trips, func(p *heldTrip) bool { return p == a.voided })
		ledger := waste.Account(a.history())
		if fresh := a.fresh(ledger); len(fresh) > 0 {
			e := fault.New(fault.Conflict, "facts_rest_on_it", "Without this trip, other facts told could not have happened: %s", fresh[0].Detail)
			return Outcome{}, e.Fix("Correct those facts first.")
		}
		return Outcome{Status: 200, Record: after}, a.settle(ledger)
	})
}
