// Package postgres is the only SQL. A Store method is one transaction in one organization: row-level security holds,
// and every statement names the organization too. One file an aggregate, the SQL beside its function.
package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/puddle/v2"

	"sillbook/internal/credential"
	"sillbook/internal/evidence"
	"sillbook/internal/fault"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
)

// Roles of the database. A connection takes one when it opens and keeps it.
const (
	ownerRole  = "sillbook_owner"
	appRole    = "sillbook_app"
	workerRole = "sillbook_worker"
)

// Store is the book in PostgreSQL. It is safe for concurrent use.
type Store struct {
	pool    *pgxpool.Pool // as sillbook_app
	worker  *pgxpool.Pool // as sillbook_worker
	ruleSet string        // version of the parameters and rules, written beside each change
	rules   *trade.Rules  // of federal law
	local   localLaw      // of the organizations that have overlays
	now     func() time.Time
	salt    func() []byte // of a commitment
}

// Options of a Store.
type Options struct {
	URL         string // a login that may take the roles sillbook_app and sillbook_worker
	Connections int32  // at most this many for requests; 0: pgx's default
	Law         *law.Book
	Now         func() time.Time // the clock
}

// Open connects to a migrated database. The caller closes the Store.
func Open(ctx context.Context, o Options) (*Store, error) {
	rules, err := trade.New(o.Law)
	if err != nil {
		return nil, err
	}
	pool, err := open(ctx, o.URL, appRole, o.Connections)
	if err != nil {
		return nil, err
	}
	worker, err := open(ctx, o.URL, workerRole, 5)
	if err != nil {
		pool.Close()
		return nil, err
	}
	return &Store{pool: pool, worker: worker, ruleSet: o.Law.RuleSet(), rules: rules, now: o.Now, salt: evidence.Salt}, nil
}

// Close ends all connections.
func (s *Store) Close() {
	s.pool.Close()
	s.worker.Close()
}

// RuleSet is the version of the parameters and rules that the Store writes beside each change.
func (s *Store) RuleSet() string { return s.ruleSet }

// Rules are the rules of federal law alone; RulesOf gives those of an organization.
func (s *Store) Rules() *trade.Rules { return s.rules }

// Stat tells how the pool for requests is used, for metrics.
func (s *Store) Stat() *pgxpool.Stat { return s.pool.Stat() }

// Ready reports whether the database answers and holds the schema this program was built with.
func (s *Store) Ready(ctx context.Context) error {
	var version int64
	err := s.pool.QueryRow(ctx, `select max(version_id) from sillbook.goose_db_version where is_applied`).Scan(&version)
	if err != nil {
		return unavailable(err)
	}
	if want := newestMigration(); version != want {
		return fault.New(fault.Unavailable, "schema_not_current", "The database holds schema %d; this program needs %d.", version, want).
			Fix("Run: sillbook migrate")
	}
	return nil
}

func open(ctx context.Context, url, role string, most int32) (*pgxpool.Pool, error) {
	config, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("the database URL cannot be read: %w", err)
	}
	if most > 0 {
		config.MaxConns = most
	}
	// Statements are prepared by tx.prepare; what is not prepared (the tenant setting, a new text for each
	// organization) goes as it is, so that it does not flood a statement cache.
	config.ConnConfig.DefaultQueryExecMode = pgx.QueryExecModeExec
	params := config.ConnConfig.RuntimeParams
	params["role"] = role
	params["search_path"] = "sillbook"
	params["timezone"] = "UTC"
	params["application_name"] = "sillbook"
	params["idle_in_transaction_session_timeout"] = "30000"
	config.AfterConnect = identifiers
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return nil, fmt.Errorf("the database cannot be reached: %w", err)
	}
	return pool, nil
}

// Call is what a Store method needs to know of the request: who, what for, and how to repeat it safely.
type Call struct {
	Caller         credential.Caller
	Operation      string // the contract's operationId
	RequestID      string
	IdempotencyKey string // empty: none
	Fingerprint    []byte // hash of the request, compared when the key comes again
}

// settle turns what the database or the driver said into the service's own error.
func settle(err error) error {
	if err == nil {
		return nil
	}
	if ours, ok := errors.AsType[*fault.Error](err); ok {
		return ours
	}
	if pg, ok := errors.AsType[*pgconn.PgError](err); ok {
		return settlePostgres(pg)
	}
	if errors.Is(err, context.Canceled) {
		return fault.New(fault.Unavailable, "canceled", "The request was given up before it was finished.").Because(err)
	}
	if errors.Is(err, pgx.ErrNoRows) {
		return notFound()
	}
	if errors.Is(err, ErrItemRefused) {
		return err
	}
	if unreachable(err) {
		return unavailable(err)
	}
	return fault.As(err)
}

// unreachable reports whether the connection failed, or the time was over, rather than anything in the request or here.
func unreachable(err error) bool {
	if _, connecting := errors.AsType[*pgconn.ConnectError](err); connecting {
		return true
	}
	if _, network := errors.AsType[net.Error](err); network {
		return true
	}
	for _, gone := range []error{io.EOF, io.ErrUnexpectedEOF, net.ErrClosed, context.DeadlineExceeded, puddle.ErrClosedPool} {
		if errors.Is(err, gone) {
			return true
		}
	}
	return pgconn.SafeToRetry(err)
}

func settlePostgres(pg *pgconn.PgError) error {
	switch {
	case pg.Code == "23505":
		return fault.New(fault.Conflict, "already_there", "A record with this identity is already there.").
			Fix("Read the record that is there, or send another identity.").Because(pg)
	case pg.Code == "23503":
		return fault.New(fault.Implausible, "no_such_reference", "The record refers to another record that is not there.").
			Fix("Check the identifiers in the request.").Because(pg)
	case pg.Code == "57014", pg.Code == "53300", pg.Code == "57P01", pg.Code == "57P03", pg.Code == "53100", pg.Code == "25006":
		return unavailable(pg)
	case retryable(pg):
		return unavailable(pg)
	}
	return fault.New(fault.Internal, "internal", "Something went wrong on our side; it has been logged.").
		Fix("Try again; if it persists, report the request_id.").Because(pg)
}

// retryable reports whether running the transaction again can succeed: a serialization failure, a deadlock, or a
// prepared plan that the schema has outgrown.
func retryable(err error) bool {
	pg, ok := errors.AsType[*pgconn.PgError](err)
	return ok && (pg.Code == "40001" || pg.Code == "40P01" || pg.Code == "0A000")
}

func unavailable(err error) *fault.Error {
	e := fault.New(fault.Unavailable, "database_unavailable", "The database cannot be reached or did not answer in time.").
		Fix("Try again after the time in Retry-After; nothing was stored unless an earlier answer said so.").Because(err)
	e.RetryAfter = 2 * time.Second
	return e
}

func notFound() *fault.Error {
	return fault.New(fault.NotFound, "not_found", "There is nothing here that this credential may see.").
		Fix("Check the identifier and the organization the request works in.")
}

// newID makes a version 7 UUID.
func newID() uuid.UUID { return uuid.Must(uuid.NewV7()) }
