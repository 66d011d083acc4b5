package archtest

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/require"

	"sillbook/api"
)

// Of what is generated, the embedded bytes are compared here. The Go code is compared by `make lint`, which generates it
// again; a handler without its operation, and the reverse, do not get past the compiler and httpapi.New.
func TestEmbeddedContractIsTheContract(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(filepath.Join(root, "openapi.yaml"))
	require.NoError(t, err)
	require.Equal(t, string(text), string(api.Contract()), "openapi.yaml has changed; run make generate")
}

var contract = sync.OnceValues(api.Load)

// operation is one operation with its place in the contract.
type operation struct {
	*openapi3.Operation
	method, path string
}

func operations(t *testing.T) []operation {
	t.Helper()
	doc, err := contract()
	require.NoError(t, err)
	var list []operation
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			list = append(list, operation{op, method, path})
		}
	}
	require.Greater(t, len(list), 90)
	return list
}

func (o operation) takes(header string) bool {
	return o.Parameters.GetByInAndName("header", header) != nil
}

// needs are the problems that an operation documents, by what it takes:
//
//	every operation           400 401 403 404 406 429 500 503
//	one with a body           413 415 422 beside these
//	one with Idempotency-Key  409 (still running) 422 (key used for another request)
//	one with If-Match         409 (ended) 412 (stale)
//	one that demands If-Match 428
//	one that creates (201)    409 (external id taken)
func (o operation) needs() []string {
	needs := []string{"400", "401", "403", "404", "406", "429", "500", "503"}
	if o.RequestBody != nil {
		needs = append(needs, "413", "415", "422")
	}
	if o.takes("Idempotency-Key") {
		needs = append(needs, "409", "422")
	}
	if o.takes("If-Match") {
		needs = append(needs, "409", "412")
		if o.Parameters.GetByInAndName("header", "If-Match").Required {
			needs = append(needs, "428")
		}
	}
	if o.Responses.Value("201") != nil {
		needs = append(needs, "409")
	}
	return needs
}

func TestEveryOperationIsDescribed(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, o := range operations(t) {
		require.Regexp(t, `^[A-Z][A-Za-z]+$`, o.OperationID, "%s %s", o.method, o.path)
		require.False(t, seen[o.OperationID], "%s is there twice", o.OperationID)
		seen[o.OperationID] = true
		require.Len(t, o.Tags, 1, o.OperationID)
		require.NotEmpty(t, o.Summary, o.OperationID)
		require.NotEmpty(t, o.Description, o.OperationID)
		require.NotEmpty(t, o.Extensions["x-roles"], o.OperationID)
		require.NotEmpty(t, o.Extensions["x-kind"], o.OperationID)
		for _, p := range o.Parameters {
			require.NotEmpty(t, p.Value.Description, "%s, parameter %s", o.OperationID, p.Value.Name)
		}
	}
}

func TestEveryTagIsDeclaredAndUsed(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	used := map[string]bool{}
	for _, o := range operations(t) {
		used[o.Tags[0]] = true
		require.NotNil(t, doc.Tags.Get(o.Tags[0]), "%s has the tag %s, which is not declared", o.OperationID, o.Tags[0])
	}
	for _, tag := range doc.Tags {
		require.NotEmpty(t, tag.Description, tag.Name)
		require.True(t, used[tag.Name], "no operation has the tag %s", tag.Name)
	}
}

// Kinds of writing are told by the method: a read is safe, a change of what may have changed since needs its version.
func TestEveryWriteCanBeRepeatedAndEveryChangeNamesItsVersion(t *testing.T) {
	t.Parallel()
	for _, o := range operations(t) {
		writes := o.method != "GET" && !strings.HasPrefix(o.path, "/v1/calculations/") && !strings.HasSuffix(o.path, "/rehearsal")
		if o.OperationID == "CreateOrganization" {
			writes = false // an outcome is kept in the organization it belongs to, and a repeated request knows of none yet
		}
		require.Equal(t, writes, o.takes("Idempotency-Key"), "%s: a write can be repeated safely, nothing else is", o.OperationID)
		if o.method == "PATCH" || strings.HasSuffix(o.path, "/end") {
			match := o.Parameters.GetByInAndName("header", "If-Match")
			require.NotNil(t, match, o.OperationID)
			require.True(t, match.Required, o.OperationID)
		}
	}
}

func TestEveryOperationListsItsProblems(t *testing.T) {
	t.Parallel()
	for _, o := range operations(t) {
		for _, status := range o.needs() {
			response := o.Responses.Value(status)
			require.NotNil(t, response, "%s documents no %s", o.OperationID, status)
			require.NotNil(t, response.Value.Content["application/problem+json"], "%s, %s", o.OperationID, status)
		}
		success := 0
		for status, response := range o.Responses.Map() {
			require.NotEmpty(t, *response.Value.Description, "%s, %s", o.OperationID, status)
			require.NotNil(t, response.Value.Headers["Request-Id"], "%s, %s", o.OperationID, status)
			if strings.HasPrefix(status, "2") {
				success++
				continue
			}
			if status == "304" && o.takes("If-None-Match") {
				continue
			}
			require.True(t, slices.Contains(o.needs(), status) || status == "422", "%s documents %s, which nothing about it calls for", o.OperationID, status)
		}
		require.Positive(t, success, o.OperationID)
		require.Nil(t, o.Responses.Default(), "%s: every status is named", o.OperationID)
	}
}

