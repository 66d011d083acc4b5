package postgres

import (
	"strings"

	"github.com/google/uuid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
)

// Overridden is what stood in the way of a move that an owner had made all the same. It stays with the move.
type Overridden struct {
	Reason    string        `json:"reason"`
	By        string        `json:"by,omitempty"`
	KeyID     uuid.UUID     `json:"key_id"`
	FindingID uuid.UUID     `json:"finding_id"`
	Blockers  []blockerForm `json:"blockers"`
}

// blockerForm is the written form of a blocker. What follows from restricted facts says in it no more than where it was refused.
type blockerForm struct {
	Code     string `json:"code"`
	Detail   string `json:"detail"`
	Clear    string `json:"clear"`
	Citation string `json:"citation,omitempty"`
}

// overrode is the code of the finding that each overridden move opens.
const overrode = "override"

// override records that an owner has a move made although something stands in its way, and opens the finding. That finding
// stops no work; it stands in the way of closing until it is signed off, and no further override puts an end to it.
func (t *Tx) override(job Record, made MoveMade, reason string, blockers []fault.Blocker, sites worksites) (*Overridden, error) {
	o := &Overridden{Reason: reason, By: made.By, KeyID: t.call.Caller.Key}
	details := make([]string, len(blockers))
	for i, b := range blockers {
		o.Blockers = append(o.Blockers, blockerForm{Code: b.Code, Detail: shortened(b.Detail), Clear: shortened(b.Clear), Citation: b.Citation})
		details[i] = b.Detail
	}
	found, err := t.OpenFinding(Finding{Code: overrode, SubjectKind: "renovation", SubjectID: job.ID, RenovationID: &job.ID, Blocks: true,
		Detail: shortened("The move to " + strings.ReplaceAll(string(made.To), "_", " ") + " on " + made.On.String() + " was made by an owner's override. The reason given: " + reason +
			" What stood in the way: " + strings.Join(details, " ")),
		OpenedOn: calendar.LocalDate(t.now, sites.zone).String()}, job.Properties)
	o.FindingID = found.ID
	return o, err
}

// overrides counts the moves of a job that were made by an override.
func (j job) overrides() (n int) {
	for _, m := range j.Moves {
		if m.Overridden != nil {
			n++
		}
	}
	return n
}
