// Package form is the written form of records: what a caller may say of each kind, checked for plain sense, and how the
// trade's values are written. The contract's types come this far and no further.
package form

import (
	"encoding/json"
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

// Kind is one kind of record that callers write.
type Kind struct {
	Name   string // as in changes, grants and x-kind
	Path   string // its collection under /v1
	Schema string // its schema in the contract; Create and Patch are named after it
	check  func(text []byte, now time.Time, f *fault.Faults) error
}

// The kinds that are created, changed and ended in the common way.
var (
	Property     = kindOf("property", "properties", "Property", checkProperty)
	Building     = kindOf("building", "buildings", "Building", checkBuilding)
	Unit         = kindOf("unit", "units", "Unit", checkUnit)
	Room         = kindOf("room", "rooms", "Room", checkRoom)
	ExteriorSide = kindOf("exterior_side", "exterior-sides", "ExteriorSide", checkExteriorSide)
	Occupancy    = kindOf("occupancy", "occupancies", "Occupancy", checkOccupancy)
	Facility     = kindOf("facility", "facilities", "Facility", checkFacility)
	Organization = kindOf("organization", "organization", "Organization", checkOrganization)
)

// kindOf ties a kind to the check of its Create form, which is decoded first.
func kindOf[T any](name, path, schema string, check func(T, time.Time, *fault.Faults)) Kind {
	return Kind{Name: name, Path: path, Schema: schema, check: func(text []byte, now time.Time, f *fault.Faults) error {
		var told T
		if err := json.Unmarshal(text, &told); err != nil {
			return fault.New(fault.Malformed, "malformed", "The body cannot be read: %s.", err)
		}
		check(told, now, f)
		return nil
	}}
}

// Check refuses what contradicts itself or cannot be. The text has passed the contract.
func (k Kind) Check(text []byte, now time.Time) error {
	var faults fault.Faults
	if err := k.check(text, now, &faults); err != nil {
		return err
	}
	return faults.Err()
}

// Ending reads a request to end a record. now gives the date where none is told.
func Ending(text []byte, now time.Time) (postgres.Ending, error) {
	var told api.EndRequest
	if err := json.Unmarshal(text, &told); err != nil {
		return postgres.Ending{}, err
	}
	var faults fault.Faults
	if told.How == api.EndHowMerged && told.MergedInto == nil {
		faults.Add("/merged_into", "missing", "Name the record that carries on.")
	}
	if told.How != api.EndHowMerged && told.MergedInto != nil {
		faults.Add("/merged_into", "contradiction", "Only a merged record has one that carries on; leave it out.")
	}
	on := now.UTC().Format(time.DateOnly)
	if told.On != nil {
		on = told.On.String()
	}
	return postgres.Ending{How: string(told.How), Reason: told.Reason, On: on, MergedInto: told.MergedInto}, faults.Err()
}

// told counts the pointers that are set.
func told[T any](values ...*T) (n int) {
	for _, v := range values {
		if v != nil {
			n++
		}
	}
	return n
}
