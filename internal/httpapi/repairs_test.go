package httpapi_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// repair is a small repair in a room; the test's today is 20 April 2026.
func repair(room, on, area string, more ...string) map[string]any {
	r := map[string]any{"room_id": room, "component": "wall", "method": "wet_scraping", "done_on": on, "done_by": "landlord_employee",
		"area": map[string]any{"value": area, "unit": "ft2"}}
	for i := 0; i+1 < len(more); i += 2 {
		r[more[i]] = more[i+1]
	}
	return r
}

func TestSmallRepairAnswersAtOnceWhatItIs(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	var minor, painted, covered api.SmallRepair
	c.Post("/v1/small-repairs", repair(h.room, "2026-04-01", "3.5")).Is(201).Into(&minor)
	require.Equal(t, api.RepairOutcomeMinor, *minor.Outcome)
	require.Equal(t, "2.50", minor.Total.Left.Value)
	require.Equal(t, "2026-05-01", minor.Total.Until.String())
	require.Empty(t, *minor.MustHappenFirst)
	require.NotEmpty(t, minor.Determination.RuleSet)
	require.Equal(t, "presumed_covered", minor.Coverage.Outcome)

	c.Post("/v1/small-repairs", repair(h.room, "2026-04-02", "200", "method", "painted_only")).Is(201).Into(&painted)
	require.Equal(t, api.RepairOutcomeNoPaintDisturbed, *painted.Outcome)

	hole := repair(h.room, "2026-01-02", "4", "method", "demolished")
	hole["painted_surface_demolished"] = true
	c.Post("/v1/small-repairs", hole).Is(201).Into(&covered)
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *covered.Outcome, "EPA frequent question 23002-18515: a hole hammered in a wall (published)")
	require.NotEmpty(t, *covered.MustHappenFirst)
	require.Len(t, *covered.FindingIds, 1)
	finding := c.Get("/v1/findings/" + (*covered.FindingIds)[0].String()).Is(200).JSON()
	require.Equal(t, "covered_work_without_preparation", finding["code"])
	require.Contains(t, finding["detail"], "verification")
}

func TestLaterJobMakesAnEarlierOnePartOfACoveredRenovation(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	// 40 CFR 745.83 (derived): 4 ft2 on 1 March and 3 ft2 on 20 March in the same room are one job of 7 ft2.
	for name, order := range map[string][2][2]string{"told in order": {{"2026-03-01", "4"}, {"2026-03-20", "3"}}, "told in reverse": {{"2026-03-20", "3"}, {"2026-03-01", "4"}}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			room := c.Post("/v1/rooms", map[string]any{"unit_id": h.unit, "name": name, "kind": "room"}).Is(201).ID()
			first := c.Post("/v1/small-repairs", repair(room, order[0][0], order[0][1])).Is(201)
			require.Equal(t, "minor", first.JSON()["outcome"])
			second := c.Post("/v1/small-repairs", repair(room, order[1][0], order[1][1])).Is(201)
			require.Equal(t, "covered_renovation", second.JSON()["outcome"])
			again := c.Get("/v1/small-repairs/" + first.ID()).Is(200)
			require.Equal(t, "covered_renovation", again.JSON()["outcome"], "both say so")
			require.Equal(t, `"2"`, again.ETag())
			require.Len(t, again.JSON()["finding_ids"], 1, "and a finding names what was not done")
			require.Equal(t, "minor", c.Get("/v1/small-repairs/" + first.ID() + "?version=1").Is(200).JSON()["outcome"], "what was said then is kept")

			voided := c.With("If-Match", second.ETag()).Post("/v1/small-repairs/"+second.ID()+"/end", `{"how":"void","reason":"Entered for the wrong room"}`).Is(200)
			require.NotNil(t, voided.JSON()["ending"])
			require.Equal(t, "minor", c.Get("/v1/small-repairs/" + first.ID()).Is(200).JSON()["outcome"], "what is voided no longer counts")
		})
	}
}

func TestWindowMakesAnEarlierRepairOfTheSameDaysPartOfItsJob(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	// 40 CFR 745.83 (derived): jobs in one room within 30 days are one job, and that job replaces a window.
	first := c.Post("/v1/small-repairs", repair(h.room, "2026-03-01", "1")).Is(201)
	require.Equal(t, "minor", first.JSON()["outcome"])
	window := repair(h.room, "2026-03-20", "4", "method", "replaced", "component", "window")
	window["window_replaced"] = true
	require.Equal(t, "covered_renovation", c.Post("/v1/small-repairs", window).Is(201).JSON()["outcome"])
	require.Equal(t, "covered_renovation", c.Get("/v1/small-repairs/" + first.ID()).Is(200).JSON()["outcome"])
	require.Equal(t, "0", c.Get("/v1/rooms/" + h.room + "/allowance?on=2026-03-21").Is(200).JSON()["left"].(map[string]any)["value"])
}

