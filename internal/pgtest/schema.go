package pgtest

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"

	"github.com/jackc/pgx/v5"

	"sillbook/internal/postgres"
	"sillbook/migrations"
)

// schema is what a database is migrated to, and a name that changes with it.
type schema struct {
	hash    string
	migrate func(ctx context.Context, superURL string) error
}

// project is this project's schema.
var project = schema{hash: hashOf(migrations.Files), migrate: func(ctx context.Context, superURL string) error {
	_, err := postgres.Migrate(ctx, superURL)
	return err
}}

// hashOf names a set of migrations by their content.
func hashOf(tree fs.FS) string {
	hash := sha256.New()
	names, _ := fs.Glob(tree, "*.sql")
	for _, name := range names {
		content, err := fs.ReadFile(tree, name)
		fmt.Fprintf(hash, "%s %d %v\n%s", name, len(content), err, content)
	}
	return fmt.Sprintf("%x", hash.Sum(nil)[:6])
}

// database is the one that tests share; template is the untouched one that others are copied from.
func (s schema) database() string { return "sillbook_test_" + s.hash }
func (s schema) template() string { return "sillbook_template_" + s.hash }

// buildLock is the advisory lock under which the databases are made: test processes start together, and the
// migrations make roles, which belong to the whole server. "sillbook" in ASCII.
const buildLock = 0x73696c6c626f6f6b

// ensure makes the two databases unless they are there. One that was cut short has another name and is dropped.
func (s schema) ensure(ctx context.Context, superURL string) error {
	conn, err := pgx.Connect(ctx, superURL)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx)) // which releases the lock
	if _, err := conn.Exec(ctx, `select pg_advisory_lock($1)`, int64(buildLock)); err != nil {
		return err
	}
	var there bool
	const exists = `select exists (select from pg_database where datname = $1)`
	if err := conn.QueryRow(ctx, exists, s.database()).Scan(&there); err != nil || there {
		return err
	}
	return s.build(ctx, conn, superURL)
}

func (s schema) build(ctx context.Context, conn *pgx.Conn, superURL string) error {
	building := s.template() + "_building"
	url, err := with(superURL, building, "")
	if err != nil {
		return err
	}
	run := func(statements ...string) error {
		for _, statement := range statements {
			if _, err := conn.Exec(ctx, statement); err != nil {
				return fmt.Errorf("%s: %w", statement, err)
			}
		}
		return nil
	}
	if err := run(
		"drop database if exists "+building+" with (force)",
		"drop database if exists "+s.template()+" with (force)",
		"create database "+building+" template template0",
	); err != nil {
		return err
	}
	if err := s.migrate(ctx, url); err != nil {
		return fmt.Errorf("migrating: %w", err)
	}
	return run(
		"alter database "+building+" with allow_connections false",
		"select pg_terminate_backend(pid) from pg_stat_activity where datname = '"+building+"'",
		"alter database "+building+" rename to "+s.template(),
		"create database "+s.database()+" template "+s.template(),
	)
}
