package waste

import (
	"strconv"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Origin is where waste arises.
type Origin string

// The origins. One that is not known is none of a household.
const (
	Residence                   Origin = "residence" // a household: single and multiple residences, their common areas among them
	NonResidentialChildFacility Origin = "non_residential_child_occupied_facility"
	NonResidentialBuilding      Origin = "other_non_residential"
	OriginUnknown               Origin = "unknown"
)

// Held is where waste is until the facility that takes it.
type Held string

// Where it is held. What is not known counts as an intermediate place, where that matters.
const (
	OnProperty        Held = "on_property"        // where it arose, and straight to the facility from there
	IntermediatePlace Held = "intermediate_place" // a yard, a shop, a transfer station, before the facility
	HeldUnknown       Held = "unknown"
)

// Generated is hazardous waste that a generator made on a day, of all its work at the site.
type Generated struct {
	On    calendar.Date
	Mass  measure.Quantity // zero Quantity when not known
	Acute bool
}

// ClassFacts are what the class of waste turns on. A quantity that is not known is the zero Quantity, a date no date.
type ClassFacts struct {
	AsOf         calendar.Date
	Origin       Origin
	Contractor   law.Tri // made by a contractor's work, not by the resident's own
	Held         Held
	Extract      measure.Quantity // lead by the leaching procedure
	Total        measure.Quantity // total lead by weight
	Generated    []Generated
	OnSite       measure.Quantity // hazardous waste held now
	Start        calendar.Date    // when its accumulation began
	CapReachedOn calendar.Date    // when a very small generator's store came to the cap
	Distance     measure.Quantity // to the facility
	Extension    int              // days granted by the authority
	ShipOn       calendar.Date    // when it is, or is to be, sent off
}

// check refuses facts that contradict one another or cannot be.
func (r reading) check(f ClassFacts) error {
	var faults fault.Faults
	for _, q := range []struct {
		at    string
		value measure.Quantity
	}{{"/extract", f.Extract}, {"/total", f.Total}, {"/on_site", f.OnSite}, {"/distance", f.Distance}} {
		if q.value.Known() {
			faults.Merge(q.at, q.value.NonNegative())
		}
	}
	for i, g := range f.Generated {
		if g.Mass.Known() {
			faults.Merge("/generated/"+strconv.Itoa(i)+"/mass", g.Mass.NonNegative())
		}
	}
	if f.Start.After(f.AsOf) {
		faults.Add("/accumulation_start", "in_the_future", "Accumulation cannot have begun on %s, after %s, the date of the question.", f.Start, f.AsOf)
	}
	if !f.CapReachedOn.IsZero() && f.CapReachedOn.Before(f.Start) {
		faults.Add("/cap_reached_on", "before_accumulation", "What is held cannot have come to the cap on %s, before its accumulation began on %s.", f.CapReachedOn, f.Start)
	}
	if !f.ShipOn.IsZero() && f.ShipOn.Before(f.Start) {
		faults.Add("/ship_on", "before_accumulation", "Waste cannot be sent off on %s, before its accumulation began on %s.", f.ShipOn, f.Start)
	}
	if most := r.days(r.extension); f.Extension > most {
		faults.Add("/extension_days", "extension_too_long", "An extension is at most %d days; %d were told. Tell the days that the authority granted.", most, f.Extension)
	}
	return faults.Err()
}
