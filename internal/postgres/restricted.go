package postgres

import (
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/credential"
	"sillbook/internal/evidence"
	"sillbook/internal/fault"
)

const insertRestricted = `
insert into restricted_value (organization_id, subject_kind, subject_id, field, commitment, salt, value)
values ($1, $2, $3, $4, $5, $6, $7)`

const selectRestricted = `
select commitment, salt, value
from restricted_value
where organization_id = $1
  and subject_kind = $2
  and subject_id = $3
  and field = $4`

// commit puts salted hashes in the place of restricted values and keeps the values apart. A restricted field that the
// draft does not mention keeps the commitment it had; one that was never told is committed as null, so that nobody can
// see from the written form whether there is anything to know.
func (t *Tx) commit(record Record, draft, old Fields) (Fields, error) {
	restricted := tableOf(record.Kind).restricted
	if len(restricted) == 0 {
		return draft, nil
	}
	fields := make(Fields, len(draft)+len(restricted))
	for name, value := range draft {
		fields[name] = value
	}
	for _, name := range restricted {
		value, told := draft[name]
		if told && !t.call.Caller.Has(credential.RestrictedWrite) {
			return nil, fault.New(fault.Forbidden, "restricted", "This credential may not record restricted facts.").
				At("/"+name, "restricted", "Recording %s needs the scope restricted:write.", name).
				Fix("Leave the field out, or use a key with the scope restricted:write.")
		}
		kept := old[name]
		if kept != nil {
			same := !told
			if told {
				before, err := t.restrictedValue(record.Kind, record.ID, name, kept)
				if err != nil {
					return nil, err
				}
				same = string(before) == string(orNull(value))
			}
			if same {
				fields[name] = kept
				continue
			}
		}
		salt, secret := t.store.salt(), orNull(value)
		commitment := evidence.Commit(salt, secret)
		t.later(insertRestricted, t.organization(), record.Kind, record.ID, name, commitment, salt, []byte(secret))
		text, err := json.Marshal(commitment)
		if err != nil {
			return nil, err
		}
		fields[name] = text
	}
	return fields, nil
}

func orNull(v jsontext.Value) jsontext.Value {
	if len(v) == 0 {
		return jsontext.Value("null")
	}
	return v
}

type restrictedRow struct {
	Commitment string
	Salt       []byte
	Value      []byte
}

// restrictedValue finds what a commitment stands for and checks that it does. An erased value reads as null.
func (t *Tx) restrictedValue(kind string, id uuid.UUID, field string, kept jsontext.Value) (jsontext.Value, error) {
	var commitment string
	if err := json.Unmarshal(kept, &commitment); err != nil {
		return nil, err
	}
	var rows []restrictedRow
	err := t.query(rowsOf(&rows, pgx.RowToStructByPos[restrictedRow]), selectRestricted, t.organization(), kind, id, field)
	if err != nil {
		return nil, err
	}
	for _, row := range rows {
		if row.Commitment == commitment && evidence.Commit(row.Salt, row.Value) == commitment {
			return row.Value, nil
		}
	}
	return jsontext.Value("null"), nil
}

// onlyRestricted reports whether two versions differ in nothing but restricted fields.
func (t *Tx) onlyRestricted(kind string, before, after Fields) bool {
	restricted := tableOf(kind).restricted
	if len(restricted) == 0 {
		return false
	}
	strip := func(f Fields) Fields {
		open := make(Fields, len(f))
		for name, value := range f {
			if !tableOf(kind).isRestricted(name) {
				open[name] = value
			}
		}
		return open
	}
	same, err := equal(strip(before), strip(after))
	return err == nil && same
}

// Reveal gives records of one kind as the caller may see them: restricted fields with their values for those with the
// scope, and left out for everyone else. Showing them is recorded in the access log.
func (t *Tx) Reveal(kind string, records ...Record) ([][]byte, error) {
	bodies := make([][]byte, len(records))
	restricted := tableOf(kind).restricted
	if len(restricted) == 0 {
		for i := range records {
			bodies[i] = records[i].Body
		}
		if tableOf(kind).hangs {
			return bodies, t.recordShown(kind, records)
		}
		return bodies, nil
	}
	var values map[string]restrictedRow
	if t.call.Caller.Has(credential.RestrictedRead) {
		var err error
		if values, err = t.restrictedValues(kind, records); err != nil {
			return nil, err
		}
	}
	for i, record := range records {
		var err error
		if bodies[i], err = uncover(record, restricted, values); err != nil {
			return nil, err
		}
	}
	if values != nil && len(records) == 1 {
		t.RecordAccess(kind, &records[0].ID, true)
	} else if values != nil {
		t.RecordAccess(kind, nil, true)
	}
	return bodies, nil
}

// uncover puts the values where the commitments stand; values is nil for a caller who may not see them.
func uncover(record Record, restricted []string, values map[string]restrictedRow) ([]byte, error) {
	fields, err := record.Fields()
	if err != nil {
		return nil, err
	}
	for _, name := range restricted {
		kept, there := fields[name]
		delete(fields, name)
		if !there || values == nil {
			continue
		}
		var commitment string
		if err := json.Unmarshal(kept, &commitment); err != nil {
			return nil, err
		}
		row, there := values[commitment]
		if there && evidence.Commit(row.Salt, row.Value) == commitment && !isNull(row.Value) {
			fields[name] = row.Value
		}
	}
	text, err := json.Marshal(fields)
	if err != nil {
		return nil, err
	}
	return evidence.Canonical(text)
}

const selectRestrictedOfMany = `
select commitment, salt, value
from restricted_value
where organization_id = $1
  and subject_kind = $2
  and subject_id = any($3)`

func (t *Tx) restrictedValues(kind string, records []Record) (map[string]restrictedRow, error) {
	ids := make([]uuid.UUID, len(records))
	for i := range records {
		ids[i] = records[i].ID
	}
	var rows []restrictedRow
	err := t.query(rowsOf(&rows, pgx.RowToStructByPos[restrictedRow]), selectRestrictedOfMany, t.organization(), kind, ids)
	if err != nil {
		return nil, err
	}
	values := make(map[string]restrictedRow, len(rows))
	for _, row := range rows {
		values[row.Commitment] = row
	}
	return values, nil
}
