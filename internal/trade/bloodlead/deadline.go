package bloodlead

import (
	"fmt"
	"strings"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Deadline is something to be done by a day: its window goes from From to Due.
type Deadline struct {
	What     string        `json:"what"`
	From     calendar.Date `json:"from,omitzero"`
	Due      calendar.Date `json:"due,omitzero"` // none where it is not needed
	Presumed bool          `json:"presumed"`     // what it counts from has not happened or is not told: the earliest day it can be
	State    string        `json:"state"`
	DoneOn   calendar.Date `json:"done_on,omitzero"`
	Text     string        `json:"text"`
	Rule     string        `json:"rule"`
	Citation law.Citation  `json:"citation"`

	counted bool // towards the outcome
}

// The states of a deadline. Waiting is for something else that has to happen first.
const (
	waiting   = "waiting"
	open      = "open"
	met       = "met"
	late      = "late"
	overdue   = "overdue"
	notNeeded = "not_needed"
)

// task is a deadline before its days are counted.
type task struct {
	what, rule, text string // {within} in the text stands for the days
	days             int
	business         bool
	cite             law.Citation
	from             calendar.Date
	presumed         bool
	done             calendar.Date
	unless           string // why it is not needed; empty where it is
	aside            bool   // does not count towards the outcome
}

// deadline counts a task's days.
func (t task) deadline(on calendar.Date) Deadline {
	d := Deadline{What: t.what, Rule: t.rule, Text: strings.ReplaceAll(t.text, "{within}", t.within()), Citation: t.cite, DoneOn: t.done, counted: !t.aside}
	if t.unless != "" {
		d.State, d.Text = notNeeded, t.unless
		return d
	}
	d.From, d.Due, d.Presumed = t.from, t.from.AddDays(t.days), t.presumed
	if t.business {
		d.Due = t.from.AddBusinessDays(t.days)
	}
	switch {
	case !t.done.IsZero() && !t.done.After(d.Due):
		d.State = met
	case !t.done.IsZero():
		d.State = late
	case t.presumed:
		d.State = waiting
	case on.After(d.Due):
		d.State = overdue
	default:
		d.State = open
	}
	return d
}

// within is the time of a task in words.
func (t task) within() string {
	switch {
	case t.days == 0:
		return "at once"
	case t.business:
		return fmt.Sprintf("within %d business days", t.days)
	}
	return fmt.Sprintf("within %d calendar days", t.days)
}

// settled reports whether nothing is left to be done.
func (d Deadline) settled() bool { return d.State == met || d.State == late || d.State == notNeeded }
