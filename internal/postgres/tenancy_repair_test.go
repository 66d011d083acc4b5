package postgres_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

// repairIn is a small repair in a room of the first organization.
func repairIn(t *testing.T, room uuid.UUID) postgres.Draft {
	draft, err := postgres.DraftOf([]byte(`{"component":"wall","method":"wet_scraping","done_on":"2026-04-01","area":{"value":"1","unit":"ft2"}}`))
	require.NoError(t, err)
	require.NoError(t, draft.Set("room_id", room))
	return draft
}

// What the methods about repairs and places do when another organization calls them.
func init() {
	crossings["RecordRepair"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.RecordRepair(t.Context(), call, repairIn(t, made["room"]))
		require.True(t, fault.Is(err, fault.Implausible), "%v", err)
		require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code)
	}
	crossings["RecordRepairs"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		say := func(*fault.Error) []byte { return nil }
		_, items, err := s.RecordRepairs(t.Context(), call, []postgres.Draft{repairIn(t, made["room"])}, make([]*fault.Error, 1), false, say)
		require.NoError(t, err)
		require.Equal(t, "refused", items[0].Outcome)
	}
	crossings["EndRepair"] = func(t *testing.T, s *postgres.Store, call postgres.Call, first book, made map[string]uuid.UUID) {
		outcome, err := first.RecordRepair(t.Context(), first.call, repairIn(t, made["room"]))
		require.NoError(t, err)
		_, err = s.EndRepair(t.Context(), call, outcome.Record.ID, nil, postgres.Ending{How: "void", Reason: "test"})
		refused(t, err)
	}
	crossings["KeyUses"] = func(t *testing.T, s *postgres.Store, call postgres.Call, first book, _ map[string]uuid.UUID) {
		key := postgres.KeyRef{Organization: first.call.Caller.Organization, Key: first.call.Caller.Key}
		require.NoError(t, s.NoteUses(t.Context(), map[postgres.KeyRef]time.Time{key: time.Now()}))
		uses, err := first.KeyUses(t.Context(), first.call, []uuid.UUID{key.Key})
		require.NoError(t, err)
		require.Len(t, uses, 1)
		uses, err = s.KeyUses(t.Context(), call, []uuid.UUID{key.Key})
		require.NoError(t, err)
		require.Empty(t, uses)
	}
	crossings["Bodies"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		bodies, err := s.Bodies(t.Context(), call, "unit", []uuid.UUID{made["unit"]})
		require.NoError(t, err)
		require.Empty(t, bodies[0])
	}
	crossings["Allowance"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.Allowance(t.Context(), call, made["room"], false, 0)
		refused(t, err)
		_, err = s.Allowance(t.Context(), call, made["building"], true, 0)
		refused(t, err)
	}
	crossings["Coverage"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.Coverage(t.Context(), call, made["unit"], 0)
		refused(t, err)
	}
}
