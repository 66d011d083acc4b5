package httpapi_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// object is a JSON object as a test writes it.
type object = map[string]any

// worksite is a home with a job in its kitchen.
type worksite struct {
	home
	service *contracttest.Service
	c       *contracttest.Client
	job     string
}

// newWorksite writes a job straight into the book in a state, without the moves that lead to it.
func newWorksite(t *testing.T, state string, items ...object) worksite {
	t.Helper()
	s := contracttest.New(t)
	w := worksite{service: s, c: s.Owner()}
	w.home = newHome(w.c, "Alder Court")
	if items == nil {
		items = []object{{"room_id": w.room, "component": "window", "method": "replaced", "window_replaced": true}}
	}
	w.job = w.newJob(t, w.property, state, items)
	return w
}

func (w worksite) newJob(t *testing.T, property, state string, items []object) string {
	t.Helper()
	var d postgres.Draft
	told := object{"title": "Windows, unit 2B", "work_items": items, "state": state, "moves": []object{}}
	for name, value := range told {
		require.NoError(t, d.Set(name, value))
	}
	d.Properties = []uuid.UUID{uuid.MustParse(property)}
	outcome, err := w.service.Store.Write(t.Context(), w.call(), func(tx *postgres.Tx) (postgres.Outcome, error) {
		record, err := tx.Insert("renovation", "created", d)
		return postgres.Outcome{Status: 201, Record: record}, err
	})
	require.NoError(t, err)
	return outcome.Record.ID.String()
}

func (w worksite) call() postgres.Call {
	return postgres.Call{Caller: credential.Caller{Organization: w.service.Organization, Home: w.service.Organization}, Operation: "test", RequestID: "test"}
}

// theJob reads the job as it stands.
func (w worksite) theJob(t *testing.T) (job struct {
	State string
	Moves []api.MoveMade
}) {
	t.Helper()
	_, body, err := w.service.Store.Get(t.Context(), w.call(), "renovation", uuid.MustParse(w.job), 0)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(body, &job))
	return job
}

// lap is a clearance of the job that was sampled three hours after cleaning on 16 April 2026.
func (w worksite) lap(samples ...object) object {
	if samples == nil {
		samples = []object{}
	}
	return object{"renovation_id": w.job, "cleaned_at": "2026-04-16T15:00:00Z", "sampled_at": "2026-04-16T18:00:00Z", "visual_passed": true, "samples": samples}
}

func m(value, unit string) object { return object{"value": value, "unit": unit} }

func less(value, unit string) object { return object{"value": value, "unit": unit, "qualifier": "<"} }

func floor(label, mass string) object {
	return object{"label": label, "surface": "floor_bare", "place": "Hall", "area": m("1", "ft2"), "mass": m(mass, "ug")}
}

// courseSill is the worked example of the course form: 24 ug on a sill of 23 15/16 x 2 7/8 in are 50.2 ug/ft2.
func courseSill() object {
	return object{"label": "S-1", "surface": "sill", "length": m("23 15/16", "in"), "width": m("2 7/8", "in"), "mass": m("24", "ug")}
}

func with(o object, more ...any) object {
	changed := object{}
	for name, value := range o {
		changed[name] = value
	}
	for i := 0; i < len(more); i += 2 {
		changed[more[i].(string)] = more[i+1]
	}
	return changed
}

func (w worksite) record(told object) (c api.Clearance) {
	w.c.Post("/v1/clearances", told).Is(201).Into(&c)
	return c
}

func (w worksite) finding(t *testing.T, id uuid.UUID) (f api.Finding) {
	t.Helper()
	w.c.Get("/v1/findings/" + id.String()).Is(200).Into(&f)
	require.Equal(t, "clearance", f.SubjectKind)
	require.Equal(t, w.job, f.RenovationId.String())
	require.Equal(t, "2026-04-20", f.OpenedOn.String())
	require.NotNil(t, f.Citation)
	return f
}

