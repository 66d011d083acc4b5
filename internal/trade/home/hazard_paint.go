package home

import (
	"fmt"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

var (
	paintHazard = law.Cite("40 CFR 745.65(a)", law.Text)
	poorPaint   = law.Cite(`40 CFR 745.223, "paint in poor condition"`, law.Text)
)

// paint finds the four paint-lead hazards of 40 CFR 745.65(a).
func (n hazardLevels) paint(a *HazardAnswer, f HazardFacts) {
	for _, s := range f.Surfaces {
		a.Conditions = append(a.Conditions, n.condition(s))
		hazards := n.ofSurface(s)
		a.Hazards = append(a.Hazards, hazards...)
	}
	n.practices(a, f)
}

// ofSurface are the hazards of one surface, found or presumed.
func (n hazardLevels) ofSurface(s HazardSurface) []Hazard {
	if s.LeadBased == law.No {
		return nil
	}
	list := []Hazard{}
	add := func(kind string, t law.Tri, open []string, why string) {
		if t == law.No {
			return
		}
		if s.LeadBased == law.Unknown {
			t, open = law.Unknown, append(open, "lead_based")
		}
		list = append(list, Hazard{Kind: kind, Where: s.Label, holds: t, open: open, Why: why, Citation: paintHazard, rule: kind})
	}
	dust, level := n.dustBelow(s)
	friction := allOf(s.Friction, dust)
	add("paint_friction", friction, unknowns(named{"friction", s.Friction}, named{"dust_below", dust}), "Lead-based paint on a friction surface, with dust on the nearest horizontal surface below at or above the hazard level"+level+".")
	add("paint_impact", s.ImpactDamage, unknowns(named{"impact_damage", s.ImpactDamage}), "Lead-based paint on an impact surface, damaged by the component that strikes it.")
	add("paint_chewable", s.ToothMarks, unknowns(named{"tooth_marks", s.ToothMarks}), "Lead-based paint on a chewable surface with tooth marks.")
	if s.ImpactDamage != law.Yes {
		add("paint_deteriorated", s.Deteriorated, unknowns(named{"deteriorated", s.Deteriorated}), "Deteriorated lead-based paint.")
	}
	return list
}

type named struct {
	fact string
	told law.Tri
}

func unknowns(facts ...named) (open []string) {
	for _, f := range facts {
		if f.told == law.Unknown {
			open = append(open, f.fact)
		}
	}
	return open
}

// allOf is yes where every fact is, no where one is not, and else not known.
func allOf(facts ...law.Tri) law.Tri {
	answer := law.Yes
	for _, t := range facts {
		if t == law.No {
			return law.No
		}
		if t == law.Unknown {
			answer = law.Unknown
		}
	}
	return answer
}

// dustBelow is whether the dust on the nearest horizontal surface below reaches the hazard level, and that level in words.
func (n hazardLevels) dustBelow(s HazardSurface) (law.Tri, string) {
	level := n.floor
	if s.DustBelowSill {
		level = n.sill
	}
	words := fmt.Sprintf(" of %s ug/ft2", level.Number())
	if anyReportable(level) {
		words = ", which is any reportable level"
	}
	if !s.DustBelow.Known() {
		return law.Unknown, words
	}
	return reaches(s.DustBelow, level), words
}

// anyReportable is whether a hazard level is any level that a recognised laboratory reports.
func anyReportable(level *law.Value) bool { return level.Number().IsZero() }

// reaches is whether a single loading reaches the hazard level: any reportable one, once that is required. One that is only known
// to be less than a bound does not where the bound is not above the level.
func reaches(loading measure.Quantity, level *law.Value) law.Tri {
	bounded := loading.Qualifier == measure.LessThan
	if anyReportable(level) {
		return triOf(!bounded)
	}
	c := loading.In(measure.MicrogramPerSquareFoot).Cmp(level.Number())
	switch {
	case bounded && c > 0:
		return law.Unknown
	case bounded:
		return law.No
	}
	return triOf(c >= 0)
}

func triOf(yes bool) law.Tri {
	if yes {
		return law.Yes
	}
	return law.No
}

// condition is whether a surface's paint is in poor condition by its extent: two tests of area, and one of the share of a small
// component. Of a component of which it is not known whether it is small, either test counts.
func (n hazardLevels) condition(s HazardSurface) SurfaceCondition {
	limit := n.poor[0]
	if s.Exterior {
		limit = n.poor[1]
	}
	c := SurfaceCondition{Surface: s.Label, Condition: "not_poor"}
	if s.Deteriorated == law.No {
		c.Why = "It has no deteriorated paint."
		return c
	}
	small := s.Component.Small()
	area, share := over(s.Area, limit.Number(), measure.SquareFoot), over(s.Share, n.poor[2].Number(), measure.Percent)
	switch {
	case small != law.Yes && area == law.Yes:
		c.Condition, c.Why = "poor", fmt.Sprintf("%s of deteriorated paint is more than %s ft2.", s.Area.Show(), limit.Number())
	case small != law.No && share == law.Yes:
		c.Condition, c.Why = "poor", fmt.Sprintf("%s of the component is more than %s %%.", s.Share.Show(), n.poor[2].Number())
	case small != law.Yes && area == law.Unknown, small != law.No && share == law.Unknown:
		c.Condition, c.Why = "unknown", fmt.Sprintf("How much paint is deteriorated is not known; more than %s ft2 of a large component, or %s %% of a small one, is poor.", limit.Number(), n.poor[2].Number())
	default:
		c.Why = fmt.Sprintf("The deteriorated paint is not more than %s ft2 of a large component, or %s %% of a small one.", limit.Number(), n.poor[2].Number())
	}
	return c
}

// over is whether a told quantity is more than a limit.
func over(q measure.Quantity, limit measure.Number, unit measure.Unit) law.Tri {
	if !q.Known() {
		return law.Unknown
	}
	return triOf(q.In(unit).Cmp(limit) > 0)
}
