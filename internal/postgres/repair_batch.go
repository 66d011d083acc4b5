package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"

	"sillbook/internal/fault"
)

// ItemOutcome is what became of one item of a batch. It is kept beside an idempotency key, without the record's body.
type ItemOutcome struct {
	Outcome string    `json:"outcome"` // created, unchanged or refused; of observations also corrected
	ID      uuid.UUID `json:"id,omitzero"`
	Problem []byte    `json:"problem,omitempty"` // as the handler wrote it

	Fault *fault.Error `json:"-"`
}

// ErrItemRefused says that an atomic batch stored nothing because of the items in it.
var ErrItemRefused = errors.New("an item of an atomic batch was refused")

// RecordRepairs records many small repairs in one transaction. In a partial batch a refused item leaves the others; in an
// atomic one it undoes all, and the error is ErrItemRefused with every item's fault in the outcomes. say writes an item's
// fault as the caller will see it.
func (s *Store) RecordRepairs(ctx context.Context, call Call, drafts []Draft, faults []*fault.Error, atomic bool, say func(*fault.Error) []byte) (Outcome, []ItemOutcome, error) {
	var items []ItemOutcome
	outcome, err := s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		items = make([]ItemOutcome, len(drafts))
		if err := t.takeTurnOf(worksOf(drafts, faults)...); err != nil {
			return Outcome{}, err
		}
		refused := false
		for i, d := range drafts {
			if err := t.recordItem(&items[i], d, faults[i]); err != nil {
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
		text, err := json.Marshal(items)
		return Outcome{Status: 200, Items: text}, err
	})
	if err == nil && outcome.Replayed {
		err = json.Unmarshal(outcome.Items, &items)
	}
	return outcome, items, err
}

// worksOf is the work of those items of a batch in which nothing is wrong so far.
func worksOf(drafts []Draft, faults []*fault.Error) []WorkForm {
	var works []WorkForm
	for i, d := range drafts {
		var f WorkForm
		if faults[i] == nil && d.Fields.Into(&f) == nil {
			works = append(works, f)
		}
	}
	return works
}

func (t *Tx) recordItem(item *ItemOutcome, d Draft, told *fault.Error) error {
	if told != nil {
		item.Outcome, item.Fault = "refused", told
		return nil
	}
	err := t.Savepoint(func() error {
		record, fresh, err := t.RecordRepair(d)
		item.Outcome, item.ID = "created", record.ID
		if !fresh {
			item.Outcome = "unchanged"
		}
		return err
	})
	if err == nil {
		return nil
	}
	e, ok := errors.AsType[*fault.Error](settle(err))
	if !ok || e.Kind != fault.Implausible && e.Kind != fault.Conflict && e.Kind != fault.NotFound && e.Kind != fault.Forbidden {
		return err
	}
	*item = ItemOutcome{Outcome: "refused", Fault: e}
	return nil
}

// Bodies reads the current written forms of some records of a kind, in the order of the identifiers; one that the caller
// may not see is nil.
func (s *Store) Bodies(ctx context.Context, call Call, kind string, ids []uuid.UUID) ([][]byte, error) {
	bodies := make([][]byte, len(ids))
	err := s.read(ctx, call, func(t *Tx) error {
		for i, id := range ids {
			if id == uuid.Nil {
				continue
			}
			record, err := t.Load(kind, id)
			if err != nil && !fault.Is(err, fault.NotFound) {
				return err
			}
			shown, err := t.Reveal(kind, record)
			if err != nil {
				return fmt.Errorf("showing %s: %w", id, err)
			}
			bodies[i] = shown[0]
		}
		return nil
	})
	return bodies, err
}
