package httpapi_test

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// seen is an observation as a phone tells it, at an instant; the test's job goes under way at noon of 27 April in New York.
func seen(kind, at string, more ...any) map[string]any {
	o := map[string]any{"kind": kind, "happened_at": at, "told_at": at, "by": "K. Example"}
	for i := 0; i+1 < len(more); i += 2 {
		o[more[i].(string)] = more[i+1]
	}
	return o
}

func used(method string, more ...any) map[string]any {
	m := map[string]any{"method": method}
	for i := 0; i+1 < len(more); i += 2 {
		m[more[i].(string)] = more[i+1]
	}
	return m
}

// onSite is an instant of 27 April 2026, by the clock in New York.
func onSite(clock string) string { return "2026-04-27T" + clock + ":00-04:00" }

func (d desk) tell(id string, o map[string]any) contracttest.Answer {
	d.t.Helper()
	return d.Put("/v1/renovations/"+d.job+"/observations/"+id, o)
}

// saw tells a new observation, and gives its identifier.
func (d desk) saw(kind, at string, more ...any) string {
	d.t.Helper()
	id := uuid.NewString()
	d.tell(id, seen(kind, at, more...)).Is(201)
	return id
}

func (d desk) findings(query string) []api.Finding {
	d.t.Helper()
	var list api.FindingList
	d.Get("/v1/findings?renovation_id=" + d.job + query).Is(200).Into(&list)
	return list.Items
}

func (d desk) observed() api.Observed {
	d.t.Helper()
	var is api.Observed
	d.Get("/v1/renovations/" + d.job + "/observed").Is(200).Into(&is)
	return is
}

// step takes a finding one step on.
func (d desk) step(finding api.Finding, what string) {
	d.t.Helper()
	d.Post("/v1/findings/"+finding.Id.String()+"/steps", map[string]any{"what": what, "on": "2026-04-27", "by": "M. Example", "note": "Seen to."}).Is(200)
}

func codesOfFindings(list []api.Finding) []string {
	codes := []string{}
	for _, f := range list {
		codes = append(codes, f.Code)
	}
	return codes
}

// atWork is a job under way since noon, at which signs and containment were told; it is two in the afternoon.
func atWork(t *testing.T, s *contracttest.Service) desk {
	t.Helper()
	d := underWay(t, s)
	d.saw("sign_posted", onSite("11:00"))
	d.saw("containment_built", onSite("11:30"))
	s.Clock().Move(2 * time.Hour)
	return d
}

func TestBreachStopsTheJobUntilMendedAndFoundIntact(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	breach := d.saw("containment_breached", onSite("12:30"), "containment", map[string]any{"what": "the flap of the entry door"})
	list := d.findings("")
	require.Equal(t, []string{"containment_breach"}, codesOfFindings(list))
	require.True(t, list[0].Blocks)
	require.True(t, *list[0].Stops)
	require.Equal(t, breach, list[0].SubjectId.String())
	require.Contains(t, list[0].Detail, "2026-04-27 12:30 EDT")
	require.Equal(t, "40 CFR 745.85(a)(2)", list[0].Citation.Clause)
	is := d.observed()
	require.True(t, is.Stopped)
	require.Equal(t, breach, is.Stops[0].ObservationId.String())
	d.stuck("cleaning", "work_stopped")

	d.saw("containment_checked", onSite("12:40"), "containment", map[string]any{"intact": "yes"})
	d.stuck("cleaning", "work_stopped") // checked, and not mended
	d.saw("containment_mended", onSite("12:45"))
	d.stuck("cleaning", "work_stopped") // mended, and not checked since
	d.saw("containment_checked", onSite("12:50"), "containment", map[string]any{"intact": "yes"})
	require.False(t, d.observed().Stopped)
	require.Contains(t, d.findings("")[0].Detail, "found intact at 2026-04-27 12:50 EDT")
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.verify("2026-04-27", true).Is(201)
	d.stuck("closed", "open_finding") // it did happen, and somebody signs it off
	for _, step := range []string{"corrected", "rechecked", "signed_off"} {
		d.step(list[0], step)
	}
	d.move("closed").Is(200)
}

