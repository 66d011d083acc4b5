// Package duty knows what is owed around a home by when: every deadline that the told facts and the law create, from the
// pamphlet before a job to the record kept years after it; and how a unit stands.
package duty

import "sillbook/internal/trade/calendar"

// State is how a duty stands on a day.
type State string

// The states. A duty that was met too late is met, and says so; one is void where it fell away.
const (
	Open    State = "open"
	DueSoon State = "due_soon"
	Overdue State = "overdue"
	Met     State = "met"
	Void    State = "void"
)

// StateOf is the state of what can be met from the first to the last day of a window, and was met on a day, none if it was not.
// It is due soon from so many days before its last day on, but not before its first. Without a last day it stays open.
func StateOf(w calendar.Window, metOn, asOf calendar.Date, soon int) State {
	switch {
	case !metOn.IsZero() && !metOn.After(asOf):
		return Met
	case w.To.IsZero():
		return Open
	case asOf.After(w.To):
		return Overdue
	case !asOf.Before(soonFrom(w, soon)):
		return DueSoon
	}
	return Open
}

// soonFrom is the first day on which it is due soon, where there is a last day.
func soonFrom(w calendar.Window, soon int) calendar.Date { return max(w.From, w.To.AddDays(-soon)) }

// NextTurn is the first day after a day on which StateOf answers otherwise, none if there is none.
func NextTurn(w calendar.Window, metOn, after calendar.Date, soon int) calendar.Date {
	if !metOn.IsZero() && !metOn.After(after) {
		return 0
	}
	next := metOn
	if w.To.IsZero() || after.After(w.To) {
		return next
	}
	turn := w.To.AddDays(1)
	if from := soonFrom(w, soon); from.After(after) && from.Before(turn) {
		turn = from
	}
	if next.IsZero() || turn.Before(next) {
		next = turn
	}
	return next
}
