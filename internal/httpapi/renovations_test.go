package httpapi_test

import (
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// work is a work item in a room.
func work(room, area string, more ...any) map[string]any {
	w := map[string]any{"room_id": room, "component": "wall", "method": "wet_scraping", "area": map[string]any{"value": area, "unit": "ft2"}}
	for i := 0; i+1 < len(more); i += 2 {
		w[more[i].(string)] = more[i+1]
	}
	return w
}

// job is a renovation planned from 27 to 29 April; the test's today is 20 April 2026.
func job(items ...map[string]any) map[string]any {
	if items == nil {
		items = []map[string]any{}
	}
	return map[string]any{"title": "Kitchen walls", "work_items": items, "planned_start": "2026-04-27", "planned_end": "2026-04-29",
		"done_by": map[string]any{"relation": "hired_firm", "name": "Fernhill Repairs"}}
}

// desk does what a test does to one job over and over.
type desk struct {
	*contracttest.Client
	t   *testing.T
	job string
}

func (d desk) move(to string, more ...any) contracttest.Answer {
	d.t.Helper()
	m := map[string]any{"to": to}
	for i := 0; i+1 < len(more); i += 2 {
		m[more[i].(string)] = more[i+1]
	}
	return d.Post("/v1/renovations/"+d.job+"/moves", m)
}

// stuck demands that a move is refused for exactly these blockers, and that asking beforehand says the same.
func (d desk) stuck(to string, codes ...string) {
	d.t.Helper()
	p := d.move(to).Problem(409, "blocked")
	require.Equal(d.t, codes, codesOf(*p.Blockers))
	require.Len(d.t, *p.Fixes, len(codes), "each blocker says what would clear it")
	var list api.BlockerList
	d.Get("/v1/renovations/" + d.job + "/blockers?to=" + to).Is(200).Into(&list)
	require.Equal(d.t, codes, codesOf(list.Blockers))
}

func codesOf(blockers []api.Blocker) []string {
	codes := []string{}
	for _, b := range blockers {
		codes = append(codes, b.Code)
	}
	return codes
}

func (d desk) notice(on string, more ...any) contracttest.Answer {
	d.t.Helper()
	n := map[string]any{"renovation_id": d.job, "recipient": "owner", "how": "handed", "given_on": on, "proof": "written_acknowledgement"}
	for i := 0; i+1 < len(more); i += 2 {
		n[more[i].(string)] = more[i+1]
	}
	return d.Post("/v1/notices", n)
}

func (d desk) verify(on string, passed bool) contracttest.Answer {
	d.t.Helper()
	return d.Post("/v1/verifications", map[string]any{"renovation_id": d.job, "verified_on": on, "verified_by": "R. Example", "visual_passed": true,
		"all_passed": passed, "wet_cloths": 4, "dry_cloths": 0})
}

func (d desk) read() api.Renovation {
	d.t.Helper()
	var r api.Renovation
	d.Get("/v1/renovations/" + d.job).Is(200).Into(&r)
	return r
}

func newDesk(t *testing.T, c *contracttest.Client, body map[string]any) desk {
	t.Helper()
	return desk{c, t, c.Post("/v1/renovations", body).Is(201).ID()}
}

// days moves the service's clock to noon of another day.
func days(s *contracttest.Service, n int) { s.Clock().Move(time.Duration(n) * 24 * time.Hour) }

func TestJobGoesFromDraftedToClosedEachBlockerSeenAndCleared(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	c.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01", "children_under_six": map[string]any{"present": 1}}).Is(201)
	body := job()
	delete(body, "planned_start")
	delete(body, "planned_end")
	body["property_id"] = h.property
	d := newDesk(t, c, body)
	r := d.read()
	require.Equal(t, api.RenovationStateDrafted, *r.State)
	require.Equal(t, "drafted", *r.Headline)
	require.Nil(t, r.Outcome, "a job without work is nothing yet")
	d.stuck("ready", "no_work_items", "no_planned_start")
	d.stuck("closed", "out_of_order")

	c.Patch("/v1/renovations/"+d.job, `"1"`, map[string]any{"work_items": []any{work(h.room, "7")}, "planned_start": "2026-04-27", "planned_end": "2026-04-29"}).Is(200)
	r = d.read()
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *r.Outcome)
	require.NotEmpty(t, *r.MustHappenFirst)
	require.Equal(t, "applicability", r.Determination.Question)
	d.stuck("ready", "no_valid_notice", "no_valid_notice", "occupant_protection")

	d.notice("2026-04-20").Is(201)
	d.stuck("ready", "no_valid_notice", "occupant_protection")
	told := d.notice("2026-04-20", "recipient", "adult_occupant", "unit_id", h.unit).Is(201)
	require.Equal(t, true, told.JSON()["counts"])
	require.Equal(t, "2026-02-26", told.JSON()["valid_from"], "40 CFR 745.84(a): no more than 60 days before the start")
	require.Equal(t, "2026-04-26", told.JSON()["valid_to"])
	d.stuck("ready", "occupant_protection")
	c.Post("/v1/protections", map[string]any{"renovation_id": d.job, "unit_id": h.unit, "how": "relocated", "from": "2026-04-28"}).Is(201)
	d.stuck("ready", "occupant_protection")
	c.Post("/v1/protections", map[string]any{"renovation_id": d.job, "how": "relocated", "from": "2026-04-27", "to": "2026-04-28"}).Is(201)
	d.stuck("ready", "occupant_protection")
	kept := c.Post("/v1/protections", map[string]any{"renovation_id": d.job, "unit_id": h.unit, "how": "relocated", "from": "2026-04-27"}).Is(201)

	moved := d.move("ready").Is(200)
	require.Equal(t, "ready", moved.JSON()["state"])
	made := (*d.read().Moves)[0]
	require.Equal(t, "Owner", *made.By)
	require.Equal(t, "2026-04-20", made.On.String())
	require.Equal(t, "covered_renovation", made.Determination.Outcome)

	d.stuck("under_way", "no_valid_notice", "no_valid_notice", "occupant_protection") // today is not the day after the notices
	days(s, 7)
	d.move("under_way").Is(200)
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.stuck("closed", "not_verified")
	d.verify("2026-04-27", false).Is(201)
	r = d.read()
	require.Equal(t, api.RenovationStateCleaning, *r.State, "a failed verification sends the job back")
	require.Contains(t, *(*r.Moves)[len(*r.Moves)-1].Note, "did not pass")
	days(s, 1)
	d.move("cleaning").Problem(409, "blocked")
	d.verify("2026-04-27", true).Is(201)
	d.move("checking").Is(200)
	d.verify("2026-04-28", true).Is(201)

	late := d.notice("2026-04-28", "recipient", "adult_occupant", "unit_id", h.unit).Is(201)
	require.Equal(t, false, late.JSON()["counts"])
	require.NotContains(t, late.JSON(), "finding_ids", "the duty is met by another notice")
	require.Equal(t, "closed", d.move("closed").Is(200).JSON()["headline"])
	d.move("cleaning").Problem(409, "blocked")
	c.With("If-Match", kept.ETag()).Post("/v1/protections/"+kept.ID()+"/end", `{"how":"ended","reason":"The family is back"}`).Is(200)

	d.verify("2026-04-28", false).Is(201)
	r = d.read()
	require.Equal(t, "closed, with open finding", *r.Headline)
	require.EqualValues(t, 1, *r.OpenFindings)
	var page api.RenovationList
	c.Get("/v1/renovations?state=closed&property_id=" + h.property).Is(200).Into(&page)
	require.Equal(t, "closed, with open finding", *page.Items[0].Headline)
	d.signOff()
	require.Equal(t, "closed", *d.read().Headline)
}

