package postgres_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// What the methods about clearance do when another organization calls them.
func init() {
	crossings["RecordClearance"] = func(t *testing.T, s *postgres.Store, call postgres.Call, first book, made map[string]uuid.UUID) {
		mass, err := measure.New("3", measure.Exactly, "ug", measure.Mass)
		require.NoError(t, err)
		told := postgres.Sampling{Renovation: made["renovation"], SampledAt: time.Date(2026, 4, 1, 15, 0, 0, 0, time.UTC), Programme: "epa",
			Facts: clearance.Facts{Visual: law.Yes, Samples: []clearance.Sample{{Label: "B-1", Surface: clearance.FieldBlank, Mass: mass}}},
			Rooms: []uuid.UUID{made["room"]}}
		say := func(clearance.Verdict, law.Determination) any { return struct{}{} }
		_, err = s.RecordClearance(t.Context(), call, told, say)
		require.True(t, fault.Is(err, fault.Implausible), "%v", err)
		require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code)
		require.Equal(t, "/renovation_id", fault.As(err).Fields[0].Pointer)

		own, err := postgres.DraftOf([]byte(specimens["property"]))
		require.NoError(t, err)
		property, err := s.Create(t.Context(), call, "property", own)
		require.NoError(t, err)
		job, err := postgres.DraftOf([]byte(specimens["renovation"]))
		require.NoError(t, err)
		require.NoError(t, job.Set("property_id", property.Record.ID))
		renovation, err := s.Create(t.Context(), call, "renovation", job)
		require.NoError(t, err)
		told.Renovation = renovation.Record.ID
		_, err = s.RecordClearance(t.Context(), call, told, say)
		require.True(t, fault.Is(err, fault.Implausible), "%v", err)
		require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code)
		require.Equal(t, "/samples/0/room_id", fault.As(err).Fields[0].Pointer)
	}
}
