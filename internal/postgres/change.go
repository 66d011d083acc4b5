package postgres

import (
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// schemaVersion is the edition of the written forms in change.body.
const schemaVersion = 1

const insertChange = `
insert into change
  (organization_id, id, subject_kind, subject_id, subject_version, property_ids, restricted, action,
   actor_kind, actor_id, actor_organization_id, grant_id, request_id, recorded_at, schema_version, rule_set, body)
values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)`

const insertPending = `
insert into change_pending (organization_id, change_id, subject_version)
values ($1, $2, $3)`

// change writes the log's entry for a version of a record. restricted says that only restricted fields differ from the
// version before, so that others need not learn that anything happened; nor need they of what hangs on something restricted.
func (t *Tx) change(r Record, action string, restricted bool) error {
	if tableOf(r.Kind).hangs {
		var err error
		if restricted, err = r.isRestricted(); err != nil {
			return err
		}
	}
	id := newID()
	caller := t.call.Caller
	kind, actor, home, grant := "key", optional(caller.Key), optional(caller.Home), optional(caller.Grant)
	if actor == nil {
		kind = "book"
	}
	t.later(insertChange, t.organization(), id, r.Kind, r.ID, r.Version, nonNil(r.Properties), restricted, action,
		kind, actor, home, grant, t.call.RequestID, t.now, schemaVersion, t.store.ruleSet, r.Body)
	t.later(insertPending, t.organization(), id, r.Version)
	return nil
}

func optional(id uuid.UUID) *uuid.UUID {
	if id == uuid.Nil {
		return nil
	}
	return &id
}

func scanID(row pgx.CollectableRow) (id uuid.UUID, err error) {
	err = row.Scan(&id)
	return id, err
}
