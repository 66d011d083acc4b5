package postgres_test

import (
	"context"
	"net/url"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

func TestBackupReadsEveryTable(t *testing.T) {
	t.Parallel()
	conn, err := pgx.Connect(t.Context(), pgtest.Database(t).Backup)
	require.NoError(t, err)
	defer conn.Close(context.Background())
	rows, err := conn.Query(t.Context(), `
		select relname::text
		from pg_class
		where relnamespace = 'sillbook'::regnamespace
			and relkind in ('r', 'p', 'S')
			and not has_table_privilege(oid, 'select')`)
	require.NoError(t, err)
	closed, err := pgx.CollectRows(rows, pgx.RowTo[string])
	require.NoError(t, err)
	require.Empty(t, closed, "pg_dump stops at the first table it may not read")
}

// The logins are those of deploy/README.md. The database is the test's own, because its owner is what is tested.
func TestOrdinaryLoginsMigrateAndServe(t *testing.T) {
	t.Parallel()
	pgtest.Database(t) // the roles belong to the server, and are there once any database is migrated
	empty := pgtest.Empty(t)
	conn, err := pgx.Connect(t.Context(), empty.Super)
	require.NoError(t, err)
	defer conn.Close(context.Background())
	migrate, serve := empty.Name+"_migrate", empty.Name+"_serve"
	execute := func(statement string) {
		_, err := conn.Exec(context.Background(), statement)
		require.NoError(t, err, statement)
	}
	execute("create role " + migrate + " login password 'one' in role sillbook_owner")
	execute("create role " + serve + " login password 'two' in role sillbook_app, sillbook_worker")
	t.Cleanup(func() {
		conn, err := pgx.Connect(context.Background(), pgtest.Database(t).Super)
		require.NoError(t, err)
		defer conn.Close(context.Background())
		_, err = conn.Exec(context.Background(), "drop database "+empty.Name+" with (force)")
		require.NoError(t, err)
		_, err = conn.Exec(context.Background(), "drop role "+migrate+", "+serve)
		require.NoError(t, err)
	})
	execute("alter database " + empty.Name + " owner to " + migrate)

	steps, err := postgres.Migrate(t.Context(), signedIn(t, empty.Super, migrate, "one"))
	require.NoError(t, err)
	require.Positive(t, steps)

	book, err := law.Embedded()
	require.NoError(t, err)
	store, err := postgres.Open(t.Context(), postgres.Options{URL: signedIn(t, empty.Super, serve, "two"), Law: book, Now: time.Now})
	require.NoError(t, err)
	defer store.Close()
	require.NoError(t, store.Ready(t.Context()))
}

func signedIn(t *testing.T, base, user, password string) string {
	u, err := url.Parse(base)
	require.NoError(t, err)
	u.User = url.UserPassword(user, password)
	return u.String()
}
