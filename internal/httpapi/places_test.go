package httpapi_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
)

// home is one property with a building, a unit and a room.
type home struct{ property, building, unit, room string }

func newHome(c *contracttest.Client, name string) home {
	var h home
	h.property = c.Post("/v1/properties", property(name)).Is(201).ID()
	h.building = c.Post("/v1/buildings", map[string]any{"property_id": h.property, "name": "House A",
		"build_year": map[string]any{"year": 1931, "source": "tax_record", "certainty": "recorded"}}).Is(201).ID()
	h.unit = c.Post("/v1/units", map[string]any{"building_id": h.building, "name": "2B", "kind": "dwelling", "bedrooms": 2, "rented": "yes"}).Is(201).ID()
	h.room = c.Post("/v1/rooms", map[string]any{"unit_id": h.unit, "name": "Kitchen", "kind": "room"}).Is(201).ID()
	return h
}

func property(name string) map[string]any {
	return map[string]any{"name": name, "time_zone": "America/New_York", "jurisdictions": []string{"us-zz"},
		"address": map[string]any{"street": "12 Alder Street", "city": "Millbrook", "region": "ZZ"}}
}

func TestRecordIsCreatedReadChangedListedAndEnded(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")

	read := c.Get("/v1/units/" + h.unit).Is(200)
	require.Equal(t, `"1"`, read.ETag())
	require.Equal(t, "2B", read.JSON()["name"])
	require.Equal(t, h.building, read.JSON()["building_id"])

	changed := c.Patch("/v1/units/"+h.unit, `"1"`, `{"bedrooms":null,"name":"2C"}`).Is(200)
	require.Equal(t, `"2"`, changed.ETag())
	require.NotContains(t, changed.JSON(), "bedrooms", "null clears")
	require.Equal(t, "yes", changed.JSON()["rented"], "absent stays")

	same := c.Patch("/v1/units/"+h.unit, `"2"`, `{"name":"2C"}`).Is(200)
	require.Equal(t, `"2"`, same.ETag(), "a patch that changes nothing makes no version")

	c.Patch("/v1/units/"+h.unit, `"1"`, `{"name":"2D"}`).Problem(412, "stale")
	c.Do("PATCH", "/v1/units/"+h.unit, `{"name":"2D"}`).Problem(428, "if_match_missing")

	old := c.Get("/v1/units/" + h.unit + "?version=1").Is(200)
	require.Equal(t, "2B", old.JSON()["name"], "old versions can be read back")
	c.Get("/v1/units/"+h.unit+"?version=9").Problem(404, "not_found")

	ended := c.With("If-Match", `"2"`).Post("/v1/units/"+h.unit+"/end", `{"how":"ended","reason":"Joined with 2A"}`).Is(200)
	require.Equal(t, "Joined with 2A", ended.JSON()["ending"].(map[string]any)["reason"])
	c.Patch("/v1/units/"+h.unit, `"3"`, `{"name":"2D"}`).Problem(409, "ended")
	var live, all api.UnitList
	c.Get("/v1/units?building_id=" + h.building).Is(200).Into(&live)
	c.Get("/v1/units?include_ended=true&building_id=" + h.building).Is(200).Into(&all)
	require.Empty(t, live.Items)
	require.Len(t, all.Items, 1)
}

func TestMergedRecordNamesALiveOne(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	a, b := newHome(c, "Alder Court"), newHome(c, "Birch Court")
	end := func(id, into string) contracttest.Answer {
		return c.With("If-Match", `"1"`).Post("/v1/properties/"+id+"/end", map[string]any{"how": "merged", "reason": "Entered twice", "merged_into": into})
	}
	require.Equal(t, []string{"/merged_into"}, contracttest.Pointers(end(a.property, a.property).Problem(422, "implausible")))
	end(a.property, b.property).Is(200)
	require.Equal(t, []string{"/merged_into"}, contracttest.Pointers(end(b.property, a.property).Problem(422, "implausible")),
		"merges never go in a circle")
	c.With("If-Match", `"1"`).Post("/v1/properties/"+b.property+"/end", `{"how":"merged","reason":"?"}`).Problem(422, "implausible")
}