// The course form's sill fails the level required from 12 January 2026 and passed the one before (40 CFR 745.227(e)(8);
// 89 FR 89416): the date that decides is the local one of sampling.
func TestSillOfTheCourseFormFailsAndItsJobIsCleanedAgain(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	sampler := w.service.Client(w.service.Key(postgres.Key{Name: "Sampler", Role: credential.Sampler}))
	made := sampler.Post("/v1/clearances", w.lap(with(courseSill(), "room_id", w.room), floor("F-1", "3"))).Is(201)
	var c api.Clearance
	made.Into(&c)
	require.Equal(t, "/v1/clearances/"+c.Id.String(), made.Header.Get("Location"))
	require.Equal(t, api.ClearanceOutcomeFailed, *c.Outcome)
	require.EqualValues(t, 1, *c.Lap)
	require.Equal(t, "2026-04-16", c.SampledOn.String())
	require.Equal(t, api.ProgrammeEpa, *c.Programme)
	require.Equal(t, w.property, c.PropertyId.String())

	sill := (*c.Verdicts)[0]
	require.Equal(t, api.SampleOutcomeFail, sill.Outcome)
	require.Equal(t, api.Computed{Value: "50.2", Unit: "ug/ft2", Computed: true}, *sill.Loading, "published in the course form")
	require.Equal(t, api.Computed{Value: "40.0", Unit: "ug/ft2", Computed: true}, *sill.Limit)
	require.Equal(t, "2026-01-12", sill.LimitRequired.String())
	require.Equal(t, "2025-01-13", sill.LimitEffective.String())
	require.Equal(t, "Kitchen, 2B", *sill.Place)
	require.Equal(t, w.room, sill.RoomId.String())
	require.Equal(t, "50.2 ug/ft2 is above the limit of 40.0 ug/ft2.", sill.Why)
	require.Contains(t, sill.Citation.Clause, "745.227(e)(8)")
	require.Equal(t, api.SampleOutcomePass, (*c.Verdicts)[1].Outcome)
	require.Equal(t, []string{"window sill, Kitchen, 2B (sample S-1)"}, *c.CleanAgain)
	require.Empty(t, *c.FindingIds)

	d := c.Determination
	require.Equal(t, "failed", d.Outcome)
	require.Equal(t, w.service.Store.RuleSet(), d.RuleSet)
	require.Contains(t, d.Used, api.UsedFact{Fact: "programme", Value: "epa"})
	require.Contains(t, d.Used, api.UsedFact{Fact: "jurisdictions", Value: "us-zz"})

	job := w.theJob(t)
	require.Equal(t, "cleaning", job.State)
	require.Len(t, job.Moves, 1)
	require.Equal(t, "Clearance 1 failed: window sill, Kitchen, 2B (sample S-1).", *job.Moves[0].Note)
	require.JSONEq(t, string(made.Body), string(w.c.Get("/v1/clearances/"+c.Id.String()).Is(200).Body), "what was answered is what is kept")

	second := w.record(w.lap(with(courseSill(), "mass", m("6", "ug")), floor("F-1", "3")))
	require.Equal(t, api.ClearanceOutcomePassed, *second.Outcome)
	require.EqualValues(t, 2, *second.Lap)
	require.Empty(t, *second.CleanAgain)

	voided := w.c.With("If-Match", `"1"`).Post("/v1/clearances/"+second.Id.String()+"/end", `{"how":"void","reason":"Told for the wrong job"}`).Is(200)
	require.Equal(t, `"2"`, voided.ETag())
	third := w.record(w.lap(floor("F-1", "3")))
	require.EqualValues(t, 2, *third.Lap, "what is voided is no lap")
	var list api.ClearanceList
	w.c.Get("/v1/clearances?renovation_id=" + w.job + "&property_id=" + w.property).Is(200).Into(&list)
	require.Len(t, list.Items, 2)
}

func TestLimitIsThatOfTheLocalDateOfSampling(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "cleaning")
	for instant, want := range map[string]struct {
		on, limit string
		outcome   api.ClearanceOutcome
		failsFrom string
	}{
		"2026-01-12T04:59:00Z": {"2026-01-11", "100", api.ClearanceOutcomePassed, "2026-01-12"}, // 23:59 the day before, in New York
		"2026-01-12T05:00:00Z": {"2026-01-12", "40.0", api.ClearanceOutcomeFailed, ""},
	} {
		c := w.record(with(w.lap(courseSill()), "sampled_at", instant, "cleaned_at", "2026-01-11T15:00:00Z"))
		require.Equal(t, want.on, c.SampledOn.String())
		require.Equal(t, want.outcome, *c.Outcome, instant)
		v := (*c.Verdicts)[0]
		require.Equal(t, want.limit, v.Limit.Value)
		if want.failsFrom != "" {
			require.Equal(t, want.failsFrom, v.WouldFailFrom.String())
		}
	}
	require.Equal(t, "cleaning", w.theJob(t).State, "only a job that is being checked is sent back")
}

