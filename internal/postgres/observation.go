package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/evidence"
	"sillbook/internal/fault"
	"sillbook/internal/trade/renovation"
)

// Telling is one content told under an observation's identifier.
type Telling struct {
	ID      uuid.UUID
	Content Fields // as the device told it, written in the one way in which contents are compared
}

// mostTellings is how many contents the written form of one observation holds beside the one that stands.
const mostTellings = 200

// RecordObservation keeps what a device tells of a job. The same content again changes nothing; other content under the
// same identifier is kept as a correction. Status is 201 for an observation that is new and 200 for one on record.
func (s *Store) RecordObservation(ctx context.Context, call Call, job uuid.UUID, told Telling) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		o, err := t.observing(job, told)
		if err != nil {
			return Outcome{}, err
		}
		record, outcome, err := o.tell(told)
		if err != nil {
			return Outcome{}, err
		}
		status := 200
		if outcome == toldFirst {
			status = 201
		}
		return Outcome{Status: status, Record: record}, o.settle()
	})
}

// RecordObservations keeps many observations of one job in one transaction, and then looks once at what they come to. In a
// partial batch a refused item leaves the others; in an atomic one it undoes all, and the error is ErrItemRefused with
// every item's fault in the outcomes. say writes an item's fault as the caller will see it.
func (s *Store) RecordObservations(ctx context.Context, call Call, job uuid.UUID, told []Telling, faults []*fault.Error, atomic bool, say func(*fault.Error) []byte) (Outcome, []ItemOutcome, error) {
	var items []ItemOutcome
	outcome, err := s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		items = make([]ItemOutcome, len(told))
		o, err := t.observing(job, told...)
		if err != nil {
			return Outcome{}, err
		}
		refused := false
		for i := range told {
			if err := o.tellItem(&items[i], told[i], faults[i]); err != nil {
				return Outcome{}, err
			}
			if items[i].Fault != nil {
				items[i].Problem = say(items[i].Fault)
				refused = true
			}
		}
		if refused && atomic {
			return Outcome{}, ErrItemRefused
		}
		if err := o.settle(); err != nil {
			return Outcome{}, err
		}
		text, err := json.Marshal(items)
		return Outcome{Status: 200, Items: text}, err
	})
	if err == nil && outcome.Replayed {
		err = json.Unmarshal(outcome.Items, &items)
	}
	return outcome, items, err
}

// observing is a job that is held while observations of it are told.
type observing struct {
	*Tx
	job    Record
	places map[uuid.UUID]seenPlace
	known  map[uuid.UUID]Record // under the identifiers told
	other  map[uuid.UUID]bool   // identifiers that belong to an observation of another job
	weighs bool                 // something was told that can open a finding, or end one
}

const selectTold = `
select id, version, renovation_id, body
from observation
where organization_id = $1
  and id = any($2)`

// observing holds the job, so that what its observations come to is worked out by one request at a time, and reads what is
// on record under the identifiers told, and the places.
func (t *Tx) observing(job uuid.UUID, told ...Telling) (o *observing, err error) {
	o = &observing{Tx: t, known: map[uuid.UUID]Record{}, other: map[uuid.UUID]bool{}}
	if o.job, err = t.Hold("renovation", job); err != nil {
		return o, err
	}
	if o.job.Ended {
		return o, ended()
	}
	var ids, places []uuid.UUID
	for _, one := range told {
		var f observationForm
		if err := one.Content.Into(&f); err != nil {
			return o, err
		}
		ids, places = append(ids, one.ID), append(places, f.place())
	}
	if o.places, err = t.seenPlaces(places); err != nil {
		return o, err
	}
	return o, t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			r := Record{Kind: "observation", Properties: o.job.Properties}
			var of uuid.UUID
			if err := rows.Scan(&r.ID, &r.Version, &of, &r.Body); err != nil {
				return err
			}
			if of == job {
				o.known[r.ID] = r
			} else {
				o.other[r.ID] = true
			}
		}
		return rows.Err()
	}, selectTold, t.organization(), ids)
}

// What became of a telling.
const (
	toldFirst     = "created"
	toldCorrected = "corrected"
	toldAgain     = "unchanged"
)

func (o *observing) tellItem(item *ItemOutcome, told Telling, bad *fault.Error) error {
	if bad == nil {
		record, outcome, err := o.tell(told)
		if err == nil {
			*item = ItemOutcome{Outcome: outcome, ID: record.ID}
			return nil
		}
		bad = fault.As(err)
		if bad.Kind != fault.Implausible && bad.Kind != fault.Conflict {
			return err
		}
	}
	*item = ItemOutcome{Outcome: "refused", Fault: bad}
	return nil
}

