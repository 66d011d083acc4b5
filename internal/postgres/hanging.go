package postgres

import (
	"fmt"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
)

// Some records hang on another and are seen by those alone who may see that one: they lie on its properties, they are restricted
// when it is, and a caller who is not let near its kind is not let near them. Their table says hangs, their written form has
// subject_kind, subject_id and restricted.

// hanger is what a written form says of the record that it hangs on.
type hanger struct {
	SubjectKind string    `json:"subject_kind"`
	SubjectID   uuid.UUID `json:"subject_id"`
	Restricted  bool      `json:"restricted"`
}

func (r Record) hanger() (h hanger, err error) {
	if err := json.Unmarshal(r.Body, &h); err != nil {
		return h, fmt.Errorf("the stored form of %s %s cannot be read: %w", r.Kind, r.ID, err)
	}
	return h, nil
}

// isRestricted reports whether a record has restricted facts, hangs on one that has, or is a finding about one.
func (r Record) isRestricted() (bool, error) {
	switch {
	case len(tableOf(r.Kind).restricted) > 0:
		return true, nil
	case tableOf(r.Kind).hangs:
		h, err := r.hanger()
		return h.Restricted, err
	case r.Kind == "finding":
		h, err := r.hanger()
		about := tableOf(h.SubjectKind)
		return about != nil && len(about.restricted) > 0, err
	}
	return false, nil
}

// withheld reports whether a record hangs on one that the caller may not see.
func (t *Tx) withheld(r Record) (bool, error) {
	if !tableOf(r.Kind).hangs {
		return false, nil
	}
	h, err := r.hanger()
	if err != nil {
		return true, err
	}
	caller := t.call.Caller
	if h.Restricted && !caller.Has(credential.RestrictedRead) || !caller.Covers(h.SubjectKind) {
		return true, nil
	}
	if !caller.Narrowed() {
		return false, nil
	}
	_, err = t.Load(h.SubjectKind, h.SubjectID) // which may have come to belong to other properties too
	if fault.Is(err, fault.NotFound) {
		return true, nil
	}
	return err != nil, err
}

// withinReach are the conditions that keep a list of hanging records to those that the caller may see. and adds one, with a
// value for its parameter.
func (t *Tx) withinReach(and func(format string, value any)) {
	caller := t.call.Caller
	if !caller.Has(credential.RestrictedRead) {
		and("restricted = %s", false)
	}
	if caller.Kinds != nil {
		and("subject_kind = any(%s)", caller.Kinds)
	}
	if caller.Narrowed() { // a trip may have taken on containers of other properties since
		and(`(subject_kind <> 'trip' or exists (
    select from trip
    where trip.organization_id = $1
      and trip.id = subject_id
      and trip.property_ids <@ %s))`, caller.Properties)
	}
}

// mayWrite refuses changes of what hangs on something restricted to callers who may not record restricted facts.
func (t *Tx) mayWrite(r Record) error {
	if !tableOf(r.Kind).hangs || t.call.Caller.Has(credential.RestrictedWrite) {
		return nil
	}
	restricted, err := r.isRestricted()
	if err != nil || !restricted {
		return err
	}
	return fault.New(fault.Forbidden, "restricted", "It hangs on something restricted, and this credential may not record restricted facts.").
		Fix("Use a key with the scope restricted:write.")
}

// showsRestricted reports whether giving the caller a record shows a restricted fact, which is recorded.
func (t *Tx) showsRestricted(r Record) (bool, error) {
	if !t.call.Caller.Has(credential.RestrictedRead) {
		return false, nil
	}
	if tableOf(r.Kind).hangs {
		return r.isRestricted()
	}
	return len(tableOf(r.Kind).restricted) > 0, nil
}

// recordShown notes that hanging records were shown of which some are restricted.
func (t *Tx) recordShown(kind string, records []Record) error {
	for _, r := range records {
		shows, err := t.showsRestricted(r)
		if err != nil {
			return err
		}
		if !shows {
			continue
		}
		if len(records) == 1 {
			t.RecordAccess(kind, &r.ID, true)
		} else {
			t.RecordAccess(kind, nil, true)
		}
		return nil
	}
	return nil
}