func TestPutByExternalIdCreatesThenMerges(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	at := "/v1/properties/by-external-id/rentals/P-12"
	made := c.Put(at, property("Alder Court")).Is(201)
	require.Contains(t, string(made.Body), `{"system":"rentals","value":"P-12"}`)

	again := c.Put(at, property("Alder Court")).Is(200)
	require.Equal(t, made.ID(), again.ID())
	require.Equal(t, `"1"`, again.ETag(), "a request that changes nothing makes no version")

	merged := c.Put(at, `{"name":"Alder Gardens","jurisdictions":null}`).Is(200)
	require.Equal(t, `"2"`, merged.ETag())
	require.Equal(t, "America/New_York", merged.JSON()["time_zone"], "absent stays")
	require.NotContains(t, merged.JSON(), "jurisdictions", "null clears")

	c.With("If-Match", `"1"`).Put(at, `{"name":"Alder Hill"}`).Problem(412, "stale")
	c.With("If-Match", `"1"`).Put("/v1/properties/by-external-id/rentals/P-13", property("Other")).Problem(412, "stale")
	missing := c.Put("/v1/properties/by-external-id/rentals/P-14", `{"name":"No zone"}`).Problem(422, "implausible")
	require.ElementsMatch(t, []string{"/address", "/time_zone"}, contracttest.Pointers(missing))

	other := property("Birch Court")
	other["external_ids"] = []map[string]any{{"system": "rentals", "value": "P-12"}}
	taken := c.Post("/v1/properties", other).Problem(409, "external_id_taken")
	require.Contains(t, taken.Detail, made.ID(), "the holder is named")
}

func TestIdempotencyKeyRepeatsTheFirstOutcome(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner().With("Idempotency-Key", "night-1")
	first := c.Post("/v1/properties", property("Alder Court")).Is(201)
	again := c.Post("/v1/properties", property("Alder Court")).Is(201)
	require.Equal(t, first.ID(), again.ID())
	require.Equal(t, "true", again.Header.Get("Idempotency-Replayed"))
	require.Equal(t, first.Header.Get("Location"), again.Header.Get("Location"))
	require.JSONEq(t, string(first.Body), string(again.Body))
	c.Post("/v1/properties", property("Birch Court")).Problem(422, "idempotency_key_reused")
	var all api.PropertyList
	c.Get("/v1/properties").Is(200).Into(&all)
	require.Len(t, all.Items, 1)

	patch := s.Owner().With("Idempotency-Key", "night-2")
	patch.Patch("/v1/properties/"+first.ID(), `"1"`, `{"name":"Alder Gardens"}`).Is(200)
	s.Owner().Patch("/v1/properties/"+first.ID(), `"2"`, `{"name":"Alder Hill"}`).Is(200)
	replayed := patch.Patch("/v1/properties/"+first.ID(), `"1"`, `{"name":"Alder Gardens"}`).Is(200)
	require.Equal(t, `"2"`, replayed.ETag(), "a replay reads the record at the version it made")
	require.Equal(t, "Alder Gardens", replayed.JSON()["name"])
}

func TestListIsPagedByCursorsBoundToTheirFilters(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	var made []string
	for i := range 5 {
		made = append(made, c.Post("/v1/rooms", map[string]any{"building_id": h.building, "name": fmt.Sprint("Hall ", i), "kind": "hall"}).Is(201).ID())
	}
	var seen []string
	path := "/v1/rooms?limit=2&building_id=" + h.building + "&count=exact"
	for path != "" {
		var page api.RoomList
		a := c.Get(path).Is(200).Into(&page)
		require.Equal(t, int64(5), page.Count.Value)
		for _, room := range page.Items {
			seen = append(seen, room.Id.String())
		}
		if path = ""; page.Next != nil {
			path = "/v1/rooms?limit=2&building_id=" + h.building + "&count=exact&cursor=" + *page.Next
			require.Contains(t, a.Header.Get("Link"), *page.Next)
		}
	}
	require.Equal(t, made, seen)

	var page api.RoomList
	c.Get("/v1/rooms?limit=2&building_id=" + h.building).Is(200).Into(&page)
	c.Get("/v1/rooms?limit=2&cursor="+*page.Next).Problem(400, "bad_cursor")
	tampered := []byte(*page.Next)
	tampered[3] ^= 1
	p := c.Get("/v1/rooms?limit=2&building_id="+h.building+"&cursor="+string(tampered)).Problem(400, "bad_cursor")
	require.Equal(t, []string{"cursor"}, contracttest.Pointers(p))
	var estimated api.RoomList
	c.Get("/v1/rooms?count=estimated").Is(200).Into(&estimated)
	require.False(t, estimated.Count.Exact)
}

