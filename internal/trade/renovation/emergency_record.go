package renovation

import (
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/law"
)

// EmergencyKind is which kind of emergency renovation a job is told to be; empty: none.
type EmergencyKind string

// The kinds.
const (
	SuddenEvent    EmergencyKind = "sudden_event"
	HazardResponse EmergencyKind = "hazard_response" // without a sudden event (40 CFR 745.83); on what ground is not said
)

// Stays gives a provision that is in force all the same, with what that means and the clause.
func (k EmergencyKind) Stays(provision string) (Provision, bool) {
	i := slices.IndexFunc(provisions, func(p provisionRule) bool { return p.name == provision })
	if i < 0 {
		return Provision{}, false
	}
	p := provisions[i]
	is := Provision{Provision: p.name, Status: p.status, Text: p.text, Citation: p.cite}
	switch {
	case p.status == neverLifted:
		return is, true
	case k == SuddenEvent, k == HazardResponse && p.status == liftedWhole:
		return is, false
	}
	is.Status, is.Text, is.Citation = stillInForce, "It is in force as always: without a sudden event only the notice is lifted.", emergencyMeans
	return is, true
}

var emergencyRecord = law.Cite("40 CFR 745.82(b), 745.86(b)(6)", law.Text)

// EmergencyRecord is what the record of an emergency says of provisions that were not followed.
type EmergencyRecord struct {
	Told        bool // be it that all were followed
	NotFollowed []string
}

// emergencyRecorded keeps an emergency from being closed until its record says what was not followed. That no valid notice was
// given, the book knows itself.
func emergencyRecorded(j Job, _ State) []fault.Blocker {
	b := fault.Blocker{Code: "emergency_record_missing", Citation: emergencyRecord.String()}
	switch {
	case !j.covered() || !j.Emergency:
		return nil
	case !j.Record.Told:
		b.Detail = "The record does not say which provisions were not followed in the emergency, and why."
		b.Clear = "Set emergency.not_followed on the renovation: each provision that was not followed, with why responding made that necessary. An empty list says that all were followed."
	case len(j.Unmet) > 0 && !slices.Contains(j.Record.NotFollowed, "notice"):
		b.Detail = "No valid notice was given before the work, and the record of the emergency does not say so."
		b.Clear = "Name the provision notice in emergency.not_followed on the renovation, or record the notice that was given."
	default:
		return nil
	}
	return []fault.Blocker{b}
}
