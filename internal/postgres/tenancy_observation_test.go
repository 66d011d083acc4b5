package postgres_test

import (
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

// sign is an observation in a room.
func sign(t *testing.T, room uuid.UUID) postgres.Telling {
	draft, err := postgres.DraftOf([]byte(specimens["observation"]))
	require.NoError(t, err)
	require.NoError(t, draft.Set("room_id", room))
	return postgres.Telling{ID: uuid.New(), Content: draft.Fields}
}

// What the methods about observations do when another organization calls them.
func init() {
	crossings["RecordObservation"] = func(t *testing.T, s *postgres.Store, call postgres.Call, first book, made map[string]uuid.UUID) {
		_, err := s.RecordObservation(t.Context(), call, made["renovation"], sign(t, made["room"]))
		refused(t, err)
	}
	crossings["RecordObservations"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		say := func(*fault.Error) []byte { return nil }
		_, _, err := s.RecordObservations(t.Context(), call, made["renovation"], []postgres.Telling{sign(t, made["room"])}, make([]*fault.Error, 1), false, say)
		refused(t, err)
	}
	crossings["Observations"] = func(t *testing.T, s *postgres.Store, call postgres.Call, first book, made map[string]uuid.UUID) {
		_, err := s.Observations(t.Context(), call, made["renovation"], postgres.ObservationsAsked{Limit: 10})
		refused(t, err)
		page, err := first.Observations(t.Context(), first.call, made["renovation"], postgres.ObservationsAsked{Limit: 10})
		require.NoError(t, err)
		require.Len(t, page.Bodies, 1)
	}
	crossings["ObservationOf"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, _, err := s.ObservationOf(t.Context(), call, made["renovation"], made["observation"], 0)
		refused(t, err)
	}
	crossings["Observed"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.Observed(t.Context(), call, made["renovation"])
		refused(t, err)
	}
}
