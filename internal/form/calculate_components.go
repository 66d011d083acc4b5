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