func TestProhibitedPracticeStopsTheJobUntilReChecked(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	d.saw("method_used", onSite("12:20"), "method_used", used("wet_scraping"))
	require.Empty(t, d.findings(""))
	d.saw("method_used", onSite("12:30"), "method_used", used("open_flame", "component", "stair rail"))
	d.saw("method_used", onSite("12:40"), "method_used", used("heat_gun", "temperature", map[string]any{"value": "1100", "unit": "degF"}))
	d.saw("method_used", onSite("12:50"), "method_used", used("heat_gun", "temperature", map[string]any{"value": "1099", "unit": "degF"}))
	list := d.findings("")
	require.Equal(t, []string{"prohibited_practice", "restricted_practice_without_guard"}, codesOfFindings(list), "40 CFR 745.85(a)(3)(i), (iii) (text)")
	require.Contains(t, list[0].Detail, "open flame was used on the stair rail")
	require.Equal(t, "40 CFR 745.85(a)(3)(i)", list[0].Citation.Clause)
	require.Equal(t, "practices", list[0].Determination.Question, "what it rests on is kept whole")
	d.stuck("cleaning", "work_stopped", "work_stopped")
	for _, f := range list {
		d.step(f, "corrected")
		require.True(t, d.observed().Stopped)
		d.step(f, "rechecked")
	}
	require.False(t, d.observed().Stopped)
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.verify("2026-04-27", true).Is(201)
	d.stuck("closed", "open_finding", "open_finding")
	for _, f := range list {
		d.step(f, "signed_off")
	}
	d.saw("note", onSite("13:30"), "note", "All is signed off.")
	d.saw("method_used", onSite("13:40"), "method_used", used("wet_scraping"))
	require.Len(t, d.findings(""), 2, "what is signed off is not opened again")
	d.move("closed").Is(200)
}

func TestCorrectionThatTakesTheCauseAwayVoidsTheFinding(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	id := d.saw("method_used", onSite("12:30"), "method_used", used("open_flame"))
	finding := d.findings("")[0]
	d.tell(id, seen("method_used", onSite("12:30"), "told_at", onSite("12:35"), "method_used", used("wet_scraping"))).Is(200)
	require.Empty(t, d.findings(""))
	all := d.findings("&include_ended=true")
	require.Len(t, all, 1, "it stays visible")
	require.Equal(t, finding.Id, all[0].Id)
	require.Equal(t, api.EndHow("void"), all[0].Ending.How)
	require.NotEmpty(t, all[0].Ending.Reason)
	require.False(t, d.observed().Stopped)

	d.tell(id, seen("method_used", onSite("12:30"), "told_at", onSite("12:40"), "method_used", used("machine_without_shroud"))).Is(200)
	require.Equal(t, []string{"prohibited_practice"}, codesOfFindings(d.findings("")), "it is opened anew")
	d.tell(id, seen("note", onSite("12:30"), "told_at", onSite("12:50"), "withdrawn", true, "note", "That was the neighbour's job.")).Is(200)
	require.Empty(t, d.findings(""))
	d.move("cleaning").Is(200)
}

func TestSameIdentifierWithOtherContentIsACorrectionAndBothAreShown(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	early := seen("visitor", onSite("12:10"), "told_at", onSite("12:11"), "people", map[string]any{"in_work_area": "no"})
	late := seen("visitor", onSite("12:10"), "told_at", onSite("12:30"), "people", map[string]any{"in_work_area": "no", "with_child": "yes"})
	for name, order := range map[string][]map[string]any{"in order": {early, late}, "in reverse": {late, early}} {
		id := uuid.NewString()
		made := d.tell(id, order[0]).Is(201)
		require.Equal(t, "/v1/renovations/"+d.job+"/observations/"+id, made.Header.Get("Location"))
		require.Equal(t, `"2"`, d.tell(id, order[1]).Is(200).ETag(), name)
		for _, again := range order {
			require.Equal(t, `"2"`, d.tell(id, again).Is(200).ETag(), "told again, nothing changes")
		}
		var o api.Observation
		d.Get("/v1/renovations/" + d.job + "/observations/" + id).Is(200).Into(&o)
		require.Equal(t, api.TriYes, *o.People.WithChild, "the later told stands, whichever arrived first: %s", name)
		require.Len(t, *o.Corrections, 1)
		require.Nil(t, (*o.Corrections)[0].People.WithChild)
		require.Equal(t, order[0]["told_at"], local(t, d.Get("/v1/renovations/" + d.job + "/observations/" + id + "?version=1").Is(200).JSON()["told_at"]))
	}
	one := seen("note", onSite("12:00"), "note", "one")
	two := seen("note", onSite("12:00"), "note", "two")
	for _, order := range [][]map[string]any{{one, two}, {two, one}} {
		id := uuid.NewString()
		d.tell(id, order[0]).Is(201)
		require.Equal(t, "two", d.tell(id, order[1]).Is(200).JSON()["note"], "of two told at one instant, the greater bytes")
	}
	id := uuid.NewString()
	d.tell(id, seen("note", "2026-04-27T16:00:00.1234561Z", "told_at", "2026-04-27T16:01:00Z", "note", "x", "room_id", nil)).Is(201)
	d.tell(id, seen("note", "2026-04-27T12:00:00.123456-04:00", "told_at", "2026-04-27T12:01:00-04:00", "note", "x")).Is(200)
	require.Equal(t, `"1"`, d.Get("/v1/renovations/"+d.job+"/observations/"+id).Is(200).ETag(), "one instant in two spellings, and null for what is absent, are the same content")
}