// signOff takes the open findings of the job to their end.
func (d desk) signOff() {
	d.t.Helper()
	var list api.FindingList
	d.Get("/v1/findings?state=open&renovation_id=" + d.job).Is(200).Into(&list)
	require.NotEmpty(d.t, list.Items)
	for _, f := range list.Items {
		for _, step := range []string{"corrected", "rechecked", "signed_off"} {
			d.Post("/v1/findings/"+f.Id.String()+"/steps", map[string]any{"what": step, "on": "2026-04-20", "by": "M. Example", "note": "Seen to."}).Is(200)
		}
	}
}

// underWay is a covered job in an empty hall, for which only the owner is told, begun on 27 April.
func TestWorkItemsAtOnePlaceAreOneJobAndTheMostDemandingDecides(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	other := c.Post("/v1/rooms", map[string]any{"unit_id": h.unit, "name": "Bath", "kind": "room"}).Is(201).ID()
	for _, k := range []struct {
		name    string
		items   []map[string]any
		outcome api.RepairOutcome
	}{
		{"6 ft2 in a room is minor (40 CFR 745.83)", []map[string]any{work(h.room, "6")}, api.RepairOutcomeMinor},
		{"4 and 3 ft2 in one room are 7 (40 CFR 745.83)", []map[string]any{work(h.room, "4"), work(h.room, "3")}, api.RepairOutcomeCoveredRenovation},
		{"4 and 3 ft2 in two rooms are minor in each (40 CFR 745.83)", []map[string]any{work(h.room, "4"), work(other, "3")}, api.RepairOutcomeMinor},
		{"the demanding item decides wherever it stands", []map[string]any{work(other, "1"), work(h.room, "8")}, api.RepairOutcomeCoveredRenovation},
		{"a window replaced is never minor (40 CFR 745.83)", []map[string]any{work(h.room, "1", "window_replaced", true, "component", "window", "method", "replaced")}, api.RepairOutcomeCoveredRenovation},
		{"an area that is not known counts as more", []map[string]any{work(h.room, "1", "area", nil)}, api.RepairOutcomeCoveredRenovation},
		{"no paint is disturbed", []map[string]any{work(h.room, "9", "paint_disturbed", "no")}, api.RepairOutcomeNoPaintDisturbed},
		{"found free of lead-based paint (40 CFR 745.82(a)(2))", []map[string]any{work(h.room, "9", "lead_free", map[string]any{"route": "test_kit"})}, api.RepairOutcomeLeadFree},
	} {
		t.Run(k.name, func(t *testing.T) { // one after the other: they are in the same rooms
			var r api.Renovation
			made := c.Post("/v1/renovations", job(k.items...)).Is(201).Into(&r)
			require.Equal(t, k.outcome, *r.Outcome)
			c.With("If-Match", made.ETag()).Post("/v1/renovations/"+made.ID()+"/end", `{"how":"void","reason":"Another case"}`).Is(200)
		})
	}
}

