package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const insertAccess = `
insert into access_log
  (organization_id, id, at, operation, subject_kind, subject_id, actor_id, actor_organization_id, grant_id, restricted, request_id)
values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`

// RecordAccess notes a read of a restricted fact, or a read under a grant; subject is nil for a list.
func (t *Tx) RecordAccess(kind string, subject *uuid.UUID, restricted bool) {
	caller := t.call.Caller
	t.later(insertAccess, t.organization(), newID(), t.now, t.call.Operation, kind, subject,
		caller.Key, caller.Home, optional(caller.Grant), restricted, t.call.RequestID)
}

// Access is one recorded read.
type Access struct {
	ID           uuid.UUID
	At           time.Time
	Operation    string
	SubjectKind  string
	SubjectID    *uuid.UUID
	Actor        uuid.UUID
	Organization uuid.UUID // the actor's
	Grant        *uuid.UUID
	Restricted   bool
	RequestID    string
}

const selectAccesses = `
select id, at, operation, subject_kind, subject_id, actor_id, actor_organization_id, grant_id, restricted, request_id
from access_log
where organization_id = $1
  and id > $2
order by id
limit $3`

// Accesses reads the access log behind a position, oldest first.
func (s *Store) Accesses(ctx context.Context, call Call, after uuid.UUID, limit int) ([]Access, error) {
	var list []Access
	err := s.read(ctx, call, func(t *Tx) error {
		return t.query(rowsOf(&list, pgx.RowToStructByPos[Access]), selectAccesses, t.organization(), after, limit)
	})
	return list, err
}
