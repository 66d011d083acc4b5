package postgres

import (
	"fmt"
	"slices"
	"strings"
)

// table describes how the records of one kind lie in the database. Its statements are made once, from it.
type table struct {
	kind       string
	name       string
	scope      scope
	columns    []column    // read out of the record's body by the statement that writes the row
	references []reference // fields of the record that point to others, the one that gives the property first
	restricted []string    // fields kept as commitments, their values apart
	filters    []filter    // what a list can be narrowed by
	hangs      bool        // on another record, whose reach it shares; see hanging.go

	worked map[string]string // for filters that are no column: the expression that stands for them

	get, getForUpdate, insert, update string
}

// scope says how a record belongs to properties.
type scope int

const (
	ofProperty     scope = iota // column property_id
	ofProperties                // column property_ids, may be several
	ofOrganization              // none: it belongs to the organization at large
)

// column is a typed column and the expression over j, the record's body as jsonb, that fills it.
type column struct{ name, from string }

// reference is a field that names another record.
type reference struct{ field, kind string }

// filter is a list's query parameter, its column and the column's type.
type filter struct{ parameter, kind string }

const (
	byUUID = "uuid"
	byText = "text"

	byTruth = "boolean"
)

func uuidOf(name string) column { return column{name, fmt.Sprintf("(j->>'%s')::uuid", name)} }
func textOf(name string) column { return column{name, fmt.Sprintf("j->>'%s'", name)} }

// ifCounts says whether something told counts; what was told before anybody asked does.
var ifCounts = column{"counts", "coalesce((j->>'counts')::boolean, true)"}

// tables are the kinds of record, in the order in which they refer to each other.
var tables = prepareTables([]*table{
	{kind: "organization", name: "organization", scope: ofOrganization},
	{kind: "key", name: "api_key", scope: ofOrganization},
	{kind: "grant", name: "access_grant", scope: ofOrganization, columns: []column{uuidOf("grantee_organization_id")}},
	{kind: "property", name: "property", columns: []column{textOf("time_zone")}},
	{kind: "building", name: "building", references: []reference{{"property_id", "property"}},
		filters: []filter{{"property_id", byUUID}}},
	{kind: "unit", name: "unit", columns: []column{uuidOf("building_id"), textOf("kind")},
		references: []reference{{"building_id", "building"}},
		filters:    []filter{{"property_id", byUUID}, {"building_id", byUUID}, {"kind", byText}}},
	{kind: "room", name: "room", columns: []column{uuidOf("unit_id"), uuidOf("building_id")},
		references: []reference{{"unit_id", "unit"}, {"building_id", "building"}},
		filters:    []filter{{"property_id", byUUID}, {"unit_id", byUUID}, {"building_id", byUUID}}},
	{kind: "exterior_side", name: "exterior_side", columns: []column{uuidOf("building_id")},
		references: []reference{{"building_id", "building"}},
		filters:    []filter{{"property_id", byUUID}, {"building_id", byUUID}}},
	{kind: "occupancy", name: "occupancy",
		columns:    []column{uuidOf("unit_id"), {"from_date", "(j->>'from')::date"}, {"to_date", "(j->>'to')::date"}},
		references: []reference{{"unit_id", "unit"}}, restricted: []string{"pregnant_residents", "under_six_until"},
		filters: []filter{{"property_id", byUUID}, {"unit_id", byUUID}}},
	{kind: "facility", name: "facility", scope: ofOrganization},
	{kind: "overlay", name: "overlay", scope: ofOrganization, columns: []column{textOf("jurisdiction")}},
	{kind: "firm", name: "firm", scope: ofOrganization},
	{kind: "person", name: "person", scope: ofOrganization, columns: []column{uuidOf("firm_id")},
		references: []reference{{"firm_id", "firm"}}, filters: []filter{{"firm_id", byUUID}}},
	{kind: "certificate", name: "certificate", scope: ofOrganization,
		columns:    []column{uuidOf("firm_id"), uuidOf("person_id"), textOf("discipline")},
		references: []reference{{"firm_id", "firm"}, {"person_id", "person"}},
		filters:    []filter{{"firm_id", byUUID}, {"person_id", byUUID}, {"discipline", byText}}},
	{kind: "renovation", name: "renovation", columns: []column{textOf("state"), uuidOf("firm_id")},
		references: []reference{{"property_id", "property"}, {"firm_id", "firm"}},
		filters:    []filter{{"property_id", byUUID}, {"state", byText}, {"closed_with_open_finding", byTruth}},
		worked:     map[string]string{"closed_with_open_finding": closedWithOpenFinding}},
	{kind: "small_repair", name: "small_repair",
		columns:    []column{uuidOf("room_id"), uuidOf("exterior_side_id"), {"done_on", "(j->>'done_on')::date"}, textOf("outcome")},
		references: []reference{{"room_id", "room"}, {"exterior_side_id", "exterior_side"}},
		filters:    []filter{{"property_id", byUUID}, {"room_id", byUUID}, {"exterior_side_id", byUUID}, {"outcome", byText}}},
	{kind: "notice", name: "notice", columns: []column{uuidOf("renovation_id")},
		references: []reference{{"renovation_id", "renovation"}, {"unit_id", "unit"}},
		filters:    []filter{{"property_id", byUUID}, {"renovation_id", byUUID}}},
	{kind: "protection", name: "protection", columns: []column{uuidOf("renovation_id")},
		references: []reference{{"renovation_id", "renovation"}, {"unit_id", "unit"}},
		filters:    []filter{{"property_id", byUUID}, {"renovation_id", byUUID}}},
	{kind: "verification", name: "verification", columns: []column{uuidOf("renovation_id"), uuidOf("person_id"), ifCounts},
		references: []reference{{"renovation_id", "renovation"}, {"person_id", "person"}},
		filters:    []filter{{"property_id", byUUID}, {"renovation_id", byUUID}}},
	{kind: "observation", name: "observation",
		columns:    []column{uuidOf("renovation_id"), textOf("kind"), {"happened_at", "(j->>'happened_at')::timestamptz"}},
		references: []reference{{"renovation_id", "renovation"}},
		filters:    []filter{{"property_id", byUUID}, {"renovation_id", byUUID}}},
	{kind: "clearance", name: "clearance",
		columns:    []column{uuidOf("renovation_id"), {"sampled_at", "(j->>'sampled_at')::timestamptz"}, textOf("outcome"), uuidOf("person_id"), ifCounts},
		references: []reference{{"renovation_id", "renovation"}, {"person_id", "person"}},
		filters:    []filter{{"property_id", byUUID}, {"renovation_id", byUUID}}},
	{kind: "container", name: "container", columns: []column{uuidOf("renovation_id"), textOf("label")},
		references: []reference{{"renovation_id", "renovation"}},
		filters:    []filter{{"property_id", byUUID}, {"renovation_id", byUUID}}},
	{kind: "trip", name: "trip", scope: ofProperties, columns: []column{uuidOf("facility_id")},
		references: []reference{{"facility_id", "facility"}},
		filters:    []filter{{"facility_id", byUUID}}},
	{kind: "finding", name: "finding",
		columns: []column{textOf("code"), textOf("subject_kind"), uuidOf("subject_id"), uuidOf("renovation_id"), textOf("state")},
		filters: []filter{{"property_id", byUUID}, {"renovation_id", byUUID}, {"subject_id", byUUID}, {"state", byText}}},
	{kind: "attachment", name: "attachment", scope: ofProperties, hangs: true,
		columns: []column{textOf("subject_kind"), uuidOf("subject_id"), textOf("kind"), {"restricted", "(j->>'restricted')::boolean"}},
		filters: []filter{{"subject_kind", byText}, {"subject_id", byUUID}, {"kind", byText}}},
})

