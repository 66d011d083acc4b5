package assistance

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Stage is when a requirement is met in the course of a programme's help.
type Stage string

// The stages, in order.
const (
	Before  Stage = "before"  // before the work, the sale, the closing or the move
	During  Stage = "during"  // in the work
	After   Stage = "after"   // before the worksite or home is used again
	Telling Stage = "telling" // notices and papers for occupants
	Ongoing Stage = "ongoing" // as long as the help lasts
	Keeping Stage = "keeping" // records
)

// Requirement is one thing that an assisted home owes.
type Requirement struct {
	Code      string        `json:"code"`                // stable, snake_case
	Programme Programme     `json:"programme,omitempty"` // that asks for it, where several are asked about
	Stage     Stage         `json:"stage"`
	Text      string        `json:"text"`             // what is to be done, in a sentence or two
	Within    string        `json:"within,omitempty"` // the deadline in words
	Due       calendar.Date `json:"due,omitzero"`     // its last day, where the facts tell it
	Citation  law.Citation  `json:"citation"`

	days int // by which deadlines of one requirement are compared where no date is told; 0 is at once
}
