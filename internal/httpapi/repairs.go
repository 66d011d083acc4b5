package httpapi

import (
	"context"
	"encoding/json"
	"errors"
	"strconv"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/calendar"
)

// ListSmallRepairs lists small repairs.
func (s *Server) ListSmallRepairs(ctx context.Context, _ api.ListSmallRepairsRequestObject) (api.ListSmallRepairsResponseObject, error) {
	return s.list(ctx, form.SmallRepair)
}

// GetSmallRepair reads one.
func (s *Server) GetSmallRepair(ctx context.Context, r api.GetSmallRepairRequestObject) (api.GetSmallRepairResponseObject, error) {
	return s.get(ctx, form.SmallRepair, r.Id)
}

// CreateSmallRepair records one and says at once what it is.
func (s *Server) CreateSmallRepair(ctx context.Context, _ api.CreateSmallRepairRequestObject) (api.CreateSmallRepairResponseObject, error) {
	r := requestOf(ctx)
	draft, err := s.repair(r.body)
	if err != nil {
		return nil, err
	}
	outcome, err := s.store.RecordRepair(ctx, r.call(), draft)
	return s.answer(ctx, form.SmallRepair, outcome, err)
}

// EndSmallRepair voids one that was told in error.
func (s *Server) EndSmallRepair(ctx context.Context, told api.EndSmallRepairRequestObject) (api.EndSmallRepairResponseObject, error) {
	r := requestOf(ctx)
	ending, err := form.Ending(r.body, s.now())
	if err != nil {
		return nil, err
	}
	outcome, err := s.store.EndRepair(ctx, r.call(), told.Id, r.match, ending)
	return s.answer(ctx, form.SmallRepair, outcome, err)
}

// repair checks the text of one repair and makes its draft; the caller's own identifier is taken out of it.
func (s *Server) repair(text []byte) (postgres.Draft, error) {
	if err := form.SmallRepair.Check(text, s.now()); err != nil {
		return postgres.Draft{}, err
	}
	draft, err := postgres.DraftOf(text)
	if err != nil {
		return draft, err
	}
	if id, told := draft.Fields["id"]; told {
		delete(draft.Fields, "id")
		if err := json.Unmarshal(id, &draft.ID); err != nil {
			return draft, err
		}
	}
	return draft, nil
}

// item is what became of one item of a batch.
type item struct {
	Index   int             `json:"index"`
	Outcome string          `json:"outcome"`
	Record  json.RawMessage `json:"record,omitempty"`
	Problem json.RawMessage `json:"problem,omitempty"`
}

// batchResult has one result an item, in the order sent.
type batchResult struct {
	Items     []item `json:"items"`
	Created   int    `json:"created"`
	Unchanged int    `json:"unchanged"`
	Refused   int    `json:"refused"`
	Covered   int    `json:"covered_renovations"`
}

// CreateSmallRepairs records a month of them.
func (s *Server) CreateSmallRepairs(ctx context.Context, told api.CreateSmallRepairsRequestObject) (api.CreateSmallRepairsResponseObject, error) {
	r := requestOf(ctx)
	var batch struct {
		Items []json.RawMessage `json:"items"`
	}
	if err := json.Unmarshal(r.body, &batch); err != nil {
		return nil, err
	}
	drafts, faults := make([]postgres.Draft, len(batch.Items)), make([]*fault.Error, len(batch.Items))
	for i, text := range batch.Items {
		draft, err := s.repair(text)
		if err != nil {
			faults[i] = fault.As(err)
		}
		drafts[i] = draft
	}
	atomic := told.Body.Mode == api.BatchModeAtomic
	outcome, items, err := s.store.RecordRepairs(ctx, r.call(), drafts, faults, atomic, func(e *fault.Error) []byte {
		text, _ := json.Marshal(problemOf(e, r.id)) // a problem always marshals
		return text
	})
	if errors.Is(err, postgres.ErrItemRefused) {
		return nil, atomicRefusal(items)
	}
	if err != nil {
		return nil, err
	}
	result, err := s.batchResult(ctx, items)
	if err != nil {
		return nil, err
	}
	a, err := written(200, result)
	a.replayed = outcome.Replayed
	return a, err
}

func (s *Server) batchResult(ctx context.Context, items []postgres.ItemOutcome) (batchResult, error) {
	ids := make([]uuid.UUID, len(items))
	for i := range items {
		ids[i] = items[i].ID
	}
	bodies, err := s.store.Bodies(ctx, requestOf(ctx).call(), "small_repair", ids)
	if err != nil {
		return batchResult{}, err
	}
	result := batchResult{Items: make([]item, len(items))}
	for i, it := range items {
		result.Items[i] = item{Index: i, Outcome: it.Outcome, Record: bodies[i], Problem: it.Problem}
		switch it.Outcome {
		case "created":
			result.Created++
		case "unchanged":
			result.Unchanged++
		case "refused":
			result.Refused++
			continue
		}
		var seen struct {
			Outcome string `json:"outcome"`
		}
		if err := json.Unmarshal(bodies[i], &seen); err != nil {
			return batchResult{}, err
		}
		if seen.Outcome == "covered_renovation" {
			result.Covered++
		}
	}
	return result, nil
}

// atomicRefusal names every refused item of a batch that stored nothing.
func atomicRefusal(items []postgres.ItemOutcome) error {
	var faults fault.Faults
	for i, it := range items {
		if it.Fault != nil {
			faults.Merge("/items/"+strconv.Itoa(i), it.Fault)
		}
	}
	e := fault.As(faults.Err())
	e.Code, e.Detail = "items_refused", "Some items cannot be recorded, so none of the batch was."
	return e
}

// GetRoomAllowance says how much paint may still be disturbed in a room.
func (s *Server) GetRoomAllowance(ctx context.Context, told api.GetRoomAllowanceRequestObject) (api.GetRoomAllowanceResponseObject, error) {
	return s.allowance(ctx, told.Id, false)
}

// GetExteriorAllowance says how much may still be disturbed outside.
func (s *Server) GetExteriorAllowance(ctx context.Context, told api.GetExteriorAllowanceRequestObject) (api.GetExteriorAllowanceResponseObject, error) {
	return s.allowance(ctx, told.Id, true)
}

func (s *Server) allowance(ctx context.Context, id uuid.UUID, exterior bool) (reply, error) {
	r := requestOf(ctx)
	on, err := r.on()
	if err != nil {
		return reply{}, err
	}
	total, err := s.store.Allowance(ctx, r.call(), id, exterior, on)
	if err != nil {
		return reply{}, err
	}
	return written(200, total)
}

// GetUnitCoverage says whether a unit is covered, and why.
func (s *Server) GetUnitCoverage(ctx context.Context, told api.GetUnitCoverageRequestObject) (api.GetUnitCoverageResponseObject, error) {
	r := requestOf(ctx)
	on, err := r.on()
	if err != nil {
		return nil, err
	}
	d, err := s.store.Coverage(ctx, r.call(), told.Id, on)
	if err != nil {
		return nil, err
	}
	return written(200, d)
}

// on reads the query parameter of that name; no date where it was not sent.
func (r *request) on() (calendar.Date, error) {
	if !r.query.Has("on") {
		return 0, nil
	}
	return calendar.ParseDate(r.query.Get("on"))
}
