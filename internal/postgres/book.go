package postgres

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
)

// Get reads one record as the caller may see it; version 0 is the current one.
func (s *Store) Get(ctx context.Context, call Call, kind string, id uuid.UUID, version int) (record Record, body []byte, err error) {
	if version == 0 && stored(kind) && call.Caller.Grant == uuid.Nil {
		record, err = s.getNow(ctx, call, kind, id)
		return record, record.Body, err
	}
	err = s.read(ctx, call, func(t *Tx) error {
		if version == 0 {
			record, err = t.Load(kind, id)
		} else {
			record, err = t.At(kind, id, version)
		}
		if err != nil {
			return err
		}
		bodies, err := t.Reveal(kind, record)
		if err != nil {
			return err
		}
		if version == 0 {
			if err := t.present(kind, []Record{record}, bodies); err != nil {
				return err
			}
		}
		body = bodies[0]
		recorded, err := t.showsRestricted(record)
		if call.Caller.Grant != uuid.Nil && !recorded {
			t.RecordAccess(kind, &id, false)
		}
		return err
	})
	return record, body, err
}

// Listing is what a list asks for.
type Listing struct {
	Filters      map[string]any // by the parameter's name; only those that the kind's table declares
	After        uuid.UUID      // the last id of the page before
	Limit        int
	IncludeEnded bool
	Count        string // "", "exact" or "estimated"
}

// Page is what a list gives. Next is uuid.Nil on the last page. Count is negative when it was not asked for.
type Page struct {
	Bodies [][]byte
	Next   uuid.UUID
	Count  int64
}

// List reads a page of records within the caller's reach, oldest first.
func (s *Store) List(ctx context.Context, call Call, kind string, l Listing) (page Page, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		page, err = t.List(kind, l)
		return err
	})
	return page, err
}

// List reads a page of records within the caller's reach, oldest first.
func (t *Tx) List(kind string, l Listing) (Page, error) {
	page := Page{Count: -1}
	where, args := t.condition(kind, l)
	if l.Count != "" {
		if err := t.count(&page, kind, l.Count, where, args); err != nil {
			return Page{}, err
		}
	}
	args = append(args, l.After, l.Limit+1)
	sql := fmt.Sprintf(`
select id, version, ended, body
from %s%s
  and id > $%d
order by id
limit $%d`, tableOf(kind).name, where, len(args)-1, len(args))
	var records []Record
	err := t.query(rowsOf(&records, func(row pgx.CollectableRow) (Record, error) {
		r := Record{Kind: kind}
		return r, row.Scan(&r.ID, &r.Version, &r.Ended, &r.Body)
	}), sql, args...)
	if err != nil {
		return Page{}, err
	}
	if len(records) > l.Limit {
		records = records[:l.Limit]
		page.Next = records[l.Limit-1].ID
	}
	if t.call.Caller.Grant != uuid.Nil {
		t.RecordAccess(kind, nil, false)
	}
	if page.Bodies, err = t.Reveal(kind, records...); err != nil {
		return Page{}, err
	}
	return page, t.present(kind, records, page.Bodies)
}

// condition is the where clause of a list: one text for each set of filters, so that each can be prepared.
func (t *Tx) condition(kind string, l Listing) (string, []any) {
	table, args := tableOf(kind), []any{t.organization()}
	var sql strings.Builder
	sql.WriteString("\nwhere organization_id = $1")
	and := func(format string, value any) {
		args = append(args, value)
		fmt.Fprintf(&sql, "\n  and "+format, fmt.Sprintf("$%d", len(args)))
	}
	if !l.IncludeEnded {
		sql.WriteString("\n  and not ended")
	}
	if t.call.Caller.Narrowed() && table.scope != ofOrganization {
		and(table.narrowed("%s"), t.call.Caller.Properties)
	}
	if table.hangs {
		t.withinReach(and)
	}
	for _, f := range table.filters {
		if value, asked := l.Filters[f.parameter]; asked {
			and(cmp.Or(table.worked[f.parameter], f.parameter)+" = %s::"+f.kind, value)
		}
	}
	return sql.String(), args
}

func (t *Tx) count(page *Page, kind, how, where string, args []any) error {
	table := tableOf(kind).name
	if how == "exact" {
		return t.query(func(rows pgx.Rows) (err error) {
			page.Count, err = pgx.CollectExactlyOneRow(rows, pgx.RowTo[int64])
			return err
		}, "select count(*) from "+table+where, args...)
	}
	var plans []string
	if err := t.query(rowsOf(&plans, pgx.RowTo[string]), "explain select from "+table+where, args...); err != nil {
		return err
	}
	for _, line := range plans {
		if _, rest, ok := strings.Cut(line, " rows="); ok {
			if _, err := fmt.Sscan(rest, &page.Count); err != nil {
				return err
			}
			return nil
		}
	}
	return fault.New(fault.Internal, "internal", "The planner gave no estimate.")
}

// Create records something new.
func (s *Store) Create(ctx context.Context, call Call, kind string, d Draft) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		record, err := t.create(kind, d)
		return Outcome{Status: 201, Record: record}, err
	})
}

