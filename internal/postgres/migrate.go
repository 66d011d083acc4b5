package postgres

import (
	"context"
	"database/sql"
	"fmt"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"sillbook/migrations"
)

// Migrate brings the database at url to the newest schema and reports how many steps it took. The login must be able
// to create roles (only where the roles are missing) and to take the role sillbook_owner. Several may run at once.
func Migrate(ctx context.Context, url string) (steps int, err error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return 0, fmt.Errorf("the database URL cannot be read: %w", err)
	}
	config.RuntimeParams["search_path"] = "sillbook"
	config.RuntimeParams["timezone"] = "UTC"
	db := stdlib.OpenDB(*config)
	defer db.Close()
	if err := prepareSchema(ctx, db); err != nil {
		return 0, err
	}
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		return 0, err
	}
	provider, err := goose.NewProvider(goose.DialectPostgres, db, migrations.Files, goose.WithSessionLocker(locker))
	if err != nil {
		return 0, err
	}
	results, err := provider.Up(ctx)
	if err != nil {
		return len(results), fmt.Errorf("migration failed: %w", err)
	}
	return len(results), nil
}

// prepareSchema makes the schema that holds goose's own table, before the first step runs.
func prepareSchema(ctx context.Context, db *sql.DB) error {
	var there bool
	err := db.QueryRowContext(ctx, `select exists (select from pg_namespace where nspname = 'sillbook')`).Scan(&there)
	if err != nil {
		return fmt.Errorf("the database cannot be reached: %w", err)
	}
	if there {
		return nil
	}
	if _, err := db.ExecContext(ctx, `create schema if not exists sillbook`); err != nil && !strings.Contains(err.Error(), "23505") {
		return fmt.Errorf("the schema cannot be created: %w", err)
	}
	return nil
}

// newestMigration is the number of the last step this program holds.
func newestMigration() int64 {
	entries, err := migrations.Files.ReadDir(".")
	if err != nil {
		return 0
	}
	var newest int64
	for _, entry := range entries {
		number, _, _ := strings.Cut(entry.Name(), "_")
		if n, err := strconv.ParseInt(number, 10, 64); err == nil && n > newest {
			newest = n
		}
	}
	return newest
}
