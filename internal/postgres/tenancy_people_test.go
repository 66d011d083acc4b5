package postgres_test

import (
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
)

// What the methods about certificates do when another organization calls them.
func init() {
	crossings["Certified"] = func(t *testing.T, s *postgres.Store, call postgres.Call, first book, made map[string]uuid.UUID) {
		on := calendar.Of(2026, 4, 1)
		for _, kind := range []string{"firm", "person"} {
			_, err := s.Certified(t.Context(), call, kind, made[kind], crew.Renovator, on, nil)
			refused(t, err)
		}
		answer, err := s.Certified(t.Context(), first.call, "person", made["person"], crew.Renovator, on, nil)
		require.NoError(t, err)
		require.Equal(t, crew.Valid, answer.Outcome)
		_, err = s.Certified(t.Context(), first.call, "firm", made["person"], crew.Firm, on, nil)
		refused(t, err)
	}
	crossings["CertificatesDue"] = func(t *testing.T, s *postgres.Store, call postgres.Call, first book, _ map[string]uuid.UUID) {
		due, err := s.CertificatesDue(t.Context(), call, 0)
		require.NoError(t, err)
		require.Empty(t, due)
		due, err = s.CertificatesDue(t.Context(), first.call, 0)
		require.NoError(t, err)
		require.Len(t, due, 1)
	}
	crossings["AffectedJobs"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.AffectedJobs(t.Context(), call, made["certificate"])
		refused(t, err)
	}
}

// Another organization's firms and people cannot be named, by any record that names one.
func TestPeopleOfAnotherOrganizationCannotBeNamed(t *testing.T) {
	t.Parallel()
	s := newStore(t, pgtest.Database(t))
	first, second := openBook(t, s), openBook(t, s)
	theirs, ours := first.fill(t), second.fill(t)
	for field, told := range map[string]struct {
		kind    string
		members map[string]any
	}{
		"/firm_id":          {"person", map[string]any{"name": "W. Sample", "firm_id": theirs["firm"]}},
		"/person_id":        {"verification", map[string]any{"renovation_id": ours["renovation"], "verified_on": "2026-04-01", "person_id": theirs["person"]}},
		"/crew/0/person_id": {"renovation", map[string]any{"property_id": ours["property"], "crew": []any{map[string]any{"person_id": theirs["person"], "part": "worker"}}}},
	} {
		var draft postgres.Draft
		for name, value := range told.members {
			require.NoError(t, draft.Set(name, value))
		}
		_, err := s.Create(t.Context(), second.call, told.kind, draft)
		require.True(t, fault.Is(err, fault.Implausible), "%s: %v", field, err)
		require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code)
		require.Equal(t, field, fault.As(err).Fields[0].Pointer)
	}
}
