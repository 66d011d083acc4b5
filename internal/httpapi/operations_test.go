package httpapi_test

import (
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	objects "sillbook/internal/object"
	"sillbook/internal/postgres"
)

// operation is one operation of the contract with all that is needed to call it.
type operation struct {
	*openapi3.Operation
	method, path string
	kind         string
	roles        []credential.Role
	scopes       []credential.Scope // those it needs beside a role
}

var everyRole = []credential.Role{credential.Owner, credential.Manager, credential.Crew, credential.Sampler, credential.Reader}

var contract = sync.OnceValues(api.Load)

// operations are all operations of the contract in the order of their names, those that end a record last.
func operations(t testing.TB) (list []operation) {
	t.Helper()
	doc, err := contract()
	require.NoError(t, err)
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			o := operation{Operation: op, method: method, path: path, kind: op.Extensions["x-kind"].(string)}
			for _, role := range op.Extensions["x-roles"].([]any) {
				o.roles = append(o.roles, credential.Role(role.(string)))
			}
			scopes, _ := op.Extensions["x-scopes"].([]any)
			for _, scope := range scopes {
				o.scopes = append(o.scopes, credential.Scope(scope.(string)))
			}
			list = append(list, o)
		}
	}
	slices.SortFunc(list, func(a, b operation) int {
		return cmp.Or(cmp.Compare(strings.LastIndex(a.path, "/end"), strings.LastIndex(b.path, "/end")),
			cmp.Compare(a.OperationID, b.OperationID))
	})
	require.Greater(t, len(list), 90)
	return list
}

// aimsAt reports whether the operation names one record in its path.
func (o operation) aimsAt() bool { return strings.Contains(o.path, "{id}") }

// takes is a media type under which the operation takes its example, where that is not JSON; otherwise it is empty.
func (o operation) takes() string {
	if o.RequestBody != nil {
		for name, media := range o.RequestBody.Value.Content {
			if !strings.HasSuffix(name, "json") && len(media.Examples) > 0 {
				return name
			}
		}
	}
	return ""
}

// needsMatch reports whether the operation demands If-Match.
func (o operation) needsMatch() bool {
	match := o.Parameters.GetByInAndName("header", "If-Match")
	return match != nil && match.Required
}

// victims are one record of each kind, by kind.
type victims map[string]string

// kindOfField says which record a field of the contract names.
var kindOfField = map[string]string{"property_id": "property", "property_ids": "property", "building_id": "building", "unit_id": "unit",
	"room_id": "room", "exterior_side_id": "exterior_side", "renovation_id": "renovation", "facility_id": "facility", "container_ids": "container",
	"received": "container", "container_id": "container", "subject_id": "unit", "trip_id": "trip", "firm_id": "firm", "person_id": "person"}

// refer puts the victims' identifiers where an example names records.
func (v victims) refer(value any) any {
	switch value := value.(type) {
	case map[string]any:
		changed := map[string]any{}
		for name, inner := range value {
			if id := v[kindOfField[name]]; id != "" {
				if _, many := inner.([]any); many {
					changed[name] = []any{id}
				} else {
					changed[name] = id
				}
				continue
			}
			changed[name] = v.refer(inner)
		}
		return changed
	case []any:
		changed := make([]any, len(value))
		for i := range value {
			changed[i] = v.refer(value[i])
		}
		return changed
	}
	return value
}

// body is the operation's own example of a request, with the victims in it, or nil.
func (o operation) body(t testing.TB, v victims) any {
	t.Helper()
	if o.RequestBody == nil {
		return nil
	}
	for _, media := range o.RequestBody.Value.Content {
		for _, example := range media.Examples {
			return v.refer(example.Value.Value)
		}
	}
	require.Equal(t, "PATCH", o.method, "%s has no example of a request", o.OperationID)
	return map[string]any{}
}

