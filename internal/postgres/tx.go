package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"

	"sillbook/internal/fault"
	"sillbook/internal/trade"
)

// Tx is one transaction in one organization. Statements that return nothing are queued by later and travel with the
// next query or with the commit, so that a transaction takes as few round trips as its logic needs.
type Tx struct {
	ctx    context.Context
	conn   *pgxpool.Conn
	store  *Store
	call   Call
	now    time.Time
	queue  pgx.Batch
	queued []string     // texts to prepare before the queue is sent
	done   bool         // committed by last
	law    *trade.Rules // found by rules
}

// Outcome is what a mutation came to: the record and the status that says so.
type Outcome struct {
	Status   int // 200 or 201
	Record   Record
	Items    []byte // for a batch: what became of each item, as the handler wrote it
	Replayed bool   // the request came before; this is what it came to then
}

// Call is the request that the transaction serves.
func (t *Tx) Call() Call { return t.call }

// Now is the instant of the transaction; everything it records carries this one.
func (t *Tx) Now() time.Time { return t.now }

// organization is the first argument of every statement.
func (t *Tx) organization() uuid.UUID { return t.call.Caller.Organization }

// later queues a statement that returns nothing.
func (t *Tx) later(sql string, args ...any) {
	t.queue.Queue(sql, args...)
	t.queued = append(t.queued, sql)
}

// query sends what is queued and one query behind it, in one round trip, and gives its rows to read.
func (t *Tx) query(read func(pgx.Rows) error, sql string, args ...any) error {
	t.queue.Queue(sql, args...).Query(read)
	t.queued = append(t.queued, sql)
	return t.flush()
}

// command queues a statement of transaction control. It is not prepared: some may not be while a transaction has failed.
func (t *Tx) command(sql string) { t.queue.Queue(sql) }

// last sends a query as the last of a reading transaction, with the commit behind it in the same round trip.
func (t *Tx) last(read func(pgx.Rows) error, sql string, args ...any) error {
	t.queue.Queue(sql, args...).Query(read)
	t.queued = append(t.queued, sql)
	t.command("commit")
	t.done = true
	return t.flush()
}

func (t *Tx) flush() error {
	if t.queue.Len() == 0 {
		return nil
	}
	for _, sql := range t.queued {
		if err := prepare(t.ctx, t.conn.Conn(), sql); err != nil {
			return err
		}
	}
	batch := t.queue
	t.queue, t.queued = pgx.Batch{}, t.queued[:0]
	return t.conn.SendBatch(t.ctx, &batch).Close()
}

// prepare prepares a fixed text once for each connection.
func prepare(ctx context.Context, conn *pgx.Conn, sql string) error {
	_, err := conn.Prepare(ctx, sql, sql)
	return err
}

// tenant is the one statement that is a new text for each organization; a parsed UUID is all that varies in it.
func tenant(organization uuid.UUID) string {
	return "set local app.organization = '" + organization.String() + "'"
}

// rowsOf collects a query's rows.
func rowsOf[T any](into *[]T, scan pgx.RowToFunc[T]) func(pgx.Rows) error {
	return func(rows pgx.Rows) (err error) {
		*into, err = pgx.CollectRows(rows, scan)
		return err
	}
}

// Write runs one mutation in one transaction. Where the call brings an idempotency key, the outcome is kept beside the
// effect and a repeated request gets it again. fn may run more than once, so it must not keep state outside.
func (s *Store) Write(ctx context.Context, call Call, fn func(*Tx) (Outcome, error)) (Outcome, error) {
	for attempt := 1; ; attempt++ {
		outcome, err := s.write(ctx, call, fn)
		if err == nil || !retryable(err) || attempt == 4 {
			return outcome, settle(err)
		}
	}
}

func (s *Store) write(ctx context.Context, call Call, fn func(*Tx) (Outcome, error)) (Outcome, error) {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return Outcome{}, err
	}
	defer conn.Release()
	t := &Tx{ctx: ctx, conn: conn, store: s, call: call, now: s.now().UTC().Truncate(time.Microsecond)}
	t.command("begin")
	t.command(tenant(t.organization()))
	outcome, done, err := t.recall()
	if err == nil && !done {
		if outcome, err = fn(t); err == nil {
			t.remember(outcome)
		}
	}
	if err != nil {
		rollback(conn)
		return Outcome{}, err
	}
	t.command("commit")
	if err := t.flush(); err != nil {
		rollback(conn)
		return Outcome{}, err
	}
	return outcome, nil
}

// rollback ends a transaction whose request has failed, with a deadline of its own: the request's may have passed.
func rollback(conn *pgxpool.Conn) {
	if conn.Conn().PgConn().TxStatus() == 'I' {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if _, err := conn.Exec(ctx, "rollback"); err != nil {
		conn.Conn().Close(ctx) // the pool discards it and opens another
	}
}

// read runs queries in one read-only transaction. Everything fn queues before its first read travels in one round trip.
func (s *Store) read(ctx context.Context, call Call, fn func(*Tx) error) error {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return settle(err)
	}
	defer conn.Release()
	t := &Tx{ctx: ctx, conn: conn, store: s, call: call, now: s.now().UTC().Truncate(time.Microsecond)}
	t.command("begin")
	t.command(tenant(t.organization()))
	err = fn(t)
	if err == nil && !t.done {
		t.command("commit")
		err = t.flush()
	}
	if err != nil {
		rollback(conn)
		return settle(err)
	}
	return nil
}

// Savepoint runs fn so that its failure undoes only what it did.
func (t *Tx) Savepoint(fn func() error) error {
	t.command("savepoint item")
	if err := t.flush(); err != nil {
		return err
	}
	err := fn()
	if err == nil {
		err = t.flush()
	}
	if err == nil {
		t.command("release savepoint item")
		return nil
	}
	if t.ctx.Err() != nil || retryable(err) || !fault.Is(settle(err), fault.Implausible) && !fault.Is(settle(err), fault.Conflict) && !fault.Is(settle(err), fault.NotFound) && !fault.Is(settle(err), fault.Forbidden) {
		return err
	}
	t.queue, t.queued = pgx.Batch{}, t.queued[:0]
	t.command("rollback to savepoint item")
	t.command("release savepoint item")
	if flushed := t.flush(); flushed != nil {
		return flushed
	}
	return err
}
