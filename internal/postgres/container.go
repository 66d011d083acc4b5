package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/waste"
)

// ContainerEvent is the written form of what happened to a container apart from trips.
type ContainerEvent struct {
	What   waste.What `json:"what"`
	At     time.Time  `json:"at"`
	Where  string     `json:"where,omitempty"`
	Reason string     `json:"reason,omitempty"`
}

// mostEvents is how many events the written form of a container holds.
const mostEvents = 500

// containerForm is what the book reads and keeps in step of a container's written form.
type containerForm struct {
	RenovationID uuid.UUID           `json:"renovation_id"`
	Label        string              `json:"label"`
	Kind         waste.ContainerKind `json:"kind"`
	SealedAt     time.Time           `json:"sealed_at"`
	StoredIn     string              `json:"stored_in"`
	Events       []ContainerEvent    `json:"events"`
	Position     *containerPosition  `json:"position"`
	FindingIDs   []uuid.UUID         `json:"finding_ids"`
}

// containerPosition is where a container is, kept in its written form so that a read is one lookup.
type containerPosition struct {
	Where       waste.Where `json:"where"`
	Since       time.Time   `json:"since"`
	Detail      string      `json:"detail,omitempty"`
	TripID      *uuid.UUID  `json:"trip_id,omitempty"`
	FacilityID  *uuid.UUID  `json:"facility_id,omitempty"`
	Unaccounted bool        `json:"unaccounted,omitzero"`
}

const selectLabel = `
select id
from container
where organization_id = $1
  and renovation_id = $2
  and label = $3
  and not ended`

// CreateContainer records a sealed container. Its label is its own within the job.
func (s *Store) CreateContainer(ctx context.Context, call Call, d Draft) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		var told containerForm
		if err := readFields(d.Fields, &told); err != nil {
			return Outcome{}, err
		}
		job, err := t.freeLabel(told)
		if err != nil {
			return Outcome{}, err
		}
		draft := Draft{ID: newID(), Fields: d.Fields}
		c := &heldContainer{record: Record{ID: draft.ID, Properties: job.Properties}, form: told}
		a := &account{Tx: t, zone: time.UTC, containers: []*heldContainer{c}}
		position := a.position(c, waste.Account(a.history()))
		if err := a.watchClosed(c, position); err != nil {
			return Outcome{}, err
		}
		for name, value := range map[string]any{"position": position, "events": []ContainerEvent{}, "finding_ids": c.form.FindingIDs} {
			if err := draft.Set(name, value); err != nil {
				return Outcome{}, err
			}
		}
		record, err := t.Insert("container", "sealed", draft)
		return Outcome{Status: 201, Record: record}, err
	})
}

// freeLabel holds the job, so that two requests do not put one label on two of its containers, and refuses a label that
// is taken. A job that is not there is left to the check of references, which names the field.
func (t *Tx) freeLabel(told containerForm) (Record, error) {
	job, err := t.Hold("renovation", told.RenovationID)
	if fault.Is(err, fault.NotFound) {
		return Record{}, nil
	}
	if err != nil {
		return Record{}, err
	}
	var holders []uuid.UUID
	if err := t.query(rowsOf(&holders, scanID), selectLabel, t.organization(), told.RenovationID, told.Label); err != nil || len(holders) == 0 {
		return job, err
	}
	return Record{}, fault.New(fault.Conflict, "label_taken", "The job has a container labelled %s already: %s.", told.Label, holders[0]).
		At("/label", "taken", "Container %s has this label.", holders[0]).
		Fix("Look at the label again; two containers of one job need different ones.")
}

// AddContainerEvent records what happened to a container apart from trips. Told again in the same words, it is the same
// event.
func (s *Store) AddContainerEvent(ctx context.Context, call Call, id uuid.UUID, event ContainerEvent) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		a, err := t.openAccount([]uuid.UUID{id})
		if err != nil {
			return Outcome{}, err
		}
		c := a.container(id)
		if c == nil {
			return Outcome{}, notFound()
		}
		switch {
		case c.record.Ended:
			return Outcome{}, ended()
		case slices.ContainsFunc(c.form.Events, event.same):
			return Outcome{Status: 200, Record: c.record}, nil
		case len(c.form.Events) == mostEvents:
			return Outcome{}, fault.New(fault.Conflict, "too_many_events", "The container has %d events; no more are kept.", mostEvents)
		}
		c.form.Events, c.action = append(c.form.Events, event), string(event.What)
		ledger := waste.Account(a.history())
		if err := a.refuse(ledger, func(told waste.Contradiction) string {
			if told.Code == waste.LossWithoutReason {
				return "/reason"
			}
			return "/at"
		}); err != nil {
			return Outcome{}, err
		}
		if err := a.settle(ledger); err != nil {
			return Outcome{}, err
		}
		return Outcome{Status: 200, Record: c.record}, nil
	})
}

