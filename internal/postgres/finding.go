package postgres

import (
	"context"

	"github.com/google/uuid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Finding is the written form of something that should not have happened, or was not done.
type Finding struct {
	Code         string        `json:"code"`
	Detail       string        `json:"detail"`
	SubjectKind  string        `json:"subject_kind"`
	SubjectID    uuid.UUID     `json:"subject_id"`
	RenovationID *uuid.UUID    `json:"renovation_id,omitempty"`
	State        string        `json:"state"`
	Blocks       bool          `json:"blocks"`         // stands in the way of closing the job
	Stops        bool          `json:"stops,omitzero"` // work is to stop until it is re-checked
	OpenedOn     string        `json:"opened_on"`
	Steps        []FindingStep `json:"steps"`
	Citation     any           `json:"citation,omitempty"`

	Determination *law.Determination `json:"determination,omitempty"` // that it rests on
}

// stopsWork reports whether the work is stopped by it as things stand.
func (f Finding) stopsWork() bool {
	return f.Stops && (f.State == findingStates[0] || f.State == findingStates[1])
}

// FindingStep is a step towards closing a finding.
type FindingStep struct {
	What string `json:"what"`
	On   string `json:"on"`
	By   string `json:"by"`
	Note string `json:"note"`
}

// findingStates are the states in their order; each step leads to the state of its name.
var findingStates = []string{"open", "corrected", "rechecked", signedOff}

// signedOff is the state in which a finding is closed.
const signedOff = "signed_off"

// OpenFinding opens a finding about a record of some properties.
func (t *Tx) OpenFinding(f Finding, properties []uuid.UUID) (Record, error) {
	f.State, f.Steps = findingStates[0], []FindingStep{}
	d, err := draftOf(f)
	if err != nil {
		return Record{}, err
	}
	if len(properties) > 0 {
		d.Properties = properties[:1]
	}
	return t.Insert("finding", "opened", d)
}

const selectOpenFinding = `
select id
from finding
where organization_id = $1
  and subject_id = $2
  and code = $3
  and state <> 'signed_off'
  and not ended`

// FindingOpen gives the open finding of a code about a record, or uuid.Nil.
func (t *Tx) FindingOpen(subject uuid.UUID, code string) (uuid.UUID, error) {
	var ids []uuid.UUID
	err := t.query(rowsOf(&ids, scanID), selectOpenFinding, t.organization(), subject, code)
	if err != nil || len(ids) == 0 {
		return uuid.Nil, err
	}
	return ids[0], nil
}

// AddFindingStep takes a finding one step on. Steps come in order; one already taken is refused.
func (s *Store) AddFindingStep(ctx context.Context, call Call, id uuid.UUID, step FindingStep) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		before, err := t.Hold("finding", id)
		if err != nil {
			return Outcome{}, err
		}
		var f Finding
		if err := before.Read(&f); err != nil {
			return Outcome{}, err
		}
		next := ""
		for i, state := range findingStates[:len(findingStates)-1] {
			if state == f.State {
				next = findingStates[i+1]
			}
		}
		if next == "" {
			return Outcome{}, fault.New(fault.Conflict, "finding_closed", "The finding is signed off already.")
		}
		if step.What != next {
			return Outcome{}, fault.New(fault.Conflict, "out_of_order", "The finding is %s; the next step is %s, not %s.", f.State, next, step.What).
				Fix("Tell the step %s first.", next)
		}
		if err := t.stepTaken(before, step); err != nil {
			return Outcome{}, err
		}
		f.State, f.Steps = next, append(f.Steps, step)
		d, err := draftOf(f)
		if err != nil {
			return Outcome{}, err
		}
		after, err := t.Replace(before, next, d)
		return Outcome{Status: 200, Record: after}, err
	})
}

// stepTaken refuses a step of a local date that has not come at the finding's property.
func (t *Tx) stepTaken(finding Record, step FindingStep) error {
	if len(finding.Properties) == 0 {
		return nil
	}
	zone, err := t.zoneOf(finding.Properties[0])
	if err != nil {
		return err
	}
	on, err := calendar.ParseDate(step.On)
	if err != nil {
		return err
	}
	return t.notYet("/on", on, worksites{zone: zone})
}