func prepareTables(list []*table) map[string]*table {
	byKind := make(map[string]*table, len(list))
	for _, t := range list {
		t.get = fmt.Sprintf(`
select version, ended, body, %s
from %s
where organization_id = $1
  and id = $2`, t.owned(), t.name)
		t.getForUpdate = t.get + "\nfor no key update"
		t.insert = t.insertStatement()
		t.update = t.updateStatement()
		byKind[t.kind] = t
	}
	return byKind
}

// tableOf gives the table of a kind; every kind that the service names has one.
func tableOf(kind string) *table { return tables[kind] }

// owned is the column that says which properties a row belongs to: one, several or, as null, none.
func (t *table) owned() string {
	switch t.scope {
	case ofProperty:
		return "property_id"
	case ofProperties:
		return "property_ids"
	}
	return "null::uuid"
}

// narrowed is the condition that keeps a list within the properties in a parameter.
func (t *table) narrowed(parameter string) string {
	switch t.scope {
	case ofProperty:
		return fmt.Sprintf("property_id = any(%s)", parameter)
	case ofProperties:
		return fmt.Sprintf("property_ids <@ %s", parameter)
	}
	return ""
}

func (t *table) insertStatement() string {
	names := []string{"organization_id", "id", "version", "ended", "body"}
	values := []string{"$1", "$2", "$3", "$4", "$5"}
	names, values = t.written(names, values)
	return fmt.Sprintf(`
insert into %s (%s)
select %s
from (select convert_from($5, 'UTF8')::jsonb as j, $6::uuid[] as properties) as told`,
		t.name, strings.Join(names, ", "), strings.Join(values, ", "))
}

func (t *table) updateStatement() string {
	names, values := t.written([]string{"version", "ended", "body"}, []string{"$3", "$4", "$5"})
	var sets []string
	for i := range names {
		sets = append(sets, names[i]+" = "+values[i])
	}
	return fmt.Sprintf(`
update %s
set %s
from (select convert_from($5, 'UTF8')::jsonb as j, $6::uuid[] as properties) as told
where organization_id = $1
  and id = $2
  and version = $3 - 1`, t.name, strings.Join(sets, ", "))
}

func (t *table) written(names, values []string) ([]string, []string) {
	switch t.scope {
	case ofProperty:
		names, values = append(names, "property_id"), append(values, "properties[1]")
	case ofProperties:
		names, values = append(names, "property_ids"), append(values, "properties")
	}
	for _, c := range t.columns {
		names, values = append(names, c.name), append(values, c.from)
	}
	return names, values
}

func (t *table) isRestricted(field string) bool { return slices.Contains(t.restricted, field) }

// FiltersOf names the query parameters by which a list of the kind can be narrowed.
func FiltersOf(kind string) []string {
	var names []string
	for _, f := range tableOf(kind).filters {
		names = append(names, f.parameter)
	}
	return names
}

// RestrictedOf names the fields of the kind that only callers with a restricted scope may see or record.
func RestrictedOf(kind string) []string { return tableOf(kind).restricted }

// IsKind reports whether there is such a kind of record.
func IsKind(kind string) bool { return tables[kind] != nil }
