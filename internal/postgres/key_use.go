package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const selectUses = `
select key_id, last_used_at
from key_use
where organization_id = $1
  and key_id = any($2)`

// KeyUses gives when keys of the caller's organization were last used, for those that were.
func (s *Store) KeyUses(ctx context.Context, call Call, keys []uuid.UUID) (map[uuid.UUID]time.Time, error) {
	type use struct {
		Key uuid.UUID
		At  time.Time
	}
	var list []use
	err := s.read(ctx, call, func(t *Tx) error {
		return t.last(rowsOf(&list, pgx.RowToStructByPos[use]), selectUses, t.organization(), keys)
	})
	uses := make(map[uuid.UUID]time.Time, len(list))
	for _, u := range list {
		uses[u.Key] = u.At.UTC()
	}
	return uses, err
}
