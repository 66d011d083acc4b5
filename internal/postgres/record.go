package postgres

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/evidence"
	"sillbook/internal/fault"
)

// Record is one version of one row of the book in its written form.
type Record struct {
	Kind       string
	ID         uuid.UUID
	Version    int
	Properties []uuid.UUID // empty: it belongs to the organization at large
	Ended      bool
	Body       []byte // canonical; restricted fields as commitments, see Reveal
}

// ETag is the version in quotes.
func (r Record) ETag() string { return strconv.Quote(strconv.Itoa(r.Version)) }

// Fields are the members of a record's written form.
type Fields map[string]jsontext.Value

// Fields takes the written form apart. The values still share the record's bytes.
func (r Record) Fields() (Fields, error) {
	var fields Fields
	if err := json.Unmarshal(r.Body, &fields); err != nil {
		return nil, fmt.Errorf("the stored form of %s %s cannot be read: %w", r.Kind, r.ID, err)
	}
	return fields, nil
}

// Read decodes the written form into a struct; restricted fields are not in it.
func (r Record) Read(into any) error {
	fields, err := r.Fields()
	if err != nil {
		return err
	}
	for _, field := range tableOf(r.Kind).restricted {
		delete(fields, field)
	}
	return fields.Into(into)
}

// head are the members that the book writes itself; no caller sends them.
var head = []string{"id", "organization_id", "version", "created_at", "updated_at", "ending"}

// Told are the members of the record that are not the book's own head.
func (f Fields) Told() Fields {
	told := make(Fields, len(f))
	for name, value := range f {
		if !slices.Contains(head, name) {
			told[name] = value
		}
	}
	return told
}

// With gives the members with others put over them.
func (f Fields) With(others Fields) Fields {
	both := make(Fields, len(f)+len(others))
	for name, value := range f {
		both[name] = value
	}
	for name, value := range others {
		both[name] = value
	}
	return both
}

// Into decodes the members into a struct.
func (f Fields) Into(v any) error {
	text, err := json.Marshal(f)
	if err != nil {
		return err
	}
	return json.Unmarshal(text, v)
}

// Draft is a record about to be written: every member but the head. Null members are left out of the written form.
type Draft struct {
	ID         uuid.UUID // uuid.Nil: the book makes one
	Fields     Fields
	Properties []uuid.UUID // leave empty where a reference gives the property
}

// Set writes a member. The value must be one that JSON can hold.
func (d *Draft) Set(name string, value any) error {
	if d.Fields == nil {
		d.Fields = Fields{}
	}
	return d.Fields.set(name, value)
}

func (f Fields) set(name string, value any) error {
	text, err := json.Marshal(value)
	if err == nil {
		f[name] = text
	}
	return err
}

// Load reads a live or ended record within the caller's reach, as it is now.
func (t *Tx) Load(kind string, id uuid.UUID) (Record, error) {
	return t.load(kind, id, tableOf(kind).get)
}

// Hold reads a record and keeps others from changing it until the transaction ends.
func (t *Tx) Hold(kind string, id uuid.UUID) (Record, error) {
	return t.load(kind, id, tableOf(kind).getForUpdate)
}

func (t *Tx) load(kind string, id uuid.UUID, sql string) (Record, error) {
	record := Record{Kind: kind, ID: id}
	found := false
	err := t.query(record.from(&found), sql, t.organization(), id)
	if err != nil {
		return Record{}, err
	}
	if !found || !t.call.Caller.Sees(record.Properties) {
		return Record{}, notFound()
	}
	return record, t.within(record)
}

// within answers as if a record were not there to a caller who may not see what it hangs on.
func (t *Tx) within(r Record) error {
	withheld, err := t.withheld(r)
	if err == nil && withheld {
		return notFound()
	}
	return err
}

// from reads the record out of the row of its table's get, and says whether there was one.
func (r *Record) from(found *bool) func(pgx.Rows) error {
	return func(rows pgx.Rows) error {
		for rows.Next() {
			*found = true
			if err := r.decode(rows.Conn().TypeMap(), rows.RawValues()); err != nil {
				return err
			}
		}
		return rows.Err()
	}
}

const selectVersion = `
select subject_version, property_ids, body
from change
where organization_id = $1
  and subject_kind = $2
  and subject_id = $3
  and subject_version = $4`

// At reads a record as it was at a version.
func (t *Tx) At(kind string, id uuid.UUID, version int) (Record, error) {
	record, err := t.at(kind, id, version)
	if err == nil {
		err = t.within(record)
	}
	return record, err
}

// at reads a record as it was at a version for whoever wrote it.
func (t *Tx) at(kind string, id uuid.UUID, version int) (Record, error) {
	record := Record{Kind: kind, ID: id}
	found := false
	err := t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			found = true
			if err := rows.Scan(&record.Version, &record.Properties, &record.Body); err != nil {
				return err
			}
		}
		return rows.Err()
	}, selectVersion, t.organization(), kind, id, version)
	if err != nil {
		return Record{}, err
	}
	if !found || !t.call.Caller.Sees(record.Properties) {
		return Record{}, notFound()
	}
	return record, nil
}

// Insert writes the first version of a record and its change. References are checked and give the property; a
// reference to something that is not there, has ended, or lies outside the caller's reach is a fault at its field.
func (t *Tx) Insert(kind, action string, d Draft) (Record, error) {
	record := Record{Kind: kind, ID: d.ID, Version: 1, Properties: d.Properties}
	if record.ID == uuid.Nil {
		record.ID = newID()
	}
	if err := t.resolve(&record, d.Fields); err != nil {
		return Record{}, err
	}
	fields, err := t.commit(record, record.place(d.Fields), nil)
	if err != nil {
		return Record{}, err
	}
	if err := t.claim(record, d.Fields["external_ids"], nil); err != nil {
		return Record{}, err
	}
	if record.Body, err = t.compose(record, fields, t.now, nil); err != nil {
		return Record{}, err
	}
	t.later(tableOf(kind).insert, t.organization(), record.ID, record.Version, false, record.Body, nonNil(record.Properties))
	return record, t.change(record, action, false)
}