// Each row is one wipe: what it shows, and what the clearance does. 40 CFR 745.227(e)(8) unless said otherwise.
func TestWipes(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	for name, row := range map[string]struct {
		sample         object
		wipe           api.SampleOutcome
		loading, limit string // as shown; limit is what the loading was compared with
		outcome        api.ClearanceOutcome
		finding        string
	}{
		"less than 5 ug on a square foot of floor is below 5 or equal to it as a bound, and passes (common practice)": {
			with(floor("F", "0"), "mass", less("5", "ug")), api.SampleOutcomePass, "<5.00", "5.00", api.ClearanceOutcomePassed, ""},
		"less than 5 ug on 16 in2 of sill shows less than 45, which decides nothing (derived)": {
			object{"label": "S", "surface": "sill", "area": m("16", "in2"), "mass": less("5", "ug")}, api.SampleOutcomeInconclusive, "<45.0", "40.0", api.ClearanceOutcomeInconclusive, ""},
		"a composite of 4 at 2.5 ug/ft2 is at half the floor level, and fails": {
			object{"label": "C", "surface": "floor_bare", "area": m("4", "ft2"), "mass": m("10", "ug"), "parts": 4}, api.SampleOutcomeFail, "2.50", "2.50", api.ClearanceOutcomeFailed, ""},
		"a composite of 3 at 3.3 ug/ft2 is below two thirds of it, and passes": {
			object{"label": "C", "surface": "floor_bare", "area": m("3", "ft2"), "mass": m("9.9", "ug"), "parts": 3}, api.SampleOutcomePass, "3.30", "3.33", api.ClearanceOutcomePassed, ""},
		"a composite of 5 does not count (40 CFR 745.63)": {
			object{"label": "C", "surface": "floor_bare", "area": m("5", "ft2"), "mass": m("1", "ug"), "parts": 5}, api.SampleOutcomeNotJudged, "0.200", "", api.ClearanceOutcomeInconclusive, "sample_fault"},
		"a composite of floor and sill does not count (40 CFR 745.227(g))": {
			object{"label": "C", "surface": "sill", "area": m("2", "ft2"), "mass": m("1", "ug"), "parts": 2, "surfaces": []string{"sill", "floor_bare"}}, api.SampleOutcomeNotJudged, "0.500", "", api.ClearanceOutcomeInconclusive, "sample_fault"},
		"a blank alone clears nothing": {
			object{"label": "B", "surface": "field_blank", "mass": less("1", "ug")}, api.SampleOutcomeNotJudged, "", "", api.ClearanceOutcomeInconclusive, ""},
		"a mass that passes and a reported loading that does not decide nothing (common practice)": {
			with(floor("F", "3"), "reported", m("30", "ug/ft2")), api.SampleOutcomeInconclusive, "3.00", "5.00", api.ClearanceOutcomeInconclusive, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := w
			w.job = w.newJob(t, w.property, "cleaning", nil)
			c := w.record(w.lap(row.sample))
			v := (*c.Verdicts)[0]
			require.Equal(t, row.wipe, v.Outcome, v.Why)
			require.Equal(t, row.loading, shown(v.Loading))
			require.Equal(t, row.limit, shown(v.ComparedWith))
			require.Equal(t, row.outcome, *c.Outcome)
			require.NotEmpty(t, c.Determination.Reasons)
			if row.finding == "" {
				require.Empty(t, *c.FindingIds)
				require.Empty(t, *c.Faults)
				return
			}
			require.Len(t, *c.FindingIds, 1)
			require.Equal(t, row.finding, w.finding(t, (*c.FindingIds)[0]).Code)
			require.Len(t, *c.Faults, 1)
			require.NotEmpty(t, *c.SampleAgain)
		})
	}
}

func shown(c *api.Computed) string {
	if c == nil {
		return ""
	}
	if c.Qualifier != nil {
		return string(*c.Qualifier) + c.Value
	}
	return c.Value
}

