package form

import (
	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// LeadFreeFacts reads components and what was found of their paint.
func LeadFreeFacts(a api.LeadFreeComponentsFacts) (home.LeadFreeFacts, error) {
	var faults fault.Faults
	f := home.LeadFreeFacts{AsOf: Day(a.AsOf)}
	for i, told := range a.Components {
		c := home.TestedComponent{Label: told.Component, Place: text(told.Place), Whole: text(told.Whole), Repainted: Tri(told.SeparatelyRepainted)}
		for j, finding := range list(told.Findings) {
			c.Findings = append(c.Findings, leadFreeFinding(&faults, at("/components", i, at("/findings", j, "")), finding))
		}
		f.Components = append(f.Components, c)
	}
	return f, faults.Err()
}

func leadFreeFinding(f *fault.Faults, where string, told api.LeadFreeFinding) home.PaintFinding {
	finding := home.PaintFinding{Route: home.Route(told.Route), On: Day(told.On), Result: home.ResultUnknown, Certified: Tri(told.ByCertified),
		Written: Tri(told.Written), Held: Tri(told.HeldByFirm), Recognised: Tri(told.Recognised), Followed: Tri(told.InstructionsFollowed),
		Maker: text(told.Manufacturer), Model: text(told.Model), Laboratory: text(told.Laboratory), Address: text(told.LaboratoryAddress)}
	if told.Result != nil {
		finding.Result = home.Result(*told.Result)
	}
	finding.Level = paintLead(f, where+"/level", told.Level)
	asked := map[home.Route]map[string]law.Tri{
		home.ByInspection: {"/recognised": finding.Recognised, "/instructions_followed": finding.Followed},
		home.ByTestKit:    {"/written": finding.Written, "/held_by_firm": finding.Held},
		home.ByPaintChip:  {"/written": finding.Written, "/held_by_firm": finding.Held, "/instructions_followed": finding.Followed},
	}
	for field, t := range asked[finding.Route] {
		if t == law.Yes || t == law.No {
			f.Add(where+field, "contradiction", "This is not asked of the route %s; leave it out, or correct the route.", finding.Route)
		}
	}
	return finding
}

// paintLead reads lead in paint, for each area or by weight.
func paintLead(f *fault.Faults, pointer string, told *api.Measure) measure.Quantity {
	want := measure.Fraction
	if told != nil {
		if u, err := measure.ParseUnit(told.Unit); err == nil && u.Dimension() == measure.Loading {
			want = measure.Loading
		}
	}
	q, _ := notNegative(f, pointer, told, want)
	return q
}

// HazardFacts reads what an assessment saw and measured.
func HazardFacts(a api.HazardsFacts) (home.HazardFacts, error) {
	var faults fault.Faults
	f := home.HazardFacts{AsOf: Day(a.AsOf)}
	for i, told := range list(a.Surfaces) {
		f.Surfaces = append(f.Surfaces, hazardSurface(&faults, at("/surfaces", i, ""), told))
	}
	for i, told := range list(a.Soil) {
		level, _ := notNegative(&faults, at("/soil", i, "/level"), &told.Level, measure.Fraction)
		f.Soil = append(f.Soil, home.SoilSample{Label: told.Sample, Where: home.SoilPlace(told.Where), Bare: Tri(told.Bare), Level: level})
	}
	f.BareYard, _ = notNegative(&faults, "/bare_soil_rest_of_yard", a.BareSoilRestOfYard, measure.Area)
	for i, told := range list(a.Dust) {
		f.Dust = append(f.Dust, hazardDust(&faults, at("/dust", i, ""), told))
	}
	for _, told := range list(a.Units) {
		f.Units = append(f.Units, home.HazardUnit{Label: told.Unit, Group: text(told.Group)})
	}
	return f, faults.Err()
}

func hazardSurface(f *fault.Faults, where string, told api.HazardSurface) home.HazardSurface {
	s := home.HazardSurface{Label: told.Surface, Place: told.Place, Exterior: is(told.Exterior, true), Component: home.ComponentOf(text(told.Component)), LeadBased: Tri(told.LeadBased),
		Deteriorated: Tri(told.Deteriorated), Friction: Tri(told.Friction), DustBelowSill: is(told.DustBelowOn, api.DustBelowSurfaceSill), ImpactDamage: Tri(told.ImpactDamage), ToothMarks: Tri(told.ToothMarks)}
	s.Area, _ = notNegative(f, where+"/deteriorated_area", told.DeterioratedArea, measure.Area)
	s.Share, _ = notNegative(f, where+"/deteriorated_share", told.DeterioratedShare, measure.Fraction)
	if s.Share.Known() && s.Share.In(measure.One).Cmp(measure.Int(1)) > 0 {
		f.Add(where+"/deteriorated_share/value", "more_than_all", "A share of a component is at most 100 %%; %s was told.", told.DeterioratedShare.Value)
	}
	s.DustBelow, _ = notNegative(f, where+"/dust_below", told.DustBelow, measure.Loading)
	return s
}

func hazardDust(f *fault.Faults, where string, told api.HazardDustSample) home.DustSample {
	d := home.DustSample{Label: told.Sample, Unit: told.Unit, On: home.DustPlace(told.Surface), Wipes: max(whole(told.Wipes), 1)}
	switch {
	case told.Loading != nil && (told.Mass != nil || told.Area != nil):
		f.Add(where+"/loading", "one_of_two", "Give the loading, or mass and area: one of the two.")
	case told.Loading != nil:
		d.Loading, _ = notNegative(f, where+"/loading", told.Loading, measure.Loading)
	case told.Mass == nil || told.Area == nil:
		f.Add(where+"/loading", "missing", "Give the loading, or mass and area.")
	default:
		mass, ok := Quantity(f, where+"/mass", told.Mass, measure.Mass)
		area, wiped := Quantity(f, where+"/area", told.Area, measure.Area)
		if ok && wiped {
			loading, err := measure.LoadingOf(mass, area)
			f.Merge(where, err)
			d.Loading = loading
		}
	}
	return d
}
