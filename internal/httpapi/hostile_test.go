package httpapi_test

import (
	"fmt"
	"net/url"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
)

// together sends the same request from many at once, and gives the answers.
func together(n int, send func() contracttest.Answer) []contracttest.Answer {
	answers := make([]contracttest.Answer, n)
	var senders sync.WaitGroup
	start := make(chan struct{})
	for i := range n {
		senders.Go(func() { <-start; answers[i] = send() })
	}
	close(start)
	senders.Wait()
	return answers
}

func TestOneIdempotencyKeySentByManyAtOnceMakesOneRecord(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	for round := range 5 {
		c := s.Owner().With("Idempotency-Key", fmt.Sprint("night-", round))
		first := 0
		ids := map[string]bool{}
		for _, a := range together(8, func() contracttest.Answer { return c.Post("/v1/properties", property(fmt.Sprint("Court ", round))) }) {
			if a.Status == 409 {
				a.Problem(409, "still_running")
				require.NotEmpty(t, a.Header.Get("Retry-After"))
				continue
			}
			ids[a.Is(201).ID()] = true
			if a.Header.Get("Idempotency-Replayed") == "" {
				first++
			}
		}
		require.Equal(t, 1, first, "one of them did it")
		require.Len(t, ids, 1)
		again := c.Post("/v1/properties", property(fmt.Sprint("Court ", round))).Is(201)
		require.True(t, ids[again.ID()], "afterwards everyone gets the one outcome")
	}
	var all api.PropertyList
	s.Owner().Get("/v1/properties").Is(200).Into(&all)
	require.Len(t, all.Items, 5)
}

func TestOneExternalIDPutByManyAtOnceMakesOneRecord(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	for round := range 5 {
		ids, created := map[string]bool{}, 0
		for _, a := range together(8, func() contracttest.Answer {
			return c.Put(fmt.Sprint("/v1/properties/by-external-id/rentals/P-", round), property(fmt.Sprint("Court ", round)))
		}) {
			require.Contains(t, []int{200, 201}, a.Status, "%s", a.Body)
			require.Equal(t, `"1"`, a.ETag(), "all say the same, so nothing changes after the first")
			ids[a.ID()] = true
			if a.Status == 201 {
				created++
			}
		}
		require.Equal(t, 1, created)
		require.Len(t, ids, 1)
	}
}

func TestOneExternalIDCreatedByManyAtOnceHasOneHolder(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	p := property("Alder Court")
	p["external_ids"] = []map[string]any{{"system": "rentals", "value": "P-1"}}
	created, holder := 0, ""
	answers := together(8, func() contracttest.Answer { return s.Owner().Post("/v1/properties", p) })
	for _, a := range answers {
		if a.Status == 201 {
			created, holder = created+1, a.ID()
		}
	}
	require.Equal(t, 1, created)
	for _, a := range answers {
		if a.Status != 201 {
			require.Contains(t, a.Problem(409, "external_id_taken").Detail, holder)
		}
	}
}

// Each version is made by one of those who knew the version before: no change is lost.
func TestManyWhoKnowOneVersionMakeOneChange(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	id := c.Post("/v1/properties", property("Court 0")).Is(201).ID()
	for version := 1; version <= 5; version++ {
		changed := 0
		var mu sync.Mutex
		name := 0
		for _, a := range together(8, func() contracttest.Answer {
			mu.Lock()
			name++
			mine := fmt.Sprint("Court ", version, " by ", name)
			mu.Unlock()
			return c.Patch("/v1/properties/"+id, fmt.Sprintf(`"%d"`, version), map[string]any{"name": mine})
		}) {
			if a.Status == 200 {
				changed++
				require.Equal(t, fmt.Sprintf(`"%d"`, version+1), a.ETag())
				continue
			}
			a.Problem(412, "stale")
		}
		require.Equal(t, 1, changed)
	}
}

