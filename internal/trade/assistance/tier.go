package assistance

import (
	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Money is an amount of US dollars that may not be known.
type Money struct {
	Dollars measure.Number
	Known   bool
}

// Spending is what money of a rehabilitation is spent on.
type Spending string

// What money is spent on. Only hard costs count as such; evaluating and reducing lead hazards for the housing rule does not, nor
// do soft costs (24 CFR 35.915, 35.110). All Federal money counts as Federal assistance, whatever it is spent on.
const (
	HardCost           Spending = "hard_cost"
	LeadEvaluation     Spending = "lead_evaluation"
	SitePreparation    Spending = "site_preparation"
	OccupantProtection Spending = "occupant_protection"
	Relocation         Spending = "relocation"
	InterimControls    Spending = "interim_controls"
	Abatement          Spending = "abatement"
	Clearing           Spending = "clearance"
	WasteHandling      Spending = "waste_handling"
	SoftCost           Spending = "soft_cost"
	Acquisition        Spending = "acquisition"
)

// Where says in which part of a project a hard cost is spent.
type Where string

// The parts of a project.
const (
	AssistedUnits Where = "assisted_units"
	SharedParts   Where = "common_or_exterior" // common areas and exterior painted surfaces
	OtherUnits    Where = "other_units"
)

// Cost is one item of a rehabilitation's budget.
type Cost struct {
	For    Spending
	Where  Where
	Amount measure.Number // US dollars
}

// TierFacts are what a rehabilitation's tier turns on. The hard costs are told as two sums, or item by item.
type TierFacts struct {
	AsOf          calendar.Date
	Federal       Money // all Federal assistance to the project
	Assisted      Money // hard costs in the assisted units
	Shared        Money // hard costs of common areas and exterior painted surfaces
	Costs         []Cost
	AssistedUnits int
	Units         int     // 0 when not known
	HomeRental    law.Tri // a rental that the HOME programme assists
	Insular       law.Tri // an insular area of the United States
	TestedFree    law.Tri // the surfaces to be disturbed were tested and have no lead-based paint
}

// Tier is the tier of rehabilitation help.
type Tier string

// The tiers.
const (
	Lowest  Tier = "lowest"
	Middle  Tier = "middle"
	Highest Tier = "highest"
)

// LeftOut is money that is no hard cost of the assisted units or the shared parts.
type LeftOut struct {
	For    Spending `json:"for"`
	Where  Where    `json:"where,omitempty"`
	Amount string   `json:"amount"` // US dollars
	Why    string   `json:"why"`
}

// TierAnswer is a rehabilitation's tier, and what follows from it.
type TierAnswer struct {
	Tier         Tier              `json:"outcome"`
	Amount       string            `json:"amount_per_unit,omitempty"` // US dollars, rounded to cents for show
	Federal      string            `json:"federal_per_unit,omitempty"`
	Hard         string            `json:"hard_cost_per_unit,omitempty"`
	LeftOut      []LeftOut         `json:"left_out"`
	Requirements []Requirement     `json:"requirements"`
	Why          law.Determination `json:"determination"`
}

// TierRules are the parameters that tiers and their requirements read, found once.
type TierRules struct {
	book                      *law.Book
	scope                     law.Scope
	lower, upper              law.Handle
	notice, records           law.Handle
	interior, exterior, share law.Handle
}

func newTierRules(book *law.Book) (TierRules, error) {
	r := TierRules{book: book}
	return r, book.Handles(map[string]*law.Handle{"rehabilitation_lower_amount": &r.lower, "rehabilitation_upper_amount": &r.upper, "housing_notice_days": &r.notice, "housing_records_years": &r.records,
		"hud_de_minimis_interior": &r.interior, "hud_de_minimis_exterior": &r.exterior, "hud_de_minimis_component": &r.share})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r TierRules) In(jurisdictions []string) TierRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// tiers are the numbers of the tiers on a date.
type tiers struct {
	lower, upper              *law.Value
	notice, records           *law.Value
	interior, exterior, share *law.Value
}

func (r TierRules) on(date calendar.Date) (tiers, error) {
	l := r.book.Lookup(date, "/as_of", r.scope)
	n := tiers{lower: l.Value(r.lower), upper: l.Value(r.upper), notice: l.Value(r.notice), records: l.Value(r.records),
		interior: l.Value(r.interior), exterior: l.Value(r.exterior), share: l.Value(r.share)}
	return n, l.Err()
}

// Tier finds the tier of a rehabilitation (24 CFR 35.915) and what it requires (35.930). An amount that is not known counts as
// the highest it could be.
func (r TierRules) Tier(f TierFacts) (TierAnswer, error) {
	if err := f.check(); err != nil {
		return TierAnswer{}, err
	}
	n, err := r.on(f.AsOf)
	if err != nil {
		return TierAnswer{}, err
	}
	w := n.work(f)
	a := TierAnswer{Tier: w.tier, Amount: dollars(w.amount), Federal: dollars(w.federal), Hard: dollars(w.hard), LeftOut: leftOut(f.Costs)}
	a.Requirements = n.tierRequirements(f, w.tier)
	a.Why = r.explain(f, n, w, a)
	law.Otherwise(&a.Why, f, n.alternatives(f, w), func(f TierFacts) string { return string(n.work(f).tier) })
	return a, nil
}

// check refuses facts that contradict each other.
func (f TierFacts) check() error {
	var faults fault.Faults
	if f.Units > 0 && f.AssistedUnits > f.Units {
		faults.Add("/assisted_units", "contradiction", "%d units are told to be assisted, of %d; correct one of the two.", f.AssistedUnits, f.Units)
	}
	if len(f.Costs) > 0 && (f.Assisted.Known || f.Shared.Known) {
		faults.Add("/costs", "contradiction", "The hard costs are told both as sums and item by item; send one of the two.")
	}
	return faults.Err()
}

// worked is the arithmetic of a tier, exact.
type worked struct {
	federal, hard, amount Money // for each assisted unit
	units                 int   // by which the shared hard costs are divided
	tier                  Tier
}

func (n tiers) work(f TierFacts) worked {
	assisted, shared := f.hardCosts()
	w := worked{units: f.Units}
	if w.units == 0 {
		w.units = f.AssistedUnits // fewer units leave more for each
	}
	if f.Federal.Known {
		w.federal = Money{f.Federal.Dollars.Quo(measure.Int(int64(f.AssistedUnits))), true}
	}
	if assisted.Known && shared.Known {
		each := assisted.Dollars.Quo(measure.Int(int64(f.AssistedUnits)))
		w.hard = Money{each.Add(shared.Dollars.Quo(measure.Int(int64(w.units)))), true}
	}
	w.amount = least(w.federal, w.hard)
	w.tier = n.tier(w.amount)
	return w
}

// hardCosts are the hard costs in the assisted units and of the shared parts.
func (f TierFacts) hardCosts() (assisted, shared Money) {
	if len(f.Costs) == 0 {
		return f.Assisted, f.Shared
	}
	assisted.Known, shared.Known = true, true
	for _, c := range f.Costs {
		switch {
		case c.For != HardCost:
		case c.Where == AssistedUnits:
			assisted.Dollars = assisted.Dollars.Add(c.Amount)
		case c.Where == SharedParts:
			shared.Dollars = shared.Dollars.Add(c.Amount)
		}
	}
	return assisted, shared
}

// least is the smaller of two amounts; one that is not known could be anything.
func least(a, b Money) Money {
	switch {
	case !a.Known:
		return b
	case !b.Known || a.Dollars.Cmp(b.Dollars) <= 0:
		return a
	}
	return b
}

func (n tiers) tier(amount Money) Tier {
	switch {
	case amount.Known && amount.Dollars.Cmp(n.lower.Number()) <= 0:
		return Lowest
	case amount.Known && amount.Dollars.Cmp(n.upper.Number()) <= 0:
		return Middle
	}
	return Highest
}

// dollars is an amount to the cent, half away from zero; nothing where it is not known.
func dollars(m Money) string {
	if !m.Known {
		return ""
	}
	return m.Dollars.Decimal(2)
}

// whyLeftOut says why money is no hard cost.
var whyLeftOut = map[Spending]string{
	SoftCost: "Soft costs, such as administration, permits and fees, are no hard costs.", Acquisition: "Acquisition is no rehabilitation.",
}

func leftOut(costs []Cost) []LeftOut {
	list := []LeftOut{}
	for _, c := range costs {
		out := LeftOut{For: c.For, Where: c.Where, Amount: c.Amount.Decimal(2), Why: whyLeftOut[c.For]}
		switch {
		case c.For == HardCost && c.Where == OtherUnits:
			out.Why = "It is spent in units that are not assisted."
		case c.For == HardCost:
			continue
		case out.Why == "":
			out.Why = "Evaluating and reducing lead hazards for the housing rule is left out of the hard costs."
		}
		list = append(list, out)
	}
	return list
}
