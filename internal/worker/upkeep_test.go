package worker_test

import (
	"context"
	"io"
	"log/slog"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/credential"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
	"sillbook/internal/worker"
)

// setup gives a store, and an organization's call in it. Partitions belong to the whole database, so it is one's own.
func setup(t *testing.T) (*postgres.Store, postgres.Call) {
	t.Helper()
	book, err := law.Embedded()
	require.NoError(t, err)
	s, err := postgres.Open(t.Context(), postgres.Options{URL: pgtest.Fresh(t).Super, Connections: 4, Law: book, Now: time.Now})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	outcome, key, _, err := s.OpenOrganization(t.Context(), postgres.Call{Operation: "test", RequestID: "test"}, "Fernhill Homes",
		postgres.Key{Name: "Owner", Role: credential.Owner, Scopes: []credential.Scope{}})
	require.NoError(t, err)
	id := outcome.Record.ID
	return s, postgres.Call{Operation: "Test", RequestID: "test",
		Caller: credential.Caller{Organization: id, Home: id, Key: key.ID, Role: credential.Owner}}
}

// Uses are gathered in memory for up to a minute; a shutdown must not lose them, and of several uses the last counts.
func TestUsesAreWrittenWhenTheServiceStops(t *testing.T) {
	t.Parallel()
	store, call := setup(t)
	upkeep := worker.New(store, slog.New(slog.NewTextHandler(io.Discard, nil)))
	first := time.Date(2026, 4, 20, 16, 0, 0, 0, time.UTC)
	ref := postgres.KeyRef{Organization: call.Caller.Organization, Key: call.Caller.Key}
	upkeep.Used(ref, first)
	upkeep.Used(ref, first.Add(time.Second))

	stopped, stop := context.WithCancel(t.Context())
	stop()
	upkeep.Run(stopped)

	uses, err := store.KeyUses(t.Context(), call, []uuid.UUID{call.Caller.Key})
	require.NoError(t, err)
	require.Equal(t, map[uuid.UUID]time.Time{call.Caller.Key: first.Add(time.Second)}, uses)
}

// Several instances serve one book: an instance that is late with an older use must not set it back.
func TestAnOlderUseDoesNotReplaceANewerOne(t *testing.T) {
	t.Parallel()
	store, call := setup(t)
	late := time.Date(2026, 4, 20, 16, 0, 0, 0, time.UTC)
	ref := postgres.KeyRef{Organization: call.Caller.Organization, Key: call.Caller.Key}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	for _, at := range []time.Time{late, late.Add(-time.Minute)} {
		instance := worker.New(store, slog.New(slog.NewTextHandler(io.Discard, nil)))
		instance.Used(ref, at)
		instance.Run(stopped)
	}

	uses, err := store.KeyUses(t.Context(), call, []uuid.UUID{call.Caller.Key})
	require.NoError(t, err)
	require.Equal(t, late, uses[call.Caller.Key])
}

// A use that could not be written is kept for the next time, and the failure is in the log.
func TestAUseThatCannotBeWrittenIsLoggedAndKept(t *testing.T) {
	t.Parallel()
	store, call := setup(t)
	var lines logged
	upkeep := worker.New(store, slog.New(slog.NewTextHandler(&lines, nil)))
	upkeep.Used(postgres.KeyRef{Organization: call.Caller.Organization, Key: call.Caller.Key}, time.Now())
	store.Close()
	stopped, stop := context.WithCancel(t.Context())
	stop()

	upkeep.Run(stopped)
	first := len(lines)
	require.Positive(t, first, "the first attempt is logged")
	upkeep.Run(stopped)
	require.Greater(t, len(lines), first, "what failed is tried again")
	for _, line := range lines {
		require.Contains(t, line, "the use of keys was not noted")
	}
}

// logged keeps the lines of a log. Run writes to it alone.
type logged []string

func (l *logged) Write(line []byte) (int, error) {
	*l = append(*l, string(line))
	return len(line), nil
}