func TestBadRenovationsAndFactsNameTheFieldAndStoreNothing(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h, away := newHome(c, "Alder Court"), newHome(c, "Birch Court")
	d := newDesk(t, c, job(work(h.room, "20")))
	gone := c.Post("/v1/rooms", map[string]any{"unit_id": h.unit, "name": "Larder", "kind": "room"}).Is(201)
	c.With("If-Match", gone.ETag()).Post("/v1/rooms/"+gone.ID()+"/end", `{"how":"ended","reason":"Walled in"}`).Is(200)
	nowhere := "01930000-0000-7000-8000-0000000000ff"
	with := func(body map[string]any, more ...any) map[string]any {
		for i := 0; i+1 < len(more); i += 2 {
			body[more[i].(string)] = more[i+1]
		}
		return body
	}
	notice := func(more ...any) map[string]any {
		return with(map[string]any{"renovation_id": d.job, "recipient": "owner", "how": "handed", "given_on": "2026-04-20", "proof": "none"}, more...)
	}
	verified := func(more ...any) map[string]any {
		return with(map[string]any{"renovation_id": d.job, "verified_on": "2026-04-20", "verified_by": "R. Example", "visual_passed": true, "all_passed": true, "wet_cloths": 1, "dry_cloths": 0}, more...)
	}
	for _, k := range []struct {
		name, path string
		body       map[string]any
		at         []string
	}{
		{"both places", "renovations", job(work(h.room, "1", "exterior_side_id", nowhere)), []string{"/work_items/0/room_id"}},
		{"no place", "renovations", job(work(h.room, "1"), work(h.room, "1", "room_id", nil)), []string{"/work_items/1/room_id"}},
		{"a room that is not there", "renovations", job(work(h.room, "1"), work(nowhere, "1")), []string{"/work_items/1/room_id"}},
		{"a side that is not there", "renovations", job(work(h.room, "1", "room_id", nil, "exterior_side_id", nowhere)), []string{"/work_items/0/exterior_side_id"}},
		{"a room that has ended", "renovations", job(work(gone.ID(), "1")), []string{"/work_items/0/room_id"}},
		{"two properties", "renovations", job(work(h.room, "1"), work(away.room, "1")), []string{"/work_items/1/room_id"}},
		{"another property than told", "renovations", with(job(work(h.room, "1")), "property_id", away.property), []string{"/work_items/0/room_id"}},
		{"no work and no property", "renovations", job(), []string{"/property_id"}},
		{"a property that is not there", "renovations", with(job(), "property_id", nowhere), []string{"/property_id"}},
		{"an area of nothing", "renovations", job(work(h.room, "0")), []string{"/work_items/0/area/value"}},
		{"a negative area", "renovations", job(work(h.room, "-1")), []string{"/work_items/0/area/value"}},
		{"a length for an area", "renovations", job(work(h.room, "1", "area", map[string]any{"value": "1", "unit": "ft"})), []string{"/work_items/0/area/unit"}},
		{"an end before the start", "renovations", with(job(work(h.room, "1")), "planned_end", "2026-04-26"), []string{"/planned_end"}},
		{"a start before the law", "renovations", with(job(work(h.room, "1")), "planned_start", "1990-01-01"), []string{"/planned_start"}},
		{"a notice from tomorrow at the property", "notices", notice("given_on", "2026-04-21"), []string{"/given_on"}},
		{"an occupant of no unit", "notices", notice("recipient", "adult_occupant"), []string{"/unit_id"}},
		{"an attempt that was none", "notices", notice("attempt", map[string]any{"address": "a", "method": "m", "by": "b", "reason": "r", "certified_by": "c", "certified_on": "2026-04-20"}), []string{"/attempt"}},
		{"a notice of no job", "notices", notice("renovation_id", nowhere), []string{"/renovation_id"}},
		{"a unit elsewhere", "notices", notice("unit_id", away.unit), []string{"/unit_id"}},
		{"a protection that ends first", "protections", map[string]any{"renovation_id": d.job, "how": "relocated", "from": "2026-04-27", "to": "2026-04-26"}, []string{"/to"}},
		{"a verification from tomorrow at the property", "verifications", verified("verified_on", "2026-04-21"), []string{"/verified_on"}},
		{"a move tomorrow", "renovations/" + d.job + "/moves", map[string]any{"to": "called_off", "on": "2026-04-21", "reason": "r"}, []string{"/on"}},
	} {
		t.Run(k.name, func(t *testing.T) { // one after the other, so that what they stored can be counted at the end
			require.Equal(t, k.at, contracttest.Pointers(c.Post("/v1/"+k.path, k.body).Problem(422, "implausible")))
		})
	}
	for path, n := range map[string]float64{"renovations": 1, "notices": 0, "protections": 0, "verifications": 0} {
		list := c.Get("/v1/" + path + "?count=exact").Is(200).JSON()
		require.Equal(t, n, list["count"].(map[string]any)["value"], path)
	}
}