func (e ContainerEvent) same(o ContainerEvent) bool {
	return e.What == o.What && e.At.Equal(o.At) && e.Where == o.Where && e.Reason == o.Reason
}

// VoidContainer ends a container that was entered in error. While a trip lists it, it was there.
func (s *Store) VoidContainer(ctx context.Context, call Call, id uuid.UUID, match *string, ending Ending) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		before, err := t.HoldMatching("container", id, match)
		if err != nil {
			return Outcome{}, err
		}
		trips, err := t.holdTrips([]uuid.UUID{id})
		if err != nil {
			return Outcome{}, err
		}
		if len(trips) > 0 {
			return Outcome{}, fault.New(fault.Conflict, "on_a_trip", "Trip %s lists the container; what went on a trip was not entered in error.", trips[0].record.ID).
				Fix("If the trip was entered in error, void it first.")
		}
		after, err := t.End(before, ending)
		return Outcome{Status: 200, Record: after}, err
	})
}

const selectBalance = `
select count(*) as sealed,
       count(*) filter (where place = 'stored') as stored,
       count(*) filter (where place = 'in_transit') as in_transit,
       count(*) filter (where place = 'delivered') as delivered,
       count(*) filter (where place = 'lost') as lost,
       count(*) filter (where unaccounted) as unaccounted,
       coalesce(array_agg(id order by id) filter (where place in ('stored', 'in_transit')), '{}') as not_delivered
from (
  select id,
         coalesce(position->>'where', 'stored') as place,
         coalesce((position->>'unaccounted')::boolean, false) as unaccounted
  from (
    select id, convert_from(body, 'UTF8')::jsonb->'position' as position
    from container
    where organization_id = $1
      and ($2::uuid is null or renovation_id = $2)
      and ($3::uuid is null or property_id = $3)
      and not ended
  ) as written
) as placed`

// WasteBalance counts containers by where they are: Sealed is always Stored + InTransit + Delivered + Lost.
type WasteBalance struct {
	Sealed       int         `json:"sealed"`
	Stored       int         `json:"stored"`
	InTransit    int         `json:"in_transit"`
	Delivered    int         `json:"delivered"`
	Lost         int         `json:"lost"`
	Unaccounted  int         `json:"unaccounted"`   // of InTransit
	NotDelivered []uuid.UUID `json:"not_delivered"` // stored or in transit
}

// WasteBalance counts the live containers of a "renovation" or a "property".
func (s *Store) WasteBalance(ctx context.Context, call Call, kind string, id uuid.UUID) (b WasteBalance, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		if _, err := t.Load(kind, id); err != nil {
			return err
		}
		if call.Caller.Grant != uuid.Nil {
			t.RecordAccess("container", nil, false)
		}
		job, property := &id, (*uuid.UUID)(nil)
		if kind == "property" {
			job, property = property, job
		}
		return t.query(func(rows pgx.Rows) (err error) {
			b, err = pgx.CollectExactlyOneRow(rows, pgx.RowToStructByPos[WasteBalance])
			return err
		}, selectBalance, t.organization(), job, property)
	})
	return b, err
}

const selectUndelivered = `
select label
from container
where organization_id = $1
  and renovation_id = $2
  and not ended
  and coalesce(convert_from(body, 'UTF8')::jsonb->'position'->>'where', 'stored') in ('stored', 'in_transit')
order by label`

// UndeliveredContainers are the labels of a job's containers that nobody has received and nobody has accounted for, in
// order. While there is one, the job is not done with its waste.
func (t *Tx) UndeliveredContainers(renovation uuid.UUID) ([]string, error) {
	var labels []string
	err := t.query(rowsOf(&labels, pgx.RowTo[string]), selectUndelivered, t.organization(), renovation)
	return labels, err
}

// readFields decodes the members of a written form into a struct.
func readFields(fields Fields, into any) error {
	text, err := json.Marshal(fields)
	if err != nil {
		return err
	}
	return json.Unmarshal(text, into)
}
