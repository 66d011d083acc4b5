package feed_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"sillbook/internal/credential"
	"sillbook/internal/feed"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

// bench is a store on a database of the test's own: a sequencer gives positions in every organization, and a test that
// says when it does so must be alone with it.
type bench struct {
	*postgres.Store
	t *testing.T
}

func setup(t *testing.T) bench {
	t.Helper()
	book, err := law.Embedded()
	require.NoError(t, err)
	s, err := postgres.Open(t.Context(), postgres.Options{URL: pgtest.Fresh(t).Super, Connections: 10, Law: book, Now: time.Now})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return bench{s, t}
}

// open opens an organization and gives calls in it.
func (b bench) open() postgres.Call {
	b.t.Helper()
	outcome, key, _, err := b.OpenOrganization(b.t.Context(), postgres.Call{Operation: "test", RequestID: "test"}, "Fernhill Homes",
		postgres.Key{Name: "Owner", Role: credential.Owner, Scopes: []credential.Scope{}})
	require.NoError(b.t, err)
	id := outcome.Record.ID
	return postgres.Call{Operation: "Test", RequestID: "test", Caller: credential.Caller{Organization: id, Home: id, Key: key.ID, Role: credential.Owner}}
}

func facility(name string) postgres.Draft {
	var d postgres.Draft
	_ = d.Set("name", name) // a string always marshals
	return d
}

func (b bench) create(call postgres.Call, name string) uuid.UUID {
	b.t.Helper()
	outcome, err := b.Create(b.t.Context(), call, "facility", facility(name))
	require.NoError(b.t, err)
	return outcome.Record.ID
}

// sequence gives positions until nothing is pending, and reports to how many changes.
func (b bench) sequence() (done int64) {
	b.t.Helper()
	for {
		n, err := b.Sequence(b.t.Context(), 7) // a small number, so that it takes several transactions
		require.NoError(b.t, err)
		done += n
		pending, err := b.Pending(b.t.Context())
		require.NoError(b.t, err)
		if pending == 0 {
			return done
		}
	}
}

// follow reads the log behind a position to its end, in small pages.
func (b bench) follow(call postgres.Call, after int64) (list []postgres.Change, next int64) {
	b.t.Helper()
	for {
		page, to, err := b.Changes(b.t.Context(), call, after, 3, postgres.ChangeFilter{})
		require.NoError(b.t, err)
		list = append(list, page...)
		if to == after {
			return list, after
		}
		after = to
	}
}

// inOrder demands that positions are dense from one on, that no change is there twice and that every subject's versions
// come in order.
func inOrder(t *testing.T, list []postgres.Change) {
	t.Helper()
	seen, versions := map[uuid.UUID]bool{}, map[uuid.UUID]int{}
	for i, c := range list {
		require.EqualValues(t, i+1, c.Position)
		require.False(t, seen[c.ID])
		seen[c.ID] = true
		require.Equal(t, versions[c.Record.ID]+1, c.Record.Version)
		versions[c.Record.ID] = c.Record.Version
	}
}

// A transaction that began first commits last. A reader that went on by the changes' own identifiers, or by a number
// drawn when they were made, would never see it.
func TestChangeThatCommitsLateIsNotLost(t *testing.T) {
	t.Parallel()
	b := setup(t)
	call := b.open()
	b.sequence()
	_, start := b.follow(call, 0)

	made, commit := make(chan uuid.UUID), make(chan struct{})
	var slow sync.WaitGroup
	slow.Go(func() {
		_, err := b.Write(t.Context(), call, func(tx *postgres.Tx) (postgres.Outcome, error) {
			record, err := tx.Insert("facility", "created", facility("Made first"))
			if err == nil {
				_, err = tx.Load("facility", record.ID) // sends what is queued: the change is in the database now
			}
			made <- record.ID
			<-commit
			return postgres.Outcome{Status: 201, Record: record}, err
		})
		require.NoError(t, err)
	})
	first := <-made
	second := b.create(call, "Made second")
	require.Less(t, first.String(), second.String(), "the first has the older identifier")

	require.EqualValues(t, 1, b.sequence())
	seen, next := b.follow(call, start)
	require.Len(t, seen, 1)
	require.Equal(t, second, seen[0].Record.ID)

	close(commit)
	slow.Wait()
	require.EqualValues(t, 1, b.sequence())
	late, _ := b.follow(call, next)
	require.Len(t, late, 1)
	require.Equal(t, first, late[0].Record.ID)
	require.Less(t, late[0].ID.String(), seen[0].ID.String(), "its change's identifier lies behind what the reader had read")
	all, _ := b.follow(call, 0)
	inOrder(t, all)
}