func TestExternalIDsOfAnyTextComeBackAsTheyWere(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	for name, value := range map[string]string{
		"a slash":                           "12/4",
		"a slash that was escaped already":  "12%2F4",
		"a percent sign":                    "50%",
		"what looks like an escape":         "%41",
		"what looks like a broken escape":   "%zz",
		"a plus and a space":                "a+b c",
		"a question mark and a number sign": "a?b#c",
		"an emoji":                          "🏠🔑",
		"letters that combine":              "e\u0301 é",
		"right to left":                     "שלום\u202e",
		"quotes":                            `'";--\`,
		"a line break":                      "a\nb",
		"spaces around":                     " x ",
		"as long as may be":                 strings.Repeat("é", 200),
		"dots":                              "..",
		"a dot":                             ".",
		"braces and colons":                 "{id}:id*",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := "/v1/properties/by-external-id/" + escapeAll("sys/"+name) + "/" + escapeAll(value)
			made := c.Put(path, property(name)).Is(201)
			ids := made.JSON()["external_ids"].([]any)
			require.Equal(t, []any{map[string]any{"system": "sys/" + name, "value": value}}, ids)
			again := c.Put(path, `{"name":"Another name"}`).Is(200)
			require.Equal(t, made.ID(), again.ID(), "it is found again")
			other := property("Other")
			other["external_ids"] = ids
			c.Post("/v1/properties", other).Problem(409, "external_id_taken")
		})
	}
}

// escapeAll escapes every byte but letters and digits, so that no client or server takes a dot or a slash for its own.
func escapeAll(text string) string {
	var b strings.Builder
	for _, c := range []byte(text) {
		if c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' {
			b.WriteByte(c)
			continue
		}
		fmt.Fprintf(&b, "%%%02X", c)
	}
	return b.String()
}

func TestPlainlyEscapedExternalIDIsTheSame(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	for _, value := range []string{"WO-1001", "50%", "%41", "a b", "12/4", "é", "a+b", "a&b=c"} {
		made := c.Put("/v1/properties/by-external-id/rentals/"+url.PathEscape(value), property(value)).Is(201)
		require.Equal(t, value, made.JSON()["external_ids"].([]any)[0].(map[string]any)["value"])
		require.Equal(t, made.ID(), c.Put("/v1/properties/by-external-id/rentals/"+escapeAll(value), `{}`).Is(200).ID())
	}
}

func TestTextThatCannotBeKeptIsRefused(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	for name, bad := range map[string]struct {
		method, path, body string
		code               string
		place              string
	}{
		"NUL in a name":                     {"POST", "/v1/properties", `{"name":"a\u0000b","time_zone":"America/New_York","address":{"street":"1","city":"M","region":"ZZ"}}`, "nul_character", "/name"},
		"NUL deep inside":                   {"POST", "/v1/properties", `{"name":"a","time_zone":"America/New_York","address":{"street":"1\u0000","city":"M","region":"ZZ"}}`, "nul_character", "/address/street"},
		"NUL in an external id":             {"POST", "/v1/properties", `{"name":"a","external_ids":[{"system":"s","value":"\u0000"}]}`, "nul_character", "/external_ids/0/value"},
		"NUL as a field's name":             {"POST", "/v1/properties", `{"\u0000":1}`, "nul_character", ""},
		"NUL in a patch":                    {"PATCH", "/v1/units/" + h.unit, `{"name":"\u0000"}`, "nul_character", "/name"},
		"NUL in the path":                   {"PUT", "/v1/properties/by-external-id/rentals/a%00b", `{}`, "malformed", "value"},
		"no UTF-8 in the path":              {"PUT", "/v1/properties/by-external-id/%FF/a", `{}`, "malformed", "system"},
		"half a surrogate pair":             {"POST", "/v1/properties", `{"name":"\ud800"}`, "not_json", ""},
		"no UTF-8 in the body":              {"POST", "/v1/properties", "{\"name\":\"\xff\"}", "not_json", ""},
		"NUL in the query":                  {"GET", "/v1/changes?subject_kind=%00", "", "malformed", "subject_kind"},
		"no UTF-8 in the query":             {"GET", "/v1/units?kind=%ff", "", "malformed", "kind"},
		"a query that cannot be read":       {"GET", "/v1/units?building_id=%zz", "", "malformed", ""},
		"a number too large":                {"POST", "/v1/units", `{"building_id":"` + h.building + `","name":"1","kind":"dwelling","bedrooms":1e400}`, "malformed", ""},
		"an integer too large":              {"POST", "/v1/units", `{"building_id":"` + h.building + `","name":"1","kind":"dwelling","bedrooms":99999999999999999999}`, "malformed", "/bedrooms"},
		"a fraction of a bedroom":           {"POST", "/v1/units", `{"building_id":"` + h.building + `","name":"1","kind":"dwelling","bedrooms":1.5}`, "malformed", "/bedrooms"},
		"an array for an object":            {"POST", "/v1/units", `[]`, "malformed", ""},
		"null for an object":                {"POST", "/v1/units", `null`, "malformed", ""},
		"nothing for an object":             {"POST", "/v1/units", ``, "not_json", ""},
		"an array for a patch":              {"PATCH", "/v1/units/" + h.unit, `[]`, "malformed", ""},
		"null for a patch":                  {"PATCH", "/v1/units/" + h.unit, `null`, "malformed", ""},
		"a version that is too large":       {"GET", "/v1/units/" + h.unit + "?version=99999999999999999999", "", "malformed", "version"},
		"an external id longer than it may": {"PUT", "/v1/properties/by-external-id/rentals/" + strings.Repeat("x", 201), `{}`, "malformed", "value"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			client := c
			var body any
			if bad.body != "" || bad.method != "GET" {
				body = bad.body
			}
			if bad.method == "PATCH" {
				client = c.With("If-Match", `"1"`)
			}
			p := client.Do(bad.method, bad.path, body).Problem(400, bad.code)
			if bad.place != "" {
				require.Contains(t, contracttest.Pointers(p), bad.place)
			}
		})
	}
	for _, kept := range []string{`{"name":"a\\u0000b"}`, `{"name":"a\u0001b"}`, `{"name":"\ud83c\udfe0"}`} {
		version := c.Get("/v1/units/" + h.unit).Is(200).ETag()
		c.Patch("/v1/units/"+h.unit, version, kept).Is(200)
	}
}
