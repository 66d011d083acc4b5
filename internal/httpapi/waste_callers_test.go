package httpapi_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

func TestTwoRequestsDoNotLoadOneBag(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	shared := j.sealed("Shared")
	const many = 8
	bodies := make([][]byte, many)
	for i := range bodies {
		own := j.sealed(fmt.Sprint("Own ", i))
		order := []string{own, shared}
		if i%2 == 0 {
			slices.Reverse(order)
		}
		text, err := json.Marshal(j.trip(10, order...))
		require.NoError(t, err)
		bodies[i] = text
	}
	statuses := make([]int, many)
	var all sync.WaitGroup
	for i := range bodies {
		all.Go(func() { statuses[i] = j.Post("/v1/trips", bodies[i]).Status })
	}
	all.Wait()
	slices.Sort(statuses)
	require.Equal(t, []int{201, 422, 422, 422, 422, 422, 422, 422}, statuses)
	b := j.balance()
	require.EqualValues(t, []int32{9, 7, 2}, []int32{b.Sealed, b.Stored, b.InTransit})
}

func TestWasteBeyondACallersReachReadsAsNotThere(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	mine, other := wasteJobOf(t, s, "Alder Court"), wasteJobOf(t, s, "Birch Court")
	a, b := mine.sealed("A"), other.sealed("B")
	property := uuid.MustParse(mine.home.property)
	crew := s.Client(s.Key(postgres.Key{Name: "Crew", Role: credential.Crew, PropertyIDs: []uuid.UUID{property}}))

	p := crew.Post("/v1/trips", mine.trip(10, a, b)).Problem(422, "implausible")
	require.Equal(t, []string{"/container_ids/1"}, contracttest.Pointers(p))
	crew.Get("/v1/renovations/"+other.renovation+"/waste-balance").Problem(404, "not_found")
	crew.Get("/v1/properties/"+other.home.property+"/waste-balance").Problem(404, "not_found")
	crew.Post("/v1/containers/"+b+"/events", fields{"what": "lost", "at": at(9), "reason": "?"}).Problem(404, "not_found")

	both := mine.Post("/v1/trips", having(mine.trip(10, a, b), "arrival", having(arrival(11), "vehicle_vacuumed_on", "2026-04-17"))).Is(201)
	require.Len(t, both.JSON()["property_ids"], 2)
	crew.Get("/v1/trips/"+both.ID()).Problem(404, "not_found")
	require.Equal(t, []string{"container_not_received", "vehicle_not_vacuumed"}, mine.codes(), "each job has its findings")
	require.Equal(t, []string{"container_not_received", "vehicle_not_vacuumed"}, other.codes())

	// The book keeps a trip in step that the caller does not see.
	crew.Post("/v1/containers/"+a+"/events", fields{"what": "stored", "at": "2026-04-16T10:30:00-04:00", "where": "Yard"}).Is(200)
	require.Equal(t, []any{b}, mine.Get("/v1/trips/" + both.ID()).Is(200).JSON()["short"])
	require.EqualValues(t, 1, crewBalance(t, crew, mine).Stored)
	require.Contains(t, mine.findings()[0].Detail+mine.findings()[1].Detail, "By what was told since, this did not happen.")
}

func crewBalance(t testing.TB, c *contracttest.Client, j wasteJob) (b api.WasteBalance) {
	t.Helper()
	c.Get("/v1/renovations/" + j.renovation + "/waste-balance").Is(200).Into(&b)
	return b
}

func TestWasteIsListedReplayedAndReadBack(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	once := j.With("Idempotency-Key", "bag-1")
	a := once.Post("/v1/containers", j.bag("A", fields{"weight": fields{"value": "22 1/2", "unit": "lb"}, "weighed": true, "contents": []string{"debris"}})).Is(201)
	require.Equal(t, a.ID(), once.Post("/v1/containers", j.bag("A", fields{"weight": fields{"value": "22 1/2", "unit": "lb"}, "weighed": true, "contents": []string{"debris"}})).Is(201).ID())
	require.Equal(t, "/v1/containers/"+a.ID(), a.Header.Get("Location"))
	telling := j.With("Idempotency-Key", "trip-1")
	trip := telling.Post("/v1/trips", j.trip(10, a.ID())).Is(201)
	replayed := telling.Post("/v1/trips", j.trip(10, a.ID())).Is(201)
	require.Equal(t, "true", replayed.Header.Get("Idempotency-Replayed"))
	require.Equal(t, trip.ID(), replayed.ID())

	var containers api.ContainerList
	j.Get("/v1/containers?renovation_id=" + j.renovation).Is(200).Into(&containers)
	require.Len(t, containers.Items, 1)
	require.EqualValues(t, "in_transit", containers.Items[0].Position.Where)
	require.Len(t, j.Get("/v1/trips?facility_id=" + j.facility).Is(200).JSON()["items"], 1)
	require.Equal(t, "stored", j.Get("/v1/containers/" + a.ID() + "?version=1").Is(200).JSON()["position"].(map[string]any)["where"])

	require.Eventually(t, func() bool {
		var page api.ChangePage
		j.Get("/v1/changes?limit=500").Is(200).Into(&page)
		var actions []string
		for _, c := range page.Items {
			if c.SubjectKind == "container" || c.SubjectKind == "trip" {
				actions = append(actions, c.SubjectKind+" "+c.Action)
			}
		}
		slices.Sort(actions)
		return slices.Equal(actions, []string{"container loaded", "container sealed", "trip created"})
	}, 10*time.Second, 20*time.Millisecond)
}
