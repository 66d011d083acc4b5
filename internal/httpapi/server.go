// Package httpapi is the only echo: it parses requests by the contract, calls the trade and the store, and writes what
// they say. Handlers return errors; one place writes problems.
package httpapi

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/object"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

// Options of a Server.
type Options struct {
	Store    *postgres.Store
	Law      *law.Book
	Now      func() time.Time
	Log      *slog.Logger
	Metrics  *prometheus.Registry
	Rate     float64       // requests a second for each key; 0: no limit
	Deadline time.Duration // for one request; 0: 15 seconds
	Version  string
	Written  func() // called after each mutation; nil: nobody wants to know

	Used func(key postgres.KeyRef, at time.Time) // called when a key is used; nil: nobody wants to know

	Objects           object.Store  // keeps the attachments' bytes; nil: none are taken
	LargestAttachment int64         // in bytes; 0: 20 MB
	Aside             string        // directory where bodies are put while they are read; empty: the system's
	Stall             time.Duration // how long a body may stop coming; 0: 15 seconds
}

// Server answers the contract. It keeps no state but what it may forget.
type Server struct {
	store       *postgres.Store
	law         *law.Book
	overlays    form.Kind
	certified   form.Kind // certificates
	now         func() time.Time
	log         *slog.Logger
	contract    *contract
	credentials *credentials
	limits      *limits
	metrics     *metrics
	deadline    time.Duration
	version     string
	text        []byte // of the contract, as JSON
	written     func()
	files       files
}

// New builds the handler. It fails when the contract and the handlers do not match one to one.
func New(o Options) (http.Handler, error) {
	doc, err := api.Load()
	if err != nil {
		return nil, fmt.Errorf("the contract cannot be read: %w", err)
	}
	parsed, err := readContract(doc)
	if err != nil {
		return nil, err
	}
	text, err := doc.MarshalJSON()
	if err != nil {
		return nil, err
	}
	s := &Server{overlays: form.OverlayUnder(o.Law), certified: form.CertificateUnder(o.Store.Rules().Crews.Certificates), store: o.Store, law: o.Law, now: o.Now, log: o.Log, contract: parsed, text: text, version: o.Version,
		credentials: newCredentials(o.Store, o.Now, o.Log, o.Used), limits: newLimits(o.Rate), metrics: newMetrics(o.Metrics, o.Store),
		deadline: o.Deadline}
	if s.written = o.Written; s.written == nil {
		s.written = func() {}
	}
	if s.deadline == 0 {
		s.deadline = 15 * time.Second
	}
	s.files = o.files()
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	e.HTTPErrorHandler = s.writeProblem
	e.Binder = binder{}
	e.Use(s.frame)
	s.operational(e, o.Metrics)
	api.RegisterHandlers(e, api.NewStrictHandler(s, nil))
	return e, parsed.matchRoutes(e.Routes())
}

var _ api.StrictServerInterface = (*Server)(nil)

// frame is what every request goes through, in this order: an identifier, a deadline, the credential, its share of
// requests, its role, the body's limits, the contract. Whatever goes wrong is written as a problem, and one line is
// logged.
func (s *Server) frame(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := &request{id: newRequestID(), started: time.Now(), url: c.Request().URL, log: s.log}
		r.op = s.contract.operations[c.Request().Method+" "+c.Path()]
		ctx, cancel := context.WithTimeout(withRequest(c.Request().Context(), r), s.deadlineOf(r.op))
		defer cancel()
		c.SetRequest(c.Request().WithContext(ctx))
		r.header = c.Response().Header()
		r.header.Set("Request-Id", r.id)
		defer s.observe(c, r)
		defer s.rescue(c, r)
		if err := s.admit(c, r, next); err != nil {
			s.writeProblem(err, c)
		} else if c.Request().Method != http.MethodGet {
			s.written()
		}
		return nil
	}
}

func (s *Server) admit(c echo.Context, r *request, next echo.HandlerFunc) error {
	if r.op == nil {
		return next(c)
	}
	if r.op.restricted() {
		r.keepOut()
	}
	if err := r.op.acceptable(c.Request()); err != nil {
		return err
	}
	if err := s.authenticate(c, r); err != nil {
		return err
	}
	if err := r.op.allows(r.caller); err != nil {
		return err
	}
	return s.check(c, r, next)
}

func (s *Server) check(c echo.Context, r *request, next echo.HandlerFunc) error {
	req := c.Request()
	var err error
	if r.body, err = r.op.readBody(req); err != nil {
		return err
	}
	if r.op.isPlain(c) {
		return next(c)
	}
	params, err := pathParameters(c)
	if err != nil {
		return err
	}
	if err := r.op.validate(req.Context(), req, params, r.body); err != nil {
		return err
	}
	r.query = req.URL.Query()
	if match := req.Header.Get("If-Match"); match != "" && r.op.takesMatch {
		r.match = &match
	}
	if r.op.takesIdempotencyKey {
		r.idempotencyKey = req.Header.Get("Idempotency-Key")
	}
	if r.op.takes != nil {
		return s.withUpload(c, r, next)
	}
	return next(c)
}

// rescue turns a panic into a problem; the log has the place.
func (s *Server) rescue(c echo.Context, r *request) {
	if fell := recover(); fell != nil {
		s.log.Error("panic", "request_id", r.id, "what", fmt.Sprint(fell), "stack", stack())
		s.writeProblem(fmt.Errorf("panic: %v", fell), c)
	}
}