// Writers of two organizations, two sequencers that take turns, and readers that follow meanwhile: every reader gets
// everything, once, in order.
func TestManyWritersTwoSequencersAndReadersThatFollow(t *testing.T) {
	t.Parallel()
	const writers, rounds = 6, 8
	b := setup(t)
	calls := []postgres.Call{b.open(), b.open()}
	ctx, stop := context.WithCancel(t.Context())
	var sequencers sync.WaitGroup
	for range 2 {
		s := feed.New(b.Store, slog.New(slog.NewTextHandler(io.Discard, nil)))
		s.Poke()
		sequencers.Go(func() { s.Run(ctx) })
	}
	for range 2 { // and two more, as fast as they can
		sequencers.Go(func() {
			for ctx.Err() == nil {
				_, _ = b.Sequence(ctx, 3) // the context ends it in the middle
			}
		})
	}
	var writing errgroup.Group
	var wrote atomic.Int64
	for w := range writers {
		call := calls[w%2]
		writing.Go(func() error {
			outcome, err := b.Create(t.Context(), call, "facility", facility(fmt.Sprint("F", w)))
			if err != nil {
				return err
			}
			wrote.Add(1)
			for round := range rounds {
				_, err := b.Change(t.Context(), call, "facility", outcome.Record.ID, nil, func(f postgres.Fields) (postgres.Draft, error) {
					d := postgres.Draft{Fields: f}
					return d, d.Set("name", fmt.Sprint("F", w, ".", round))
				})
				if err != nil {
					return err
				}
				wrote.Add(1)
			}
			return nil
		})
	}
	const each = 2 + writers/2*(1+rounds) // the organization and its key, then what was written
	read := make([][]postgres.Change, len(calls))
	var reading errgroup.Group
	for i, call := range calls {
		reading.Go(func() error {
			var after int64
			for deadline := time.Now().Add(30 * time.Second); len(read[i]) < each; {
				page, next, err := b.Changes(t.Context(), call, after, 5, postgres.ChangeFilter{})
				if err != nil {
					return err
				}
				if time.Now().After(deadline) {
					return fmt.Errorf("only %d of %d changes came", len(read[i]), each)
				}
				read[i], after = append(read[i], page...), next
			}
			return nil
		})
	}
	require.NoError(t, writing.Wait())
	require.NoError(t, reading.Wait())
	stop()
	sequencers.Wait()
	require.EqualValues(t, writers*(1+rounds), wrote.Load())
	require.Zero(t, b.sequence(), "nothing is left")
	for i, call := range calls {
		inOrder(t, read[i])
		require.Len(t, read[i], each)
		again, _ := b.follow(call, 0)
		require.Equal(t, read[i], again, "who reads later reads the same")
	}
}

// A sequencer that works keeps another from working; the other waits for nothing.
func TestSecondSequencerDoesNothingMeanwhile(t *testing.T) {
	t.Parallel()
	b := setup(t)
	call := b.open()
	for i := range 20 {
		b.create(call, fmt.Sprint("F", i))
	}
	var group errgroup.Group
	var total atomic.Int64
	for range 8 {
		group.Go(func() error {
			n, err := b.Sequence(t.Context(), 1000)
			total.Add(n)
			return err
		})
	}
	require.NoError(t, group.Wait())
	require.EqualValues(t, 22, total.Load(), "each change was taken once, whoever took it")
	list, _ := b.follow(call, 0)
	require.Len(t, list, 22)
	inOrder(t, list)
}
