package form

import (
	"time"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
)

func checkOrganization(api.OrganizationPatch, time.Time, *fault.Faults) {}

func checkFacility(api.FacilityCreate, time.Time, *fault.Faults) {}

func checkProperty(p api.PropertyCreate, _ time.Time, f *fault.Faults) {
	if _, err := Zone(p.TimeZone); err != nil {
		f.Merge("/time_zone", err)
	}
}

// Zone finds an IANA time zone by its name.
func Zone(name string) (*time.Location, error) {
	if name == "Local" || name == "" {
		return nil, notAZone(name)
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, notAZone(name)
	}
	return zone, nil
}

func notAZone(name string) error {
	return fault.New(fault.Implausible, "no_such_time_zone", "%q is not an IANA time zone; send one such as America/New_York.", name)
}

func checkBuilding(b api.BuildingCreate, now time.Time, f *fault.Faults) {
	checkBuildYear(b.BuildYear, now, f)
}

func checkUnit(u api.UnitCreate, now time.Time, f *fault.Faults) {
	checkBuildYear(u.BuildYear, now, f)
	positive(f, "/floor_area", u.FloorArea, measure.Area)
	if is(u.OwnerOccupied, api.TriYes) && is(u.Rented, api.TriYes) {
		f.Add("/rented", "contradiction", "A unit is not both lived in by its owner and rented; correct one of the two.")
	}
	checkLeadFree(f, "/found_lead_free", u.FoundLeadFree, now)
}

// checkBuildYear refuses a year that has not come, and a year that contradicts its certainty.
func checkBuildYear(y *api.BuildYear, now time.Time, f *fault.Faults) {
	if y == nil {
		return
	}
	switch {
	case y.Year != nil && int(*y.Year) > now.UTC().Year():
		f.Add("/build_year/year", "in_the_future", "The build year %d has not come yet; send the year construction was finished, or null.", *y.Year)
	case y.Year != nil && y.Certainty == api.CertaintyUnknown:
		f.Add("/build_year/certainty", "contradiction", "A year is given and called unknown; send recorded or estimated, or no year.")
	case y.Year == nil && y.Certainty != api.CertaintyUnknown:
		f.Add("/build_year/year", "contradiction", "The certainty is %s, but no year is given; send the year, or the certainty unknown.", y.Certainty)
	}
}

func checkRoom(r api.RoomCreate, _ time.Time, f *fault.Faults) {
	if told(r.UnitId, r.BuildingId) != 1 {
		f.Add("/unit_id", "one_of_two", "Give unit_id for a room of a unit, or building_id for a common place: one of the two.")
	}
	positive(f, "/floor_area", r.FloorArea, measure.Area)
}

func checkExteriorSide(s api.ExteriorSideCreate, _ time.Time, f *fault.Faults) {
	if s.Side != nil && s.Kind != api.SideKindWallSide {
		f.Add("/side", "contradiction", "Only a wall side has a letter; leave side out for %s.", s.Kind)
	}
	notNegative(f, "/to_property_line", s.ToPropertyLine, measure.Length)
}

func checkOccupancy(o api.OccupancyCreate, _ time.Time, f *fault.Faults) {
	if o.To != nil && o.To.Before(o.From.Time) {
		f.Add("/to", "contradiction", "The stay ends before it begins.")
	}
}

func is[T comparable](told *T, value T) bool { return told != nil && *told == value }
