package postgres

import (
	"slices"

	"github.com/google/uuid"

	"sillbook/internal/fault"
)

// takeTurn waits until nobody else adds up work at these properties; the turn goes with the transaction. Work at one place
// may change other jobs and repairs there, and theirs again at other places, so that holding rows one by one, in whatever
// order, would have two requests wait for each other.
func (t *Tx) takeTurn(properties ...uuid.UUID) {
	for _, id := range inHoldingOrder(slices.Clone(properties)) {
		t.later(lockExternalID, t.organization().String()+" work at "+id.String())
	}
}

// takeTurnAt waits for the turn at the property of a record, before the record itself is held. One that is out of reach
// is left for whoever holds it to refuse.
func (t *Tx) takeTurnAt(kind string, id uuid.UUID) error {
	if kind != "renovation" && kind != "small_repair" {
		return nil
	}
	r, err := t.Load(kind, id)
	if fault.Is(err, fault.NotFound) {
		return nil
	}
	t.takeTurn(r.Properties...)
	return err
}

const selectPropertiesOfPlaces = `
select property_id
from room
where organization_id = $1
  and id = any($2)
union
select property_id
from exterior_side
where organization_id = $1
  and id = any($2)`

// takeTurnOf waits for the turn at the properties of all the places of some work at once, in one order for everybody.
func (t *Tx) takeTurnOf(works ...WorkForm) error {
	places := make([]uuid.UUID, len(works))
	for i, w := range works {
		_, places[i] = w.site()
	}
	var properties []uuid.UUID
	err := t.query(rowsOf(&properties, scanID), selectPropertiesOfPlaces, t.organization(), places)
	if err == nil {
		t.takeTurn(properties...)
	}
	return err
}