func TestRoomSaysHowMuchMayStillBeDisturbed(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	c.Post("/v1/small-repairs", repair(h.room, "2026-04-10", "36", "component", "door")).Is(201)
	var total api.RoomTotal
	c.Get("/v1/rooms/" + h.room + "/allowance").Is(200).Into(&total)
	require.Equal(t, "0", total.Left.Value, "36 ft2 is over")
	side := c.Post("/v1/exterior-sides", map[string]any{"building_id": h.building, "name": "Street front", "kind": "wall_side", "side": "A"}).Is(201).ID()
	other := c.Post("/v1/exterior-sides", map[string]any{"building_id": h.building, "name": "Back", "kind": "wall_side", "side": "C"}).Is(201).ID()
	for _, s := range []string{side, other} {
		outside := repair("", "2026-04-10", "8")
		delete(outside, "room_id")
		outside["exterior_side_id"] = s
		require.Equal(t, "minor", c.Post("/v1/small-repairs", outside).Is(201).JSON()["outcome"])
	}
	c.Get("/v1/buildings/" + h.building + "/exterior-allowance?on=2026-04-10").Is(200).Into(&total)
	require.Equal(t, "16.0", total.Total.Value, "all exterior places of a building count together")
	require.Equal(t, "4.00", total.Left.Value)
	c.Get("/v1/rooms/"+h.room+"/allowance?on=1990-01-01").Problem(422, "implausible")
}

func TestSmallRepairsRefuseWhatCannotBe(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	both, none := repair(h.room, "2026-04-10", "1"), repair(h.room, "2026-04-10", "1")
	both["exterior_side_id"] = h.room
	delete(none, "room_id")
	less := repair(h.room, "2026-04-10", "1")
	less["area"] = map[string]any{"value": "1", "unit": "ft2", "qualifier": "<"}
	contradiction := repair(h.room, "2026-04-10", "1", "paint_disturbed", "no")
	contradiction["painted_surface_demolished"] = true
	for name, bad := range map[string]struct {
		body  map[string]any
		place string
	}{
		"a repair from tomorrow":       {repair(h.room, "2026-04-21", "1"), "/done_on"},
		"a repair from next year":      {repair(h.room, "2027-04-21", "1"), "/done_on"},
		"a negative area":              {repair(h.room, "2026-04-10", "-1"), "/area/value"},
		"an area that is less than":    {less, "/area/qualifier"},
		"both places":                  {both, "/room_id"},
		"no place":                     {none, "/room_id"},
		"a room that is not there":     {repair("01930000-0000-7000-8000-000000000099", "2026-04-10", "1"), "/room_id"},
		"demolished without any paint": {contradiction, "/paint_disturbed"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.Contains(t, contracttest.Pointers(c.Post("/v1/small-repairs", bad.body).Problem(422, "implausible")), bad.place)
		})
	}
}

func TestRepairToldTwiceIsRecordedOnce(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	own := repair(h.room, "2026-04-10", "1", "id", "01930000-0000-7000-8000-00000000abcd")
	first := c.Post("/v1/small-repairs", own).Is(201)
	require.Equal(t, "01930000-0000-7000-8000-00000000abcd", first.ID())
	require.Equal(t, `"1"`, c.Post("/v1/small-repairs", own).Is(201).ETag())
	own["area"] = map[string]any{"value": "2", "unit": "ft2"}
	c.Post("/v1/small-repairs", own).Problem(409, "already_told")
	require.Len(t, c.Get("/v1/small-repairs").Is(200).JSON()["items"], 1)
}

func TestMonthOfRepairsInOneBatch(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	var items []map[string]any
	for i := range 40 {
		room := h.room
		if i%20 == 0 {
			room = c.Post("/v1/rooms", map[string]any{"unit_id": h.unit, "name": fmt.Sprint("Room ", i), "kind": "room"}).Is(201).ID()
		}
		item := repair(room, "2026-04-10", "0.1")
		item["external_ids"] = []map[string]any{{"system": "workorders", "value": fmt.Sprint("WO-", i)}}
		items = append(items, item)
	}
	items[7]["area"] = map[string]any{"value": "7", "unit": "ft2"}
	items[9]["area"] = map[string]any{"value": "1", "unit": "furlong"}
	batch := map[string]any{"mode": "partial", "items": items}
	crew := s.Client(s.Key(postgres.Key{Name: "Crew", Role: credential.Crew})).With("Idempotency-Key", "april")
	var result, replayed, again api.SmallRepairBatchResult
	crew.Post("/v1/small-repairs/batch", batch).Is(200).Into(&result)
	require.EqualValues(t, 39, result.Created)
	require.EqualValues(t, 1, result.Refused)
	require.Equal(t, api.ItemOutcomeRefused, result.Items[9].Outcome)
	require.Equal(t, "/area/unit", *(*result.Items[9].Problem.Errors)[0].Pointer)
	require.EqualValues(t, 37, result.CoveredRenovations, "37 in one room came to more than 6 ft2 together; the two in other rooms are minor")

	a := crew.Post("/v1/small-repairs/batch", batch).Is(200).Into(&replayed)
	require.Equal(t, "true", a.Header.Get("Idempotency-Replayed"))
	require.Equal(t, result, replayed)
	c.Post("/v1/small-repairs/batch", batch).Is(200).Into(&again)
	require.EqualValues(t, 39, again.Unchanged, "the same external ids with the same content change nothing")

	batch["mode"] = "atomic"
	p := c.Post("/v1/small-repairs/batch", batch).Problem(422, "items_refused")
	require.Equal(t, []string{"/items/9/area/unit"}, contracttest.Pointers(p))
	for i := range items {
		items[i]["external_ids"] = []map[string]any{{"system": "workorders", "value": fmt.Sprint("NEW-", i)}}
	}
	c.Post("/v1/small-repairs/batch", batch).Problem(422, "items_refused")
	require.Len(t, c.Get("/v1/small-repairs?limit=500").Is(200).JSON()["items"], 39, "nothing of a refused atomic batch is stored")
}
