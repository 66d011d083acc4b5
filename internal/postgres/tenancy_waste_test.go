package postgres_test

import (
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

// What the methods about waste do when another organization calls them.
func init() {
	crossings["CreateContainer"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		draft, err := postgres.DraftOf([]byte(`{"label":"B-2","sealed_at":"2026-04-01T15:00:00Z"}`))
		require.NoError(t, err)
		require.NoError(t, draft.Set("renovation_id", made["renovation"]))
		_, err = s.CreateContainer(t.Context(), call, draft)
		require.True(t, fault.Is(err, fault.Implausible), "%v", err)
		require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code)
	}
	crossings["AddContainerEvent"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.AddContainerEvent(t.Context(), call, made["container"], postgres.ContainerEvent{What: "stored"})
		refused(t, err)
	}
	crossings["VoidContainer"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.VoidContainer(t.Context(), call, made["container"], nil, postgres.Ending{How: "void", Reason: "test"})
		refused(t, err)
	}
	crossings["CreateTrip"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		draft, err := postgres.DraftOf([]byte(`{"departed_at":"2026-04-01T15:00:00Z"}`))
		require.NoError(t, err)
		require.NoError(t, draft.Set("facility_id", made["facility"]))
		require.NoError(t, draft.Set("container_ids", []uuid.UUID{made["container"]}))
		_, err = s.CreateTrip(t.Context(), call, draft)
		require.True(t, fault.Is(err, fault.Implausible), "%v", err)
		require.Len(t, fault.As(err).Fields, 2, "neither the facility nor the container")
	}
	crossings["ArriveTrip"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.ArriveTrip(t.Context(), call, made["trip"], postgres.Arrival{Received: []uuid.UUID{made["container"]}})
		refused(t, err)
	}
	crossings["VoidTrip"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.VoidTrip(t.Context(), call, made["trip"], nil, postgres.Ending{How: "void", Reason: "test"})
		refused(t, err)
	}
	crossings["WasteBalance"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		for _, kind := range []string{"renovation", "property"} {
			_, err := s.WasteBalance(t.Context(), call, kind, made[kind])
			refused(t, err)
		}
	}
}
