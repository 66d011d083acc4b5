package httpapi_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
)

// phoneful is what a crew's phones have kept in a day and a half without a network: 60 observations and 6 corrections of
// them. Places are "kitchen" and "hall", identifiers the numbers of the observations.
func phoneful() (told []map[string]any) {
	n := 0
	tell := func(kind, day, clock string, more ...any) {
		o := seen(kind, "2026-04-"+day+"T"+clock+":00-04:00", more...)
		o["id"] = n
		told = append(told, o)
		n++
	}
	correct := func(of int, later string, more ...any) {
		o := maps.Clone(told[slices.IndexFunc(told, func(o map[string]any) bool { return o["id"] == of })])
		o["told_at"] = later
		for i := 0; i+1 < len(more); i += 2 {
			o[more[i].(string)] = more[i+1]
		}
		told = append(told, o)
	}
	kitchen, hall := []any{"room_id", "kitchen"}, []any{"room_id", "hall"}
	in := func(place []any, more ...any) []any { return append(slices.Clone(place), more...) }
	method := func(m map[string]any) []any { return []any{"method_used", m} }
	intact := func(yes string) []any { return []any{"containment", map[string]any{"intact": yes}} }

	tell("occupant_moved_out", "27", "07:00", "people", map[string]any{"with_child": "yes"})
	tell("sign_posted", "27", "07:10", "sign", map[string]any{"where": "Hall door", "languages": []any{"en", "es"}})
	tell("renovator_present", "27", "07:10", "presence", map[string]any{"moment": "signs"})
	tell("ventilation_off", "27", "07:15")
	tell("containment_built", "27", "07:30", kitchen...)
	tell("renovator_present", "27", "07:30", "presence", map[string]any{"moment": "containment"})
	tell("training_given", "27", "07:45", "training", map[string]any{"workers": []any{map[string]any{"worker": "B.E.", "topics": []any{"wet methods", "cleaning"}}}})
	tell("equipment_checked", "27", "07:50", "equipment", map[string]any{"what": "HEPA vacuum 2, filter", "works": "yes"})
	tell("method_used", "27", "08:00", in(kitchen, method(used("wet_scraping", "component", "window"))...)...)
	tell("method_used", "27", "08:00", in(hall, method(used("wet_sanding"))...)...) // no containment in the hall
	tell("containment_built", "27", "09:00", hall...)
	tell("method_used", "27", "09:10", in(kitchen, method(used("heat_gun"))...)...) // 11: corrected below, a temperature
	tell("method_used", "27", "09:20", in(kitchen, method(used("heat_gun", "temperature", map[string]any{"value": "1150", "unit": "degF"}))...)...)
	tell("method_used", "27", "09:30", in(hall, method(used("open_flame", "component", "stair rail"))...)...) // 13: withdrawn below
	tell("method_used", "27", "09:40", in(hall, method(used("machine_without_shroud"))...)...)
	tell("containment_breached", "27", "10:00", kitchen...)
	tell("containment_mended", "27", "10:10", kitchen...)
	tell("containment_checked", "27", "10:20", in(kitchen, intact("no")...)...)
	tell("containment_mended", "27", "10:30", kitchen...)
	tell("containment_checked", "27", "10:40", in(kitchen, intact("yes")...)...)
	tell("containment_breached", "27", "10:50", hall...) // 20: happened later, by the correction below
	tell("containment_mended", "27", "11:00", hall...)
	tell("visitor", "27", "11:10")
	tell("visitor", "27", "11:20", "people", map[string]any{"with_child": "yes", "in_work_area": "no"})
	tell("occupant_in_work_area", "27", "11:30", in(hall, "people", map[string]any{"with_child": "yes"})...)
	tell("injury", "27", "11:40", "note", "A cut on a hand, dressed on the spot.")
	tell("wind_stop", "27", "11:50", "note", "Gusts at the street side.")
	tell("weather_stop", "27", "11:55")
	tell("waste_stored", "27", "12:00", "waste", map[string]any{"how": "behind_barrier", "where": "Cellar"})
	tell("day_cleaned", "27", "12:10", kitchen...)
	tell("sign_removed", "27", "12:20")
	tell("method_used", "27", "12:30", in(kitchen, method(used("wet_scraping"))...)...) // no sign
	tell("method_used", "27", "12:40", in(kitchen, method(used("painted_only"))...)...)
	tell("sign_posted", "27", "12:45")
	tell("renovator_present", "27", "12:50", "presence", map[string]any{"moment": "cleaning"})
	tell("ventilation_on", "27", "13:00")
	tell("occupant_back", "27", "13:10")
	tell("method_used", "28", "08:00", in(hall, method(used("dry_scraping"))...)...)
	tell("method_used", "28", "08:00", in(kitchen, method(used("unknown"))...)...)
	tell("containment_checked", "28", "08:30", intact("no")...)
	for len(told) < 60 {
		tell("photo", "28", fmt.Sprintf("09:%02d", len(told)%20), "photo", map[string]any{"title": fmt.Sprint("Picture ", len(told))})
	}
	correct(11, "2026-04-27T09:15:00-04:00", method(used("heat_gun", "temperature", map[string]any{"value": "900", "unit": "degF"}))...)
	correct(13, "2026-04-27T09:45:00-04:00", "withdrawn", true, "note", "That was in the next house.")
	correct(20, "2026-04-27T11:15:00-04:00", "happened_at", "2026-04-27T11:05:00-04:00")
	correct(20, "2026-04-27T11:12:00-04:00", "note", "told in between")
	correct(22, "2026-04-27T11:10:00-04:00", "note", "told at the same instant")
	correct(33, "2026-04-27T12:50:00-04:00", "kind", "note", "note", "Not a sign: a picture of one.")
	return told
}