func TestBadInputNamesTheFieldAndStoresNothing(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	unit := func(change string) string {
		return `{"building_id":"` + h.building + `","name":"1A","kind":"dwelling"` + change + `}`
	}
	cases := map[string]struct {
		path, body string
		status     int
		code       string
		place      string
	}{
		"unknown field":                 {"/v1/units", unit(`,"colour":"red"`), 400, "malformed", "/colour"},
		"field sent twice":              {"/v1/units", unit(`,"name":"1B"`), 400, "listed_twice", "/name"},
		"field missing":                 {"/v1/units", `{"building_id":"` + h.building + `","kind":"dwelling"}`, 400, "malformed", "/name"},
		"wrong unit of measure":         {"/v1/units", unit(`,"floor_area":{"value":"700","unit":"acre"}`), 422, "implausible", "/floor_area/unit"},
		"length where an area belongs":  {"/v1/units", unit(`,"floor_area":{"value":"700","unit":"ft"}`), 422, "implausible", "/floor_area/unit"},
		"negative area":                 {"/v1/units", unit(`,"floor_area":{"value":"-7","unit":"ft2"}`), 422, "implausible", "/floor_area/value"},
		"area that is not a number":     {"/v1/units", unit(`,"floor_area":{"value":"big","unit":"ft2"}`), 422, "implausible", "/floor_area/value"},
		"build year in the future":      {"/v1/units", unit(`,"build_year":{"year":2199,"certainty":"recorded"}`), 422, "implausible", "/build_year/year"},
		"year called unknown":           {"/v1/units", unit(`,"build_year":{"year":1950,"certainty":"unknown"}`), 422, "implausible", "/build_year/certainty"},
		"owner-occupied and rented":     {"/v1/units", unit(`,"owner_occupied":"yes","rented":"yes"`), 422, "implausible", "/rented"},
		"a building that is not there":  {"/v1/units", `{"building_id":"01930000-0000-7000-8000-000000000099","name":"1A","kind":"dwelling"}`, 422, "implausible", "/building_id"},
		"a date that does not exist":    {"/v1/occupancies", `{"unit_id":"` + h.unit + `","from":"2026-02-30"}`, 400, "malformed", "/from"},
		"a stay that ends first":        {"/v1/occupancies", `{"unit_id":"` + h.unit + `","from":"2026-02-03","to":"2026-01-03"}`, 422, "implausible", "/to"},
		"a negative count":              {"/v1/occupancies", `{"unit_id":"` + h.unit + `","from":"2026-02-03","children_under_six":{"present":-1}}`, 400, "malformed", "/children_under_six/present"},
		"a time zone that is not there": {"/v1/properties", `{"name":"X","time_zone":"America/Millbrook","address":{"street":"1","city":"M","region":"ZZ"}}`, 422, "implausible", "/time_zone"},
		"a room of a unit and a building": {"/v1/rooms", `{"unit_id":"` + h.unit + `","building_id":"` + h.building + `","name":"Hall","kind":"hall"}`,
			422, "implausible", "/unit_id"},
		"a repair of tomorrow": {"/v1/small-repairs", `{"room_id":"` + h.room + `","component":"wall","method":"wet_scraping","done_by":"landlord_employee",` +
			`"area":{"value":"1","unit":"ft2"},"done_on":"2026-04-22"}`, 422, "implausible", "/done_on"},
		"not JSON":                   {"/v1/units", `{"name":`, 400, "not_json", ""},
		"two texts":                  {"/v1/units", unit("") + unit(""), 400, "not_json", ""},
		"a misspelt kind":            {"/v1/units", `{"building_id":"` + h.building + `","name":"1A","kind":"flat"}`, 400, "malformed", "/kind"},
		"an identifier that is none": {"/v1/units", `{"building_id":"12","name":"1A","kind":"dwelling"}`, 400, "malformed", "/building_id"},
	}
	t.Run("refused", func(t *testing.T) { // ends when all of them have been answered
		for name, bad := range cases {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				p := c.Post(bad.path, bad.body).Problem(bad.status, bad.code)
				if bad.place != "" {
					require.Contains(t, contracttest.Pointers(p), bad.place)
				}
				require.NotEmpty(t, p.Detail)
				require.NotEmpty(t, p.Fixes, "it says what would help")
			})
		}
	})
	for path, want := range map[string]int{"/v1/units": 1, "/v1/occupancies": 0, "/v1/properties": 1, "/v1/rooms": 1, "/v1/small-repairs": 0} {
		items := c.Get(path).Is(200).JSON()["items"].([]any)
		require.Len(t, items, want, path)
	}
}

func TestRequestsThatCannotBeRead(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	big := make([]byte, 2<<20)
	for i := range big {
		big[i] = ' '
	}
	c.Do("POST", "/v1/properties", big).Problem(413, "body_too_large")
	c.With("Content-Type", "text/csv").Post("/v1/properties", "a,b").Problem(415, "unsupported_media")
	c.With("Content-Encoding", "gzip").Post("/v1/properties", "{}").Problem(415, "unsupported_encoding")
	c.With("Accept", "text/html").Get("/v1/properties").Problem(406, "not_acceptable")
	c.Get("/v1/properties?colour=red").Problem(400, "malformed")
	c.Get("/v1/properties?limit=0").Problem(400, "malformed")
	c.Get("/v1/properties/12").Problem(400, "malformed")
	c.Get("/v1/nowhere").Problem(404, "no_such_path")
	c.Do("DELETE", "/v1/properties", nil).Problem(405, "method_not_allowed")
	c.Get("/v1/properties/01930000-0000-7000-8000-000000000099").Problem(404, "not_found")
	s.Client("").Get("/v1/properties").Problem(401, "no_credential")
	s.Client("sb_a_b_c_d").Get("/v1/properties").Problem(401, "bad_credential")
}
