// Package feed turns committed changes into the one ordered log of each organization.
package feed

import (
	"context"
	"log/slog"
	"time"

	"sillbook/internal/postgres"
)

// Sequencer gives committed changes their positions. Any number may run; one works at a time, and no writer waits for
// it.
type Sequencer struct {
	store *postgres.Store
	log   *slog.Logger
	poke  chan struct{}
}

const (
	atOnce = 5_000                  // changes in one transaction
	poll   = 500 * time.Millisecond // between looks when nobody pokes
	rest   = 2 * time.Second        // after a failure
)

// New makes a sequencer over a store.
func New(store *postgres.Store, log *slog.Logger) *Sequencer {
	return &Sequencer{store: store, log: log, poke: make(chan struct{}, 1)}
}

// Poke hints that there is something to do. It never waits, and nothing is lost when it is not called.
func (s *Sequencer) Poke() {
	select {
	case s.poke <- struct{}{}:
	default:
	}
}

// Run works until the context ends.
func (s *Sequencer) Run(ctx context.Context) {
	for ctx.Err() == nil {
		wait := poll
		done, err := s.store.Sequence(ctx, atOnce)
		switch {
		case err != nil && ctx.Err() == nil:
			s.log.Error("sequencing failed; it will be tried again", "cause", err)
			wait = rest
		case done == atOnce:
			continue
		}
		select {
		case <-ctx.Done():
		case <-s.poke:
		case <-time.After(wait):
		}
	}
}