// local is an instant as the tests write it.
func local(t *testing.T, instant any) string {
	t.Helper()
	when, err := time.Parse(time.RFC3339, instant.(string))
	require.NoError(t, err)
	return when.In(time.FixedZone("", -4*60*60)).Format(time.RFC3339)
}

func TestFactToldLateLeavesTheMoveAndOpensAFinding(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.verify("2026-04-27", true).Is(201)
	d.move("closed").Is(200)
	s.Clock().Move(time.Hour)
	breach := d.saw("containment_breached", onSite("13:00"))
	entry := d.saw("occupant_in_work_area", onSite("13:10"), "people", map[string]any{"with_child": "yes"})
	after := d.saw("occupant_in_work_area", onSite("14:30"))
	r := d.read()
	require.Equal(t, api.RenovationStateClosed, *r.State, "a move once made stands")
	require.Equal(t, "closed, with open finding", *r.Headline)
	about := map[string][]string{}
	for _, f := range d.findings("") {
		about[f.SubjectId.String()] = append(about[f.SubjectId.String()], f.Code)
		if f.Code == "late_fact" && f.SubjectId.String() == breach {
			require.Contains(t, f.Detail, "cleaning on 2026-04-27, and to checking on 2026-04-27, and to closed on 2026-04-27")
		}
		if f.Code == "late_fact" && f.SubjectId.String() == entry {
			require.Contains(t, f.Detail, "The job moved to closed on 2026-04-27.")
			require.Contains(t, f.Detail, "with a child")
		}
	}
	require.Equal(t, map[string][]string{breach: {"containment_breach", "late_fact"}, entry: {"occupant_entry", "late_fact"}, after: {"occupant_entry"}}, about,
		"what happened after closing came too late to stand in its way")
	d.signOff()
	require.Equal(t, "closed", *d.read().Headline)
	require.Empty(t, d.findings("&state=open"))
}

func TestWorkBeforeSignsAndContainmentIsRecordedAndOpensFindings(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := underWay(t, s)
	s.Clock().Move(time.Hour)
	d.saw("method_used", onSite("12:20"), "method_used", used("wet_scraping"))
	d.saw("method_used", onSite("12:30"), "method_used", used("wet_scraping"))
	require.ElementsMatch(t, []string{"missing_sign", "missing_containment"}, codesOfFindings(d.findings("")), "one for each, and not for each piece of work")
	d.saw("sign_posted", onSite("12:10"))
	require.Equal(t, []string{"missing_containment"}, codesOfFindings(d.findings("")), "the sign had been up, and was told late")
	is := d.observed()
	require.Equal(t, api.TriYes, *is.SignsUp)
	require.Equal(t, "2026-04-27", is.Days[0].On.String())
	require.False(t, is.Days[0].Cleaned)
}

func TestAssistanceToldLaterSettlesWhatTurnedOnIt(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	d.saw("method_used", onSite("12:30"), "method_used", used("dry_scraping"))
	list := d.findings("")
	require.Equal(t, []string{"restricted_practice_without_guard"}, codesOfFindings(list))
	require.Contains(t, list[0].Detail, "not told whether the home is assisted")
	d.Patch("/v1/renovations/"+d.job, "*", `{"assisted":"no"}`).Is(200)
	require.Empty(t, d.findings(""), "24 CFR 35.140(e) is for assisted homes")
	d.Patch("/v1/renovations/"+d.job, "*", `{"assisted":"yes"}`).Is(200)
	require.Len(t, d.findings(""), 1)
}

