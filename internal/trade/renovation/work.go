// Package renovation knows jobs: whether the renovation rule applies to one, what must happen before it starts, and which
// moves it may make.
package renovation

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

// DoneBy is who does the work, in relation to the home.
type DoneBy uint8

// Who may do the work. Rent is compensation, and an unknown doer counts as paid.
const (
	DoerUnknown DoneBy = iota
	OwnerOccupant
	Landlord
	LandlordEmployee
	HiredFirm
	Volunteer
)

var doers = [...]string{"unknown", "owner_occupant", "landlord", "landlord_employee", "hired_firm", "volunteer"}

// String is the doer's name in the contract.
func (d DoneBy) String() string { return doers[d] }

// DoneByOf reads a name; anything else is not known.
func DoneByOf(name string) DoneBy {
	for i, s := range doers {
		if s == name {
			return DoneBy(i)
		}
	}
	return DoerUnknown
}

// Work is one piece of work at one place, as the rules see it.
type Work struct {
	On             calendar.Date
	HomeCovered    law.Tri // unknown counts as covered
	Exterior       bool    // on a building's exterior; else in a room
	Area           measure.Number
	AreaKnown      bool // Area is in square feet; the whole area of a painted component that is removed counts
	PaintDisturbed law.Tri
	Method         practice.Method
	WindowReplaced bool
	Demolished     bool // a painted surface is demolished
	Emergency      bool // an emergency renovation, 40 CFR 745.82(b)
	DoneBy         DoneBy
	Rented         law.Tri
	LeadFree       law.Tri // every component found free of lead-based paint by one of the three routes of 745.82(a)
	Assisted       law.Tri // the home has federal housing assistance
}

// Other is another job at the same place: the same room, or the exterior of the same building.
type Other struct {
	On        calendar.Date
	Area      measure.Number // square feet
	Known     bool           // whether its area is known
	Emergency bool           // an emergency renovation is not added
}

// Outcome is what a piece of work is under the renovation rule.
type Outcome uint8

// The outcomes, from the least to the most demanding.
const (
	NotCovered Outcome = iota
	NoPaintDisturbed
	NotForCompensation
	LeadFree
	Minor
	CoveredRenovation
)

var outcomes = [...]string{"not_covered", "no_paint_disturbed", "not_for_compensation", "lead_free", "minor", "covered_renovation"}

// String is the outcome's name in the contract.
func (o Outcome) String() string { return outcomes[o] }
