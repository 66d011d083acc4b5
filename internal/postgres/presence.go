package postgres

import (
	"context"
	"errors"
	"sync"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"

	"sillbook/internal/fault"
)

// Any number of instances may serve one book, unless one of them keeps the attachments' bytes where the others cannot reach them:
// that one must be alone. Each holds a lock in the database for as long as it serves, one for itself or one together with
// others, so that this holds across machines, and ends when the instance does, however it ends.

const lockAlone = `
select pg_try_advisory_lock(7319847215332)`

const lockTogether = `
select pg_try_advisory_lock_shared(7319847215332)`

// giveUpSoon has the database notice within half a minute that the machine at the other end has gone.
const giveUpSoon = `
set tcp_keepalives_idle = 10;
set tcp_keepalives_interval = 5;
set tcp_keepalives_count = 3`

// Times of a Presence.
const (
	patience   = 3 * time.Second // with an instance that is about to end
	lookAgain  = 100 * time.Millisecond
	lookOften  = time.Second // while the place is not held
	lookSeldom = 5 * time.Second
	askAtMost  = 5 * time.Second
)

// Presence is an instance's place among those that serve a book.
type Presence struct {
	store *Store
	alone bool
	mu    sync.Mutex
	conn  *pgxpool.Conn // holds the lock; nil while the database is away
}

// Attend takes a place among the instances that serve the book: alone, or together with others that do the same. It refuses where
// the instances that serve it already do not allow it. Where the database cannot be asked, the place is not held, and Keep goes
// on asking. The caller ends the Presence.
func (s *Store) Attend(ctx context.Context, alone bool) (*Presence, error) {
	p := &Presence{store: s, alone: alone}
	for until := time.Now().Add(patience); ; {
		held, err := p.take(ctx)
		if held || fault.Is(settle(err), fault.Unavailable) {
			return p, ctx.Err()
		}
		if err != nil {
			return nil, err
		}
		if time.Now().After(until) {
			return nil, p.refusal()
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(lookAgain):
		}
	}
}

// Holds reports whether the place is held at this moment. Errors: fault.Unavailable.
func (p *Presence) Holds(ctx context.Context) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.conn == nil {
		return unavailable(errors.New("the place among the instances is not held"))
	}
	if err := p.conn.Ping(ctx); err != nil {
		return unavailable(err)
	}
	return nil
}

// Keep looks after the place until the context ends, or until it was lost to another instance while the database was away; the
// service must end then.
func (p *Presence) Keep(ctx context.Context) error {
	for wait := lookSeldom; ; {
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(wait):
		}
		wait = lookSeldom
		if p.Holds(ctx) == nil || ctx.Err() != nil {
			continue
		}
		p.End()
		switch held, err := p.take(ctx); {
		case err != nil:
			wait = lookOften
		case !held:
			return p.refusal()
		}
	}
}

// take asks for the lock on a connection that it then keeps.
func (p *Presence) take(ctx context.Context) (held bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, askAtMost)
	defer cancel()
	conn, err := p.store.worker.Acquire(ctx)
	if err != nil {
		return false, err
	}
	lock := lockTogether
	if p.alone {
		lock = lockAlone
	}
	if _, err = conn.Exec(ctx, giveUpSoon); err == nil {
		err = conn.QueryRow(ctx, lock).Scan(&held)
	}
	if err != nil || !held {
		conn.Release()
		return false, err
	}
	p.mu.Lock()
	p.conn = conn
	p.mu.Unlock()
	return true, nil
}

// End gives the place up: the connection is closed, and the lock goes with it.
func (p *Presence) End() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.conn == nil {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	p.conn.Conn().Close(ctx) // the pool opens another
	p.conn.Release()
	p.conn = nil
}

func (p *Presence) refusal() error {
	if p.alone {
		return errors.New("another instance serves this book already, and one that keeps attachments in a directory of its own must serve it alone: " +
			"stop the other first, or give all of them one bucket (--attachments s3)")
	}
	return errors.New("another instance serves this book and keeps its attachments in a directory that this one cannot reach: " +
		"stop it first, or give all of them one bucket (--attachments s3)")
}
