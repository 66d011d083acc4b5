package postgres

import (
	"context"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
)

// Attachment is the written form of some bytes that hang on a record: a photo, a laboratory's report, a signed paper. The bytes
// lie in the object store, the original under SHA256 and the copy that is handed out under ServedSHA256.
type Attachment struct {
	SubjectKind  string        `json:"subject_kind"`
	SubjectID    uuid.UUID     `json:"subject_id"`
	Kind         string        `json:"kind"`
	Title        string        `json:"title"`
	Edition      string        `json:"edition,omitempty"`
	TakenOn      calendar.Date `json:"taken_on,omitzero"` // local date
	ContentType  string        `json:"content_type"`
	Size         int64         `json:"size"` // bytes
	SHA256       string        `json:"sha256"`
	ServedSize   int64         `json:"served_size"`
	ServedSHA256 string        `json:"served_sha256"`
	Restricted   bool          `json:"restricted"` // it hangs on something restricted
}

// unattachable are the kinds of record that nothing hangs on, beside those that have no table of their own.
var unattachable = map[string]bool{"organization": true, "key": true, "grant": true, "attachment": true}

// Attach records bytes that hang on a record, and inherits what that record is: its properties, and whether it is restricted.
// keep stores the bytes; it is called outside transactions, once it is known that the record can be written, and must be safe to
// repeat. What is told of the subject is faulted at the query parameters that told it.
func (s *Store) Attach(ctx context.Context, call Call, told Attachment, keep func(context.Context) error) (outcome Outcome, err error) {
	known := false
	err = s.read(ctx, call, func(t *Tx) error {
		if outcome, known, err = t.recall(); err != nil || known {
			return err
		}
		_, _, err := t.hang(told)
		return err
	})
	if err != nil || known {
		return outcome, err
	}
	if err := keep(ctx); err != nil {
		return Outcome{}, err
	}
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		told, properties, err := t.hang(told)
		if err != nil {
			return Outcome{}, err
		}
		d, err := draftOf(told)
		if err != nil {
			return Outcome{}, err
		}
		d.Properties = properties
		record, err := t.Insert("attachment", "created", d)
		return Outcome{Status: 201, Record: record}, err
	})
}

// hang finds the record that an attachment hangs on and gives the attachment what it inherits.
func (t *Tx) hang(told Attachment) (Attachment, []uuid.UUID, error) {
	var faults fault.Faults
	if !IsKind(told.SubjectKind) || unattachable[told.SubjectKind] {
		faults.Parameter("subject_kind", "bad_value", "Nothing hangs on a %s.", told.SubjectKind)
		return told, nil, faults.Err()
	}
	if !t.call.Caller.Covers(told.SubjectKind) {
		return told, nil, fault.New(fault.Forbidden, "outside_grant", "This credential does not cover records of the kind %s.", told.SubjectKind).
			Fix("Ask an owner for one that does.")
	}
	subject, err := t.Load(told.SubjectKind, told.SubjectID)
	switch {
	case fault.Is(err, fault.NotFound):
		faults.Parameter("subject_id", "no_such_reference", "There is no %s with this identifier that this credential may see.", told.SubjectKind)
		return told, nil, faults.Err()
	case err != nil:
		return told, nil, err
	case subject.Ended:
		faults.Parameter("subject_id", "reference_ended", "The %s has ended; name a live one.", told.SubjectKind)
	}
	if told.Restricted, err = subject.isRestricted(); err != nil {
		return told, nil, err
	}
	if told.Restricted && !t.call.Caller.Has(credential.RestrictedWrite) {
		return told, nil, fault.New(fault.Forbidden, "restricted", "What hangs on a record of the kind %s is restricted, and this credential may not record restricted facts.", told.SubjectKind).
			Fix("Use a key with the scope restricted:write.")
	}
	if err := t.takenBefore(&faults, told, subject.Properties); err != nil {
		return told, nil, err
	}
	return told, subject.Properties, faults.Err()
}

// takenBefore refuses a local date that has not come at the property.
func (t *Tx) takenBefore(faults *fault.Faults, told Attachment, properties []uuid.UUID) error {
	if told.TakenOn.IsZero() || len(properties) == 0 {
		return nil
	}
	zone, err := t.zoneOf(properties[0])
	if err != nil {
		return err
	}
	if today := calendar.LocalDate(t.now, zone); told.TakenOn.After(today) {
		faults.Parameter("taken_on", "in_the_future", "%s has not come yet at the property, where it is %s.", told.TakenOn, today)
	}
	return nil
}

// ReadAttachment decodes an attachment's written form.
func ReadAttachment(body []byte) (a Attachment, err error) {
	return a, json.Unmarshal(body, &a)
}
