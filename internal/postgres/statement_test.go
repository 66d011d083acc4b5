package postgres_test

import (
	"context"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
)

// statement is a fixed text and where it is.
type statement struct{ name, sql string }

var beginsLikeSQL = regexp.MustCompile(`^\s*(select|insert|update|delete|with)\s`)

// fixedStatements are the constants and variables of the package that hold SQL, found in its source so that none can be
// forgotten, and those it makes of its tables' descriptions. Those of sequence.go and upkeep.go run as the
// worker.
func fixedStatements(t *testing.T) (app, worker []statement) {
	t.Helper()
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			general, ok := d.(*ast.GenDecl)
			if !ok {
				continue
			}
			for _, spec := range general.Specs {
				for _, s := range textsOf(t, spec) {
					if name == "sequence.go" || name == "upkeep.go" {
						worker = append(worker, s)
					} else {
						app = append(app, s)
					}
				}
			}
		}
	}
	for name, sql := range postgres.TableStatements() {
		app = append(app, statement{name, sql})
	}
	return app, worker
}

func textsOf(t *testing.T, spec ast.Spec) (list []statement) {
	t.Helper()
	value, ok := spec.(*ast.ValueSpec)
	if !ok {
		return nil
	}
	for i, v := range value.Values {
		literal, ok := v.(*ast.BasicLit)
		if !ok || literal.Kind != token.STRING {
			continue
		}
		sql, err := strconv.Unquote(literal.Value)
		require.NoError(t, err)
		if beginsLikeSQL.MatchString(sql) {
			list = append(list, statement{value.Names[i].Name, sql})
		}
	}
	return list
}

// Preparing checks names and types; explaining the prepared statement checks what the role may do.
func TestEveryFixedStatementPreparesAndMayRun(t *testing.T) {
	t.Parallel()
	db := pgtest.Database(t)
	app, worker := fixedStatements(t)
	require.Greater(t, len(app), 80)
	require.NotEmpty(t, worker)
	for url, list := range map[string][]statement{db.App: app, db.Worker: worker} {
		conn := connect(t, url)
		for i, s := range list {
			prepared := fmt.Sprint("s", i)
			description, err := conn.Prepare(t.Context(), prepared, s.sql)
			require.NoError(t, err, "%s: %s", s.name, s.sql)
			nulls := strings.TrimSuffix(strings.Repeat("null, ", len(description.ParamOIDs)), ", ")
			if nulls != "" {
				nulls = "(" + nulls + ")"
			}
			_, err = conn.Exec(t.Context(), "explain execute "+prepared+nulls)
			require.NoError(t, err, "%s: %s", s.name, s.sql)
		}
	}
}

// Every statement names the organization: row-level security is the second lock, not the only one.
func TestEveryFixedStatementOfARequestNamesTheOrganization(t *testing.T) {
	t.Parallel()
	app, _ := fixedStatements(t)
	for _, s := range app {
		if strings.Contains(s.sql, "advisory") {
			continue // a lock has no rows
		}
		require.Regexp(t, `organization_id`, s.sql, s.name)
		if !strings.Contains(s.sql, "insert into") {
			require.Regexp(t, `organization_id = \$1`, s.sql, s.name)
		}
	}
}

// connect signs in; statements see the schema.
func connect(t testing.TB, url string) *pgx.Conn {
	t.Helper()
	config, err := pgx.ParseConfig(url)
	require.NoError(t, err)
	config.RuntimeParams["search_path"] = "sillbook"
	conn, err := pgx.ConnectConfig(t.Context(), config)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, conn.Close(context.Background())) })
	return conn
}

// rows runs a query and collects its one column.
func rows[T any](t testing.TB, conn *pgx.Conn, sql string, args ...any) []T {
	t.Helper()
	found, err := conn.Query(t.Context(), sql, args...)
	require.NoError(t, err)
	list, err := pgx.CollectRows(found, pgx.RowTo[T])
	require.NoError(t, err, sql)
	return list
}

// Lists are put together from their filters: each alone, all together, narrowed or not, counted or not.
func TestEveryListCanBeNarrowedEveryWay(t *testing.T) {
	t.Parallel()
	b := openBook(t, newStore(t, pgtest.Database(t)))
	value := func(filter string) any {
		if strings.HasSuffix(filter, "_id") {
			return uuid.New()
		}
		if strings.Contains(filter, "_with_") { // yes or no
			return "true"
		}
		return "x"
	}
	for _, kind := range postgres.Kinds() {
		sets := []map[string]any{{}, {}}
		for _, filter := range postgres.FiltersOf(kind) {
			sets = append(sets, map[string]any{filter: value(filter)})
			sets[1][filter] = value(filter)
		}
		for _, filters := range sets {
			for i, count := range []string{"", "exact", "estimated"} {
				call := b.call
				if i > 0 {
					call.Caller.Properties = []uuid.UUID{uuid.New()}
				}
				page, err := b.List(t.Context(), call, kind, postgres.Listing{Filters: filters, Limit: 10, Count: count, IncludeEnded: i == 1})
				require.NoError(t, err, "%s %v", kind, filters)
				if kind != "organization" && kind != "key" {
					require.Empty(t, page.Bodies)
				}
				require.Equal(t, count == "", page.Count < 0)
			}
		}
	}
}
