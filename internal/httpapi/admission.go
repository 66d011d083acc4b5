package httpapi

import (
	"context"
	"fmt"
	"net/http"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"golang.org/x/time/rate"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

func stack() string { return string(debug.Stack()) }

// acceptable refuses a request that takes no JSON. Without an Accept header anything is taken.
func acceptable(r *http.Request) error {
	values := r.Header.Values("Accept")
	if len(values) == 0 {
		return nil
	}
	for _, value := range values {
		for part := range strings.SplitSeq(value, ",") {
			kind, params, _ := strings.Cut(part, ";")
			if strings.Contains(strings.ReplaceAll(params, " ", ""), "q=0;") || strings.HasSuffix(strings.ReplaceAll(params, " ", ""), "q=0") {
				continue
			}
			switch strings.ToLower(strings.TrimSpace(kind)) {
			case "*/*", "application/*", "application/json", "application/problem+json":
				return nil
			}
		}
	}
	return fault.New(fault.NotAcceptable, "not_acceptable", "Only application/json is written here.").
		Fix("Send Accept: application/json, or leave it out.")
}

// organizationHeader names the organization to work in, where a grant lets the key into another than its own.
const organizationHeader = "Sillbook-Organization"

func (s *Server) authenticate(c echo.Context, r *request) error {
	presented, err := credential.Parse(c.Request().Header.Get(echo.HeaderAuthorization))
	if err != nil {
		return err
	}
	var wanted uuid.UUID
	if text := c.Request().Header.Get(organizationHeader); text != "" {
		if wanted, err = uuid.Parse(text); err != nil {
			e := fault.New(fault.Malformed, "malformed", "%s is not an organization's identifier.", organizationHeader)
			e.Fields = []fault.Field{{Header: organizationHeader, Code: "bad_value", Detail: "It must be a UUID."}}
			return e
		}
	}
	if r.caller, err = s.credentials.check(c.Request().Context(), presented, wanted); err != nil {
		return err
	}
	return s.limits.take(c, r.caller.Key, s.now())
}

// credentials remembers checked credentials for a few seconds, so that a request need not ask the database for its key
// each time. A revocation on this instance takes effect at once, on others when the few seconds are over.
type credentials struct {
	store *postgres.Store
	now   func() time.Time
	mu    sync.Mutex
	known map[credentialKey]checked
}

type credentialKey struct {
	presented credential.Presented
	wanted    uuid.UUID
}

type checked struct {
	caller credential.Caller
	until  time.Time
}

const (
	rememberFor  = 3 * time.Second
	rememberMost = 10_000
)

func newCredentials(store *postgres.Store, now func() time.Time) *credentials {
	return &credentials{store: store, now: now, known: map[credentialKey]checked{}}
}

func (c *credentials) check(ctx context.Context, p credential.Presented, wanted uuid.UUID) (credential.Caller, error) {
	key, now := credentialKey{p, wanted}, c.now()
	c.mu.Lock()
	found, ok := c.known[key]
	c.mu.Unlock()
	if ok && now.Before(found.until) {
		return found.caller, nil
	}
	caller, err := c.store.Authenticate(ctx, p, wanted)
	if err != nil {
		return credential.Caller{}, err
	}
	until := now.Add(rememberFor)
	if !caller.Until.IsZero() && caller.Until.Before(until) {
		until = caller.Until
	}
	c.mu.Lock()
	if len(c.known) >= rememberMost {
		clear(c.known)
	}
	c.known[key] = checked{caller, until}
	c.mu.Unlock()
	return caller, nil
}

// forget makes the next request of every key ask the database.
func (c *credentials) forget() {
	c.mu.Lock()
	clear(c.known)
	c.mu.Unlock()
}

// limits gives each key its share of requests on this instance.
type limits struct {
	share float64
	mu    sync.Mutex
	keys  map[uuid.UUID]*rate.Limiter
}

func newLimits(share float64) *limits {
	return &limits{share: share, keys: map[uuid.UUID]*rate.Limiter{}}
}

// burst is how many seconds' share a key may use at once.
const burst = 2

func (l *limits) take(c echo.Context, key uuid.UUID, now time.Time) error {
	if l.share == 0 {
		return nil
	}
	l.mu.Lock()
	limiter := l.keys[key]
	if limiter == nil {
		if len(l.keys) >= rememberMost {
			clear(l.keys)
		}
		limiter = rate.NewLimiter(rate.Limit(l.share), max(1, int(l.share*burst)))
		l.keys[key] = limiter
	}
	l.mu.Unlock()
	ok := limiter.AllowN(now, 1)
	header := c.Response().Header()
	header.Set("RateLimit-Policy", fmt.Sprintf(`"key";q=%d;w=%d`, limiter.Burst(), burst))
	header.Set("RateLimit", fmt.Sprintf(`"key";r=%d;t=%d`, max(0, int(limiter.TokensAt(now))), burst))
	if ok {
		return nil
	}
	e := fault.New(fault.TooMany, "too_many_requests", "This key is over its share of requests.").
		Fix("Wait for the time in Retry-After; send many small repairs in one batch.")
	e.RetryAfter = time.Second
	return e
}
