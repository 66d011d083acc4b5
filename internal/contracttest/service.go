// Package contracttest runs the whole service for a test, on the run's shared database, with a client that holds every
// answer against the contract. A test makes organizations of its own and sees no other's.
package contracttest

import (
	"context"
	"log/slog"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/stretchr/testify/require"

	"sillbook/internal/credential"
	"sillbook/internal/feed"
	"sillbook/internal/httpapi"
	"sillbook/internal/object"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

// Now is the instant at which a test's service lives: noon of 20 April 2026 in New York.
var Now = time.Date(2026, time.April, 20, 16, 0, 0, 0, time.UTC)

// LargestAttachment is the limit of a test's service, in bytes.
const LargestAttachment = 2_000_000

// Service is a running service and one organization in it.
type Service struct {
	t            testing.TB
	Store        *postgres.Store
	URL          string
	Log          *LogBook // everything the service logged
	Organization uuid.UUID
	OwnerKey     string // with both restricted scopes and organizations:write
	Objects      object.Store
	clock        *Clock
}

// Clock is a test's clock; it stands still unless it is moved.
type Clock struct {
	mu  sync.Mutex
	now time.Time
}

// Now tells the time.
func (c *Clock) Now() time.Time { c.mu.Lock(); defer c.mu.Unlock(); return c.now }

// Move moves the clock.
func (c *Clock) Move(by time.Duration) { c.mu.Lock(); defer c.mu.Unlock(); c.now = c.now.Add(by) }

// New starts a service for the test, and opens an organization in it.
func New(t testing.TB) *Service { return NewWith(t, pgtest.Database(t), nil) }

// NewWith starts a service on a database, after change has had its way with the options.
func NewWith(t testing.TB, db pgtest.URLs, change func(*httpapi.Options)) *Service {
	t.Helper()
	s := &Service{t: t, Log: &LogBook{}, clock: &Clock{now: Now}}
	book, err := law.Embedded()
	require.NoError(t, err)
	s.Store, err = postgres.Open(t.Context(), postgres.Options{URL: db.Super, Connections: 4, Law: book, Now: s.clock.Now})
	require.NoError(t, err)
	t.Cleanup(s.Store.Close)
	log := slog.New(slog.NewJSONHandler(s.Log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("the service logged:\n%s", s.Log)
		}
	})
	sequencer := feed.New(s.Store, log)
	options := httpapi.Options{Store: s.Store, Law: book, Now: s.clock.Now, Log: log, Metrics: prometheus.NewRegistry(),
		Version: "test", Written: sequencer.Poke, Aside: t.TempDir(), LargestAttachment: LargestAttachment}
	files, err := object.OpenFiles(t.TempDir())
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, files.Close()) })
	options.Objects = files
	if change != nil {
		change(&options)
	}
	handler, err := httpapi.New(options)
	require.NoError(t, err)
	server := httptest.NewServer(handler)
	ctx, stop := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { sequencer.Run(ctx) })
	t.Cleanup(func() { server.Close(); stop(); running.Wait() })
	s.URL, s.Objects = server.URL, options.Objects
	s.Organization, s.OwnerKey = s.Open("Test organization")
	return s
}

// Clock is the service's clock.
func (s *Service) Clock() *Clock { return s.clock }

// Open opens another organization and gives its owner's key.
func (s *Service) Open(name string) (uuid.UUID, string) {
	s.t.Helper()
	outcome, _, key, err := s.Store.OpenOrganization(s.t.Context(), postgres.Call{Operation: "test", RequestID: "test"}, name,
		postgres.Key{Name: "Owner", Role: credential.Owner,
			Scopes: []credential.Scope{credential.RestrictedRead, credential.RestrictedWrite, credential.OrganizationsWrite}})
	require.NoError(s.t, err)
	return outcome.Record.ID, key
}

// Key makes a key in the test's organization.
func (s *Service) Key(k postgres.Key) string {
	s.t.Helper()
	if k.Scopes == nil {
		k.Scopes = []credential.Scope{}
	}
	call := postgres.Call{Caller: credential.Caller{Organization: s.Organization, Home: s.Organization}, Operation: "test", RequestID: "test"}
	_, text, err := s.Store.CreateKey(s.t.Context(), call, k)
	require.NoError(s.t, err)
	return text
}

// LogBook keeps what was logged.
type LogBook struct {
	mu   sync.Mutex
	text []byte
}

// Write adds to the log.
func (l *LogBook) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.text = append(l.text, p...)
	return len(p), nil
}

// String is the whole log so far.
func (l *LogBook) String() string { l.mu.Lock(); defer l.mu.Unlock(); return string(l.text) }