func TestWipesTakenWithinAnHourOfCleaningAreKeptAndDoNotCount(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	c := w.record(with(w.lap(floor("S-1", "1"), floor("F-1", "1")), "cleaned_at", "2026-04-16T17:00:01Z"))
	require.Equal(t, api.ClearanceOutcomeInconclusive, *c.Outcome)
	require.Len(t, *c.Faults, 2)
	require.Len(t, *c.SampleAgain, 2)
	require.Len(t, *c.FindingIds, 1, "one finding names them all")
	f := w.finding(t, (*c.FindingIds)[0])
	require.Equal(t, "sample_fault", f.Code)
	require.Contains(t, f.Detail, "2 samples do not count. S-1: It was taken")
	require.False(t, f.Blocks)
	require.Equal(t, "checking", w.theJob(t).State)

	c = w.record(with(w.lap(floor("F-1", "1")), "cleaned_at", "2026-04-16T17:00:00Z"))
	require.Equal(t, api.ClearanceOutcomePassed, *c.Outcome, "an hour is enough (40 CFR 745.227(e)(8)(iv))")
	c = w.record(with(w.lap(floor("F-1", "1")), "cleaned_at", nil))
	require.Equal(t, api.ClearanceOutcomeInconclusive, *c.Outcome, "what is not known gets the protective answer")
	require.Equal(t, "cleaned_at", c.Determination.Missing[0].Fact)

	c = w.record(with(w.lap(courseSill(), floor("F-1", "1")), "cleaned_at", "2026-04-16T17:00:01Z"))
	require.Equal(t, api.ClearanceOutcomeFailed, *c.Outcome, "what fails is cleaned again, however soon it was wiped")
	require.Len(t, *c.Faults, 2)
	require.Len(t, *c.CleanAgain, 1)
	require.Equal(t, "cleaning", w.theJob(t).State)
}

func TestLaboratoryThatIsNotRecognisedShowsNoPass(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	unrecognised := object{"name": "Example Laboratory", "recognised": "no"}
	c := w.record(with(w.lap(floor("F-1", "1")), "laboratory", unrecognised))
	require.Equal(t, api.ClearanceOutcomeInconclusive, *c.Outcome)
	require.Equal(t, "laboratory_not_recognised", w.finding(t, (*c.FindingIds)[0]).Code)
	require.Equal(t, "laboratory_not_recognised", c.Determination.Reasons[0].Rule)
	require.Equal(t, []string{"bare floor, Hall (sample F-1)"}, *c.SampleAgain)
	require.Equal(t, "checking", w.theJob(t).State)

	c = w.record(with(w.lap(floor("F-1", "5")), "laboratory", unrecognised))
	require.Equal(t, api.ClearanceOutcomeFailed, *c.Outcome, "a failure is the protective answer, whoever found it")
	require.Len(t, *c.FindingIds, 1)
	require.Equal(t, "cleaning", w.theJob(t).State)
}

func TestWhatStateTheJobIsInDoesNotStopAClearance(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "closed")
	c := w.record(w.lap(courseSill()))
	require.Len(t, *c.FindingIds, 1)
	f := w.finding(t, (*c.FindingIds)[0])
	require.Equal(t, "clearance_failed_after_closing", f.Code)
	require.Contains(t, f.Detail, "window sill (sample S-1)")
	require.True(t, f.Blocks)
	require.Equal(t, "closed", w.theJob(t).State)
	require.Empty(t, *w.record(w.lap(floor("F-1", "1"))).FindingIds, "one that passes is as it should be")

	c = w.record(with(w.lap(), "visual_passed", false))
	require.Equal(t, []string{"the whole work area"}, *c.CleanAgain)
	w.job = w.newJob(t, w.property, "called_off", nil)
	require.Empty(t, *w.record(w.lap(courseSill())).FindingIds)
	require.Equal(t, "called_off", w.theJob(t).State)
}

func TestOutdoorJobNeedsNoWipes(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	require.Equal(t, api.ClearanceOutcomeInconclusive, *w.record(w.lap()).Outcome, "indoors, nothing is shown without wipes")
	side := w.c.Post("/v1/exterior-sides", object{"building_id": w.building, "name": "Street front", "kind": "wall_side", "side": "A"}).Is(201).ID()
	w.job = w.newJob(t, w.property, "checking", []object{{"exterior_side_id": side, "component": "siding", "method": "wet_scraping"}})
	c := w.record(w.lap())
	require.Equal(t, api.ClearanceOutcomePassed, *c.Outcome, "40 CFR 745.227(e)(8)(v): outdoors clearance is visual")
	require.Contains(t, c.Determination.Used, api.UsedFact{Fact: "outdoor_only", Value: "yes"})
}

