package pgtest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"
)

// TestMain lets the test program stand in for one that starts a private server and is killed.
func TestMain(m *testing.M) {
	if os.Getenv(standInEnv) == "" {
		os.Exit(m.Run())
	}
	s, err := installed(context.Background())
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	fmt.Println(s.URL)
	_, _ = io.Copy(io.Discard, os.Stdin)
}

const standInEnv = "SILLBOOK_PGTEST_STAND_IN"

func value(t *testing.T, url, statement string) (v string) {
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	defer conn.Close(context.Background())
	require.NoError(t, conn.QueryRow(t.Context(), statement).Scan(&v))
	return v
}

// made is a schema of the test's own, whose databases go with the test.
func made(t *testing.T, hash string, migrate func(context.Context, string) error) (schema, string) {
	s, err := server()
	require.NoError(t, err)
	schema := schema{hash: hash, migrate: migrate}
	t.Cleanup(func() {
		conn, err := pgx.Connect(context.Background(), s.URL)
		require.NoError(t, err)
		defer conn.Close(context.Background())
		for _, name := range []string{schema.database(), schema.template()} {
			_, err := conn.Exec(context.Background(), "drop database if exists "+name+" with (force)")
			require.NoError(t, err)
		}
	})
	return schema, s.URL
}

func createTable(ctx context.Context, url string) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, `create table made as select 'by the migration'::text as how`)
	return err
}

func TestProcessesThatStartTogetherMigrateOnce(t *testing.T) {
	t.Parallel()
	var migrations atomic.Int32
	schema, url := made(t, "together", func(ctx context.Context, url string) error {
		migrations.Add(1)
		return createTable(ctx, url)
	})
	var group errgroup.Group
	for range 8 {
		group.Go(func() error { return schema.ensure(t.Context(), url) })
	}
	require.NoError(t, group.Wait())
	require.EqualValues(t, 1, migrations.Load())
	urls, err := ways(url, schema.database())
	require.NoError(t, err)
	require.Equal(t, "by the migration", value(t, urls.Super, "select how from made"))
}

func TestFailedMigrationIsToldAndTriedAgain(t *testing.T) {
	t.Parallel()
	broken := errors.New("syntax error")
	schema, url := made(t, "again", func(ctx context.Context, url string) error {
		return errors.Join(createTable(ctx, url), broken)
	})
	require.ErrorIs(t, schema.ensure(t.Context(), url), broken)
	schema.migrate = createTable
	require.NoError(t, schema.ensure(t.Context(), url), "what the failed one left is out of the way")
}

func TestFreshDatabaseIsAloneAndGoesWithItsTest(t *testing.T) {
	t.Parallel()
	var names []string
	t.Run("two at once", func(t *testing.T) {
		one, two := Fresh(t), Fresh(t)
		require.NotEqual(t, one.Name, two.Name)
		require.NotEqual(t, one.Name, Database(t).Name)
		require.NoError(t, createTable(t.Context(), one.Super))
		require.Equal(t, "", value(t, two.Super, "select coalesce(to_regclass('made')::text, '')"))
		names = append(names, one.Name, two.Name)
	})
	count := "select count(*)::text from pg_database where datname in ('" + strings.Join(names, "', '") + "')"
	require.Equal(t, "0", value(t, Database(t).Super, count))
}

func TestEachWayInTakesItsRole(t *testing.T) {
	t.Parallel()
	urls := Database(t)
	for _, c := range []struct{ url, role, passesRowSecurity string }{
		{urls.Owner, "sillbook_owner", "true"},
		{urls.App, "sillbook_app", "false"},
		{urls.Worker, "sillbook_worker", "false"},
		{urls.Backup, "sillbook_backup", "true"},
	} {
		t.Run(c.role, func(t *testing.T) {
			t.Parallel()
			const who = `select current_user || ' ' || (rolbypassrls or rolsuper)::text from pg_roles where rolname = current_user`
			require.Equal(t, c.role+" "+c.passesRowSecurity, value(t, c.url, who))
		})
	}
}

func TestEmptyDatabaseHasNoTables(t *testing.T) {
	t.Parallel()
	require.Equal(t, "0", value(t, Empty(t).Super, "select count(*)::text from pg_tables where schemaname = 'public'"))
}

func TestURLKeepsItsOptionsAndTakesTheRole(t *testing.T) {
	t.Parallel()
	urls, err := ways("postgres://me:secret@db:5433/postgres?sslmode=disable&options=-c%20jit%3Doff", "book")
	require.NoError(t, err)
	u, err := url.Parse(urls.App)
	require.NoError(t, err)
	require.Equal(t, "-c jit=off -c role=sillbook_app", u.Query().Get("options"))
	require.Equal(t, "/book", u.Path)
	require.Equal(t, "db:5433", u.Host)

	_, err = ways("host=db user=me", "book")
	require.ErrorContains(t, err, serverEnv)
}

func TestKilledTestLeavesNoServerAndNoDirectory(t *testing.T) {
	t.Parallel()
	own, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(own)
	cmd.Env = append(os.Environ(), standInEnv+"=1")
	stdin, err := cmd.StdinPipe()
	require.NoError(t, err)
	defer stdin.Close()
	stdout, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	line, err := bufio.NewReader(stdout).ReadString('\n')
	require.NoError(t, err)
	u, err := url.Parse(strings.TrimSpace(line))
	require.NoError(t, err)
	socket := u.Query().Get("host")
	require.DirExists(t, socket)

	require.NoError(t, cmd.Process.Kill())
	_ = cmd.Wait()

	require.Eventually(t, func() bool {
		_, err := os.Stat(socket)
		return os.IsNotExist(err)
	}, time.Minute, 50*time.Millisecond)
}
