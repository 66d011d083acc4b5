package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

// PracticesFacts reads the facts of the question whether a method may be used.
func PracticesFacts(a api.PracticesFacts) (practice.Facts, error) {
	var faults fault.Faults
	f := practice.Facts{AsOf: Day(a.AsOf), Method: practice.Method(a.Method), Abatement: Tri(a.Abatement), Assisted: Tri(a.Assisted),
		Exterior: is(a.Exterior, true), Charring: Tri(a.Charring), Shroud: Tri(a.Shroud), HEPA: Tri(a.Hepa), DustOutside: Tri(a.VisibleDustOutside),
		Ventilated: Tri(a.WellVentilated), Volatile: Tri(a.VolatileStripper), WithHeatGun: is(a.WithHeatGun, true)}
	f.Temperature, _ = Quantity(&faults, "/temperature", a.Temperature, measure.Temperature)
	f.OutletDistance, _ = Quantity(&faults, "/outlet_distance", a.OutletDistance, measure.Length)
	f.SpotArea, _ = Quantity(&faults, "/spot_area", a.SpotArea, measure.Area)
	return f, faults.Err()
}