func TestEveryOperationHasAnExampleThatConforms(t *testing.T) {
	t.Parallel()
	for _, o := range operations(t) {
		examples := 0
		try := func(content openapi3.Content, where string) {
			for _, media := range content {
				for name, example := range media.Examples {
					examples++
					require.NoError(t, media.Schema.Value.VisitJSON(example.Value.Value, openapi3.MultiErrors()), "%s, %s, example %s", o.OperationID, where, name)
				}
			}
		}
		if o.RequestBody != nil {
			try(o.RequestBody.Value.Content, "request")
		}
		for status, response := range o.Responses.Map() {
			try(response.Value.Content, status)
		}
		require.Positive(t, examples, "%s has no example", o.OperationID)
	}
}

// schemaUses tells which named schemas are reached from requests and which from responses.
func schemaUses(t *testing.T) (requests, responses map[string]bool) {
	t.Helper()
	requests, responses = map[string]bool{}, map[string]bool{}
	for _, o := range operations(t) {
		if o.RequestBody != nil {
			reachContent(t, o.OperationID, o.RequestBody.Value.Content, requests)
		}
		for _, response := range o.Responses.Map() {
			reachContent(t, o.OperationID, response.Value.Content, responses)
		}
	}
	return requests, responses
}

func reachContent(t *testing.T, who string, content openapi3.Content, into map[string]bool) {
	t.Helper()
	for _, media := range content {
		require.NotEmpty(t, media.Schema.Ref, "%s has a body without a named schema", who)
		reach(media.Schema, into)
	}
}

func reach(ref *openapi3.SchemaRef, into map[string]bool) {
	if ref == nil {
		return
	}
	if ref.Ref != "" {
		name := filepath.Base(ref.Ref)
		if into[name] {
			return
		}
		into[name] = true
	}
	s := ref.Value
	for _, property := range s.Properties {
		reach(property, into)
	}
	reach(s.Items, into)
	reach(s.AdditionalProperties.Schema, into)
}

func TestEverySchemaIsNamedDescribedAndUsed(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	requests, responses := schemaUses(t)
	for _, name := range slices.Sorted(maps.Keys(doc.Components.Schemas)) {
		s := doc.Components.Schemas[name].Value
		require.NotEmpty(t, s.Description, name)
		require.True(t, requests[name] || responses[name], "nothing uses the schema %s", name)
		require.Empty(t, s.AllOf, "%s: no inheritance", name)
		require.Empty(t, slices.Concat(s.AnyOf, s.OneOf), name)
		for field, property := range s.Properties {
			where := name + "." + field
			require.Regexp(t, `^[a-z][a-z0-9_]*$`, field, where)
			require.NotEmpty(t, property.Value.Description, where)
			require.False(t, property.Ref == "" && len(property.Value.Properties) > 0, "%s: name the object's schema", where)
			require.Empty(t, slices.Concat(property.Value.AllOf, property.Value.AnyOf, property.Value.OneOf), where)
			if items := property.Value.Items; property.Ref == "" && items != nil {
				require.False(t, items.Ref == "" && len(items.Value.Properties) > 0, "%s: name the schema of its items", where)
			}
		}
		for _, required := range s.Required {
			require.Contains(t, s.Properties, required, "%s requires what it has not", name)
		}
	}
}

// A request with a field that is not known is refused; an answer may grow.
func TestRequestsAreClosedAndResponsesOpen(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	requests, responses := schemaUses(t)
	for name, ref := range doc.Components.Schemas {
		s := ref.Value
		if !s.Type.Is("object") {
			continue
		}
		if name == "RehearsedFacts" {
			continue // the facts of any calculation, held against that one's own schema
		}
		closed := s.AdditionalProperties.Has != nil && !*s.AdditionalProperties.Has
		switch {
		case requests[name]:
			require.True(t, closed, "%s is part of a request: additionalProperties: false", name)
		case responses[name]:
			require.False(t, closed, "%s is part of responses only and must stay open", name)
		}
	}
}

func TestWhatIsSentAndWhatIsReadAreSeparateSchemas(t *testing.T) {
	t.Parallel()
	for _, o := range operations(t) {
		if o.RequestBody == nil {
			continue
		}
		for media, content := range o.RequestBody.Value.Content {
			name := filepath.Base(content.Schema.Ref)
			wanted := []string{"Create", "Patch", "Request", "Facts", "Batch", "Step", "Event", "Arrival"}
			if media == "application/merge-patch+json" || strings.Contains(o.path, "/by-external-id/") {
				wanted = []string{"Patch"} // every field optional, null clears
				require.Empty(t, content.Schema.Value.Required, name)
			}
			require.True(t, slices.ContainsFunc(wanted, func(end string) bool { return strings.HasSuffix(name, end) }), "%s takes %s", o.OperationID, name)
		}
	}
}
