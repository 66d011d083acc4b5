package postgres

import (
	"maps"
	"slices"
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
