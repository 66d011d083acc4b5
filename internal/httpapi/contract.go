package httpapi

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/object"
)

// operation is one operation of the contract, with all that a request to it is checked against.
type operation struct {
	id    string
	kind  string // of record, from x-kind
	roles []credential.Role
	route *routers.Route

	scopes []credential.Scope // from x-scopes: those it needs beside a role

	plain               bool     // see plain.go
	optionalHeaders     []string // of a plain one
	takesMatch          bool     // If-Match
	takesIdempotencyKey bool

	takes  []string // media types of a body that is read as it is; nil: JSON, or no body
	offers []string // media types of answers beside JSON
}

// contract is the parsed contract and its operations by method and echo's path.
type contract struct {
	doc        *openapi3.T
	operations map[string]*operation
	readers    map[string]*operation // that read one record, by its kind
}

const mergePatch = "application/merge-patch+json"

// teachFormats tells the library how to read what it does not know. It keeps that for the whole process, and must not be
// told while it reads.
var teachFormats = sync.OnceFunc(func() {
	openapi3filter.RegisterBodyDecoder(mergePatch, openapi3filter.JSONBodyDecoder)
	for _, asItIs := range []string{object.JPEG, object.PNG, object.PDF, object.CSV} {
		openapi3filter.RegisterBodyDecoder(asItIs, openapi3filter.FileBodyDecoder)
	}
	openapi3.DefineStringFormatValidator("uuid", openapi3.NewRegexpFormatValidator(openapi3.FormatOfStringForUUIDOfRFC9562))
	openapi3.DefineStringFormatValidator("date", openapi3.NewCallbackValidator(dateThatExists))
})

// readContract parses the contract once, at start. It fails on an operation that says no roles or no kind.
func readContract(doc *openapi3.T) (*contract, error) {
	teachFormats()
	c := &contract{doc: doc, operations: map[string]*operation{}}
	var err error
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			read := &operation{id: op.OperationID, route: &routers.Route{Spec: doc, Path: path, PathItem: item, Method: method, Operation: op}}
			kind, ok := op.Extensions["x-kind"].(string)
			if !ok {
				return nil, fmt.Errorf("the contract gives %s no x-kind", op.OperationID)
			}
			read.kind = kind
			roles, ok := op.Extensions["x-roles"].([]any)
			if !ok || len(roles) == 0 {
				return nil, fmt.Errorf("the contract gives %s no x-roles", op.OperationID)
			}
			for _, role := range roles {
				read.roles = append(read.roles, credential.Role(fmt.Sprint(role)))
			}
			if read.scopes, err = scopesOf(op); err != nil {
				return nil, err
			}
			read.optionalHeaders, read.plain = read.plainForm()
			read.takes, read.offers = read.rawForms()
			read.takesMatch = op.Parameters.GetByInAndName("header", "If-Match") != nil
			read.takesIdempotencyKey = op.Parameters.GetByInAndName("header", "Idempotency-Key") != nil
			c.operations[method+" "+echoPath(path)] = read
		}
	}
	c.readers = readersOf(c.operations)
	return c, nil
}

// scopesOf are the scopes that an operation needs. One that is not known is a mistake in the contract, and would guard nothing.
func scopesOf(op *openapi3.Operation) (scopes []credential.Scope, err error) {
	listed, _ := op.Extensions["x-scopes"].([]any)
	for _, text := range listed {
		scope := credential.Scope(fmt.Sprint(text))
		if !scope.Known() {
			return nil, fmt.Errorf("the contract gives %s the scope %s, which is not known", op.OperationID, scope)
		}
		scopes = append(scopes, scope)
	}
	return scopes, nil
}

// restricted reports whether what the operation reads or answers is restricted.
func (op *operation) restricted() bool {
	return slices.Contains(op.scopes, credential.RestrictedRead) || slices.Contains(op.scopes, credential.RestrictedWrite)
}

// echoPath writes a path of the contract as echo does: /v1/units/{id} is /v1/units/:id.
func echoPath(path string) string {
	return strings.NewReplacer("{", ":", "}", "").Replace(path)
}

// dateThatExists refuses the thirtieth of February, which the contract's pattern lets through.
func dateThatExists(text string) error {
	_, err := time.Parse(time.DateOnly, text)
	return err
}

// matchRoutes demands that every operation has a handler and every handler under /v1 an operation.
func (c *contract) matchRoutes(routes []*echo.Route) error {
	served := map[string]bool{}
	for _, r := range routes {
		if !strings.HasPrefix(r.Path, "/v1/") || r.Method == echo.RouteNotFound {
			continue
		}
		served[r.Method+" "+r.Path] = true
		if c.operations[r.Method+" "+r.Path] == nil {
			return fmt.Errorf("the handler of %s %s is not in the contract", r.Method, r.Path)
		}
	}
	for key, op := range c.operations {
		if !served[key] {
			return fmt.Errorf("the contract's operation %s has no handler", op.id)
		}
	}
	return nil
}

