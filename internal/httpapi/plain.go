package httpapi

import (
	"net/http"
	"slices"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
)

// Most requests read one record by its identifier. There is little that such a request can get wrong, and the validator
// takes longer over it than the database's driver does; so what is plainly right is let through here. Everything else
// goes to the validator, which alone refuses and finds the words.

// plainForm is the form of an operation whose path holds nothing but identifiers, and which needs nothing more than its
// path. ok is false for every other operation.
func (op *operation) plainForm() (optionalHeaders []string, ok bool) {
	if op.route.Operation.RequestBody != nil {
		return nil, false
	}
	for _, ref := range slices.Concat(op.route.PathItem.Parameters, op.route.Operation.Parameters) {
		p := ref.Value
		switch {
		case p.In == openapi3.ParameterInPath && p.Schema != nil && isIdentifier(p.Schema.Value):
		case p.In == openapi3.ParameterInQuery && !p.Required:
		case p.In == openapi3.ParameterInHeader && !p.Required:
			optionalHeaders = append(optionalHeaders, http.CanonicalHeaderKey(p.Name))
		default:
			return nil, false
		}
	}
	return optionalHeaders, true
}

// isIdentifier reports whether a schema asks for a UUID and for nothing beyond.
func isIdentifier(s *openapi3.Schema) bool {
	beyond := *s
	beyond.Type, beyond.Format = nil, ""
	return s.Type.Is("string") && s.Format == "uuid" && beyond.IsEmpty()
}

// isPlain reports whether a request to an operation of plain form brings identifiers and nothing that needs a look.
func (op *operation) isPlain(c echo.Context) bool {
	r := c.Request()
	if !op.plain || r.URL.RawQuery != "" {
		return false
	}
	for _, name := range op.optionalHeaders {
		if len(r.Header[name]) > 0 {
			return false
		}
	}
	for _, value := range c.ParamValues() {
		if !plainUUID(value) {
			return false
		}
	}
	return true
}

// plainUUID knows the UUIDs that this service makes (version 7) in the form in which it writes them; the contract's format
// lets these through and some others.
func plainUUID(text string) bool {
	if len(text) != 36 || text[14] != '7' {
		return false
	}
	id, err := uuid.Parse(text)
	return err == nil && id.Variant() == uuid.RFC4122
}
