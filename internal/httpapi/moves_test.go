package httpapi_test

import (
	"slices"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

func TestNoticeToldAfterTheStartIsStoredAndBlocksClosing(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	// 5 ft2 is minor repair, so that the job starts without notices; 3 ft2 more in the room make it a covered renovation.
	d := newDesk(t, c, job(work(h.room, "5")))
	require.Equal(t, api.RepairOutcomeMinor, *d.read().Outcome)
	d.move("ready").Is(200)
	days(s, 7)
	d.move("under_way").Is(200)
	c.Post("/v1/small-repairs", repair(h.room, "2026-04-26", "3")).Is(201)
	r := d.read()
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *r.Outcome, "40 CFR 745.83: jobs in a room within 30 days are one")
	require.EqualValues(t, 1, *r.OpenFindings)
	var list api.FindingList
	c.Get("/v1/findings?renovation_id=" + d.job).Is(200).Into(&list)
	require.Equal(t, "reclassified_under_way", list.Items[0].Code)
	require.Contains(t, list.Items[0].Detail, "The owner has not validly been given the pamphlet.")

	late := d.notice("2026-04-27").Is(201).JSON()
	require.Equal(t, false, late["counts"])
	require.Len(t, late["finding_ids"], 1)
	require.EqualValues(t, 2, *d.read().OpenFindings)
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.verify("2026-04-27", true).Is(201)
	d.stuck("closed", "open_finding", "open_finding")
	d.signOff()
	d.move("closed").Is(200)
}

func TestEarlierVerificationProvesNothingOfALaterCleaning(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := underWay(t, s)
	d.move("cleaning").Is(200)
	d.verify("2026-04-27", true).Is(201)
	d.move("checking").Is(200)
	days(s, 1)
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.stuck("closed", "proof_outdated")
	d.verify("2026-04-28", true).Is(201)
	d.move("closed").Is(200)
}

func underWay(t *testing.T, s *contracttest.Service) desk {
	t.Helper()
	c := s.Owner()
	h := newHome(c, "Alder Court")
	hall := c.Post("/v1/rooms", map[string]any{"building_id": h.building, "name": "Hall", "kind": "hall"}).Is(201).ID()
	d := newDesk(t, c, job(work(hall, "20")))
	d.notice("2026-04-20").Is(201)
	d.move("ready").Is(200)
	days(s, 7)
	d.move("under_way").Is(200)
	return d
}

func TestWhatIsDoneIsSettledOnceWorkIsUnderWay(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := underWay(t, s)
	p := d.Patch("/v1/renovations/"+d.job, "*", `{"work_items":[],"planned_start":"2026-05-01","planned_end":null,"done_by":{"relation":"landlord"}}`).Problem(409, "job_under_way")
	require.Equal(t, []string{"/work_items", "/planned_start", "/planned_end", "/done_by"}, contracttest.Pointers(p))
	require.NotEmpty(t, *p.Fixes)
	d.Patch("/v1/renovations/"+d.job, "*", `{"title":"Hall walls"}`).Is(200)
	for _, field := range []string{"state", "moves", "outcome", "open_findings", "headline", "determination", "overrides", "closed_with_open_finding"} {
		p := d.Patch("/v1/renovations/"+d.job, "*", map[string]any{field: "closed"}).Problem(400, "malformed")
		require.NotEmpty(t, contracttest.Pointers(p), field)
	}
	p = d.move("called_off", "reason", "No money").Problem(409, "blocked")
	require.Equal(t, []string{"work_has_begun"}, codesOf(*p.Blockers))
}

func TestJobIsCalledOffWithAReasonAndItsPaintNoLongerCounts(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "5")))
	var minor, allowed = api.SmallRepair{}, api.RoomTotal{}
	c.Post("/v1/small-repairs", repair(h.room, "2026-04-19", "4")).Is(201).Into(&minor)
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *minor.Outcome)
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *d.read().Outcome)
	d.stuck("called_off", "no_reason")
	d.move("called_off", "reason", "The wall stays").Is(200)
	require.Equal(t, "The wall stays", *(*d.read().Moves)[0].Note)
	c.Get("/v1/rooms/" + h.room + "/allowance?on=2026-04-27").Is(200).Into(&allowed)
	require.Equal(t, "4.00", allowed.Total.Value)
	c.Get("/v1/small-repairs/" + minor.Id.String()).Is(200).Into(&minor)
	require.Equal(t, api.RepairOutcomeMinor, *minor.Outcome, "without the job the repair is minor again")
	require.Empty(t, func() []api.Blocker {
		var list api.BlockerList
		d.Get("/v1/renovations/" + d.job + "/blockers").Is(200).Into(&list)
		return slices.DeleteFunc(list.Blockers, func(b api.Blocker) bool {
			return b.Code == "out_of_order" || b.Code == "no_reason" || b.Code == "work_has_begun"
		})
	}())
}

