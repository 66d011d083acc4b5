package httpapi

import (
	"encoding/json"
	"errors"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"sillbook/api"
	"sillbook/internal/fault"
)

// titles name each kind of problem in a few words.
var titles = map[fault.Kind]string{
	fault.Internal: "Something went wrong on our side", fault.Malformed: "The request breaks the contract",
	fault.Unauthenticated: "No valid credential", fault.Forbidden: "Not allowed", fault.NotFound: "Nothing here to see",
	fault.MethodNotAllowed: "Method not allowed", fault.NotAcceptable: "No acceptable representation",
	fault.Conflict: "At odds with what is on record", fault.Stale: "The record has changed",
	fault.TooLarge: "Too large", fault.UnsupportedMedia: "Content type not read here",
	fault.Implausible: "Cannot be true or cannot be used", fault.PreconditionRequired: "If-Match is missing",
	fault.TooMany: "Too many requests", fault.Unavailable: "Not available now",
}

// problemType is the stable URI of a kind of problem; it names, it need not be fetched.
func problemType(code string) string { return "urn:sillbook:problem:" + code }

// problemOf is the one place where the service's error becomes a problem document.
func problemOf(e *fault.Error, requestID string) api.Problem {
	p := api.Problem{Type: problemType(e.Code), Title: titles[e.Kind], Status: int32(e.Kind.Status()), Code: e.Code,
		Detail: e.Detail, RequestId: requestID}
	if len(e.Fields) > 0 {
		list := make([]api.FieldFault, len(e.Fields))
		for i, f := range e.Fields {
			list[i] = api.FieldFault{Code: f.Code, Detail: f.Detail, Pointer: some(f.Pointer), Parameter: some(f.Parameter), Header: some(f.Header)}
		}
		p.Errors = &list
	}
	if len(e.Blockers) > 0 {
		list := make([]api.Blocker, len(e.Blockers))
		for i, b := range e.Blockers {
			list[i] = api.Blocker{Code: b.Code, Detail: b.Detail, Clear: b.Clear, Citation: some(b.Citation)}
		}
		p.Blockers = &list
	}
	if len(e.Fixes) > 0 {
		p.Fixes = &e.Fixes
	}
	return p
}

// writeProblem answers a request with an error. It is echo's error handler and the only writer of problems.
func (s *Server) writeProblem(err error, c echo.Context) {
	e := s.explain(err)
	r := requestOf(c.Request().Context())
	r.fail(e)
	if c.Response().Committed {
		return
	}
	header := c.Response().Header()
	header.Set(echo.HeaderContentType, "application/problem+json")
	if e.RetryAfter > 0 {
		header.Set("Retry-After", strconv.Itoa(int((e.RetryAfter.Seconds())+0.999)))
	}
	if e.Kind == fault.Unauthenticated {
		header.Set("WWW-Authenticate", `Bearer realm="sillbook"`)
	}
	c.Response().WriteHeader(e.Kind.Status())
	if c.Request().Method == http.MethodHead {
		return
	}
	if err := json.NewEncoder(c.Response()).Encode(problemOf(e, r.id)); err != nil {
		r.fail(fault.As(err))
	}
}

// explain turns echo's own errors into ours.
func (s *Server) explain(err error) *fault.Error {
	he, ok := errors.AsType[*echo.HTTPError](err)
	if !ok {
		return fault.As(err)
	}
	switch he.Code {
	case http.StatusNotFound:
		return fault.New(fault.NotFound, "no_such_path", "There is nothing at this path.").Fix("See /openapi.yaml for the paths.")
	case http.StatusMethodNotAllowed:
		return fault.New(fault.MethodNotAllowed, "method_not_allowed", "This path does not take this method.").Fix("See the Allow header.")
	case http.StatusRequestEntityTooLarge:
		return fault.New(fault.TooLarge, "body_too_large", "The body is larger than this service reads.").Fix("Send fewer items in each request.")
	case http.StatusBadRequest:
		return fault.New(fault.Malformed, "malformed", "The request cannot be read.").Because(err)
	}
	return fault.As(err)
}

func some(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