// largest bodies read, in bytes. Batches may be larger than single records.
const (
	largestBody  = 1 << 20
	largestBatch = 5 << 20
)

// readBody reads a request's JSON body within its limit, and refuses what is not one JSON text of the right content type
// with every member once. Of a body that is taken as it is, it checks the content type.
func (op *operation) readBody(r *http.Request) ([]byte, error) {
	declared := op.route.Operation.RequestBody
	if declared == nil {
		return nil, nil
	}
	if encoding := r.Header.Get("Content-Encoding"); encoding != "" && !strings.EqualFold(encoding, "identity") {
		return nil, fault.New(fault.UnsupportedMedia, "unsupported_encoding", "The body's content encoding %q is not read here.", encoding).
			Fix("Send the body as it is.")
	}
	wanted := []string{mergePatch}
	switch {
	case op.takes != nil:
		wanted = op.takes
	case declared.Value.Content.Get(mergePatch) == nil || declared.Value.Content["application/json"] != nil:
		wanted = []string{"application/json"}
	}
	if got := mediaType(r); !slices.Contains(wanted, got) {
		return nil, fault.New(fault.UnsupportedMedia, "unsupported_media", "The body's content type is not read here.").
			Fix("Send Content-Type: %s.", strings.Join(wanted, " or "))
	}
	if op.takes != nil {
		return nil, nil // it is received when everything else about the request is right
	}
	limit := int64(largestBody)
	if strings.HasSuffix(op.route.Path, "/batch") || slices.Contains([]string{"CreateClearance", "CalculateClearance", "RecordObservations"}, op.id) {
		limit = largestBatch
	}
	body, err := io.ReadAll(http.MaxBytesReader(nil, r.Body, limit))
	if err != nil {
		if _, tooLarge := errors.AsType[*http.MaxBytesError](err); tooLarge {
			return nil, fault.New(fault.TooLarge, "body_too_large", "The body is larger than %d bytes.", limit).
				Fix("Send fewer items in each request.")
		}
		return nil, fault.New(fault.Malformed, "body_not_read", "The body ended before it was whole.").Because(err)
	}
	return body, checkJSON(body)
}

// validate checks a request against its operation. Security is checked elsewhere.
func (op *operation) validate(ctx context.Context, r *http.Request, params map[string]string, body []byte) error {
	checked := r.Clone(ctx)
	checked.Body = io.NopCloser(bytes.NewReader(body)) // the validator closes what it is given
	if err := op.checkQuery(r); err != nil {
		return err
	}
	err := openapi3filter.ValidateRequest(ctx, &openapi3filter.RequestValidationInput{
		Request: checked, PathParams: params, Route: op.route,
		Options: &openapi3filter.Options{MultiError: true, ExcludeRequestBody: op.route.Operation.RequestBody == nil || op.takes != nil,
			SkipSettingDefaults: true, AuthenticationFunc: openapi3filter.NoopAuthenticationFunc},
	})
	if err == nil {
		return nil
	}
	e := fault.New(fault.Malformed, "malformed", "The request breaks the contract.").
		Fix("Correct what errors lists; the contract is at /openapi.yaml. Nothing was stored.")
	gather(e, err, "")
	if len(e.Fields) == 1 {
		e.Detail = e.Fields[0].Detail
	}
	if len(e.Fields) == 1 && e.Fields[0].Header == "If-Match" && r.Header.Get("If-Match") == "" {
		return fault.New(fault.PreconditionRequired, "if_match_missing", "This request needs If-Match with the record's current ETag.").
			Fix("Read the record, then send its ETag in If-Match.")
	}
	return e
}

// gather lists every fault that the validator found, each with its place.
func gather(e *fault.Error, err error, prefix string) {
	switch found := err.(type) {
	case openapi3.MultiError:
		for _, inner := range found {
			gather(e, inner, prefix)
		}
	case *openapi3filter.RequestError:
		gatherRequest(e, found)
	case *openapi3.SchemaError:
		e.Fields = append(e.Fields, fault.Field{Pointer: pointerOf(found), Code: codeOf(found), Detail: sentence(found)})
	default:
		e.Fields = append(e.Fields, fault.Field{Pointer: prefix, Code: "malformed", Detail: err.Error()})
	}
}