func TestMovesComeInOrderOfDateAndReadyMayBeToldAhead(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "3")))
	d.move("ready", "on", "2026-04-22").Is(200)
	p := d.move("under_way", "on", "2026-04-19").Problem(422, "implausible")
	require.Equal(t, []string{"/on"}, contracttest.Pointers(p))
	require.Equal(t, []string{"/on"}, contracttest.Pointers(d.move("under_way").Problem(422, "implausible")), "today lies before the day told")
	d.move("drafted").Is(200)
	d.move("ready", "on", "2026-04-22").Is(200)
	var list api.BlockerList
	d.Get("/v1/renovations/" + d.job + "/blockers?on=2026-05-10").Is(200).Into(&list)
	require.Equal(t, api.RenovationStateUnderWay, list.To, "the next move")
	require.Empty(t, list.Blockers)
	days(s, 3)
	d.move("under_way", "on", "2026-04-22").Is(200)
}

func TestTwoMovesAtOnceAreMadeOnce(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "3")))
	statuses := make(chan int, 4)
	for range cap(statuses) {
		go func() { statuses <- d.move("ready").Status }()
	}
	count := map[int]int{}
	for range cap(statuses) {
		count[<-statuses]++
	}
	require.Equal(t, map[int]int{200: 1, 409: 3}, count)
	require.Len(t, *d.read().Moves, 1)

	again := d.With("Idempotency-Key", "m1")
	first := again.Post("/v1/renovations/"+d.job+"/moves", `{"to":"drafted"}`).Is(200)
	second := again.Post("/v1/renovations/"+d.job+"/moves", `{"to":"drafted"}`).Is(200)
	require.Equal(t, first.Body, second.Body)
	require.Equal(t, "true", second.Header.Get("Idempotency-Replayed"))
	require.Len(t, *d.read().Moves, 2)
	d.With("If-Match", `"1"`).Post("/v1/renovations/"+d.job+"/moves", `{"to":"ready"}`).Problem(412, "stale")
}

func TestWhoMayMoveAJobAndWhoSeesIt(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h, away := newHome(c, "Alder Court"), newHome(c, "Birch Court")
	here, there := newDesk(t, c, job(work(h.room, "3"))), newDesk(t, c, job(work(away.room, "3")))
	reader := s.Client(s.Key(postgres.Key{Name: "Reader", Role: credential.Reader}))
	desk{reader, t, here.job}.move("ready").Problem(403, "role")
	reader.Get("/v1/renovations/" + here.job + "/blockers").Is(200)

	crew := s.Client(s.Key(postgres.Key{Name: "Crew", Role: credential.Crew, PropertyIDs: []uuid.UUID{uuid.MustParse(h.property)}}))
	moved := desk{crew, t, here.job}.move("ready").Is(200).JSON()
	require.Equal(t, "Crew", moved["moves"].([]any)[0].(map[string]any)["by"])
	desk{crew, t, there.job}.move("ready").Problem(404, "not_found")
	crew.Get("/v1/renovations/"+there.job+"/blockers").Problem(404, "not_found")
	p := desk{crew, t, there.job}.notice("2026-04-20").Problem(422, "implausible")
	require.Equal(t, []string{"/renovation_id"}, contracttest.Pointers(p))
	crew.Post("/v1/renovations", job(work(h.room, "3"))).Problem(403, "role")
	manager := s.Client(s.Key(postgres.Key{Name: "Manager", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.MustParse(h.property)}}))
	p = manager.Post("/v1/renovations", job(work(away.room, "3"))).Problem(422, "implausible")
	require.Equal(t, []string{"/work_items/0/room_id"}, contracttest.Pointers(p))
	var list api.RenovationList
	crew.Get("/v1/renovations").Is(200).Into(&list)
	require.Len(t, list.Items, 1)
}
