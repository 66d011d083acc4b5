package home

import (
	"fmt"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// practices are the three tests of whether work practices are asked for to treat the paint hazards: room by room, all outside
// together, and each small component. EPA leaves them out for less than the limits (40 CFR 745.65(d)), HUD for not more than them
// (24 CFR 35.1350(d)): at a limit they differ.
func (n hazardLevels) practices(a *HazardAnswer, f HazardFacts) {
	type sum struct {
		total measure.Number
		known bool
	}
	sums, order := map[string]*sum{}, []string{}
	for _, s := range f.Surfaces {
		if len(n.ofSurface(s)) == 0 {
			continue
		}
		place := s.Place
		if s.Exterior {
			place = ""
		}
		if sums[place] == nil {
			sums[place] = &sum{known: true}
			order = append(order, place)
		}
		if s.Area.Known() {
			sums[place].total = sums[place].total.Add(s.Area.In(measure.SquareFoot))
		} else {
			sums[place].known = false
		}
	}
	for _, place := range order {
		i, test, where := 0, "room", place
		if place == "" {
			i, test, where = 1, "exterior", "exterior"
		}
		a.Practices = append(a.Practices, n.extent(i, test, where, sums[place].total, sums[place].known, measure.SquareFoot))
	}
	for _, s := range f.Surfaces {
		if small := s.Component.Small(); len(n.ofSurface(s)) > 0 && (small == law.Yes || small == law.Unknown && s.Share.Known()) {
			share, known := measure.Number{}, s.Share.Known()
			if known {
				share = s.Share.In(measure.Percent)
			}
			a.Practices = append(a.Practices, n.extent(2, "component", s.Label, share, known, measure.Percent))
		}
	}
}

func (n hazardLevels) extent(i int, test, where string, extent measure.Number, known bool, unit measure.Unit) PracticeExtent {
	epa, hud := n.practice[i].Number(), n.deMinimis[i].Number()
	e := PracticeExtent{Test: test, Where: where, EPA: !known || extent.Cmp(epa) >= 0, HUD: !known || extent.Cmp(hud) > 0}
	if known {
		shown := unit.Shown(extent)
		e.Extent = &shown
	}
	e.differs = e.EPA != e.HUD
	switch {
	case !known:
		e.Why = "How much is to be treated is not known, so the work practices apply."
	case e.differs:
		e.Why = fmt.Sprintf("%s %s is exactly the limit: EPA leaves out less than that, HUD not more than that. Use the work practices.", extent.Show(), unit)
	case e.EPA:
		e.Why = fmt.Sprintf("%s %s is not less than %s %s.", extent.Show(), unit, epa, unit)
	default:
		e.Why = fmt.Sprintf("%s %s is less than %s %s.", extent.Show(), unit, epa, unit)
	}
	return e
}
