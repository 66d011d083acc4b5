package form

import (
	"strconv"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/waste"
)

// WasteClassFacts reads what the class of waste turns on.
func WasteClassFacts(a api.WasteClassFacts) (waste.ClassFacts, error) {
	var faults fault.Faults
	f := waste.ClassFacts{AsOf: Day(a.AsOf), Contractor: Tri(a.Contractor), Start: DayOf(a.AccumulationStart), CapReachedOn: DayOf(a.CapReachedOn), ShipOn: DayOf(a.ShipOn)}
	if a.Origin != nil {
		f.Origin = waste.Origin(*a.Origin)
	}
	if a.Held != nil {
		f.Held = waste.Held(*a.Held)
	}
	if a.ExtensionDays != nil {
		f.Extension = int(*a.ExtensionDays)
	}
	f.Extract, _ = Quantity(&faults, "/extract", a.Extract, measure.Concentration)
	f.Total, _ = Quantity(&faults, "/total", a.Total, measure.Fraction)
	f.OnSite, _ = Quantity(&faults, "/on_site", a.OnSite, measure.Mass)
	f.Distance, _ = Quantity(&faults, "/distance", a.Distance, measure.Length)
	for i, g := range list(a.Generated) {
		mass, _ := Quantity(&faults, "/generated/"+strconv.Itoa(i)+"/mass", g.Mass, measure.Mass)
		f.Generated = append(f.Generated, waste.Generated{On: Day(g.On), Mass: mass, Acute: is(g.Acute, true)})
	}
	return f, faults.Err()
}