// tell keeps one telling. Nothing has been queued when it refuses.
func (o *observing) tell(told Telling) (Record, string, error) {
	if err := o.check(told); err != nil {
		return Record{}, "", err
	}
	now, err := json.Marshal(o.now)
	if err != nil {
		return Record{}, "", err
	}
	fresh := content{members: told.Content, received: now}
	if err := fresh.canonize(); err != nil {
		return Record{}, "", err
	}
	before, there := o.known[told.ID]
	if !there {
		return o.keep(told.ID, nil, toldFirst, fresh)
	}
	contents, err := contentsOf(before)
	if err != nil {
		return Record{}, "", err
	}
	if slices.ContainsFunc(contents, func(c content) bool { return c.telling.Compare(fresh.telling) == 0 }) {
		return before, toldAgain, nil
	}
	if len(contents) > mostTellings {
		return Record{}, "", fault.New(fault.Conflict, "too_many_tellings", "The observation was told with %d contents already; no more are kept under one identifier.", len(contents)).
			Fix("Tell what is different as an observation of its own.")
	}
	return o.keep(told.ID, &before, toldCorrected, append(contents, fresh)...)
}

// keep writes an observation of some contents, and notes whether any of them has to do with findings.
func (o *observing) keep(id uuid.UUID, before *Record, outcome string, contents ...content) (Record, string, error) {
	for _, c := range contents {
		var f observationForm
		if err := c.members.Into(&f); err != nil {
			return Record{}, "", err
		}
		o.weighs = o.weighs || f.Kind.OpensFindings()
	}
	draft, err := written(o.job.ID, contents)
	if err != nil {
		return Record{}, "", err
	}
	var record Record
	if before == nil {
		draft.ID = id
		record, err = o.Insert("observation", "told", draft)
	} else {
		record, err = o.Replace(*before, "corrected", draft)
	}
	o.known[id] = record
	return record, outcome, err
}

// check refuses an identifier of another job, and a place that is not on the job's property. A place that has ended is
// taken: it may have been there when it was seen.
func (o *observing) check(told Telling) error {
	if o.other[told.ID] {
		return fault.New(fault.Conflict, "told_of_another_job", "The identifier %s belongs to an observation of another job.", told.ID).
			Fix("Tell it of the job it was made for; for this one, have the device make another identifier.")
	}
	var f observationForm
	if err := told.Content.Into(&f); err != nil {
		return err
	}
	if f.place() == uuid.Nil {
		return nil
	}
	pointer, words := "/room_id", "room"
	if f.ExteriorSideID != nil {
		pointer, words = "/exterior_side_id", "exterior side"
	}
	p, there := o.places[f.place()]
	var faults fault.Faults
	switch {
	case !there || p.side != (f.ExteriorSideID != nil) || !o.call.Caller.Sees([]uuid.UUID{p.property}):
		faults.Add(pointer, "no_such_reference", "There is no %s with this identifier that this credential may see.", words)
	case p.property != o.job.Properties[0]:
		faults.Add(pointer, "another_property", "The %s is on another property than the job; name one of the job's property, or tell it of the job there.", words)
	}
	return faults.Err()
}

// settle brings the findings in step with what was told, where that can make a difference.
func (o *observing) settle() error {
	if !o.weighs {
		return nil
	}
	return o.settleObserved(o.job)
}

// content is what was told under an identifier, once.
type content struct {
	members  Fields
	received jsontext.Value // the book's own; no part of what is compared
	telling  renovation.Telling
}

func (c *content) canonize() error {
	text, err := canonicalMembers(c.members)
	if err != nil {
		return err
	}
	var f struct {
		ToldAt time.Time `json:"told_at"`
	}
	c.telling = renovation.Telling{Content: text}
	err = c.members.Into(&f)
	c.telling.ToldAt = f.ToldAt
	return err
}

// bookMembers are the members of an observation that the book adds to what was told.
var bookMembers = []string{"property_id", "renovation_id", "received_at", "corrections"}

// contentsOf takes an observation apart into all that was told under its identifier.
func contentsOf(r Record) ([]content, error) {
	fields, err := r.Fields()
	if err != nil {
		return nil, err
	}
	told := []Fields{fields.Told()}
	if !isNull(fields["corrections"]) {
		var corrections []Fields
		if err := json.Unmarshal(fields["corrections"], &corrections); err != nil {
			return nil, err
		}
		told = append(told, corrections...)
	}
	contents := make([]content, len(told))
	for i, members := range told {
		contents[i].received = members["received_at"]
		for _, name := range bookMembers {
			delete(members, name)
		}
		contents[i].members = members
		if err := contents[i].canonize(); err != nil {
			return nil, err
		}
	}
	return contents, nil
}

// written is the draft of an observation of some contents: the latest told stands, the others are its corrections.
func written(job uuid.UUID, contents []content) (Draft, error) {
	slices.SortFunc(contents, func(a, b content) int { return a.telling.Compare(b.telling) })
	stands := contents[len(contents)-1]
	corrections := make([]jsontext.Value, 0, len(contents))
	for _, c := range contents[:len(contents)-1] {
		text, err := json.Marshal(c.members.With(Fields{"received_at": c.received}))
		if err != nil {
			return Draft{}, err
		}
		if text, err = evidence.Canonical(text); err != nil {
			return Draft{}, err
		}
		corrections = append(corrections, text)
	}
	d := Draft{Fields: stands.members.With(Fields{"received_at": stands.received})}
	for name, value := range map[string]any{"renovation_id": job, "corrections": corrections} {
		if err := d.Set(name, value); err != nil {
			return d, err
		}
	}
	return d, nil
}
