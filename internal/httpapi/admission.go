package httpapi

import (
	"context"
	"crypto/sha256"
	"fmt"
	"log/slog"
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

// acceptable refuses a request that takes neither JSON nor what else the operation answers with. Without an Accept header
// anything is taken.
func (op *operation) acceptable(r *http.Request) error {
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
			switch kind = strings.ToLower(strings.TrimSpace(kind)); kind {
			case "*/*", "application/*", "application/json", "application/problem+json":
				return nil
			}
			for _, offered := range op.offers {
				class, _, _ := strings.Cut(offered, "/")
				if kind == offered || kind == class+"/*" {
					return nil
				}
			}
		}
	}
	written := strings.Join(append([]string{"application/json"}, op.offers...), ", ")
	return fault.New(fault.NotAcceptable, "not_acceptable", "Only %s is written here.", written).
		Fix("Send Accept: application/json, or leave it out.")
}

// organizationHeader names the organization to work in, where a grant lets the key into another than its own.
const organizationHeader = "Sillbook-Organization"

func (s *Server) authenticate(c echo.Context, r *request) error {
	header := c.Request().Header
	found, err := s.credentials.check(c.Request().Context(), header.Get(echo.HeaderAuthorization), header.Get(organizationHeader))
	if err != nil {
		return err
	}
	r.caller, r.log = found.caller, found.log
	return s.limits.take(c, r.caller.Key, s.now())
}

// credentials remembers checked credentials for a few seconds, so that a request need not ask the database for its key
// each time. A revocation on this instance takes effect at once, on others when the few seconds are over.
type credentials struct {
	store *postgres.Store
	now   func() time.Time
	log   *slog.Logger
	used  func(postgres.KeyRef, time.Time)
	mu    sync.Mutex
	known map[credentialKey]checked
}

// credentialKey is the hash of what a request presented, so that no secret is kept, and the organization it named.
type credentialKey struct {
	presented [sha256.Size]byte
	wanted    string
}

type checked struct {
	caller credential.Caller
	log    *slog.Logger // names the caller in each line
	until  time.Time
}

const (
	rememberFor  = 3 * time.Second
	rememberMost = 10_000
)

func newCredentials(store *postgres.Store, now func() time.Time, log *slog.Logger, used func(postgres.KeyRef, time.Time)) *credentials {
	if used == nil {
		used = func(postgres.KeyRef, time.Time) {}
	}
	return &credentials{store: store, now: now, log: log, used: used, known: map[credentialKey]checked{}}
}

// check knows the caller by the two headers, as sent.
func (c *credentials) check(ctx context.Context, presented, wanted string) (checked, error) {
	key, now := credentialKey{sha256.Sum256([]byte(presented)), wanted}, c.now()
	c.mu.Lock()
	found, ok := c.known[key]
	c.mu.Unlock()
	if ok && now.Before(found.until) {
		return found, nil
	}
	caller, err := c.ask(ctx, presented, wanted)
	if err != nil {
		return checked{}, err
	}
	c.used(postgres.KeyRef{Organization: caller.Home, Key: caller.Key}, now)
	found = checked{caller, named(c.log, caller), now.Add(rememberFor)}
	if !caller.Until.IsZero() && caller.Until.Before(found.until) {
		found.until = caller.Until
	}
	c.mu.Lock()
	if len(c.known) >= rememberMost {
		clear(c.known)
	}
	c.known[key] = found
	c.mu.Unlock()
	return found, nil
}

// ask reads the headers and has the database check what they say.
func (c *credentials) ask(ctx context.Context, presented, wanted string) (credential.Caller, error) {
	p, err := credential.Parse(presented)
	if err != nil {
		return credential.Caller{}, err
	}
	var organization uuid.UUID
	if wanted != "" {
		if organization, err = uuid.Parse(wanted); err != nil {
			e := fault.New(fault.Malformed, "malformed", "%s is not an organization's identifier.", organizationHeader)
			e.Fields = []fault.Field{{Header: organizationHeader, Code: "bad_value", Detail: "It must be a UUID."}}
			return credential.Caller{}, e
		}
	}
	return c.store.Authenticate(ctx, p, organization)
}

// named is a log whose lines say who called.
func named(log *slog.Logger, caller credential.Caller) *slog.Logger {
	log = log.With("organization", caller.Organization.String(), "key", caller.Key.String())
	if caller.Grant != uuid.Nil {
		log = log.With("grant", caller.Grant.String())
	}
	return log
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
