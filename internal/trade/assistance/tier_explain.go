package assistance

import (
	"fmt"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func (r TierRules) explain(f TierFacts, n tiers, w worked, a TierAnswer) law.Determination {
	d := law.NewDetermination("assistance_tier", f.AsOf, r.book.RuleSet())
	d.Outcome = string(a.Tier)
	d.Use("assisted_units", fmt.Sprint(f.AssistedUnits))
	if f.Units > 0 {
		d.Use("units", fmt.Sprint(f.Units))
	}
	w.explainFederal(&d, f)
	w.explainHard(&d, f)
	n.explainTier(&d, w)
	for _, out := range a.LeftOut {
		d.Because("hard_costs_only", "costs", string(out.For)+", "+out.Amount, perUnit, out.Why)
	}
	explainPlace(&d, f)
	return d
}

func (w worked) explainFederal(d *law.Determination, f TierFacts) {
	if !w.federal.Known {
		d.Miss("federal_assistance", "The amount is the smaller of Federal assistance and hard costs for each assisted unit; what is not known could be anything.", "Less Federal assistance for each unit than the hard costs would lower the amount, and perhaps the tier.")
		return
	}
	d.Use("federal_assistance", f.Federal.Dollars.Decimal(2))
	d.Because("federal_per_unit", "federal_assistance", f.Federal.Dollars.Decimal(2), perUnit, fmt.Sprintf("All Federal assistance, whatever it is spent on, divided by the %d assisted units is %s dollars.", f.AssistedUnits, dollars(w.federal)))
}

func (w worked) explainHard(d *law.Determination, f TierFacts) {
	assisted, shared := f.hardCosts()
	if !w.hard.Known {
		for _, part := range []struct {
			fact string
			Money
		}{{"hard_costs_assisted_units", assisted}, {"hard_costs_common_and_exterior", shared}} {
			if !part.Known {
				d.Miss(part.fact, "The amount is the smaller of Federal assistance and hard costs for each assisted unit; what is not known could be anything.", "Lower hard costs for each unit than the Federal assistance would lower the amount, and perhaps the tier.")
			}
		}
		return
	}
	d.Use("hard_costs_assisted_units", assisted.Dollars.Decimal(2))
	d.Use("hard_costs_common_and_exterior", shared.Dollars.Decimal(2))
	d.Because("hard_cost_per_unit", "hard_costs_assisted_units", assisted.Dollars.Decimal(2), perUnit, fmt.Sprintf(
		"%s dollars of hard costs in the %d assisted units and %s of common areas and exterior surfaces of all %d units are %s dollars for each.",
		assisted.Dollars.Decimal(2), f.AssistedUnits, shared.Dollars.Decimal(2), w.units, dollars(w.hard)))
	if f.Units == 0 && shared.Dollars.Sign() > 0 {
		d.Miss("units", "The hard costs of common areas and the exterior are divided by all units.", "More units than the assisted ones would lower the hard costs for each, and perhaps the tier.")
	}
}

func (n tiers) explainTier(d *law.Determination, w worked) {
	if !w.amount.Known {
		d.Because("tier_presumed", "federal_assistance", "unknown", protective(perUnit.Clause), "Neither amount is known, so the highest tier is presumed.")
		return
	}
	amount := dollars(w.amount)
	band := fmt.Sprintf("not above %s", n.lower.Number())
	rule := "lowest_tier"
	switch w.tier {
	case Middle:
		rule, band = "middle_tier", fmt.Sprintf("above %s and not above %s", n.lower.Number(), n.upper.Number())
	case Highest:
		rule, band = "highest_tier", fmt.Sprintf("above %s", n.upper.Number())
	}
	exact := ""
	for _, end := range []*law.Value{n.lower, n.upper} {
		if w.amount.Dollars.Cmp(end.Number()) > 0 && amount == end.Number().Decimal(2) {
			exact = ", by less than half a cent"
		}
	}
	d.Because(rule, "amount_per_unit", amount, perUnit, fmt.Sprintf("The smaller of the two, %s dollars for each assisted unit, is %s%s.", amount, band, exact))
}

func explainPlace(d *law.Determination, f TierFacts) {
	if f.Insular == law.Yes {
		d.Because("insular_area", "insular_area", "yes", insularRule, "In an insular area its own section takes the place of the requirements elsewhere.")
	}
	switch f.HomeRental {
	case law.Yes:
		d.Because("home_rental", "home_rental", "yes", homeRental, "The HOME programme assists the rental, so maintenance goes on.")
	case law.Unknown:
		d.Miss("home_rental", "A rental that the HOME programme assists needs ongoing maintenance.", "Knowing that the programme does not assist it would leave the maintenance out.")
	}
	if f.Insular == law.Unknown {
		d.Miss("insular_area", "Insular areas have requirements of their own.", "An insular area would have the requirements of 24 CFR 35.940 in place of those of 35.930.")
	}
}

// alternatives are the amounts that would put a project into a lower tier, as a fact where they are not known and as an action
// where they are.
func (n tiers) alternatives(f TierFacts, w worked) []law.Alternative[TierFacts] {
	list := []law.Alternative[TierFacts]{}
	for _, end := range []*law.Value{n.lower, n.upper} {
		most := end.Number().Mul(measure.Int(int64(f.AssistedUnits)))
		if !w.amount.Known || w.amount.Dollars.Cmp(end.Number()) > 0 {
			list = append(list, law.Alternative[TierFacts]{Fact: "federal_assistance", Value: most.Decimal(2) + " or less", Action: f.Federal.Known, Set: func(f *TierFacts) { f.Federal = Money{most, true} }})
		}
	}
	if !w.hard.Known && len(f.Costs) == 0 {
		for _, end := range []*law.Value{n.lower, n.upper} {
			most := end.Number().Mul(measure.Int(int64(f.AssistedUnits)))
			list = append(list, law.Alternative[TierFacts]{Fact: "hard_costs_assisted_units", Value: most.Decimal(2) + " or less, with nothing for common areas and the exterior", Set: func(f *TierFacts) { f.Assisted, f.Shared = Money{most, true}, Money{Known: true} }})
		}
	}
	if f.Units == 0 && w.hard.Known {
		if units := n.enoughUnits(f, w); units > 0 {
			list = append(list, law.Alternative[TierFacts]{Fact: "units", Value: fmt.Sprintf("%d or more", units), Set: func(f *TierFacts) { f.Units = units }})
		}
	}
	return list
}

// enoughUnits is the fewest units of a building that would lower the tier, or 0.
func (n tiers) enoughUnits(f TierFacts, w worked) int {
	for _, end := range []*law.Value{n.upper, n.lower} {
		if w.amount.Dollars.Cmp(end.Number()) <= 0 {
			continue
		}
		assisted, shared := f.hardCosts()
		left := end.Number().Sub(assisted.Dollars.Quo(measure.Int(int64(f.AssistedUnits))))
		if left.Sign() <= 0 {
			return 0
		}
		units := shared.Dollars.Quo(left)
		whole := units.Scaled(0)
		if measure.Int(whole).Cmp(units) < 0 {
			whole++
		}
		if whole > maxUnits {
			return 0
		}
		return int(whole)
	}
	return 0
}

// maxUnits is more units than a project has.
const maxUnits = 100000