func TestObservationsAreListedByWhenTheyHappened(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	third, first := d.saw("note", onSite("10:30"), "note", "third"), d.saw("photo", onSite("09:00"), "photo", map[string]any{"title": "Flap", "sha256": strings.Repeat("ab", 32)})
	second := d.saw("note", onSite("10:00"), "note", "second")
	var ids []string
	path := "/v1/renovations/" + d.job + "/observations?limit=2"
	for path != "" {
		var page api.ObservationList
		a := d.Get(path).Is(200).Into(&page)
		for _, o := range page.Items {
			ids = append(ids, o.Id.String())
		}
		path = ""
		if page.Next != nil {
			path = "/v1/renovations/" + d.job + "/observations?limit=2&cursor=" + url.QueryEscape(*page.Next)
			require.Contains(t, a.Header.Get("Link"), `rel="next"`)
		}
	}
	require.Len(t, ids, 5)
	require.Equal(t, []string{first, second, third}, ids[:3])
	var notes api.ObservationList
	d.Get("/v1/renovations/" + d.job + "/observations?kind=note").Is(200).Into(&notes)
	require.Len(t, notes.Items, 2)
	d.Get("/v1/renovations/"+d.job+"/observations?cursor=AAAA").Problem(400, "bad_cursor")
	other := newDesk(t, d.Client, job(work(newHome(d.Client, "Birch Court").room, "3")))
	other.Get("/v1/renovations/"+other.job+"/observations/"+first).Problem(404, "not_found")
}

func TestObservationsRefuseWhatCannotBe(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s) // it is 14:00
	h := newHome(d.Client, "Birch Court")
	id := uuid.NewString()
	for name, c := range map[string]struct {
		told    map[string]any
		pointer []string
	}{
		"tomorrow": {seen("sign_posted", "2026-04-28T09:00:00-04:00"), []string{"/happened_at", "/told_at"}},
		"tomorrow, told today": {seen("sign_posted", "2026-04-28T09:00:00-04:00", "told_at", onSite("13:00")),
			[]string{"/happened_at", "/told_at"}},
		"more than two minutes ahead":        {seen("sign_posted", "2026-04-27T14:02:01-04:00", "told_at", "2026-04-27T14:02:01-04:00"), []string{"/happened_at", "/told_at"}},
		"told before it happened":            {seen("sign_posted", onSite("13:00"), "told_at", onSite("12:59")), []string{"/told_at"}},
		"long before anything":               {seen("sign_posted", "0001-01-01T00:00:00+14:00"), []string{"/happened_at"}},
		"a room of another property":         {seen("sign_posted", onSite("13:00"), "room_id", h.room), []string{"/room_id"}},
		"a room that is not there":           {seen("sign_posted", onSite("13:00"), "room_id", uuid.NewString()), []string{"/room_id"}},
		"a room as an exterior side":         {seen("sign_posted", onSite("13:00"), "exterior_side_id", h.room), []string{"/exterior_side_id"}},
		"two places":                         {seen("sign_posted", onSite("13:00"), "room_id", h.room, "exterior_side_id", h.room), []string{"/room_id"}},
		"a method without its details":       {seen("method_used", onSite("13:00")), []string{"/method_used"}},
		"details of another kind":            {seen("sign_posted", onSite("13:00"), "presence", map[string]any{"moment": "signs"}), []string{"/presence"}},
		"a breach said to be intact":         {seen("containment_breached", onSite("13:00"), "containment", map[string]any{"intact": "yes"}), []string{"/containment/intact"}},
		"an occupant in the work area or no": {seen("occupant_back", onSite("13:00"), "people", map[string]any{"in_work_area": "no"}), []string{"/people/in_work_area"}},
		"an injury without a word":           {seen("injury", onSite("13:00")), []string{"/note"}},
		"withdrawn without a reason":         {seen("sign_posted", onSite("13:00"), "withdrawn", true), []string{"/note"}},
		"a shroud that the name rules out":   {seen("method_used", onSite("13:00"), "method_used", used("machine_without_shroud", "shroud", "yes")), []string{"/method_used/shroud"}},
		"a temperature in feet":              {seen("method_used", onSite("13:00"), "method_used", used("heat_gun", "temperature", map[string]any{"value": "3", "unit": "ft"})), []string{"/method_used/temperature/unit"}},
		"another identifier in the body":     {seen("sign_posted", onSite("13:00"), "id", uuid.NewString()), []string{"/id"}},
	} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, c.pointer, contracttest.Pointers(d.tell(id, c.told).Problem(422, "implausible")))
			d.Get("/v1/renovations/"+d.job+"/observations/"+id).Problem(404, "not_found")
		})
	}
	d.tell(id, seen("sign_posted", "2026-04-27T14:02:00-04:00", "id", id)).Is(201)
	other := newDesk(t, d.Client, job(work(h.room, "3")))
	other.tell(id, seen("sign_posted", onSite("13:00"))).Problem(409, "told_of_another_job")
	d.tell(uuid.NewString(), seen("party", onSite("13:00"))).Problem(400, "malformed")
	d.With("If-Match", `"1"`).Post("/v1/renovations/"+other.job+"/end", `{"how":"void","reason":"Entered twice"}`).Is(200)
	other.tell(uuid.NewString(), seen("sign_posted", onSite("13:00"))).Problem(409, "ended")
}

