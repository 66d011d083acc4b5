package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// KeepPartitions makes the partitions that the coming weeks need and drops those whose time is over.
func (s *Store) KeepPartitions(ctx context.Context) error {
	_, err := s.worker.Exec(ctx, `select keep_partitions($1)`, s.now().UTC())
	return settle(err)
}

// Pending counts the changes that have no position yet, for metrics.
func (s *Store) Pending(ctx context.Context) (n int64, err error) {
	err = s.worker.QueryRow(ctx, `select count(*) from change_pending`).Scan(&n)
	return n, settle(err)
}

// KeyRef names a key of an organization.
type KeyRef struct{ Organization, Key uuid.UUID }

const noteUses = `
insert into key_use (organization_id, key_id, last_used_at)
select *
from unnest($1::uuid[], $2::uuid[], $3::timestamptz[])
on conflict (organization_id, key_id) do update
set last_used_at = greatest(key_use.last_used_at, excluded.last_used_at)`

// NoteUses writes when keys were last used. The worker calls it at most once a minute.
func (s *Store) NoteUses(ctx context.Context, used map[KeyRef]time.Time) error {
	var organizations, keys []uuid.UUID
	var times []time.Time
	for ref, at := range used {
		organizations, keys, times = append(organizations, ref.Organization), append(keys, ref.Key), append(times, at)
	}
	_, err := s.worker.Exec(ctx, noteUses, pgx.QueryExecModeDescribeExec, organizations, keys, times)
	return settle(err)
}
