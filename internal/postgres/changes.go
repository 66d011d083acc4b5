package postgres

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/credential"
)

// Change is one entry of the log, its record as the caller may see it.
type Change struct {
	Position     int64
	ID           uuid.UUID
	RecordedAt   time.Time
	Record       Record
	Action       string
	ActorKind    string
	Actor        *uuid.UUID
	Organization *uuid.UUID // the actor's
	Grant        *uuid.UUID
	RequestID    string
	RuleSet      string
	Restricted   bool // only restricted facts differ from the version before
	Body         []byte
}

// ChangeFilter narrows the log; zero values do not.
type ChangeFilter struct {
	Subject uuid.UUID
	Kind    string
}

const selectChanges = `
select p.position, c.id, c.recorded_at, c.subject_kind, c.subject_id, c.subject_version, c.property_ids, c.body,
  c.action, c.actor_kind, c.actor_id, c.actor_organization_id, c.grant_id, c.request_id, c.rule_set, c.restricted
from change_position p
join change c on c.organization_id = p.organization_id and c.id = p.change_id
where p.organization_id = $1
  and p.position > $2
order by p.position
limit $3`

// Changes reads the log behind a position. next is the position to go on from: it also moves past what the caller may
// not see and what the filter leaves out.
func (s *Store) Changes(ctx context.Context, call Call, after int64, limit int, filter ChangeFilter) (list []Change, next int64, err error) {
	next = after
	err = s.read(ctx, call, func(t *Tx) error {
		for len(list) < limit {
			var page []Change
			if err := t.query(rowsOf(&page, scanChange), selectChanges, t.organization(), next, max(limit, 100)); err != nil {
				return err
			}
			for _, c := range page {
				if len(list) == limit {
					break
				}
				next = c.Position
				follows, err := t.mayFollow(c)
				if err != nil {
					return err
				}
				if !follows || !filter.takes(c) {
					continue
				}
				bodies, err := t.Reveal(c.Record.Kind, c.Record)
				if err != nil {
					return err
				}
				c.Body = bodies[0]
				list = append(list, c)
			}
			if len(page) < max(limit, 100) {
				break
			}
		}
		if t.call.Caller.Grant != uuid.Nil {
			t.RecordAccess("change", nil, false)
		}
		return nil
	})
	return list, next, err
}

func scanChange(row pgx.CollectableRow) (c Change, err error) {
	r := &c.Record
	err = row.Scan(&c.Position, &c.ID, &c.RecordedAt, &r.Kind, &r.ID, &r.Version, &r.Properties, &r.Body,
		&c.Action, &c.ActorKind, &c.Actor, &c.Organization, &c.Grant, &c.RequestID, &c.RuleSet, &c.Restricted)
	return c, err
}

func (f ChangeFilter) takes(c Change) bool {
	return (f.Subject == uuid.Nil || f.Subject == c.Record.ID) && (f.Kind == "" || f.Kind == c.Record.Kind)
}

// mayFollow reports whether the caller may see that the change happened at all.
func (t *Tx) mayFollow(c Change) (bool, error) {
	caller := t.call.Caller
	switch c.Record.Kind {
	case "key", "grant":
		if caller.Role != credential.Owner || caller.Narrowed() {
			return false, nil
		}
	}
	if c.Restricted && !caller.Has(credential.RestrictedRead) || !caller.Sees(c.Record.Properties) || !caller.Covers(c.Record.Kind) {
		return false, nil
	}
	withheld, err := t.withheld(c.Record)
	return !withheld, err
}
