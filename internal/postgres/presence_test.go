package postgres_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
)

// These take databases of their own: a lock of this kind is on the whole database.

func attend(t *testing.T, s *postgres.Store, alone bool) *postgres.Presence {
	t.Helper()
	p, err := s.Attend(t.Context(), alone)
	require.NoError(t, err)
	t.Cleanup(p.End)
	return p
}

func TestInstanceThatMustBeAloneIsAlone(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		first, second bool // alone
		refusal       string
	}{
		"two that keep attachments in directories":         {true, true, "must serve it alone"},
		"a directory beside one with a bucket":             {false, true, "must serve it alone"},
		"one with a bucket beside one with a directory":    {true, false, "in a directory that this one cannot reach"},
		"two with a bucket, which do not stand in the way": {false, false, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			db := pgtest.Fresh(t)
			a, b := newStore(t, db), newStore(t, db) // as on two machines: what tells them apart is the database
			first := attend(t, a, c.first)
			second, err := b.Attend(t.Context(), c.second)
			if c.refusal == "" {
				require.NoError(t, err)
				second.End()
				return
			}
			require.ErrorContains(t, err, c.refusal)
			require.ErrorContains(t, err, "--attachments s3", "it says what would do")
			first.End()
			require.NoError(t, attend(t, b, c.second).Holds(t.Context()), "its place is free when the first has ended")
		})
	}
}

func TestPlaceIsWaitedForWhileTheInstanceBeforeEnds(t *testing.T) {
	t.Parallel()
	db := pgtest.Fresh(t)
	first := attend(t, newStore(t, db), true)
	next := newStore(t, db)
	taken := make(chan error, 1)
	go func() {
		p, err := next.Attend(context.Background(), true)
		if err == nil {
			p.End()
		}
		taken <- err
	}()
	first.End()
	require.NoError(t, <-taken)
}

// The connection that holds the place is cut. The place is not held from that moment, and Keep takes it again, or says that
// another has it.
func TestPlaceIsTakenAgainAfterTheDatabaseWasAway(t *testing.T) {
	t.Parallel()
	db := pgtest.Fresh(t)
	super := connect(t, db.Super)
	cut := func() {
		require.NotEmpty(t, rows[bool](t, super, `
			select pg_terminate_backend(pid, 5000)
			from pg_locks
			where locktype = 'advisory'
			  and database = (select oid from pg_database where datname = current_database())`))
	}
	p := attend(t, newStore(t, db), true)
	require.NoError(t, p.Holds(t.Context()))
	cut()
	require.True(t, fault.Is(p.Holds(t.Context()), fault.Unavailable))
	ctx, stop := context.WithCancel(t.Context())
	kept := make(chan error, 1)
	go func() { kept <- p.Keep(ctx) }()
	require.Eventually(t, func() bool { return p.Holds(t.Context()) == nil }, 20*time.Second, 50*time.Millisecond)
	stop()
	require.NoError(t, <-kept, "it keeps its place until it is told to stop")

	cut()
	usurper := attend(t, newStore(t, db), true)
	require.ErrorContains(t, p.Keep(t.Context()), "another instance serves this book")
	require.NoError(t, usurper.Holds(t.Context()))
}

func TestInstanceThatCannotAskTheDatabaseHoldsNoPlaceYet(t *testing.T) {
	t.Parallel()
	s := newStore(t, pgtest.URLs{Super: "postgres://nobody@127.0.0.1:1/none?connect_timeout=2"})
	p := attend(t, s, true)
	require.True(t, fault.Is(p.Holds(t.Context()), fault.Unavailable))
}
