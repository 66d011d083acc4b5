package postgres

import (
	"maps"
	"slices"
	"time"

	"github.com/google/uuid"

	"sillbook/internal/credential"
)

// TableStatements are the statements made from the tables' descriptions, by what they do.
func TableStatements() map[string]string {
	all := map[string]string{}
	for kind, t := range tables {
		all["get "+kind], all["hold "+kind], all["insert "+kind], all["update "+kind] = t.get, t.getForUpdate, t.insert, t.update
	}
	return all
}

// Kinds are the kinds of record that have a table.
func Kinds() []string { return slices.Sorted(maps.Keys(tables)) }

// ReferencesOf are the fields of a kind that name other records, with the kinds they name.
func ReferencesOf(kind string) map[string]string {
	fields := map[string]string{}
	for _, r := range tableOf(kind).references {
		fields[r.field] = r.kind
	}
	return fields
}

// WrittenForm is a new record as Insert writes it, with everything given that is otherwise made: identifiers, the instant
// and the salt.
func WrittenForm(kind string, id, organization, property uuid.UUID, at time.Time, salt []byte, told []byte) ([]byte, error) {
	caller := credential.Caller{Organization: organization, Scopes: []credential.Scope{credential.RestrictedWrite}}
	t := &Tx{store: &Store{salt: func() []byte { return salt }}, call: Call{Caller: caller}, now: at}
	record := Record{Kind: kind, ID: id, Version: 1}
	if tableOf(kind).scope != ofOrganization {
		record.Properties = []uuid.UUID{property}
	}
	d, err := DraftOf(told)
	if err != nil {
		return nil, err
	}
	fields, err := t.commit(record, record.place(d.Fields), nil)
	if err != nil {
		return nil, err
	}
	return t.compose(record, fields, at, nil)
}