func TestClearancesRefuseWhatCannotBe(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	other := newHome(w.c, "Birch Court")
	ended := w.c.Post("/v1/rooms", object{"unit_id": w.unit, "name": "Pantry", "kind": "room"}).Is(201).ID()
	w.c.With("If-Match", `"1"`).Post("/v1/rooms/"+ended+"/end", `{"how":"ended","reason":"Wall taken out"}`).Is(200)
	const nowhere = "01930000-0000-7000-8000-000000000099"
	sill := courseSill()
	rows := map[string]struct {
		body   object
		status int
		code   string
		places []string
	}{
		"sampled in the future":          {with(w.lap(sill), "sampled_at", "2026-04-20T16:00:01Z"), 422, "implausible", []string{"/sampled_at"}},
		"sampled in the year 3":          {with(w.lap(sill), "sampled_at", "0003-04-20T16:00:00Z", "cleaned_at", nil), 422, "implausible", []string{"/sampled_at"}},
		"cleaned after sampling":         {with(w.lap(sill), "cleaned_at", "2026-04-16T18:00:01Z"), 422, "implausible", []string{"/cleaned_at"}},
		"a job that is not there":        {with(w.lap(sill), "renovation_id", nowhere), 422, "implausible", []string{"/renovation_id"}},
		"a room that is not there":       {w.lap(floor("F", "1"), with(sill, "room_id", nowhere)), 422, "implausible", []string{"/samples/1/room_id"}},
		"a room that has ended":          {w.lap(with(sill, "room_id", ended)), 422, "implausible", []string{"/samples/0/room_id"}},
		"a room on another property":     {w.lap(with(sill, "room_id", other.room)), 422, "implausible", []string{"/samples/0/room_id"}},
		"area and length and width":      {w.lap(with(sill, "area", m("1", "ft2"))), 422, "implausible", []string{"/samples/0/area"}},
		"neither":                        {w.lap(object{"label": "S", "surface": "sill", "mass": m("1", "ug")}), 422, "implausible", []string{"/samples/0/area"}},
		"length without width":           {w.lap(with(sill, "width", nil)), 422, "implausible", []string{"/samples/0/width"}},
		"no area at all":                 {w.lap(with(floor("F", "1"), "area", m("0", "ft2"))), 422, "implausible", []string{"/samples/0/area/value"}},
		"a negative area":                {w.lap(with(floor("F", "1"), "area", m("-1", "ft2"))), 422, "implausible", []string{"/samples/0/area/value"}},
		"a negative mass":                {w.lap(floor("F", "-1")), 422, "implausible", []string{"/samples/0/mass/value"}},
		"no mass":                        {w.lap(with(floor("F", "1"), "mass", nil)), 422, "implausible", []string{"/samples/0/mass"}},
		"less than no mass":              {w.lap(with(floor("F", "1"), "mass", less("0", "ug"))), 422, "implausible", []string{"/samples/0/mass/value"}},
		"a mass in square feet":          {w.lap(with(floor("F", "1"), "mass", m("1", "ft2"))), 422, "implausible", []string{"/samples/0/mass/unit"}},
		"a mass that is no number":       {w.lap(floor("F", "some")), 422, "implausible", []string{"/samples/0/mass/value"}},
		"a qualified area":               {w.lap(with(floor("F", "1"), "area", less("1", "ft2"))), 422, "implausible", []string{"/samples/0/area/qualifier"}},
		"labels told twice":              {w.lap(floor("F", "1"), sill, floor("F", "2"), floor("S-1", "3")), 422, "implausible", []string{"/samples/2/label", "/samples/3/label"}},
		"several things at once":         {with(w.lap(sill, floor("S-1", "-1")), "sampled_at", "2027-01-01T00:00:00Z"), 422, "implausible", []string{"/sampled_at", "/samples/1/mass/value", "/samples/1/label"}},
		"a surface that is not wiped":    {w.lap(with(sill, "surface", "ceiling")), 400, "malformed", []string{"/samples/0/surface"}},
		"a composite of eleven":          {w.lap(with(sill, "parts", 11)), 400, "malformed", []string{"/samples/0/parts"}},
		"a verdict of the caller's own":  {with(w.lap(sill), "outcome", "passed"), 400, "malformed", []string{"/outcome"}},
		"no word on the visual":          {object{"renovation_id": w.job, "sampled_at": "2026-04-16T18:00:00Z", "samples": []object{}}, 400, "malformed", []string{"/visual_passed"}},
		"a number where text is told":    {w.lap(with(floor("F", "1"), "mass", object{"value": 5, "unit": "ug"})), 400, "malformed", []string{"/samples/0/mass/value"}},
		"a programme that is not there":  {with(w.lap(sill), "programme", "none"), 400, "malformed", []string{"/programme"}},
		"an instant that does not exist": {with(w.lap(sill), "sampled_at", "2026-02-30T18:00:00Z"), 400, "malformed", nil},
	}
	t.Run("each", func(t *testing.T) { // ends when all its rows have
		for name, bad := range rows {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				p := w.c.Post("/v1/clearances", bad.body).Problem(bad.status, bad.code)
				require.Subset(t, contracttest.Pointers(p), bad.places)
				if bad.status == 422 {
					require.Len(t, contracttest.Pointers(p), len(bad.places))
					require.NotEmpty(t, p.Fixes)
				}
			})
		}
	})
	require.Empty(t, w.c.Get("/v1/clearances?include_ended=true").Is(200).JSON()["items"], "nothing was stored")
	require.Empty(t, w.c.Get("/v1/findings").Is(200).JSON()["items"])
	require.Equal(t, "checking", w.theJob(t).State)
}

