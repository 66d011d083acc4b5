package postgres_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/law"
)

const selectPartitions = `
select relname::text
from pg_class
where relispartition
  and relkind = 'r'
  and relname like $1 || '%'
order by relname`

func TestChangeIsPartitionedFromTheFirstMigration(t *testing.T) {
	t.Parallel()
	conn := connect(t, pgtest.Database(t).Owner)
	require.Equal(t, []string{"RANGE (id)"}, rows[string](t, conn, `select pg_get_partkeydef('change'::regclass)`))
	require.Equal(t, []string{"RANGE (day)"}, rows[string](t, conn, `select pg_get_partkeydef('idempotency'::regclass)`))
}

// keeper is a store on a database of its own, because partitions are made for all organizations, with a clock to move.
func keeper(t *testing.T) (s *postgres.Store, db pgtest.URLs, at func(string)) {
	t.Helper()
	db = pgtest.Fresh(t)
	book, err := law.Embedded()
	require.NoError(t, err)
	var now time.Time
	s, err = postgres.Open(t.Context(), postgres.Options{URL: db.Super, Connections: 2, Law: book, Now: func() time.Time { return now }})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s, db, func(day string) {
		now, err = time.Parse(time.DateOnly, day)
		require.NoError(t, err)
	}
}

func TestPartitionsAreMadeAheadAndOldDaysDropped(t *testing.T) {
	t.Parallel()
	s, db, at := keeper(t)
	owner := connect(t, db.Owner)
	at("2031-01-31")
	require.NoError(t, s.KeepPartitions(t.Context()))
	require.NoError(t, s.KeepPartitions(t.Context()), "again changes nothing")
	require.Equal(t, []string{"change_2030_12", "change_2031_01", "change_2031_02", "change_2031_03", "change_2031_04"}, rows[string](t, owner, selectPartitions, "change_203"))
	days := []string{"idempotency_2031_01_30", "idempotency_2031_01_31", "idempotency_2031_02_01", "idempotency_2031_02_02", "idempotency_2031_02_03"}
	require.Equal(t, days, rows[string](t, owner, selectPartitions, "idempotency_203"))
	require.Equal(t, []string{"idempotency_other"}, rows[string](t, owner, selectPartitions, "idempotency_")[len(days):], "the days of the migration are long over")

	at("2031-02-08")
	require.NoError(t, s.KeepPartitions(t.Context()))
	have := rows[string](t, owner, selectPartitions, "idempotency_203")
	require.NotContains(t, have, "idempotency_2031_01_30", "kept for seven days and dropped")
	require.Contains(t, have, "idempotency_2031_01_31")
	require.Contains(t, have, "idempotency_2031_02_11")
}

// A service that was off for long serves before its partitions are there: what came early moves when they are made.
func TestRowsThatCameBeforeTheirPartitionMoveIntoIt(t *testing.T) {
	t.Parallel()
	s, db, at := keeper(t)
	owner := connect(t, db.Owner)
	insert := func(day string, at time.Time) {
		t.Helper()
		id := uuid.Must(uuid.NewV7())
		milliseconds := at.UnixMilli()
		for i := range 6 {
			id[i] = byte(milliseconds >> (40 - 8*i))
		}
		_, err := owner.Exec(t.Context(), `
			insert into change
			values ($1, $2, 'unit', $1, 1, '{}', false, 'created', 'book', null, null, null, 'test', $3, 1, 'test', '{}')`, uuid.New(), id, at)
		require.NoError(t, err)
		_, err = owner.Exec(t.Context(), `
			insert into idempotency
			values ($1, $2, 'Test', 'k', $3, 'f', 200, '')`, uuid.New(), uuid.New(), day)
		require.NoError(t, err)
	}
	insert("2033-05-31", time.Date(2033, time.May, 31, 23, 59, 59, 999e6, time.UTC))
	insert("2033-06-01", time.Date(2033, time.June, 1, 0, 0, 0, 0, time.UTC))
	at("2033-06-01")
	require.NoError(t, s.KeepPartitions(t.Context()))
	for _, partition := range []string{"change_2033_05", "change_2033_06", "idempotency_2033_05_31", "idempotency_2033_06_01"} {
		require.Equal(t, []int{1}, rows[int](t, owner, `select count(*) from `+partition), partition)
	}
	require.Equal(t, []int{0}, rows[int](t, owner, `select count(*) from change_other`))
	require.Equal(t, []int{0}, rows[int](t, owner, `select count(*) from idempotency_other`))

	insert("2033-07-20", time.Date(2033, time.July, 20, 0, 0, 0, 0, time.UTC))
	at("2033-07-29")
	require.NoError(t, s.KeepPartitions(t.Context()))
	require.Equal(t, []int{0}, rows[int](t, owner, `select count(*) from idempotency_other`), "what is over goes, wherever it is")
}

// Requests must not queue behind upkeep that itself waits for a long transaction.
func TestUpkeepGivesUpRatherThanHoldRequestsUp(t *testing.T) {
	t.Parallel()
	s, db, at := keeper(t)
	owner := connect(t, db.Owner)
	tx, err := owner.Begin(t.Context())
	require.NoError(t, err)
	_, err = tx.Exec(t.Context(), `select count(*) from change`)
	require.NoError(t, err)
	at("2035-01-01")
	began := time.Now()
	require.Error(t, s.KeepPartitions(t.Context()))
	require.Less(t, time.Since(began), 10*time.Second)
	require.NoError(t, tx.Rollback(t.Context()))
	require.NoError(t, s.KeepPartitions(t.Context()))
	require.Contains(t, rows[string](t, owner, selectPartitions, "change_2035"), "change_2035_01")
}
