package httpapi

import (
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"unicode/utf8"

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

// remedies are what a caller can do about a kind of problem, where the problem itself does not say more.
var remedies = map[fault.Kind]string{
	fault.Internal: "Try again; if it persists, report the request_id.", fault.Malformed: "Correct what errors lists, or what detail says; the contract is at /openapi.yaml.",
	fault.Unauthenticated: "Send Authorization: Bearer with a valid key.", fault.Forbidden: "Use a credential that may do this, or ask an owner for one.",
	fault.NotFound: "Check the path and the identifiers in it.", fault.MethodNotAllowed: "See the Allow header.",
	fault.NotAcceptable: "Send Accept: application/json, or leave it out.", fault.Conflict: "Read the record, and send what fits what it is now.",
	fault.Stale: "Read the record again and send its current ETag.", fault.TooLarge: "Send less in one request.",
	fault.UnsupportedMedia: "Send JSON, as it is.", fault.Implausible: "Correct what errors lists, or what detail says; nothing was stored.",
	fault.PreconditionRequired: "Read the record, then send its ETag in If-Match.", fault.TooMany: "Wait for the time in Retry-After.",
	fault.Unavailable: "Try again after the time in Retry-After.",
}

// problemType is the stable URI of a kind of problem; it names, it need not be fetched.
func problemType(code string) string { return "urn:sillbook:problem:" + code }

// problemOf is the one place where the service's error becomes a problem document. Details repeat what was sent, so they
// are cut to the lengths that the contract promises.
func problemOf(e *fault.Error, requestID string) api.Problem {
	p := api.Problem{Type: problemType(e.Code), Title: titles[e.Kind], Status: int32(e.Kind.Status()), Code: e.Code,
		Detail: short(e.Detail, 4000), RequestId: requestID}
	if fields := e.Fields[:min(len(e.Fields), 1000)]; len(fields) > 0 {
		list := make([]api.FieldFault, len(fields))
		for i, f := range fields {
			list[i] = api.FieldFault{Code: f.Code, Detail: short(f.Detail, 2000), Pointer: some(short(f.Pointer, 500)),
				Parameter: some(short(f.Parameter, 100)), Header: some(f.Header)}
		}
		p.Errors = &list
	}
	if blockers := e.Blockers[:min(len(e.Blockers), 200)]; len(blockers) > 0 {
		list := make([]api.Blocker, len(blockers))
		for i, b := range blockers {
			list[i] = api.Blocker{Code: b.Code, Detail: short(b.Detail, 2000), Clear: short(b.Clear, 2000), Citation: some(short(b.Citation, 500))}
		}
		p.Blockers = &list
	}
	if len(e.Fixes) == 0 {
		p.Fixes = &[]string{remedies[e.Kind]}
	} else {
		p.Fixes = &e.Fixes
	}
	return p
}

// short cuts a text to at most so many characters, the last of them a mark that it was cut.
func short(text string, most int) string {
	if len(text) <= most || utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most-1]) + "…"
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