func TestS8RestrictedFactsShowInJobsAsOneSentenceOnly(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	owner.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01", "children_under_six": map[string]any{"present": 0},
		"pregnant_residents": plantedCount, "under_six_until": plantedMonth}).Is(201)
	d := newDesk(t, owner, job(work(h.room, "20")))
	d.notice("2026-04-20").Is(201)
	d.notice("2026-04-20", "recipient", "adult_occupant", "unit_id", h.unit).Is(201)
	p := d.move("ready").Problem(409, "blocked")
	require.Equal(t, []string{"restricted_requirement"}, codesOf(*p.Blockers))
	require.Equal(t, "A restricted requirement applies, due 2026-04-27.", (*p.Blockers)[0].Detail)
	require.Nil(t, (*p.Blockers)[0].Citation)
	look := func() {
		for _, role := range []credential.Role{credential.Owner, credential.Manager, credential.Crew, credential.Reader} {
			c := s.Client(s.Key(postgres.Key{Name: string(role), Role: role}))
			for _, path := range []string{"/v1/renovations/" + d.job, "/v1/renovations/" + d.job + "?version=1", "/v1/renovations", "/v1/renovations/" + d.job + "/blockers",
				"/v1/renovations/" + d.job + "/blockers?to=under_way", "/v1/changes", "/v1/changes?subject_id=" + d.job, "/v1/findings", "/v1/notices", "/v1/protections"} {
				a := c.Get(path)
				hasNoMarker(t, a)
				require.NotContains(t, string(a.Body), "pregnan")
			}
			hasNoMarker(t, desk{c, t, d.job}.move("closed"))
		}
		require.NotContains(t, s.Log.String(), plantedMonth)
		require.NotContains(t, s.Log.String(), strconv.Itoa(plantedCount)+"}")
	}
	look()
	over := newDesk(t, owner, job(work(h.room, "20")))
	made := over.move("ready", "override", overriding).Is(200)
	hasNoMarker(t, made)
	stood := (*over.read().Moves)[0].Overridden.Blockers
	require.Equal(t, "A restricted requirement applies, due 2026-04-27.", stood[len(stood)-1].Detail)
	look()
	owner.Post("/v1/protections", map[string]any{"renovation_id": d.job, "how": "relocated", "from": "2026-04-27"}).Is(201)
	d.move("ready").Is(200)
	look()
}

