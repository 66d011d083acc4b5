// Package worker does what no request waits for.
package worker

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"sillbook/internal/postgres"
)

// Upkeep keeps the partitions made ahead, and notes when keys were last used. Any number may run.
type Upkeep struct {
	store *postgres.Store
	log   *slog.Logger
	mu    sync.Mutex
	used  map[postgres.KeyRef]time.Time
}

const (
	often  = time.Minute // between writes of the keys used, and after a failure
	seldom = time.Hour   // between looks at the partitions
)

// New makes the upkeep of a store.
func New(store *postgres.Store, log *slog.Logger) *Upkeep {
	return &Upkeep{store: store, log: log, used: map[postgres.KeyRef]time.Time{}}
}

// Used notes that a key was used; it is written within a minute. It never waits.
func (u *Upkeep) Used(key postgres.KeyRef, at time.Time) {
	u.mu.Lock()
	u.used[key] = at
	u.mu.Unlock()
}

// Run works until the context ends, and writes what it has noted once more then.
func (u *Upkeep) Run(ctx context.Context) {
	var due time.Time
	for ctx.Err() == nil {
		u.write(ctx)
		if !time.Now().Before(due) {
			due = time.Now().Add(seldom)
			if err := u.store.KeepPartitions(ctx); err != nil && ctx.Err() == nil {
				u.log.Error("partitions were not kept; it will be tried again", "cause", err)
				due = time.Now().Add(often)
			}
		}
		select {
		case <-ctx.Done():
		case <-time.After(often):
		}
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), 2*time.Second)
	defer cancel()
	u.write(last)
}

// write writes the keys used since the last time. What fails is noted again.
func (u *Upkeep) write(ctx context.Context) {
	u.mu.Lock()
	used := u.used
	u.used = map[postgres.KeyRef]time.Time{}
	u.mu.Unlock()
	if len(used) == 0 {
		return
	}
	err := u.store.NoteUses(ctx, used)
	if err == nil {
		return
	}
	u.log.Error("the use of keys was not noted; it will be tried again", "cause", err)
	u.mu.Lock()
	defer u.mu.Unlock()
	for key, at := range used {
		if u.used[key].Before(at) {
			u.used[key] = at
		}
	}
}
