package postgres_test

import (
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/renovation"
)

// What the methods about jobs do when another organization calls them.
func init() {
	crossings["MoveRenovation"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, err := s.MoveRenovation(t.Context(), call, made["renovation"], nil, postgres.Move{To: renovation.CalledOff, Reason: "test"})
		refused(t, err)
	}
	crossings["Blockers"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		_, _, err := s.Blockers(t.Context(), call, made["renovation"], postgres.Move{})
		refused(t, err)
	}
}

func TestS2JobAndItsFactsNameNothingOfAnotherOrganization(t *testing.T) {
	t.Parallel()
	s := newStore(t, pgtest.Database(t))
	first, second := openBook(t, s), openBook(t, s)
	made := first.fill(t)
	for kind, told := range map[string]string{
		"renovation":   `{"title":"Walls","work_items":[{"room_id":"` + made["room"].String() + `","component":"wall","method":"wet_scraping"}]}`,
		"notice":       `{"renovation_id":"` + made["renovation"].String() + `","recipient":"owner","how":"handed","given_on":"2026-04-01","proof":"none"}`,
		"protection":   `{"renovation_id":"` + made["renovation"].String() + `","how":"relocated","from":"2026-04-01"}`,
		"verification": `{"renovation_id":"` + made["renovation"].String() + `","verified_on":"2026-04-01","visual_passed":false,"all_passed":false}`,
	} {
		draft, err := postgres.DraftOf([]byte(told))
		require.NoError(t, err)
		_, err = s.Create(t.Context(), second.call, kind, draft)
		require.True(t, fault.Is(err, fault.Implausible), "%s: %v", kind, err)
		require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code, kind)
	}
}