func TestPlaceThatHasEndedSinceIsTaken(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "3")))
	c.With("If-Match", `"1"`).Post("/v1/rooms/"+h.room+"/end", `{"how":"ended","reason":"The wall was taken out"}`).Is(200)
	d.saw("method_used", "2026-04-20T11:00:00-04:00", "room_id", h.room, "method_used", used("demolished"))
}

func TestBatchOfObservationsAnswersItemByItem(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	ids := []string{uuid.NewString(), uuid.NewString(), uuid.NewString(), uuid.NewString()}
	batch := func(mode string) map[string]any {
		return map[string]any{"mode": mode, "items": []any{
			seen("containment_mended", onSite("12:40"), "id", ids[1]), seen("containment_breached", onSite("12:30"), "id", ids[0]),
			seen("sign_posted", "2026-04-28T09:00:00-04:00", "id", ids[2]), seen("note", onSite("12:50"), "note", "no identifier"),
			seen("containment_breached", onSite("12:30"), "id", ids[0]), seen("containment_breached", onSite("12:31"), "id", ids[0]),
			seen("note", onSite("12:50"), "id", ids[3], "note", "elsewhere", "room_id", ids[3])}}
	}
	p := d.Post("/v1/renovations/"+d.job+"/observations", batch("atomic")).Problem(422, "items_refused")
	require.Equal(t, []string{"/items/2/happened_at", "/items/2/told_at", "/items/3/id", "/items/6/room_id"}, contracttest.Pointers(p), "the complete list")
	require.EqualValues(t, 2, d.observed().Observations, "nothing was stored")

	again := d.With("Idempotency-Key", "b1")
	var result api.ObservationBatchResult
	a := again.Post("/v1/renovations/"+d.job+"/observations", batch("partial")).Is(200).Into(&result)
	outcomes := []string{}
	for i, item := range result.Items {
		require.EqualValues(t, i, item.Index)
		outcomes = append(outcomes, string(item.Outcome))
		require.Equal(t, item.Outcome == api.ObservationOutcomeRefused, item.Problem != nil)
	}
	require.Equal(t, []string{"created", "created", "refused", "refused", "unchanged", "corrected", "refused"}, outcomes)
	require.EqualValues(t, []int32{2, 1, 1, 3}, []int32{result.Created, result.Corrected, result.Unchanged, result.Refused})
	require.Equal(t, "true", again.Post("/v1/renovations/"+d.job+"/observations", batch("partial")).Is(200).Header.Get("Idempotency-Replayed"))
	require.NotEmpty(t, a.Body)
	require.Equal(t, []string{"containment_breach"}, codesOfFindings(d.findings("")))
	require.Len(t, *result.Items[1].Record.Corrections, 1, "each record as it stands")

	items := make([]any, 501)
	for i := range items {
		items[i] = seen("note", onSite("12:00"), "id", uuid.NewString(), "note", fmt.Sprint(i))
	}
	d.Post("/v1/renovations/"+d.job+"/observations", map[string]any{"mode": "partial", "items": items}).Problem(400, "malformed")
	d.Post("/v1/renovations/"+d.job+"/observations", map[string]any{"mode": "atomic", "items": items[:500]}).Is(200).Into(&result)
	require.EqualValues(t, 500, result.Created)
	d.Post("/v1/renovations/"+d.job+"/observations", map[string]any{"mode": "atomic", "items": items[:500]}).Is(200).Into(&result)
	require.EqualValues(t, 500, result.Unchanged)
}