func TestClearanceIsRecordedByWhoMay(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	for role, status := range map[credential.Role]int{credential.Owner: 201, credential.Manager: 201, credential.Sampler: 201, credential.Crew: 403, credential.Reader: 403} {
		c := w.service.Client(w.service.Key(postgres.Key{Name: string(role), Role: role}))
		c.Post("/v1/clearances", w.lap(floor("F", "1"))).Is(status)
		c.Post("/v1/calculations/clearance", object{"sampled_on": "2026-04-16", "visual_passed": true, "samples": []object{}}).Is(200)
	}
	elsewhere := newHome(w.c, "Birch Court")
	narrowed := w.service.Client(w.service.Key(postgres.Key{Name: "Narrow", Role: credential.Sampler, PropertyIDs: []uuid.UUID{uuid.MustParse(elsewhere.property)}}))
	p := narrowed.Post("/v1/clearances", w.lap(floor("F", "1"))).Problem(422, "implausible")
	require.Equal(t, []string{"/renovation_id"}, contracttest.Pointers(p), "a job out of reach is not there")
}

// As many wipes as one request may bring, each with all that can be said of it.
func TestTwoThousandWipesInOneRequest(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	samples := make([]object, 2000)
	for i := range samples {
		samples[i] = with(courseSill(), "label", fmt.Sprintf("Wing C, floor 14, line %04d", i), "room_id", w.room, "place", fmt.Sprintf("Flat %d, living room, window to the north-east, left of the door", i),
			"reporting_limit", m("2.5", "ug"), "reported", m("50.2", "ug/ft2"), "represents", []string{"Living room, all the other windows on the same side", "Bedroom, all windows", "Kitchen, the window above the sink and the one beside the door"})
	}
	told := w.lap(samples...)
	text, err := json.Marshal(told)
	require.NoError(t, err)
	require.Greater(t, len(text), 1<<20, "more than other requests may bring")
	c := w.record(told)
	require.Len(t, *c.Verdicts, 2000)
	require.Len(t, *c.CleanAgain, 2000)
	require.Len(t, c.Determination.Reasons, 2000)
	require.Equal(t, "cleaning", w.theJob(t).State)

	c = w.record(with(told, "cleaned_at", "2026-04-16T17:30:00Z"))
	require.Len(t, *c.Faults, 2000)
	require.Contains(t, w.finding(t, (*c.FindingIds)[0]).Detail, "; and 1997 more")
	var a api.ClearanceAnswer
	w.c.Post("/v1/calculations/clearance", object{"sampled_on": "2026-04-16", "visual_passed": true, "minutes_after_cleaning": 180, "samples": samples}).Is(200).Into(&a)
	require.Equal(t, api.ClearanceOutcomeFailed, a.Outcome)
	w.c.Post("/v1/clearances", w.lap(append(samples, floor("F", "1"))...)).Problem(400, "malformed")
}

