package httpapi

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
)

// RecordObservation keeps what a device tells of a job.
func (s *Server) RecordObservation(ctx context.Context, told api.RecordObservationRequestObject) (api.RecordObservationResponseObject, error) {
	r := requestOf(ctx)
	telling, err := form.Observation(r.body, s.now())
	if err != nil {
		return nil, err
	}
	if telling, err = form.Identified(telling, told.ObservationId); err != nil {
		return nil, err
	}
	outcome, err := s.store.RecordObservation(ctx, r.call(), told.Id, telling)
	if err != nil {
		return nil, err
	}
	a := reply{status: outcome.Status, etag: outcome.Record.ETag(), replayed: outcome.Replayed, body: outcome.Record.Body}
	if outcome.Status == 201 {
		a.location = fmt.Sprintf("/v1/renovations/%s/observations/%s", told.Id, outcome.Record.ID)
	}
	return a, nil
}

// observationBatch has one result an item, in the order sent.
type observationBatch struct {
	Items     []item `json:"items"`
	Created   int    `json:"created"`
	Corrected int    `json:"corrected"`
	Unchanged int    `json:"unchanged"`
	Refused   int    `json:"refused"`
}

// RecordObservations keeps what a device has kept while it was offline.
func (s *Server) RecordObservations(ctx context.Context, told api.RecordObservationsRequestObject) (api.RecordObservationsResponseObject, error) {
	r := requestOf(ctx)
	var batch struct {
		Items []json.RawMessage `json:"items"`
	}
	if err := json.Unmarshal(r.body, &batch); err != nil {
		return nil, err
	}
	tellings, faults := make([]postgres.Telling, len(batch.Items)), make([]*fault.Error, len(batch.Items))
	for i, text := range batch.Items {
		telling, err := form.Observation(text, s.now())
		if err == nil {
			err = form.WithIdentifier(telling)
		}
		if err != nil {
			faults[i] = fault.As(err)
		}
		tellings[i] = telling
	}
	outcome, items, err := s.store.RecordObservations(ctx, r.call(), told.Id, tellings, faults, told.Body.Mode == api.BatchModeAtomic, func(e *fault.Error) []byte {
		text, _ := json.Marshal(problemOf(e, r.id)) // a problem always marshals
		return text
	})
	if errors.Is(err, postgres.ErrItemRefused) {
		return nil, atomicRefusal(items)
	}
	if err != nil {
		return nil, err
	}
	result, err := s.observationBatch(ctx, items)
	if err != nil {
		return nil, err
	}
	a, err := written(200, result)
	a.replayed = outcome.Replayed
	return a, err
}

func (s *Server) observationBatch(ctx context.Context, items []postgres.ItemOutcome) (observationBatch, error) {
	ids := make([]uuid.UUID, len(items))
	for i := range items {
		ids[i] = items[i].ID
	}
	bodies, err := s.store.Bodies(ctx, requestOf(ctx).call(), "observation", ids)
	if err != nil {
		return observationBatch{}, err
	}
	result := observationBatch{Items: make([]item, len(items))}
	for i, it := range items {
		result.Items[i] = item{Index: i, Outcome: it.Outcome, Record: bodies[i], Problem: it.Problem}
		switch it.Outcome {
		case "created":
			result.Created++
		case "corrected":
			result.Corrected++
		case "unchanged":
			result.Unchanged++
		case "refused":
			result.Refused++
		}
	}
	return result, nil
}

// ListObservations lists a job's observations by when they happened.
func (s *Server) ListObservations(ctx context.Context, told api.ListObservationsRequestObject) (api.ListObservationsResponseObject, error) {
	r := requestOf(ctx)
	place, err := r.afterPlace(8 + len(uuid.Nil))
	if err != nil {
		return nil, err
	}
	asked := postgres.ObservationsAsked{Kind: r.query.Get("kind"), Limit: r.limit()}
	if place != nil {
		asked.AfterAt, asked.AfterID = time.UnixMicro(int64(binary.BigEndian.Uint64(place))).UTC(), uuid.UUID(place[8:])
	}
	page, err := s.store.Observations(ctx, r.call(), told.Id, asked)
	if err != nil {
		return nil, err
	}
	return r.observationPage(page, told.Id), nil
}

func (r *request) observationPage(page postgres.ObservationPage, job uuid.UUID) reply {
	var b bytes.Buffer
	answer := reply{status: 200}
	b.WriteString(`{"items":[`)
	b.Write(bytes.Join(page.Bodies, []byte(",")))
	b.WriteString(`],"next":`)
	if page.NextID == uuid.Nil {
		b.WriteString("null")
	} else {
		place := append(binary.BigEndian.AppendUint64(nil, uint64(page.NextAt.UnixMicro())), page.NextID[:]...)
		cursor := r.cursorAt(place)
		b.WriteString(strconv.Quote(cursor))
		answer.link = fmt.Sprintf(`<%s>; rel="next"`, r.nextPage("/v1/renovations/"+job.String()+"/observations", cursor))
	}
	b.WriteString("}")
	answer.body = b.Bytes()
	return answer
}

// GetObservation reads one observation, now or at a version.
func (s *Server) GetObservation(ctx context.Context, told api.GetObservationRequestObject) (api.GetObservationResponseObject, error) {
	r := requestOf(ctx)
	version, err := strconv.Atoi("0" + r.query.Get("version"))
	if err != nil {
		return nil, fault.New(fault.NotFound, "not_found", "There is no such version.")
	}
	record, body, err := s.store.ObservationOf(ctx, r.call(), told.Id, told.ObservationId, version)
	if err != nil {
		return nil, err
	}
	return reply{status: 200, etag: record.ETag(), body: body}, nil
}

// GetObserved says what a job's observations come to.
func (s *Server) GetObserved(ctx context.Context, told api.GetObservedRequestObject) (api.GetObservedResponseObject, error) {
	is, err := s.store.Observed(ctx, requestOf(ctx).call(), told.Id)
	if err != nil {
		return nil, err
	}
	return written(200, is)
}
