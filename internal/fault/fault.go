// Package fault is the one error type of the service: what kind of thing went wrong, where, and what the
// caller can do about it. Every layer returns it; one place (httpapi) turns it into a problem document.
package fault

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Kind says what sort of thing went wrong. Each kind has one HTTP status; see [Kind.Status].
type Kind int

// The kinds. Malformed breaks the contract, Implausible breaks the trade's rules or plain sense,
// Conflict is at odds with what the book holds now.
const (
	Internal             Kind = iota // ours to mend; the caller can only try again
	Malformed                        // not the shape the contract asks for
	Unauthenticated                  // no credential, or one that is not valid now
	Forbidden                        // the credential may not do this
	NotFound                         // nothing there that the caller may see
	MethodNotAllowed                 // the path exists, the method does not
	NotAcceptable                    // no representation that the caller accepts
	Conflict                         // at odds with the state of the record
	Stale                            // the caller's version is not the current one
	TooLarge                         // the body or the list is over its limit
	UnsupportedMedia                 // a content type or encoding that is not read here
	Implausible                      // well formed, and cannot be true or cannot be used
	PreconditionRequired             // If-Match is missing
	TooMany                          // over the rate limit
	Unavailable                      // the database cannot be reached or did not answer in time
)

// statuses maps each kind to its HTTP status code.
var statuses = [...]int{
	Internal: 500, Malformed: 400, Unauthenticated: 401, Forbidden: 403, NotFound: 404, MethodNotAllowed: 405,
	NotAcceptable: 406, Conflict: 409, Stale: 412, TooLarge: 413, UnsupportedMedia: 415, Implausible: 422,
	PreconditionRequired: 428, TooMany: 429, Unavailable: 503,
}

// Status is the HTTP status code of the kind.
func (k Kind) Status() int { return statuses[k] }

// Field names one thing that is wrong and where it is. Exactly one of Pointer, Parameter and Header is set.
type Field struct {
	Pointer   string // JSON pointer into the body, "/area/value"
	Parameter string // path or query parameter
	Header    string // request header
	Code      string // stable, snake_case
	Detail    string // a sentence: what is wrong and what would be right
}

// Blocker is one thing that stands in the way of a move, and what would clear it.
type Blocker struct {
	Code     string
	Detail   string
	Clear    string // what would clear it, as an instruction
	Citation string // the clause it rests on; empty when it is the book's own rule
}

// Error is what every layer returns.
type Error struct {
	Kind       Kind
	Code       string // stable, snake_case, one per kind of problem
	Detail     string // a sentence for the person who must act
	Fields     []Field
	Blockers   []Blocker
	Fixes      []string // what the caller can do, most useful first
	RetryAfter time.Duration
	Cause      error // for the log only; never shown
}

// Error is for logs: detail, fields and cause in one line.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.Code)
	b.WriteString(": ")
	b.WriteString(e.Detail)
	for _, f := range e.Fields {
		fmt.Fprintf(&b, "; %s%s%s: %s", f.Pointer, f.Parameter, f.Header, f.Detail)
	}
	if e.Cause != nil {
		b.WriteString(": ")
		b.WriteString(e.Cause.Error())
	}
	return b.String()
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Cause }

// New makes an error of a kind with a stable code and a sentence.
func New(kind Kind, code, format string, args ...any) *Error {
	return &Error{Kind: kind, Code: code, Detail: fmt.Sprintf(format, args...)}
}

// Fix adds something the caller can do, and returns the error for chaining.
func (e *Error) Fix(format string, args ...any) *Error {
	e.Fixes = append(e.Fixes, fmt.Sprintf(format, args...))
	return e
}

// At adds a fault at a place in the body, and returns the error for chaining.
func (e *Error) At(pointer, code, format string, args ...any) *Error {
	e.Fields = append(e.Fields, Field{Pointer: pointer, Code: code, Detail: fmt.Sprintf(format, args...)})
	return e
}

// Because keeps the cause for the log, and returns the error for chaining.
func (e *Error) Because(err error) *Error {
	e.Cause = err
	return e
}

// As finds the Error in err's chain. Any other error is wrapped as Internal, so that nothing of it is shown.
func As(err error) *Error {
	if e, ok := errors.AsType[*Error](err); ok {
		return e
	}
	return New(Internal, "internal", "Something went wrong on our side; it has been logged.").
		Fix("Try again; if it persists, report the request_id.").Because(err)
}

// Is reports whether err is an Error of the kind.
func Is(err error, kind Kind) bool {
	e, ok := errors.AsType[*Error](err)
	return ok && e.Kind == kind
}

// Faults gathers the things wrong with one request, so that the caller learns of all of them at once.
// The zero value is ready to use.
type Faults struct{ fields []Field }

// Add notes a fault at a JSON pointer.
func (f *Faults) Add(pointer, code, format string, args ...any) {
	f.fields = append(f.fields, Field{Pointer: pointer, Code: code, Detail: fmt.Sprintf(format, args...)})
}

// Parameter notes a fault in a query or path parameter.
func (f *Faults) Parameter(name, code, format string, args ...any) {
	f.fields = append(f.fields, Field{Parameter: name, Code: code, Detail: fmt.Sprintf(format, args...)})
}

// Merge notes the fields of err under a pointer prefix. A nil err is nothing; an err that is not an
// Error is noted by its text.
func (f *Faults) Merge(prefix string, err error) {
	if err == nil {
		return
	}
	e, ok := errors.AsType[*Error](err)
	switch {
	case !ok:
		f.Add(prefix, "invalid", "%s", err.Error())
	case len(e.Fields) == 0:
		f.Add(prefix, e.Code, "%s", e.Detail)
	default:
		for _, field := range e.Fields {
			field.Pointer = prefix + field.Pointer
			f.fields = append(f.fields, field)
		}
	}
}

// Err is nil when nothing was noted, else one Implausible error with every fault.
func (f *Faults) Err() error {
	if len(f.fields) == 0 {
		return nil
	}
	detail := "The request is well formed, but what it says cannot be true or cannot be used."
	if len(f.fields) == 1 {
		detail = f.fields[0].Detail
	}
	return &Error{Kind: Implausible, Code: "implausible", Detail: detail, Fields: f.fields,
		Fixes: []string{"Correct the fields that errors lists and send the request again; nothing was stored."}}
}
