package httpapi

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"log/slog"
	"net/http"
	"net/url"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

// request is what is known of one request as it goes through; its log line is written from it at the end.
type request struct {
	id             string
	started        time.Time
	op             *operation // nil where the path is not in the contract
	url            *url.URL   // as sent
	query          url.Values
	match          *string // If-Match
	body           []byte
	upload         *upload // a body that is taken as it is
	caller         credential.Caller
	log            *slog.Logger // names the caller once there is one
	idempotencyKey string
	fault          *fault.Error
	header         http.Header // of the answer
}

type requestKey struct{}

func withRequest(ctx context.Context, r *request) context.Context {
	return context.WithValue(ctx, requestKey{}, r)
}

// requestOf finds the request; the middleware puts one in every context.
func requestOf(ctx context.Context) *request {
	if r, ok := ctx.Value(requestKey{}).(*request); ok {
		return r
	}
	return &request{}
}

// keepOut tells caches to keep nothing of the answer, be it a refusal.
func (r *request) keepOut() { r.header.Set("Cache-Control", "no-store") }

func (r *request) fail(e *fault.Error) { r.fault = e }

// call is what the store needs to know of the request.
func (r *request) call() postgres.Call {
	c := postgres.Call{Caller: r.caller, Operation: r.op.id, RequestID: r.id, IdempotencyKey: r.idempotencyKey}
	if r.idempotencyKey != "" {
		hash := sha256.New()
		hash.Write([]byte(r.op.id))
		hash.Write([]byte{0})
		hash.Write([]byte(r.url.RequestURI()))
		hash.Write([]byte{0})
		hash.Write(r.body)
		if r.upload != nil {
			hash.Write([]byte(r.upload.contentType))
			hash.Write(r.upload.Sum[:])
		}
		c.Fingerprint = hash.Sum(nil)
	}
	return c
}

func newRequestID() string { return uuid.Must(uuid.NewV7()).String() }

// binder decodes the body that the frame has read and checked; the generated handlers ask echo for it.
type binder struct{}

// Bind decodes the request's JSON body into v.
func (binder) Bind(v any, c echo.Context) error {
	if err := json.Unmarshal(requestOf(c.Request().Context()).body, v); err != nil {
		return fault.New(fault.Malformed, "malformed", "The body cannot be read: %s.", err)
	}
	return nil
}
