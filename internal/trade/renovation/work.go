// Package renovation knows jobs: whether the renovation rule applies to one, what must happen before it starts, and which
// moves it may make.
package renovation

import (
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
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
	PropertyManager // acts for the landlord and counts as the landlord
)

var doers = [...]string{"unknown", "owner_occupant", "landlord", "landlord_employee", "hired_firm", "volunteer", "property_manager"}

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
	Shared         bool    // in a common area of several homes
	Component      home.Component
	Area           measure.Number
	AreaKnown      bool           // Area is in square feet; the whole area of a painted component that is removed counts
	Share          measure.Number // percent of the component's surface that is disturbed; asked in assisted homes only
	ShareKnown     bool
	PaintDisturbed law.Tri
	Method         practice.Method
	WindowReplaced bool
	Demolished     bool // a painted surface is demolished
	Emergency      bool // an emergency renovation, 40 CFR 745.82(b)
	NoticeOnly     bool // of which nothing but the notice is lifted
	DoneBy         DoneBy
	Rented         law.Tri
	LeadFree       law.Tri // every component found free of lead-based paint by one of the three routes of 745.82(a)
	Assisted       law.Tri // the home has federal housing assistance
	Abatement      bool    // designed to eliminate lead hazards for good, or ordered by an authority (745.223); not a renovation
	OptedOut       law.Tri // the owner, who lives there, signed the work practices away, which could be done until 2010
}

// replacesWindow reports whether a window is replaced, as told or by what is done to what.
func (w Work) replacesWindow() bool {
	return w.WindowReplaced || w.Component == home.Window && w.Method == practice.Replaced
}

// demolishes reports whether a painted surface is demolished, as told or by the method.
func (w Work) demolishes() bool { return w.Demolished || w.Method == practice.Demolished }

// neverMinor reports whether the work can never be minor repair and maintenance, however small (745.83).
func (w Work) neverMinor() bool {
	return practice.RuleOf(w.Method).NeverMinor() || w.replacesWindow() || w.demolishes()
}

// Other is another job at the same place: the same room, or the exterior of the same building.
type Other struct {
	On         calendar.Date
	Area       measure.Number // square feet
	Known      bool           // whether its area is known
	NeverMinor bool           // a practice, a window or a demolition makes it more than minor repair, whatever its area
	Emergency  bool           // an emergency renovation is not added
}

// AsOther is the work as the other jobs at its place see it. Work that disturbs no paint, and work on components found free
// of lead-based paint, to which the rule does not apply (745.82(a)), add nothing. Unpaid work adds its area: the definition
// of minor repair does not ask who is paid.
func (w Work) AsOther() Other {
	if disturbsNoPaint(w) || w.LeadFree == law.Yes {
		return Other{On: w.On, Known: true}
	}
	return Other{On: w.On, Area: w.Area, Known: w.AreaKnown, NeverMinor: w.neverMinor(), Emergency: w.Emergency}
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
	Abatement // under 40 CFR 745 subpart L, not the renovation rule
)

var outcomes = [...]string{"not_covered", "no_paint_disturbed", "not_for_compensation", "lead_free", "minor", "covered_renovation", "abatement"}

// String is the outcome's name in the contract.
func (o Outcome) String() string { return outcomes[o] }

// OutcomeOf reads an outcome's name; false where there is none.
func OutcomeOf(name string) (Outcome, bool) {
	i := slices.Index(outcomes[:], name)
	return Outcome(max(i, 0)), i >= 0
}