func gatherRequest(e *fault.Error, found *openapi3filter.RequestError) {
	if found.Parameter == nil {
		if found.Err != nil {
			gather(e, found.Err, "")
			return
		}
		e.Fields = append(e.Fields, fault.Field{Pointer: "", Code: "malformed", Detail: found.Reason})
		return
	}
	field := fault.Field{Code: "malformed", Detail: found.Parameter.Name + ": " + found.Reason}
	if found.Err != nil {
		field.Detail = fmt.Sprintf("%s is not as the contract asks: %s", found.Parameter.Name, firstSentence(found.Err))
	}
	if found.Parameter.In == "header" {
		field.Header = found.Parameter.Name
	} else {
		field.Parameter = found.Parameter.Name
	}
	e.Fields = append(e.Fields, field)
}

func firstSentence(err error) string {
	for {
		multi, ok := errors.AsType[openapi3.MultiError](err)
		if !ok || len(multi) == 0 {
			break
		}
		err = multi[0]
	}
	if schema, ok := errors.AsType[*openapi3.SchemaError](err); ok {
		return sentence(schema)
	}
	return err.Error()
}

var unsupported = regexp.MustCompile(`^property "(.*)" is unsupported$`)

// pointerOf is the place of a fault in the body; for a field that is not known, the field itself.
func pointerOf(found *openapi3.SchemaError) string {
	path := found.JSONPointer()
	if name := unsupported.FindStringSubmatch(found.Reason); name != nil {
		path = append(slices.Clone(path), name[1])
	}
	var b strings.Builder
	for _, part := range path {
		b.WriteString("/")
		b.WriteString(strings.NewReplacer("~", "~0", "/", "~1").Replace(part))
	}
	return b.String()
}

// codeOf names the broken rule of the schema.
func codeOf(found *openapi3.SchemaError) string {
	switch found.SchemaField {
	case "properties", "additionalProperties":
		return "unknown_field"
	case "required":
		return "missing"
	case "type":
		return "wrong_type"
	case "format", "pattern", "enum", "minimum", "maximum":
		return "bad_value"
	case "minLength", "maxLength", "minItems", "maxItems":
		return "bad_length"
	case "nullable":
		return "not_null"
	}
	return "malformed"
}

// sentence says what the schema wanted at this place.
func sentence(found *openapi3.SchemaError) string {
	schema := found.Schema
	switch found.SchemaField {
	case "properties", "additionalProperties":
		return "This field is not known here; leave it out or check its spelling."
	case "required":
		return "This field is needed."
	case "enum":
		return "It must be one of: " + listOf(schema.Enum) + "."
	case "type":
		return "It must be of type " + strings.Join(schema.Type.Slice(), " or ") + "."
	case "format":
		return formatSentence(schema.Format)
	}
	return strings.ToUpper(found.Reason[:1]) + found.Reason[1:] + "."
}

func formatSentence(format string) string {
	switch format {
	case "date":
		return "It must be a date that exists, written YYYY-MM-DD."
	case "date-time":
		return "It must be an instant in RFC 3339, such as 2026-04-15T15:00:00Z."
	case "uuid":
		return "It must be a UUID."
	}
	return "It must be in the format " + format + "."
}

func listOf(values []any) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = fmt.Sprint(v)
	}
	return strings.Join(words, ", ")
}

// allows reports whether the caller may call the operation at all.
func (op *operation) allows(c credential.Caller) error {
	if !slices.Contains(op.roles, c.Role) {
		return fault.New(fault.Forbidden, "role", "A credential with the role %s may not do this.", c.Role).
			Fix("Use a credential with one of the roles: %s.", strings.Trim(fmt.Sprint(op.roles), "[]"))
	}
	if !c.Covers(op.kind) {
		return fault.New(fault.Forbidden, "outside_grant", "The grant does not cover records of the kind %s.", op.kind).
			Fix("Ask the other organization's owner for a grant that does.")
	}
	for _, scope := range op.scopes {
		if !c.Has(scope) {
			return fault.New(fault.Forbidden, "restricted", "This needs the scope %s, which the credential has not.", scope).
				Fix("Use a credential with the scope %s. An owner gives it to those who work on such cases.", scope)
		}
	}
	switch {
	case c.Grant != uuid.Nil && op.administers():
		return fault.New(fault.Forbidden, "outside_grant", "A grant never reaches an organization's keys, grants and settings.")
	case c.Narrowed() && op.administers():
		return fault.New(fault.Forbidden, "narrowed", "A credential narrowed to some properties does not reach keys, grants and settings, which belong to all of them.").
			Fix("Use an owner's key that is not narrowed.")
	}
	return nil
}

// administers reports whether the operation is about who may reach the organization, or about the organization itself.
func (op *operation) administers() bool {
	return slices.Contains([]string{"key", "grant", "access", "organization"}, op.kind) && op.id != "GetOrganization" && op.id != "ListGrantsReceived"
}
