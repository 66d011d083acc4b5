package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"
)

// One sequencer works at a time.
const lockSequencer = `
select pg_try_advisory_xact_lock(7319847215331)`

// Takes what is committed and pending, and gives each change the next position of its organization. A subject's
// versions keep their order; a change that commits later gets a later position, whenever its id was made.
const sequencePending = `
with taken as (
  delete from change_pending
  where (organization_id, change_id) in (
    select organization_id, change_id
    from change_pending
    order by subject_version, change_id
    limit $1)
  returning organization_id, change_id, subject_version
), held as (
  select organization_id, coalesce((
    select max(position)
    from change_position p
    where p.organization_id = o.organization_id), 0) as position
  from (select distinct organization_id from taken) o
)
insert into change_position (organization_id, position, change_id, sequenced_at)
select t.organization_id,
  h.position + row_number() over (partition by t.organization_id order by t.subject_version, t.change_id),
  t.change_id,
  $2
from taken t
join held h on h.organization_id = t.organization_id`

// Sequence gives positions to at most limit pending changes, and reports to how many. It does nothing while another
// sequencer is at work.
func (s *Store) Sequence(ctx context.Context, limit int) (done int64, err error) {
	err = pgx.BeginFunc(ctx, s.worker, func(tx pgx.Tx) error {
		var mine bool
		if err := tx.QueryRow(ctx, lockSequencer).Scan(&mine); err != nil || !mine {
			return err
		}
		tag, err := tx.Exec(ctx, sequencePending, limit, s.now().UTC())
		done = tag.RowsAffected()
		return err
	})
	return done, settle(err)
}
