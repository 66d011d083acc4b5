package home

import (
	"fmt"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

var soilHazard = law.Cite("40 CFR 745.65(c)", law.Text)

// soil finds the soil-lead hazards: a sample of bare soil in a play area at or above its level, and the mean of those of bare soil
// in the rest of the yard at or above the level there. HUD asks beside it that more than an area be bare in the rest of the yard.
func (n hazardLevels) soil(a *HazardAnswer, f HazardFacts) {
	var yard []SoilSample
	for _, s := range f.Soil {
		switch {
		case s.Bare == law.No:
		case s.Where == PlayArea:
			n.playArea(a, s)
		default:
			yard = append(yard, s)
		}
	}
	n.restOfYard(a, f, yard)
}

func (n hazardLevels) playArea(a *HazardAnswer, s SoilSample) {
	level := s.Level.In(measure.PartPerMillion)
	c := level.Cmp(n.play.Number())
	bounded := s.Level.Qualifier == measure.LessThan
	if c < 0 || bounded && c == 0 {
		return
	}
	h := Hazard{Kind: "soil_play_area", Where: s.Label, holds: s.Bare, Citation: n.play.Cite(), rule: "soil_play_area",
		Why: fmt.Sprintf("Bare soil of a play area has %s; a hazard from %s ppm.", s.Level.Show(), n.play.Number())}
	if bounded {
		h.holds = law.Unknown
		h.Why += " The result is only known to be less than that bound."
	}
	h.open = unknowns(named{"bare", s.Bare}, named{"level", triOrOpen(bounded)})
	h.measure(level, n.play.Number(), measure.PartPerMillion)
	n.abatement(&h, level, bounded)
	a.Hazards = append(a.Hazards, h)
}

// triOrOpen is not known where a result is only bounded.
func triOrOpen(bounded bool) law.Tri {
	if bounded {
		return law.Unknown
	}
	return law.Yes
}

// measure puts a level and its limit into a hazard.
func (h *Hazard) measure(level, limit measure.Number, unit measure.Unit) {
	l, m := unit.Shown(level), unit.Shown(limit)
	h.Level, h.Limit = &l, &m
}

// abatement says where HUD takes no interim control of soil.
func (n hazardLevels) abatement(h *Hazard, level measure.Number, bounded bool) {
	if level.Cmp(n.abate.Number()) >= 0 && !bounded {
		h.Abate = true
		h.Why += fmt.Sprintf(" For HUD soil from %s ppm must be abated.", n.abate.Number())
	}
}

func (n hazardLevels) restOfYard(a *HazardAnswer, f HazardFacts, samples []SoilSample) {
	if len(samples) == 0 {
		return
	}
	total, least, most, bare, bounded := measure.Number{}, measure.Number{}, measure.Number{}, law.Yes, false
	for _, s := range samples {
		level := s.Level.In(measure.PartPerMillion)
		total = total.Add(level)
		if s.Level.Qualifier == measure.LessThan {
			bounded = true
		} else {
			least, most = least.Add(level), most.Max(level)
		}
		bare = allOf(bare, s.Bare)
	}
	count := measure.Int(int64(len(samples)))
	mean := total.Quo(count)
	shown := measure.PartPerMillion.Shown(mean)
	a.SoilMean = &shown
	reaches := meanReaches(mean, least.Quo(count), n.yard.Number(), bounded)
	if reaches == law.No {
		return
	}
	h := Hazard{Kind: "soil_yard", Where: "rest of the yard", holds: allOf(reaches, bare), open: unknowns(named{"bare", bare}, named{"level", reaches}), Citation: n.yard.Cite(), rule: "soil_yard",
		Why: fmt.Sprintf("The mean of %d samples of bare soil of the rest of the yard is %s ppm; a hazard from %s ppm.", len(samples), mean.Show(), n.yard.Number())}
	if bounded {
		h.Why += " Results \"less than\" entered it with their bounds."
	}
	h.measure(mean, n.yard.Number(), measure.PartPerMillion)
	n.abatement(&h, most, false)
	a.Hazards = append(a.Hazards, h)
}

// bareEnough is whether HUD's condition on bare soil in the rest of the yard holds.
func (n hazardLevels) bareEnough(f HazardFacts) law.Tri {
	return over(f.BareYard, n.bare.Number(), measure.SquareFoot)
}