// on writes the phoneful for one job: its places, and identifiers of its own in the same order.
func (x offline) on(o map[string]any) map[string]any {
	o = maps.Clone(o)
	o["id"] = x.id(o["id"].(int))
	if place, told := o["room_id"]; told {
		o["room_id"] = x.rooms[place.(string)]
	}
	return o
}

// offline is one of the jobs of which the phoneful is told.
type offline struct {
	desk
	n     int
	rooms map[string]string
	names map[string]string // of every identifier that differs from job to job
}

func (x offline) id(n int) string { return fmt.Sprintf("019dd000-%04x-7000-8000-%012x", n, x.n) }

func newOffline(t *testing.T, s *contracttest.Service, n int) offline {
	c := s.Owner()
	h := newHome(c, "Alder Court")
	hall := c.Post("/v1/rooms", map[string]any{"building_id": h.building, "name": "Hall", "kind": "hall"}).Is(201).ID()
	x := offline{desk: newDesk(t, c, job(work(hall, "20"), work(h.room, "20"))), n: n, rooms: map[string]string{"kitchen": h.room, "hall": hall}}
	x.names = map[string]string{x.job: "JOB", h.property: "PROPERTY", h.room: "KITCHEN", hall: "HALL"}
	for i := range 60 {
		x.names[x.id(i)] = fmt.Sprint("OBSERVATION ", i)
	}
	x.notice("2026-04-20").Is(201)
	x.notice("2026-04-20", "recipient", "adult_occupant", "unit_id", h.unit).Is(201)
	c.Post("/v1/protections", map[string]any{"renovation_id": x.job, "how": "relocated", "from": "2026-04-20"}).Is(201)
	x.move("ready").Is(200)
	return x
}

// sync sends what was told in an order and in parts of its own, some of it twice.
func (x offline) sync(s *contracttest.Service, told []map[string]any) {
	r := rand.New(rand.NewPCG(uint64(x.n), 60)) // reproducible: each job has its order
	queue := slices.Concat(told, told[:len(told)/3], told[len(told)/2:])
	r.Shuffle(len(queue), func(i, j int) { queue[i], queue[j] = queue[j], queue[i] })
	for len(queue) > 0 {
		part := min(1+r.IntN(25), len(queue))
		if part == 1 {
			o := x.on(queue[0])
			require.Contains(x.t, []int{200, 201}, x.tell(o["id"].(string), o).Status)
		} else {
			var items []any
			for _, o := range queue[:part] {
				items = append(items, x.on(o))
			}
			x.Post("/v1/renovations/"+x.job+"/observations", map[string]any{"mode": []string{"partial", "atomic"}[r.IntN(2)], "items": items}).Is(200)
		}
		queue = queue[part:]
		s.Clock().Move(time.Second)
	}
}