// target is the operation's path with a victim in it, and the query that it demands.
func (o operation) target(t testing.TB, v victims) string {
	t.Helper()
	kind := o.kind
	for prefix, of := range map[string]string{"/v1/renovations/{id}/": "renovation", "/v1/properties/{id}/": "property", "/v1/buildings/{id}/": "building"} {
		if strings.HasPrefix(o.path, prefix) {
			kind = of
		}
	}
	path := strings.NewReplacer("{id}", v[kind], "{observation_id}", v["observation"], "{system}", "rentals", "{value}", "X-1").Replace(o.path)
	query := []string{}
	for _, p := range o.Parameters {
		if p.Value.In == "query" && p.Value.Required {
			query = append(query, p.Value.Name+"="+url.QueryEscape(example(t, p.Value, v)))
		}
	}
	if len(query) > 0 {
		path += "?" + strings.Join(query, "&")
	}
	return path
}

// example is a value for a parameter: a victim, the contract's own example, or the first of those that it lists.
func example(t testing.TB, p *openapi3.Parameter, v victims) string {
	t.Helper()
	if id := v[kindOfField[p.Name]]; id != "" {
		return id
	}
	if p.Example != nil {
		return p.Example.(string)
	}
	require.NotEmpty(t, p.Schema.Value.Enum, "%s has no example", p.Name)
	return p.Schema.Value.Enum[0].(string)
}

// call sends the operation's own example.
func (o operation) call(t testing.TB, c *contracttest.Client, v victims) contracttest.Answer {
	t.Helper()
	if o.needsMatch() {
		c = c.With("If-Match", `"1"`)
	}
	if o.takes() != "" {
		c = c.With("Content-Type", o.takes())
	}
	return c.Do(o.method, o.target(t, v), o.body(t, v))
}

// atLarge are the kinds of record that belong to the organization at large.
var atLarge = []string{"facility", "overlay", "firm", "person", "certificate"}

// populate records one of each kind, below the handlers: what the contract's example of each says, on a property of its
// own.
func populate(t testing.TB, s *contracttest.Service) victims {
	t.Helper()
	doc, err := contract()
	require.NoError(t, err)
	call := postgres.Call{Caller: credential.Caller{Organization: s.Organization, Home: s.Organization}, Operation: "test", RequestID: "test"}
	v := victims{}
	for _, kind := range []string{"property", "building", "unit", "room", "exterior_side", "occupancy", "facility", "overlay", "firm", "person", "certificate", "renovation", "observation", "small_repair",
		"notice", "protection", "verification", "clearance", "container", "trip", "finding", "attachment"} {
		example := doc.Components.Examples[schemaOf(kind)].Value.Value.(map[string]any)
		told := v.refer(example).(map[string]any)
		for _, head := range []string{"id", "organization_id", "version", "created_at", "updated_at", "external_ids"} {
			delete(told, head)
		}
		if kind == "property" {
			delete(told, "property_id")
		}
		if kind == "attachment" {
			keep(t, s, told)
		}
		text, err := json.Marshal(told)
		require.NoError(t, err)
		draft, err := postgres.DraftOf(text)
		require.NoError(t, err)
		if kind != "property" && !slices.Contains(atLarge, kind) {
			draft.Properties = []uuid.UUID{uuid.MustParse(v["property"])}
		}
		outcome, err := s.Store.Create(t.Context(), call, kind, draft)
		require.NoError(t, err, kind)
		v[kind] = outcome.Record.ID.String()
	}
	owner := s.Owner()
	v["key"] = owner.Post("/v1/keys", `{"name":"Night job","role":"reader"}`).Is(201).ID()
	other, _ := s.Open("Somebody")
	v["grant"] = owner.Post("/v1/grants", map[string]any{"name": "Office", "grantee_organization_id": other, "access": "read"}).Is(201).ID()
	v["organization"] = s.Organization.String()
	return v
}

// keep puts a photo where an attachment says that there is one.
func keep(t testing.TB, s *contracttest.Service, told map[string]any) {
	t.Helper()
	sum := sha256.Sum256([]byte("a photo"))
	require.NoError(t, s.Objects.Put(t.Context(), objects.Key{Organization: s.Organization, Sum: sum}, strings.NewReader("a photo"), 7))
	for _, name := range []string{"", "served_"} {
		told[name+"size"], told[name+"sha256"] = 7, objects.Sum(sum).String()
	}
}

// schemaOf is the name of a kind's schema: small_repair is SmallRepair.
func schemaOf(kind string) string {
	var b strings.Builder
	for word := range strings.SplitSeq(kind, "_") {
		b.WriteString(strings.ToUpper(word[:1]) + word[1:])
	}
	return b.String()
}
