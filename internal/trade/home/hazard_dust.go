package home

import (
	"fmt"
	"slices"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

var dustHazard = law.Cite("40 CFR 745.227(h)(3)", law.Text)

// dust finds the dust-lead hazards: the weighted mean of a dwelling's samples of floors, and of sills, at or above the level, or any
// reportable level among them once that is a hazard. A unit without samples follows those of its group that have some.
func (n hazardLevels) dust(a *HazardAnswer, f HazardFacts) {
	units := []string{}
	for _, d := range f.Dust {
		if !slices.Contains(units, d.Unit) {
			units = append(units, d.Unit)
		}
	}
	for _, unit := range units {
		for _, on := range []DustPlace{OnFloor, OnSill} {
			if m, some := n.mean(f, unit, on); some {
				a.Means = append(a.Means, m)
				n.dustHazard(a, m)
			}
		}
	}
	n.unsampled(a, f, units)
}

// mean weighs each sample by its wipes. A result "less than" enters with its bound.
func (n hazardLevels) mean(f HazardFacts, unit string, on DustPlace) (m DustMean, some bool) {
	total, least := measure.Number{}, measure.Number{} // least: with nothing in place of what is less than a bound
	reportable := false
	m = DustMean{Unit: unit, On: on}
	for _, d := range f.Dust {
		if d.Unit != unit || d.On != on {
			continue
		}
		weighed := d.Loading.In(measure.MicrogramPerSquareFoot).Mul(measure.Int(int64(d.Wipes)))
		total = total.Add(weighed)
		if d.Loading.Qualifier == measure.LessThan {
			m.Bounded = true
		} else {
			reportable, least = true, least.Add(weighed)
		}
		m.Samples, m.Wipes = m.Samples+1, m.Wipes+d.Wipes
	}
	if m.Samples == 0 {
		return m, false
	}
	wipes := measure.Int(int64(m.Wipes))
	mean := total.Quo(wipes)
	m.Mean = measure.MicrogramPerSquareFoot.Shown(mean)
	if m.Bounded && !reportable {
		m.Mean.Qualifier = measure.LessThan
	}
	against := func(level *law.Value) law.Tri {
		if anyReportable(level) {
			return triOf(reportable)
		}
		return meanReaches(mean, least.Quo(wipes), level.Number(), m.Bounded)
	}
	m.hazard = against(n.levelOf(on))
	if soon := n.soon(on); soon != nil && m.hazard != law.Yes && against(soon) == law.Yes {
		m.HazardFrom = soon.Required
	}
	m.Hazard = m.hazard.String()
	return m, true
}

func (n hazardLevels) levelOf(on DustPlace) *law.Value {
	if on == OnSill {
		return n.sill
	}
	return n.floor
}

func (n hazardLevels) soon(on DustPlace) *law.Value {
	if on == OnSill {
		return n.soonSill
	}
	return n.soonFloor
}

// meanReaches is whether a mean reaches a level. Where results "less than" entered it with their bounds, the true mean is below it,
// and at least what it is with nothing in their place.
func meanReaches(mean, least, level measure.Number, bounded bool) law.Tri {
	c := mean.Cmp(level)
	switch {
	case least.Cmp(level) >= 0:
		return law.Yes
	case c < 0, bounded && c == 0:
		return law.No
	}
	return law.Unknown
}

func (n hazardLevels) dustHazard(a *HazardAnswer, m DustMean) {
	if m.hazard == law.No {
		return
	}
	kind := "dust_" + string(m.On)
	h := Hazard{Kind: kind, Where: m.Unit, holds: m.hazard, Citation: dustHazard, rule: kind}
	mean := m.Mean
	h.Level = &mean
	if anyReportable(n.levelOf(m.On)) {
		h.Why, h.Citation = fmt.Sprintf("Lead was reported in the dust of its %ss, and any reportable level is a hazard; the mean, weighed by wipes (%d), is %s ug/ft2.", m.On, m.Wipes, mean.Value), n.levelOf(m.On).Cite()
	} else {
		limit := measure.MicrogramPerSquareFoot.Shown(n.levelOf(m.On).Number())
		h.Limit = &limit
		h.Why = fmt.Sprintf("The mean of its samples of %ss, weighed by wipes (%d), is %s ug/ft2; a hazard from %s ug/ft2.", m.On, m.Wipes, mean.Value, n.levelOf(m.On).Number())
	}
	if m.Bounded {
		h.Why += " Results \"less than\" entered the mean with their bounds."
	}
	if m.hazard == law.Unknown {
		h.open = []string{"loading"}
	}
	a.Hazards = append(a.Hazards, h)
}

// unsampled gives each unit without samples the hazards of the sampled ones of its group.
func (n hazardLevels) unsampled(a *HazardAnswer, f HazardFacts, sampled []string) {
	group := map[string]string{}
	for _, u := range f.Units {
		group[u.Label] = u.Group
	}
	found := slices.Clone(a.Hazards)
	for _, u := range f.Units {
		if slices.Contains(sampled, u.Label) {
			continue
		}
		for _, kind := range []string{"dust_floor", "dust_sill"} {
			holds, where := law.No, ""
			for _, h := range found {
				if h.Kind == kind && group[h.Where] == u.Group && (holds == law.No || h.holds == law.Yes && holds != law.Yes) {
					holds, where = h.holds, h.Where
				}
			}
			if holds != law.No {
				a.Hazards = append(a.Hazards, Hazard{Kind: kind, Where: u.Label, holds: holds, Citation: dustHazard, rule: "dust_unsampled",
					Why: fmt.Sprintf("It was not sampled and follows those of its group that were: %s has this hazard.", where)})
			}
		}
	}
}