func drawSample(t *rapid.T, label string) object {
	draw := func(name string, from, to int) string { return strconv.Itoa(rapid.IntRange(from, to).Draw(t, name)) }
	s := object{"label": label, "place": "Room " + draw("room", 1, 4),
		"surface": rapid.SampledFrom([]string{"floor_bare", "floor_carpeted", "sill", "trough", "porch_floor", "field_blank"}).Draw(t, "surface"),
		"mass":    m(draw("mass", 0, 60)+"."+draw("tenths", 0, 9), "ug")}
	if rapid.Bool().Draw(t, "less than") {
		s["mass"] = less(draw("bound", 1, 12), "ug")
	}
	if rapid.Bool().Draw(t, "sides") {
		s["length"], s["width"] = m(draw("length", 1, 40)+" 5/8", "in"), m(draw("width", 1, 12), "in")
	} else {
		s["area"] = m(draw("area", 1, 300), rapid.SampledFrom([]string{"in2", "cm2"}).Draw(t, "unit"))
	}
	if rapid.Bool().Draw(t, "composite") {
		parts := rapid.IntRange(1, 6).Draw(t, "parts")
		s["parts"] = parts
	}
	if rapid.Bool().Draw(t, "limit") {
		s["reporting_limit"] = m(draw("reporting limit", 1, 10), "ug")
	}
	return s
}

// The answer that stores nothing is the one that is stored.
func TestStoredAndStatelessVerdictsAreOne(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "cleaning")
	rapid.Check(t, func(t *rapid.T) {
		samples := []object{}
		for i := range rapid.IntRange(0, 5).Draw(t, "samples") {
			samples = append(samples, drawSample(t, fmt.Sprint("S-", i)))
		}
		day := rapid.SampledFrom([]string{"2020-05-04", "2025-06-02", "2026-01-11", "2026-01-12", "2026-04-16"}).Draw(t, "day")
		hour := rapid.IntRange(12, 17).Draw(t, "hour")
		visual := rapid.Bool().Draw(t, "visual")
		programme := rapid.SampledFrom([]string{"epa", "hud", "hud_grant"}).Draw(t, "programme")
		recognised := rapid.SampledFrom([]string{"yes", "no", "unknown"}).Draw(t, "recognised")
		c := w.record(with(w.lap(samples...), "sampled_at", day+"T17:00:00Z", "cleaned_at", fmt.Sprintf("%sT%d:00:00Z", day, hour),
			"visual_passed", visual, "programme", programme, "laboratory", object{"name": "Example Laboratory", "recognised": recognised}))
		var a api.ClearanceAnswer
		w.c.Post("/v1/calculations/clearance", object{"sampled_on": day, "minutes_after_cleaning": (17 - hour) * 60, "visual_passed": visual, "programme": programme,
			"jurisdictions": []string{"us-zz"}, "laboratory_recognised": recognised, "samples": samples}).Is(200).Into(&a)
		require.NotNil(t, a.Determination.CounterfactualsComplete, "what would change it is looked for where it is asked")
		a.Determination.Counterfactuals, a.Determination.CounterfactualsComplete = nil, nil
		require.Equal(t, a, api.ClearanceAnswer{Outcome: *c.Outcome, Verdicts: *c.Verdicts, CleanAgain: c.CleanAgain, SampleAgain: c.SampleAgain,
			Faults: c.Faults, Determination: c.Determination})
	})
}

func TestStatelessClearanceNamesWhatCannotBe(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	p := c.Post("/v1/calculations/clearance", object{"sampled_on": "2026-04-16", "visual_passed": true,
		"samples": []object{floor("F", "-1"), floor("F", "1")}}).Problem(422, "implausible")
	require.Equal(t, []string{"/samples/0/mass/value", "/samples/1/label"}, contracttest.Pointers(p))
	c.Post("/v1/calculations/clearance", `{"sampled_on":"2026-02-30","visual_passed":true,"samples":[]}`).Problem(400, "malformed")
}
