package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/measure"
)

// VisitFacts reads a facility's log.
func VisitFacts(a api.FacilityVisitsFacts) (home.VisitFacts, error) {
	var faults fault.Faults
	f := home.VisitFacts{AsOf: Day(a.AsOf), LogComplete: Tri(a.LogComplete)}
	f.BuildYear, f.Certainty = buildYear(&faults, a.BuildYear)
	for i, told := range a.Visits {
		visit := home.Visit{On: Day(told.On)}
		if told.Visitor != nil {
			visit.Visitor = *told.Visitor
		}
		length, ok := Quantity(&faults, at("/visits", i, "/length"), &told.Length, measure.Duration)
		if ok {
			faults.Merge(at("/visits", i, "/length"), length.Positive())
			visit.Hours = length.In(measure.Hour)
		}
		f.Visits = append(f.Visits, visit)
	}
	for _, told := range list(a.Visitors) {
		f.Visitors = append(f.Visitors, home.Visitor{Label: told.Visitor, UnderSix: Tri(told.UnderSix), Through: DayOf(told.UnderSixThrough)})
	}
	return f, faults.Err()
}