// Replace writes the next version of a held record and its change. When nothing differs, the record comes back as it
// was and nothing is written.
func (t *Tx) Replace(before Record, action string, d Draft) (Record, error) {
	if err := t.mayChange(before); err != nil {
		return Record{}, err
	}
	old, err := before.Fields()
	if err != nil {
		return Record{}, err
	}
	after := Record{Kind: before.Kind, ID: before.ID, Version: before.Version + 1, Properties: before.Properties}
	if d.Properties != nil {
		after.Properties = d.Properties
	}
	if err := t.resolve(&after, d.Fields); err != nil {
		return Record{}, err
	}
	fields, err := t.commit(after, after.place(d.Fields), old)
	if err != nil {
		return Record{}, err
	}
	if same, err := equal(old.Told(), fields); err != nil || same {
		return before, err
	}
	if err := t.claim(after, d.Fields["external_ids"], old["external_ids"]); err != nil {
		return Record{}, err
	}
	var created time.Time
	if err := json.Unmarshal(old["created_at"], &created); err != nil {
		return Record{}, err
	}
	if after.Body, err = t.compose(after, fields, created, nil); err != nil {
		return Record{}, err
	}
	onlyRestricted := t.onlyRestricted(before.Kind, old.Told(), fields)
	t.later(tableOf(after.Kind).update, t.organization(), after.ID, after.Version, false, after.Body, nonNil(after.Properties))
	return after, t.change(after, action, onlyRestricted)
}

// place gives the members with the property that the record was found to belong to.
func (r Record) place(members Fields) Fields {
	placed := make(Fields, len(members)+1)
	for name, value := range members {
		placed[name] = value
	}
	switch scope := tableOf(r.Kind).scope; {
	case scope == ofProperty && r.Kind != "property" && len(r.Properties) == 1:
		placed["property_id"] = jsontext.Value(strconv.Quote(r.Properties[0].String()))
	case scope == ofProperties:
		text, _ := json.Marshal(nonNil(r.Properties)) // identifiers always marshal
		placed["property_ids"] = text
	}
	return placed
}

// mayChange refuses to change what has ended, and lets a caller narrowed to some properties add to what belongs to all of
// them, but not change it.
func (t *Tx) mayChange(r Record) error {
	if r.Ended {
		return ended()
	}
	if t.call.Caller.Narrowed() && tableOf(r.Kind).scope == ofOrganization {
		return fault.New(fault.Forbidden, "narrowed", "A credential narrowed to some properties does not change what belongs to all of them.").
			Fix("Ask someone whose credential is not narrowed.")
	}
	return t.mayWrite(r)
}

// Ending is how and why a record ended.
type Ending struct {
	How        string     `json:"how"`
	Reason     string     `json:"reason"`
	On         string     `json:"on,omitempty"`
	MergedInto *uuid.UUID `json:"merged_into,omitempty"`
	RecordedAt time.Time  `json:"recorded_at"`
}

// End writes the last version of a held record: as it stood, with its ending.
func (t *Tx) End(before Record, ending Ending) (Record, error) {
	if err := t.mayChange(before); err != nil {
		return Record{}, err
	}
	fields, err := before.Fields()
	if err != nil {
		return Record{}, err
	}
	var created time.Time
	if err := json.Unmarshal(fields["created_at"], &created); err != nil {
		return Record{}, err
	}
	after := before
	after.Version, after.Ended = before.Version+1, true
	ending.RecordedAt = t.now
	if after.Body, err = t.compose(after, fields.Told(), created, &ending); err != nil {
		return Record{}, err
	}
	t.later(tableOf(after.Kind).update, t.organization(), after.ID, after.Version, true, after.Body, nonNil(after.Properties))
	return after, t.change(after, "ended", false)
}

// compose gives the canonical written form: the head and the members, nulls left out.
func (t *Tx) compose(r Record, members Fields, created time.Time, ending *Ending) ([]byte, error) {
	body := make(map[string]any, len(members)+6)
	for name, value := range members {
		if !isNull(value) {
			body[name] = value
		}
	}
	body["id"], body["organization_id"], body["version"] = r.ID, t.organization(), r.Version
	body["created_at"], body["updated_at"] = created, t.now
	if ending != nil {
		body["ending"] = ending
	}
	text, err := json.Marshal(body)
	if err != nil {
		return nil, err
	}
	return evidence.Canonical(text)
}

// equal compares members by their canonical forms; a null member is the same as an absent one.
func equal(a, b Fields) (bool, error) {
	left, err := canonicalMembers(a)
	if err != nil {
		return false, err
	}
	right, err := canonicalMembers(b)
	return bytes.Equal(left, right), err
}

func canonicalMembers(f Fields) ([]byte, error) {
	live := make(Fields, len(f))
	for name, value := range f {
		if !isNull(value) {
			live[name] = value
		}
	}
	text, err := json.Marshal(live)
	if err != nil {
		return nil, err
	}
	return evidence.Canonical(text)
}

func isNull(v jsontext.Value) bool { return len(v) == 0 || v.Kind() == 'n' }

func nonNil(ids []uuid.UUID) []uuid.UUID {
	if ids == nil {
		return []uuid.UUID{}
	}
	return ids
}

func ended() *fault.Error {
	return fault.New(fault.Conflict, "ended", "The record has ended and cannot be changed any more.").
		Fix("Read its ending; record a new one if the thing is there again.")
}