func (t *Tx) create(kind string, d Draft) (Record, error) {
	d.Fields = d.Fields.With(nil) // the transaction may run more than once
	if err := t.complete(kind, nil, &d); err != nil {
		return Record{}, err
	}
	record, err := t.Insert(kind, "created", d)
	if err != nil {
		return Record{}, err
	}
	return record, t.follow(record)
}

// Change records a new version of a record. match is the ETag the caller knows, or nil for any; edit makes the new
// draft from the current fields.
func (s *Store) Change(ctx context.Context, call Call, kind string, id uuid.UUID, match *string, edit func(Fields) (Draft, error)) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		return t.edit(kind, id, match, edit)
	})
}

func (t *Tx) edit(kind string, id uuid.UUID, match *string, edit func(Fields) (Draft, error)) (Outcome, error) {
	before, err := t.HoldMatching(kind, id, match)
	if err != nil {
		return Outcome{}, err
	}
	fields, err := before.Fields()
	if err != nil {
		return Outcome{}, err
	}
	told := fields.Told()
	for _, name := range tableOf(kind).restricted {
		delete(told, name)
	}
	draft, err := edit(told)
	if err != nil {
		return Outcome{}, err
	}
	if err := t.complete(kind, &before, &draft); err != nil {
		return Outcome{}, err
	}
	after, err := t.Replace(before, "changed", draft)
	if err != nil || after.Version == before.Version {
		return Outcome{Status: 200, Record: after}, err
	}
	return Outcome{Status: 200, Record: after}, t.follow(after)
}

// HoldMatching holds a record whose version the caller knows; a stale one is refused.
func (t *Tx) HoldMatching(kind string, id uuid.UUID, match *string) (Record, error) {
	if err := t.takeTurnAt(kind, id); err != nil {
		return Record{}, err
	}
	record, err := t.Hold(kind, id)
	if err != nil {
		return Record{}, err
	}
	if match != nil && *match != "*" && *match != record.ETag() {
		return Record{}, fault.New(fault.Stale, "stale", "The record is at version %d now; If-Match names %s.", record.Version, *match).
			Fix("Read the record again, look at what changed, and send the request with its current ETag.")
	}
	return record, nil
}

const lockExternalID = `
select pg_advisory_xact_lock(hashtextextended($1, 0))`

// Put creates the record under an external id, or changes the one that has it.
func (s *Store) Put(ctx context.Context, call Call, kind, system, value string, match *string, edit func(Fields) (Draft, error)) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		t.later(lockExternalID, t.organization().String()+kind+" "+system+" "+value)
		holder, err := t.Holder(kind, system, value)
		if err != nil {
			return Outcome{}, err
		}
		if holder != uuid.Nil {
			return t.edit(kind, holder, match, edit)
		}
		if match != nil {
			return Outcome{}, fault.New(fault.Stale, "stale", "If-Match was sent, and there is no record under this external id.").
				Fix("Leave If-Match out to create the record.")
		}
		draft, err := edit(nil)
		if err != nil {
			return Outcome{}, err
		}
		record, err := t.create(kind, draft)
		return Outcome{Status: 201, Record: record}, err
	})
}

// End ends a record.
func (s *Store) End(ctx context.Context, call Call, kind string, id uuid.UUID, match *string, ending Ending) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		if err := t.takeTurnAt(kind, id); err != nil {
			return Outcome{}, err
		}
		if ending.MergedInto != nil {
			if err := t.checkMerge(kind, id, *ending.MergedInto); err != nil {
				return Outcome{}, err
			}
		}
		before, err := t.HoldMatching(kind, id, match)
		if err != nil {
			return Outcome{}, err
		}
		after, err := t.End(before, ending)
		if err != nil {
			return Outcome{}, err
		}
		return Outcome{Status: 200, Record: after}, t.follow(after)
	})
}

// checkMerge demands a live record of the same kind other than the one that ends; since that one is live, following
// merges can never come back to where it began.
func (t *Tx) checkMerge(kind string, id, into uuid.UUID) error {
	var faults fault.Faults
	target, err := t.Hold(kind, into)
	switch {
	case id == into:
		faults.Add("/merged_into", "merged_into_itself", "A record cannot be merged into itself.")
	case fault.Is(err, fault.NotFound):
		faults.Add("/merged_into", "no_such_reference", "There is no %s with this identifier that this credential may see.", kind)
	case err != nil:
		return err
	case target.Ended:
		faults.Add("/merged_into", "reference_ended", "The %s has ended; name a live one.", kind)
	}
	return faults.Err()
}

// Show gives an outcome's record as the caller may see it.
func (s *Store) Show(ctx context.Context, call Call, record Record) (body []byte, err error) {
	if stored(record.Kind) {
		return record.Body, nil
	}
	err = s.read(ctx, call, func(t *Tx) error {
		bodies, err := t.Reveal(record.Kind, record)
		if err != nil {
			return err
		}
		err = t.present(record.Kind, []Record{record}, bodies)
		body = bodies[0]
		return err
	})
	return body, err
}
