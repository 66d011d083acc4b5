package postgres

import (
	"bytes"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/waste"
)

// account is the history of some containers, held until the transaction ends, with the trips that concern them. Whoever
// tells a fact of waste holds its containers first, in the order of their identifiers, and then their trips; so no two
// requests load one container.
type account struct {
	*Tx
	zone       *time.Location // of the first container's property
	containers []*heldContainer
	trips      []*heldTrip
	voided     *heldTrip // is being voided and no longer among trips
	before     waste.Ledger
}

type heldContainer struct {
	record Record
	form   containerForm
	action string // empty: named after the new position
	found  bool   // a finding about it was opened
}

type heldTrip struct {
	record   Record
	form     tripForm
	fields   Fields // of a fresh one: as told
	facility string // its name
	action   string // empty: the book kept it in step with another fact
	fresh    bool   // not written yet
	found    bool   // a finding was opened because of it
}

// inHoldingOrder sorts identifiers as the database does, each once.
func inHoldingOrder(ids []uuid.UUID) []uuid.UUID {
	sorted := slices.SortedFunc(slices.Values(ids), func(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) })
	return slices.Compact(sorted)
}

// openAccount holds the containers with these identifiers that are within the caller's reach, and their trips.
func (t *Tx) openAccount(ids []uuid.UUID) (*account, error) {
	a := &account{Tx: t, zone: time.UTC}
	var err error
	if a.containers, err = t.holdContainers(ids); err != nil || len(a.containers) == 0 {
		return a, err
	}
	if a.trips, err = t.holdTrips(ids); err != nil {
		return nil, err
	}
	if a.zone, err = t.zoneOf(a.containers[0].record.Properties[0]); err != nil {
		return nil, err
	}
	a.before = waste.Account(a.history())
	return a, nil
}

const holdContainers = `
select id, version, property_id, ended, body
from container
where organization_id = $1
  and id = any($2)
order by id
for no key update`

func (t *Tx) holdContainers(ids []uuid.UUID) ([]*heldContainer, error) {
	var all []*heldContainer
	err := t.query(rowsOf(&all, func(row pgx.CollectableRow) (*heldContainer, error) {
		c := &heldContainer{record: Record{Kind: "container", Properties: make([]uuid.UUID, 1)}}
		r := &c.record
		return c, row.Scan(&r.ID, &r.Version, &r.Properties[0], &r.Ended, &r.Body)
	}), holdContainers, t.organization(), ids)
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(c *heldContainer) bool { return !t.call.Caller.Sees(c.record.Properties) })
	for _, c := range all {
		if err := c.record.Read(&c.form); err != nil {
			return nil, err
		}
	}
	return all, nil
}

const holdTrips = `
select t.id, t.version, t.property_ids, t.ended, t.body, convert_from(f.body, 'UTF8')::jsonb->>'name'
from trip t
join facility f on f.organization_id = t.organization_id and f.id = t.facility_id
where t.organization_id = $1
  and t.id in (
    select trip_id
    from trip_load
    where organization_id = $1
      and container_id = any($2)
  )
order by t.id
for no key update of t`

// holdTrips holds the live trips that list containers, whether the caller may see all of each or not: the containers'
// positions depend on them.
func (t *Tx) holdTrips(containers []uuid.UUID) ([]*heldTrip, error) {
	var trips []*heldTrip
	err := t.query(rowsOf(&trips, func(row pgx.CollectableRow) (*heldTrip, error) {
		p := &heldTrip{record: Record{Kind: "trip"}}
		r := &p.record
		return p, row.Scan(&r.ID, &r.Version, &r.Properties, &r.Ended, &r.Body, &p.facility)
	}), holdTrips, t.organization(), containers)
	if err != nil {
		return nil, err
	}
	for _, p := range trips {
		if err := p.record.Read(&p.form); err != nil {
			return nil, err
		}
	}
	return trips, nil
}

const selectZone = `
select time_zone
from property
where organization_id = $1
  and id = $2`

func (t *Tx) zoneOf(property uuid.UUID) (*time.Location, error) {
	var zones []string
	if err := t.query(rowsOf(&zones, pgx.RowTo[string]), selectZone, t.organization(), property); err != nil {
		return nil, err
	}
	if len(zones) == 0 {
		return nil, notFound()
	}
	return time.LoadLocation(zones[0])
}

func (a *account) container(id uuid.UUID) *heldContainer {
	for _, c := range a.containers {
		if c.record.ID == id {
			return c
		}
	}
	return nil
}

func (a *account) trip(id uuid.UUID) *heldTrip {
	for _, p := range a.trips {
		if p.record.ID == id {
			return p
		}
	}
	return nil
}

// demand notes the containers of a list that are not there, lie outside the caller's reach or have ended.
func (a *account) demand(f *fault.Faults, pointer string, ids []uuid.UUID) {
	for i, id := range ids {
		at := fmt.Sprintf("%s/%d", pointer, i)
		switch c := a.container(id); {
		case c == nil:
			f.Add(at, "no_such_reference", "There is no container with this identifier that this credential may see.")
		case c.record.Ended:
			f.Add(at, "reference_ended", "Container %s was voided; name a live one.", c.form.Label)
		}
	}
}

// history is what the trade makes its account of.
func (a *account) history() waste.History {
	h := waste.History{Zone: a.zone, AsOf: calendar.LocalDate(a.now, a.zone)}
	for _, c := range a.containers {
		h.Containers = append(h.Containers, c.told())
	}
	for _, p := range a.trips {
		h.Trips = append(h.Trips, p.told())
	}
	return h
}

func (c *heldContainer) told() waste.Container {
	told := waste.Container{ID: c.record.ID.String(), Label: c.form.Label, Kind: c.form.Kind, SealedAt: c.form.SealedAt, StoredIn: c.form.StoredIn}
	for _, e := range c.form.Events {
		told.Events = append(told.Events, waste.Event(e))
	}
	return told
}

func (p *heldTrip) told() waste.Trip {
	told := waste.Trip{ID: p.record.ID.String(), Facility: p.form.FacilityID.String(), CargoArea: p.form.CargoArea,
		DepartedAt: p.form.DepartedAt, Loaded: texts(p.form.ContainerIDs)}
	if arrived := p.form.Arrival; arrived != nil {
		told.Arrival = &waste.Arrival{At: arrived.ArrivedAt, Received: texts(arrived.Received), Vacuumed: arrived.VehicleVacuumedOn}
	}
	return told
}

func texts(ids []uuid.UUID) []string {
	list := make([]string, len(ids))
	for i, id := range ids {
		list[i] = id.String()
	}
	return list
}

// fresh are the contradictions that were not there before.
func (a *account) fresh(l waste.Ledger) []waste.Contradiction {
	return slices.DeleteFunc(slices.Clone(l.Contradictions), func(c waste.Contradiction) bool {
		return slices.Contains(a.before.Contradictions, c)
	})
}

// refuse turns the contradictions that the new fact brings into faults at the caller's own pointers. The fact that the
// ledger names as impossible may be the older one; it is the newer that is refused.
func (a *account) refuse(l waste.Ledger, place func(waste.Contradiction) string) error {
	var faults fault.Faults
	for _, c := range a.fresh(l) {
		faults.Add(place(c), c.Code, "%s", c.Detail)
	}
	return faults.Err()
}
