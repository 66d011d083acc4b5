package postgres

import (
	"bytes"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
)

// One request at a time may hold a key; the lock goes with the transaction.
const lockIdempotencyKey = `
select pg_try_advisory_xact_lock(hashtextextended($1, 0))`

const selectIdempotency = `
select fingerprint, status, subject_kind, subject_id, subject_version, items
from idempotency
where organization_id = $1
  and credential_id = $2
  and operation = $3
  and key = $4
  and day > $5::date - 8`

const insertIdempotency = `
insert into idempotency
  (organization_id, credential_id, operation, key, day, fingerprint, status, subject_kind, subject_id, subject_version, items)
values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`

type remembered struct {
	Fingerprint []byte
	Status      int
	Kind        string
	ID          *uuid.UUID
	Version     *int
	Items       []byte
}

// recall looks for what the call's idempotency key came to before. done is true when it gives that outcome again.
func (t *Tx) recall() (outcome Outcome, done bool, err error) {
	call := t.call
	if call.IdempotencyKey == "" {
		return Outcome{}, false, nil
	}
	var alone bool
	lock := call.Caller.Organization.String() + call.Caller.Key.String() + call.Operation + " " + call.IdempotencyKey
	t.queue.Queue(lockIdempotencyKey, lock).QueryRow(func(row pgx.Row) error { return row.Scan(&alone) })
	t.queued = append(t.queued, lockIdempotencyKey)
	var found []remembered
	err = t.query(rowsOf(&found, pgx.RowToStructByPos[remembered]), selectIdempotency,
		t.organization(), call.Caller.Key, call.Operation, call.IdempotencyKey, t.now)
	if err != nil {
		return Outcome{}, false, err
	}
	if !alone {
		busy := fault.New(fault.Conflict, "still_running", "A request with this Idempotency-Key is still running.").
			Fix("Send it again after the time in Retry-After to get its outcome.")
		busy.RetryAfter = time.Second
		return Outcome{}, false, busy
	}
	if len(found) == 0 {
		return Outcome{}, false, nil
	}
	before := found[0]
	if !bytes.Equal(before.Fingerprint, call.Fingerprint) {
		e := fault.New(fault.Implausible, "idempotency_key_reused", "This Idempotency-Key came before with another request.").
			Fix("Use a new key for a new request.")
		e.Fields = []fault.Field{{Header: "Idempotency-Key", Code: "reused", Detail: "The key came before with another request."}}
		return Outcome{}, false, e
	}
	outcome = Outcome{Status: before.Status, Items: before.Items, Replayed: true}
	if before.ID != nil {
		outcome.Record, err = t.at(before.Kind, *before.ID, *before.Version)
	}
	return outcome, true, err
}

// remember keeps the outcome beside its effect: what it was and of which version, not its body.
func (t *Tx) remember(outcome Outcome) {
	call := t.call
	if call.IdempotencyKey == "" {
		return
	}
	var id *uuid.UUID
	var version *int
	if outcome.Record.Kind != "" {
		id, version = &outcome.Record.ID, &outcome.Record.Version
	}
	t.later(insertIdempotency, t.organization(), call.Caller.Key, call.Operation, call.IdempotencyKey, t.now,
		call.Fingerprint, outcome.Status, outcome.Record.Kind, id, version, outcome.Items)
}
