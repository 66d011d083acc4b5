package httpapi

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"sillbook/internal/fault"
)

// What can be read at all: bodies, paths and queries before they are held against the contract.

// deepest nesting of a body.
const deepest = 32

// checkJSON demands one JSON text in UTF-8 in which no object has a member twice and no text has the character NUL, which
// PostgreSQL does not keep.
func checkJSON(body []byte) error {
	hasNUL := bytes.Contains(body, []byte(`\u0000`)) // or it looks like it: the text decides
	d := jsontext.NewDecoder(bytes.NewReader(body))
	for {
		token, err := d.ReadToken()
		if errors.Is(err, io.EOF) && d.StackDepth() == 0 && d.InputOffset() > 0 {
			return nil
		}
		if err != nil {
			return jsonFault(err)
		}
		if hasNUL && token.Kind() == '"' && strings.Contains(token.String(), "\x00") {
			return fault.New(fault.Malformed, "nul_character", "A text in the body has the character NUL, which cannot be kept.").
				At(string(d.StackPointer()), "nul_character", "This text has the character NUL (\\u0000); leave it out.")
		}
		if d.StackDepth() > deepest {
			return fault.New(fault.Malformed, "too_deep", "The body is nested more than %d deep.", deepest)
		}
		if d.StackDepth() == 0 {
			if _, err := d.ReadToken(); !errors.Is(err, io.EOF) {
				return fault.New(fault.Malformed, "not_json", "The body holds more than one JSON text.").Fix("Send one JSON object in UTF-8.")
			}
			return nil
		}
	}
}

func jsonFault(err error) error {
	syntactic, ok := errors.AsType[*jsontext.SyntacticError](err)
	if !ok {
		return fault.New(fault.Malformed, "not_json", "The body is not JSON.").Fix("Send one JSON object in UTF-8.")
	}
	if errors.Is(err, jsontext.ErrDuplicateName) {
		return fault.New(fault.Malformed, "listed_twice", "The body has the same member twice.").
			At(string(syntactic.JSONPointer), "listed_twice", "This member is there twice; send it once.").
			Fix("Leave one of the two out; which of them counts cannot be guessed. Nothing was stored.")
	}
	return fault.New(fault.Malformed, "not_json", "The body is not JSON: at byte %d.", syntactic.ByteOffset).
		At(string(syntactic.JSONPointer), "not_json", "The JSON breaks off or is wrong here.").
		Fix("Send one JSON object in UTF-8.")
}

// pathParameters gives the parameters of the path, decoded once: echo has them still escaped where it routed by the path as
// it was sent.
func pathParameters(c echo.Context) (map[string]string, error) {
	params := make(map[string]string, len(c.ParamNames()))
	for i, name := range c.ParamNames() {
		value := c.ParamValues()[i]
		if c.Request().URL.RawPath != "" {
			var err error
			if value, err = url.PathUnescape(value); err != nil {
				return nil, parameterFault(name, "not_escaped", "The path parameter "+name+" is not escaped as a path must be.")
			}
		}
		if !readable(value) {
			return nil, parameterFault(name, "not_text", "The path parameter "+name+" is not text in UTF-8 without the character NUL.")
		}
		params[name] = value
	}
	return params, nil
}

// checkQuery refuses query parameters that the operation does not have, so that a misspelt filter is not a silent "all".
func (op *operation) checkQuery(r *http.Request) error {
	query, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		return fault.New(fault.Malformed, "malformed", "The query cannot be read: %s.", err).Fix("Escape what is not a letter or a digit.")
	}
	for name, values := range query {
		switch {
		case op.route.Operation.Parameters.GetByInAndName("query", name) == nil:
			return parameterFault(name, "unknown_parameter", fmt.Sprintf("There is no query parameter %q here.", name))
		case len(values) > 1:
			return parameterFault(name, "listed_twice", fmt.Sprintf("The query parameter %q is there twice.", name))
		case !readable(values[0]):
			return parameterFault(name, "not_text", "The query parameter "+name+" is not text in UTF-8 without the character NUL.")
		}
	}
	return nil
}

func parameterFault(name, code, detail string) error {
	e := fault.New(fault.Malformed, "malformed", "%s", detail).Fix("See the operation in /openapi.yaml.")
	e.Fields = []fault.Field{{Parameter: name, Code: code, Detail: detail}}
	return e
}

// readable reports whether PostgreSQL keeps the text as it is.
func readable(text string) bool { return utf8.ValidString(text) && !strings.Contains(text, "\x00") }
