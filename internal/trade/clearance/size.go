package clearance

import (
	"fmt"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// sizes are the areas of wipes for surfaces, with the highest limit a laboratory may have for each: to show a pass at all, and to be as
// low as a recognised laboratory's must be. Bigger areas follow the usual ones where they are advised.
func (p Plans) sizes(f PlanFacts, n numbersOfPlan, surfaces []Surface) []WipeSize {
	scope := law.Scope{Jurisdictions: f.Jurisdictions}
	list := []WipeSize{}
	add := func(s Surface, unit measure.Unit, area measure.Quantity, advised bool) {
		if level := n.limits.level(s); level.Known() {
			list = append(list, sizeOf(s, level.Limit, n.limits.LaboratoryShare, f.ReportingLimit, area, unit, advised))
		}
	}
	for _, s := range surfaces {
		if s == Sill || s == Trough {
			add(s, measure.SquareInch, p.limits.book.Quantity(p.windowArea, n.windowArea), false)
		} else {
			add(s, measure.SquareFoot, p.limits.book.Quantity(p.floorArea, n.floorArea), false)
		}
		if advised, ok := p.limits.book.On(p.floorAdvised, f.AsOf, law.Required, scope); ok && s == FloorBare {
			add(s, measure.SquareFoot, p.limits.book.Quantity(p.floorAdvised, advised), true)
		}
		if advised, ok := p.limits.book.On(p.sillAdvised, f.AsOf, law.Required, scope); ok && s == Sill {
			add(s, measure.SquareInch, p.limits.book.Quantity(p.sillAdvised, advised), true)
		}
	}
	return list
}

// sizeOf works out the row of one area.
func sizeOf(s Surface, level, share Limit, told, area measure.Quantity, unit measure.Unit, advised bool) WipeSize {
	loading := level.Value.In(measure.MicrogramPerSquareFoot)
	decides := loading.Mul(area.In(measure.SquareFoot))
	size := WipeSize{Surface: s, Area: area.Shown(), Advised: advised, Level: level.Value.Shown(), Decides: measure.Microgram.Shown(decides)}
	least := func(loading measure.Number) *measure.Shown {
		shown := unit.Shown(measure.Convert(told.In(measure.Microgram).Quo(loading), measure.SquareFoot, unit))
		return &shown
	}
	if told.Known() {
		can := told.In(measure.Microgram).Cmp(decides) <= 0
		size.CanDecide, size.AreaDecides = &can, least(loading)
	}
	if share.Known() {
		part := share.Value.In(measure.One)
		most := measure.Microgram.Shown(decides.Mul(part))
		size.Recognised = &most
		if told.Known() {
			met := told.In(measure.Microgram).Cmp(decides.Mul(part)) <= 0
			size.LimitMet, size.AreaMeets = &met, least(loading.Mul(part))
		}
	}
	return size
}

// explainSizes says what the areas and limits are for.
func (b *builder) explainSizes() {
	if len(b.plan.Sizes) == 0 {
		return
	}
	b.d.Because("wipe_sizes", "wipes", fmt.Sprint(len(b.plan.Wipes)), b.n.floorArea.Cite(),
		fmt.Sprintf("A floor wipe covers %s ft2; a sill or trough wipe what is there, and at least %s in2. Where low levels ask for it, a bigger area lets the same laboratory show less.",
			b.n.floorArea.Number(), b.n.windowArea.Number()))
	share := b.n.limits.LaboratoryShare
	if share.Known() {
		b.d.Because("reporting_limit_for_area", "reporting_limit", shownOr(b.facts.ReportingLimit, "not told"), share.Citation,
			fmt.Sprintf("A result below the laboratory's limit shows a pass where that limit over the area is not above the level; a recognised laboratory's is at most %s of the level.", share.Value.Show()))
	}
}

func shownOr(q measure.Quantity, otherwise string) string {
	if !q.Known() {
		return otherwise
	}
	return q.Show()
}