func TestObservationToldAgainLeavesNoTrace(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	id := d.saw("containment_breached", onSite("12:30"))
	d.tell(id, seen("containment_breached", onSite("12:30"))).Is(200)
	d.Post("/v1/renovations/"+d.job+"/observations", map[string]any{"mode": "partial", "items": []any{seen("containment_breached", onSite("12:30"), "id", id)}}).Is(200)
	var page api.ChangePage
	require.Eventually(t, func() bool {
		require.NoError(t, json.Unmarshal(d.Get("/v1/changes?limit=500&subject_kind=observation").Is(200).Body, &page))
		return len(page.Items) >= 3
	}, 20*time.Second, 20*time.Millisecond)
	require.Len(t, page.Items, 3, "two before, and one")
}

func TestWhoMayTellAndWhoSeesObservations(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h, away := newHome(c, "Alder Court"), newHome(c, "Birch Court")
	here, there := newDesk(t, c, job(work(h.room, "3"))), newDesk(t, c, job(work(away.room, "3")))
	told := there.saw("sign_posted", "2026-04-20T11:00:00-04:00")
	crew := desk{s.Client(s.Key(postgres.Key{Name: "Crew", Role: credential.Crew, PropertyIDs: []uuid.UUID{uuid.MustParse(h.property)}})), t, here.job}
	mine := crew.saw("sign_posted", "2026-04-20T11:00:00-04:00", "room_id", h.room)
	p := crew.tell(uuid.NewString(), seen("sign_posted", "2026-04-20T11:00:00-04:00", "room_id", away.room)).Problem(422, "implausible")
	require.Equal(t, "no_such_reference", (*p.Errors)[0].Code, "a room out of reach is not there")
	crew.Put("/v1/renovations/"+there.job+"/observations/"+told, seen("sign_posted", "2026-04-20T11:00:00-04:00")).Problem(404, "not_found")
	crew.Get("/v1/renovations/"+there.job+"/observations").Problem(404, "not_found")
	crew.Get("/v1/renovations/"+there.job+"/observations/"+told).Problem(404, "not_found")
	crew.Get("/v1/renovations/"+there.job+"/observed").Problem(404, "not_found")
	taken := crew.tell(told, seen("sign_posted", "2026-04-20T11:00:00-04:00")).Problem(409, "told_of_another_job")
	require.NotContains(t, taken.Detail, there.job)
	s.Client(s.Key(postgres.Key{Name: "Sampler", Role: credential.Sampler})).Get("/v1/renovations/"+here.job+"/observations").Problem(403, "role")

	agencyID, agencyKey := s.Open("Agency")
	agency := s.Client(agencyKey).With("Sillbook-Organization", s.Organization.String())
	c.Post("/v1/grants", map[string]any{"name": "County office", "grantee_organization_id": agencyID, "access": "read", "property_ids": []string{h.property}}).Is(201)
	for _, path := range []string{"/observations", "/observations/" + mine, "/observed"} {
		before := underGrants(c)
		agency.Get("/v1/renovations/" + here.job + path).Is(200)
		require.Equal(t, before+1, underGrants(c), "reading %s is recorded", path)
		agency.Get("/v1/renovations/"+there.job+path).Problem(404, "not_found")
	}
	agency.Put("/v1/renovations/"+here.job+"/observations/"+mine, seen("sign_posted", "2026-04-20T11:00:00-04:00")).Problem(403, "role")
}

func TestPlacesOwnWordOnAMethodHoldsOnTheJob(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := atWork(t, s)
	d.Post("/v1/overlays", map[string]any{"jurisdiction": "us-zz", "title": "Invented ordinance", "citation": "ZZ Code 7",
		"practices": []any{map[string]any{"method": "wet_sanding", "prohibited": true, "guard": "Scrape instead.", "effective": "2025-07-01", "citation": "ZZ Code 7.6", "source": "text"}}}).Is(201)
	d.saw("method_used", onSite("12:30"), "method_used", used("wet_sanding"))
	list := d.findings("")
	require.Equal(t, []string{"prohibited_practice"}, codesOfFindings(list))
	require.Equal(t, "ZZ Code 7.6", list[0].Citation.Clause)
}
