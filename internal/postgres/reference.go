package postgres

import (
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"

	"sillbook/internal/fault"
)

// resolve checks the records that a draft refers to and takes the property from the first of them.
func (t *Tx) resolve(record *Record, fields Fields) error {
	if record.Kind == "property" {
		record.Properties = []uuid.UUID{record.ID}
	}
	var faults fault.Faults
	for _, ref := range tableOf(record.Kind).references {
		value, there := fields[ref.field]
		if !there || isNull(value) {
			continue
		}
		var id uuid.UUID
		if err := json.Unmarshal(value, &id); err != nil {
			faults.Add("/"+ref.field, "not_an_identifier", "%s is not an identifier.", ref.field)
			continue
		}
		target, err := t.Load(ref.kind, id)
		switch {
		case fault.Is(err, fault.NotFound):
			faults.Add("/"+ref.field, "no_such_reference", "There is no %s with this identifier that this credential may see.", ref.kind)
		case err != nil:
			return err
		case target.Ended && record.Version == 1:
			faults.Add("/"+ref.field, "reference_ended", "The %s has ended; name a live one.", ref.kind)
		case tableOf(ref.kind).scope == ofOrganization:
			// what belongs to the organization at large says nothing of properties
		case tableOf(record.Kind).scope == ofProperty && len(record.Properties) == 0:
			record.Properties = target.Properties
		case tableOf(record.Kind).scope == ofProperty && !slices.Equal(record.Properties, target.Properties):
			faults.Add("/"+ref.field, "another_property", "The %s is on another property than the record.", ref.kind)
		}
	}
	if err := faults.Err(); err != nil {
		return err
	}
	if !t.call.Caller.Sees(record.Properties) {
		return fault.New(fault.Forbidden, "outside_reach", "This credential is narrowed to properties that do not include this one.").
			Fix("Ask an owner for a key or grant that covers the property.")
	}
	return nil
}

// externalID is an identifier in another system.
type externalID struct {
	System string `json:"system"`
	Value  string `json:"value"`
}

const claimExternalID = `
insert into external_id (organization_id, kind, system, value, record_id)
values ($1, $2, $3, $4, $5)
on conflict (organization_id, kind, system, value) do nothing`

const releaseExternalID = `
delete from external_id
where organization_id = $1
  and kind = $2
  and system = $3
  and value = $4
  and record_id = $5`

const selectExternalHolder = `
select record_id
from external_id
where organization_id = $1
  and kind = $2
  and system = $3
  and value = $4`

// claim keeps the table of external ids in step with a record's; one that another record holds is a conflict that
// names the holder.
func (t *Tx) claim(record Record, after, before jsontext.Value) error {
	wanted, err := externalIDs(after)
	if err != nil {
		return err
	}
	had, err := externalIDs(before)
	if err != nil {
		return err
	}
	for _, id := range had {
		if !slices.Contains(wanted, id) {
			t.later(releaseExternalID, t.organization(), record.Kind, id.System, id.Value, record.ID)
		}
	}
	for i, id := range wanted {
		if slices.Contains(had, id) {
			continue
		}
		if slices.Contains(wanted[:i], id) {
			return fault.New(fault.Implausible, "implausible", "The same external id is listed twice.").
				At("/external_ids", "listed_twice", "%s %s is listed twice.", id.System, id.Value)
		}
		t.later(claimExternalID, t.organization(), record.Kind, id.System, id.Value, record.ID)
		holder, err := t.Holder(record.Kind, id.System, id.Value)
		if err != nil {
			return err
		}
		if holder != record.ID {
			return t.taken(record.Kind, id, holder)
		}
	}
	return nil
}

// taken says which record has an external id, to a caller who may see that record.
func (t *Tx) taken(kind string, id externalID, holder uuid.UUID) error {
	whose := holder.String()
	if _, err := t.Load(kind, holder); fault.Is(err, fault.NotFound) {
		whose = "that this credential does not see"
	} else if err != nil {
		return err
	}
	return fault.New(fault.Conflict, "external_id_taken", "The external id %s %s belongs to a %s %s.", id.System, id.Value, strings.ReplaceAll(kind, "_", " "), whose).
		At("/external_ids", "taken", "%s %s belongs to a record %s.", id.System, id.Value, whose).
		Fix("Change the record that holds it, or send another external id.")
}

// Holder gives the record of a kind that has an external id, or uuid.Nil.
func (t *Tx) Holder(kind, system, value string) (uuid.UUID, error) {
	var holders []uuid.UUID
	err := t.query(rowsOf(&holders, scanID), selectExternalHolder, t.organization(), kind, system, value)
	if err != nil || len(holders) == 0 {
		return uuid.Nil, err
	}
	return holders[0], nil
}

func externalIDs(value jsontext.Value) ([]externalID, error) {
	if isNull(value) {
		return nil, nil
	}
	var ids []externalID
	return ids, json.Unmarshal(value, &ids)
}