// record is all that is on record of the job's observations, without identifiers that the book made, its own times, and the
// count of how often it has restated a finding meanwhile.
func (x offline) record() (pages []string) {
	var list []any
	for path := "/v1/renovations/" + x.job + "/observations?limit=25"; path != ""; {
		page := x.Get(path).Is(200).JSON()
		list = append(list, page["items"].([]any)...)
		path = ""
		if next, more := page["next"].(string); more {
			path = "/v1/renovations/" + x.job + "/observations?limit=25&cursor=" + url.QueryEscape(next)
		}
	}
	require.Len(x.t, list, 60)
	findings := x.Get("/v1/findings?limit=500&renovation_id=" + x.job).Is(200).JSON()["items"].([]any)
	var blockers api.BlockerList
	x.Get("/v1/renovations/" + x.job + "/blockers").Is(200).Into(&blockers)
	pages = append(pages, x.plain(list...)...)
	pages = append(pages, slices.Sorted(slices.Values(x.plain(findings...)))...)
	return append(pages, x.plain(x.Get("/v1/renovations/"+x.job+"/observed").Is(200).JSON(), codesOf(blockers.Blockers))...)
}

func (x offline) plain(values ...any) (texts []string) {
	for _, v := range values {
		f, ok := v.(map[string]any)
		book := []string{"received_at", "created_at", "updated_at", "finding_id", "organization_id"}
		if ok && f["code"] != nil {
			book = append(book, "version")
		}
		text, err := json.Marshal(without(v, book...))
		require.NoError(x.t, err)
		written := string(text)
		if ok && f["code"] != nil {
			written = strings.ReplaceAll(written, f["id"].(string), "FINDING")
		}
		for id, name := range x.names {
			written = strings.ReplaceAll(written, id, name)
		}
		require.NotRegexp(x.t, `[0-9a-f]{8}-[0-9a-f]{4}-`, written)
		texts = append(texts, written)
	}
	return texts
}

// without takes members out of a value, at any depth.
func without(v any, names ...string) any {
	switch v := v.(type) {
	case map[string]any:
		kept := map[string]any{}
		for name, inner := range v {
			if !slices.Contains(names, name) {
				kept[name] = without(inner, names...)
			}
		}
		return kept
	case []any:
		kept := make([]any, len(v))
		for i := range v {
			kept[i] = without(v[i], names...)
		}
		return kept
	}
	return v
}

// The offline test: the same observations, told of some jobs in as many orders, in parts of any size, some of them twice, give
// the same record of each. Half of the jobs have moved on before, so that what is told is late for them.
func TestObservationsToldOfflineGiveTheSameRecordInAnyOrder(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	told := phoneful()
	half := 2
	if atLength() {
		half = 10
	}
	jobs := make([]offline, 2*half)
	for i := range jobs {
		jobs[i] = newOffline(t, s, i)
	}
	days(s, 7)
	for _, x := range jobs {
		x.notice("2026-04-21").Is(201) // a week later the first ones still count; one more does no harm
		x.move("under_way").Is(200)
	}
	days(s, 1)
	for _, x := range jobs[half:] {
		x.move("cleaning").Is(200)
		x.move("checking").Is(200)
	}
	records := make([][]string, len(jobs))
	for i, x := range jobs {
		x.sync(s, told)
		records[i] = x.record()
	}
	for i := range jobs {
		like := i / half * half
		require.Len(t, records[i], len(records[like]))
		for k := range records[like] {
			require.Equal(t, records[like][k], records[i][k], "job %d", i)
		}
		if i != like {
			continue
		}
		jobs[i].sync(s, told)
		require.True(t, slices.Equal(records[i], jobs[i].record()), "told once more, nothing changes")
	}
	codes := map[string]int{}
	for _, f := range jobs[0].findings("&limit=500") {
		codes[f.Code]++
	}
	require.Equal(t, map[string]int{"prohibited_practice": 2, "restricted_practice_without_guard": 2, "containment_breach": 3, "occupant_entry": 2,
		"missing_sign": 1, "missing_containment": 1}, codes)
	late := 0
	for _, f := range jobs[half].findings("&limit=500") {
		if f.Code == "late_fact" {
			late++
		}
	}
	require.Positive(t, late)
	require.Empty(t, slices.DeleteFunc(jobs[0].findings("&limit=500"), func(f api.Finding) bool { return f.Code != "late_fact" }))
}
