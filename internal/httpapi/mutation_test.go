package httpapi_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
)

// R4, the part that runs every time: each operation's own example, broken in one place at a time. Whatever comes, the
// answer is one that the contract documents, and never our fault.

// raw is JSON text put in as it is.
type raw string

// MarshalJSON gives the text.
func (r raw) MarshalJSON() ([]byte, error) { return []byte(r), nil }

// wrongs stand in for a value. Some are right at some places; the test asks only for a documented answer.
var wrongs = []any{nil, "", " ", "x", strings.Repeat("é", 5000), raw("-1"), raw("0"), raw("2147483648"), raw("1e300"), raw("0.30000000000000004"), true,
	[]any{}, map[string]any{}, []any{map[string]any{"a": []any{nil}}}, "0001-01-01", "9999-12-31", "2026-02-30", "9999-12-31T23:59:59Z",
	"00000000-0000-0000-0000-000000000000", "'; drop table unit; --", "<1", "1e9999", "1/0", "NaN", "\u202e\ufeff\U0010ffff"}

// mutations gives copies of a value with one thing in it wrong, missing or too much. Each place takes a third of the
// wrongs, in turn; turn counts the places.
func mutations(value any, turn *int) (list []any) {
	switch value := value.(type) {
	case map[string]any:
		for _, name := range slices.Sorted(maps.Keys(value)) {
			with := func(inner any) any {
				changed := maps.Clone(value)
				changed[name] = inner
				return changed
			}
			without := maps.Clone(value)
			delete(without, name)
			list = append(list, without)
			for _, inner := range mutations(value[name], turn) {
				list = append(list, with(inner))
			}
		}
		more := maps.Clone(value)
		more[strings.Repeat("colour", 200)] = "red"
		return append(list, more, nil, "x", []any{value})
	case []any:
		for i := range value {
			for _, inner := range mutations(value[i], turn) {
				changed := slices.Clone(value)
				changed[i] = inner
				list = append(list, changed)
			}
		}
		return append(list, []any{}, append(slices.Clone(value), value...), nil, "x", map[string]any{})
	}
	*turn++
	for i := *turn % 3; i < len(wrongs); i += 3 {
		list = append(list, wrongs[i])
	}
	return list
}

// fullBody adds to an example all that its schema has and it has not, so that every field is broken once.
func (o operation) fullBody(t *testing.T, v victims) any {
	t.Helper()
	body, ok := o.body(t, v).(map[string]any)
	if !ok {
		return o.body(t, v)
	}
	for _, media := range o.RequestBody.Value.Content {
		for name := range media.Schema.Value.Properties {
			if _, there := body[name]; !there {
				body[name] = nil
			}
		}
	}
	return body
}

func TestR4BrokenRequestsAreRefusedAsTheContractSays(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	sent, turn := 0, 0
	for _, o := range operations(t) {
		if o.RequestBody == nil || o.OperationID == "CreateOrganization" || o.takes() != "" {
			continue
		}
		t.Run(o.OperationID, func(t *testing.T) {
			for _, broken := range mutations(o.fullBody(t, v), &turn) {
				text, err := json.Marshal(broken)
				require.NoError(t, err)
				c := s.Owner()
				if o.needsMatch() {
					c = c.With("If-Match", "*")
				}
				a := c.Do(o.method, o.target(t, v), text)
				require.Less(t, a.Status, 500, "%s\n%s", text, a.Body)
				sent++
			}
		})
	}
	require.Greater(t, sent, 2000)
}

// Of a file, what can be broken is what is told of it in the query, its type and its bytes.
func TestR4BrokenFilesAreRefusedAsTheContractSays(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	sent := 0
	for _, o := range operations(t) {
		if o.takes() == "" {
			continue
		}
		path, query, _ := strings.Cut(o.target(t, v), "?")
		right, err := url.ParseQuery(query)
		require.NoError(t, err)
		send := func(contentType string, told url.Values, body any) {
			a := s.Owner().With("Content-Type", contentType).Do(o.method, path+"?"+told.Encode(), body)
			require.Less(t, a.Status, 500, "%s %v\n%s", contentType, told, a.Body)
			sent++
		}
		for _, p := range o.Parameters {
			for _, wrong := range append(wrongs, nil) {
				if p.Value.In != "query" {
					continue
				}
				told := maps.Clone(right)
				if told.Del(p.Value.Name); wrong != nil {
					told.Set(p.Value.Name, strings.Trim(fmt.Sprint(wrong), `"`))
				}
				send(o.takes(), told, o.body(t, v))
			}
		}
		for contentType := range o.RequestBody.Value.Content {
			for _, bytes := range []string{"", "\x00", "\xFF\xD8\xFF", "\xFF\xD8\xFF\xE1\x00\x00", "\x89PNG\r\n\x1a\n", "%PDF-", "<html>", "a,b", strings.Repeat("\xFF", 5000)} {
				send(contentType, right, bytes)
			}
		}
		for _, digest := range []string{"sha-256=::", "sha-256=:AAAA:", "sha-256", "md5=:AAAA:", "=", "é", ",,,", "sha-256=:" + strings.Repeat("A", 900) + ":"} {
			a := s.Owner().With("Content-Type", o.takes()).With("Content-Digest", digest).Do(o.method, path+"?"+query, o.body(t, v))
			require.Equal(t, 400, a.Status, "%s: %s", digest, a.Body)
		}
	}
	require.Greater(t, sent, 150)
}

func TestR4BrokenQueriesAndHeadersAreRefusedAsTheContractSays(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	for _, o := range operations(t) {
		if o.method != "GET" {
			continue
		}
		path, _, _ := strings.Cut(o.target(t, v), "?")
		require.Equal(t, 400, s.Owner().Get(path+"?"+strings.Repeat("colour", 200)+"=red").Status)
		for _, p := range o.Parameters {
			if p.Value.In != "query" {
				continue
			}
			for _, wrong := range wrongs {
				text := strings.Trim(fmt.Sprint(wrong), `"`)
				a := s.Owner().Get(path + "?" + p.Value.Name + "=" + url.QueryEscape(text))
				require.Less(t, a.Status, 500, "%s %s=%s\n%s", o.OperationID, p.Value.Name, text, a.Body)
			}
		}
	}
	for header, values := range map[string][]string{
		"If-Match":              {`"0"`, `"99999999999"`, `W/"1"`, "*", `"1", "2"`, "é", strings.Repeat("x", 100)},
		"Idempotency-Key":       {" ", "é", "\xff", strings.Repeat("x", 129), "a b"},
		"Sillbook-Organization": {"00000000-0000-0000-0000-000000000000", "x", strings.Repeat("0", 36)},
		"Accept":                {"", "*/*;q=0", "text/html, */*;q=0.1", "application/json;q=0", ";;;", ","},
		"Content-Type":          {"application/json; charset=utf-8", "application/json; charset=latin1", "application/merge-patch+json", "/", ""},
	} {
		for _, value := range values {
			c := s.Owner()
			a := c.With(header, value).Do("POST", "/v1/properties", property("X"))
			require.Less(t, a.Status, 500, "%s: %q\n%s", header, value, a.Body)
			a = c.With("If-Match", "*").With(header, value).Do("PATCH", "/v1/properties/"+v["property"], `{"name":"Y"}`)
			require.Less(t, a.Status, 500, "%s: %q\n%s", header, value, a.Body)
		}
	}
}
