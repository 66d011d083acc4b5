package httpapi_test

import (
	"encoding/json"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// planted are values that no record would hold by chance: S8's markers.
const (
	plantedCount = 37
	plantedMonth = "2029-11"
)

func TestS8RestrictedFactsOfAnOccupancyReachNobodyWithoutTheScope(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	made := owner.With("Idempotency-Key", "o1").Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01",
		"children_under_six": map[string]any{"present": 1}, "pregnant_residents": plantedCount, "under_six_until": plantedMonth,
		"external_ids": []map[string]any{{"system": "rentals", "value": "H-1"}}}).Is(201)
	require.EqualValues(t, plantedCount, made.JSON()["pregnant_residents"])
	owner.Patch("/v1/occupancies/"+made.ID(), `"1"`, map[string]any{"pregnant_residents": plantedCount + 1}).Is(200)
	owner.Patch("/v1/occupancies/"+made.ID(), `"2"`, map[string]any{"pregnant_residents": plantedCount}).Is(200)

	for _, role := range []credential.Role{credential.Owner, credential.Manager, credential.Crew, credential.Sampler, credential.Reader} {
		c := s.Client(s.Key(postgres.Key{Name: string(role), Role: role}))
		for _, path := range []string{"/v1/occupancies/" + made.ID(), "/v1/occupancies/" + made.ID() + "?version=1", "/v1/occupancies",
			"/v1/occupancies?count=exact&include_ended=true", "/v1/changes", "/v1/changes?subject_id=" + made.ID(), "/v1/units/" + h.unit,
			"/v1/access-log", "/v1/findings", "/v1/units/" + h.unit + "/coverage"} {
			hasNoMarker(t, c.Get(path))
		}
		hasNoMarker(t, c.Patch("/v1/occupancies/"+made.ID(), `"3"`, `{"pregnant_residents":0}`))
		hasNoMarker(t, c.Put("/v1/occupancies/by-external-id/rentals/H-1", `{"from":"2025-09-01"}`))
	}
	require.NotContains(t, s.Log.String(), plantedMonth)

	read := owner.Get("/v1/occupancies/" + made.ID()).Is(200)
	require.EqualValues(t, plantedCount, read.JSON()["pregnant_residents"], "the value is still there for those who may see it")
	require.Equal(t, plantedMonth, read.JSON()["under_six_until"])
}

// hasNoMarker looks through an answer, whatever its status, for a planted value or a sign that there is one.
func hasNoMarker(t *testing.T, a contracttest.Answer) {
	t.Helper()
	for _, marker := range []string{plantedMonth, `:` + strconv.Itoa(plantedCount), `:` + strconv.Itoa(plantedCount+1), "sha256:"} {
		require.NotContains(t, string(a.Body), marker)
	}
	if a.Status == 200 {
		require.NotContains(t, string(a.Body), `"pregnant_residents"`)
	}
}

func TestRestrictedFactsNeedTheirScopeToRecordAndAreKeptWhenOthersEdit(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	manager := s.Client(s.Key(postgres.Key{Name: "Manager", Role: credential.Manager}))
	p := manager.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01", "pregnant_residents": 1}).Problem(403, "restricted")
	require.Equal(t, []string{"/pregnant_residents"}, contracttest.Pointers(p))

	made := owner.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01", "pregnant_residents": 1}).Is(201)
	manager.Patch("/v1/occupancies/"+made.ID(), `"1"`, `{"to":"2026-08-31"}`).Is(200)
	read := owner.Get("/v1/occupancies/" + made.ID()).Is(200).JSON()
	require.EqualValues(t, 1, read["pregnant_residents"])
	require.Equal(t, "2026-08-31", read["to"])
	same := owner.Patch("/v1/occupancies/"+made.ID(), `"2"`, `{"pregnant_residents":1}`).Is(200)
	require.Equal(t, `"2"`, same.ETag(), "the same restricted value makes no version")
	cleared := owner.Patch("/v1/occupancies/"+made.ID(), `"2"`, `{"pregnant_residents":null}`).Is(200)
	require.NotContains(t, cleared.JSON(), "pregnant_residents")

	var log api.AccessList
	owner.Get("/v1/access-log").Is(200).Into(&log)
	require.NotEmpty(t, log.Items)
	for _, read := range log.Items {
		require.True(t, read.Restricted)
		require.Equal(t, "occupancy", read.SubjectKind)
	}
}

func TestLogGivesEveryChangeInOrderAndHidesWhatTheCallerMayNotSee(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	stay := owner.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01"}).Is(201)
	owner.Patch("/v1/occupancies/"+stay.ID(), `"1"`, `{"pregnant_residents":2}`).Is(200)
	owner.Patch("/v1/occupancies/"+stay.ID(), `"2"`, `{"to":"2026-08-31"}`).Is(200)

	all := follow(t, owner, 9) // organization, key, property, building, unit, room, stay three times
	for i, c := range all {
		require.Equal(t, int64(i+1), c.Position, "positions are dense")
	}
	versions := map[string]int32{}
	for _, c := range all {
		require.Equal(t, versions[c.SubjectId.String()]+1, c.SubjectVersion, "a subject's versions come in order")
		versions[c.SubjectId.String()] = c.SubjectVersion
	}
	reader := s.Client(s.Key(postgres.Key{Name: "Reader", Role: credential.Reader}))
	seen := follow(t, reader, 7)
	for _, c := range seen {
		require.NotEqual(t, "key", c.SubjectKind)
		require.False(t, c.SubjectId.String() == stay.ID() && c.SubjectVersion == 2, "a version that differs only in restricted facts is passed over")
	}
	var page api.ChangePage
	reader.Get("/v1/changes?limit=1&after=5").Is(200).Into(&page)
	require.Len(t, page.Items, 1)
	require.Equal(t, page.Items[0].Position, page.NextAfter)
	reader.Get("/v1/changes?after=100000").Is(200).Into(&page)
	require.Equal(t, int64(100000), page.NextAfter)
}

// follow reads the log until it has n changes that the caller may see.
func follow(t *testing.T, c *contracttest.Client, n int) (all []api.Change) {
	t.Helper()
	var after int64
	require.Eventually(t, func() bool {
		var page api.ChangePage
		a := c.Get("/v1/changes?after=" + strconv.FormatInt(after, 10))
		require.NoError(t, json.Unmarshal(a.Is(200).Body, &page))
		all, after = append(all, page.Items...), page.NextAfter
		return len(all) >= n
	}, 20*time.Second, 20*time.Millisecond)
	require.Len(t, all, n)
	return all
}