func TestRenovationIsPutByExternalIdAndItsNoticesFollowItsStart(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	path := "/v1/renovations/by-external-id/cases/J-1"
	body := job(work(h.room, "20"))
	d := desk{c, t, c.Put(path, body).Is(201).ID()}
	told := d.notice("2026-04-19").Is(201)
	require.Equal(t, true, told.JSON()["counts"])
	days(s, 1)
	require.Equal(t, `"1"`, c.Put(path, body).Is(200).ETag(), "the same again changes nothing, on another day too")
	c.Put(path, map[string]any{"planned_start": "2026-07-01", "planned_end": nil}).Is(200)
	read := c.Get("/v1/notices/" + told.ID()).Is(200).JSON()
	require.Equal(t, false, read["counts"], "40 CFR 745.84(a): more than 60 days before the start")
	require.Equal(t, "2026-05-02", read["valid_from"])
	c.With("If-Match", `"2"`).Post("/v1/notices/"+told.ID()+"/end", `{"how":"void","reason":"Told of the wrong job"}`).Is(200)
	c.Put(path, map[string]any{"planned_start": "2026-04-27"}).Is(200)
	require.Contains(t, codesOf(*d.move("ready").Problem(409, "blocked").Blockers), "no_valid_notice", "a void notice counts no more")
	c.With("If-Match", "*").Post("/v1/renovations/"+d.job+"/end", `{"how":"void","reason":"Recorded twice"}`).Is(200)
	d.move("ready").Problem(409, "ended")
	p := d.notice("2026-04-19").Problem(422, "implausible")
	require.Equal(t, []string{"/renovation_id"}, contracttest.Pointers(p))
}
