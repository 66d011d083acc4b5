package assistance_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

var tierOrder = []assistance.Tier{assistance.Lowest, assistance.Middle, assistance.Highest}

func drawMoney(t *rapid.T, name string) assistance.Money {
	if rapid.Bool().Draw(t, name+" known") {
		return assistance.Money{Dollars: measure.Frac(int64(rapid.IntRange(0, 12000000).Draw(t, name)), 100), Known: true}
	}
	return assistance.Money{}
}

func drawTier(t *rapid.T) assistance.TierFacts {
	c := rapid.IntRange(1, 6).Draw(t, "assisted")
	return assistance.TierFacts{AsOf: calendar.Of(2026, 3, 2), AssistedUnits: c, Units: c + rapid.IntRange(0, 6).Draw(t, "others"),
		Federal: drawMoney(t, "federal"), Assisted: drawMoney(t, "assisted costs"), Shared: drawMoney(t, "shared costs"), HomeRental: tri.Draw(t, "home")}
}

// 24 CFR 35.915: more money never lowers the tier, and neither does not knowing it.
func TestTierRisesWithMoneyAndWithNotKnowing(t *testing.T) {
	t.Parallel()
	r := rules(t).Tiers
	rapid.Check(t, func(t *rapid.T) {
		f := drawTier(t)
		a, err := r.Tier(f)
		require.NoError(t, err)
		more := f
		part := []*assistance.Money{&more.Federal, &more.Assisted, &more.Shared}[rapid.IntRange(0, 2).Draw(t, "part")]
		if rapid.Bool().Draw(t, "forget") {
			*part = assistance.Money{}
		} else if part.Known {
			part.Dollars = part.Dollars.Add(measure.Int(int64(rapid.IntRange(1, 50000).Draw(t, "more"))))
		}
		if rapid.Bool().Draw(t, "units") {
			more.Units = 0
		}
		b, err := r.Tier(more)
		require.NoError(t, err)
		require.GreaterOrEqual(t, slices.Index(tierOrder, b.Tier), slices.Index(tierOrder, a.Tier))
	})
}

// The sums and the items of one budget give one answer, whatever is left out.
func TestItemsAndSumsOfABudgetAgree(t *testing.T) {
	t.Parallel()
	r := rules(t).Tiers
	rapid.Check(t, func(t *rapid.T) {
		f := drawTier(t)
		f.Assisted, f.Shared = assistance.Money{Known: true}, assistance.Money{Known: true}
		items := f
		items.Assisted, items.Shared = assistance.Money{}, assistance.Money{}
		left := 0
		for range rapid.IntRange(1, 12).Draw(t, "items") {
			c := assistance.Cost{For: rapid.SampledFrom([]assistance.Spending{assistance.HardCost, assistance.HardCost, assistance.Abatement, assistance.SoftCost}).Draw(t, "for"),
				Where:  rapid.SampledFrom([]assistance.Where{assistance.AssistedUnits, assistance.SharedParts, assistance.OtherUnits}).Draw(t, "where"),
				Amount: measure.Int(int64(rapid.IntRange(0, 40000).Draw(t, "amount")))}
			items.Costs = append(items.Costs, c)
			switch {
			case c.For == assistance.HardCost && c.Where == assistance.AssistedUnits:
				f.Assisted.Dollars = f.Assisted.Dollars.Add(c.Amount)
			case c.For == assistance.HardCost && c.Where == assistance.SharedParts:
				f.Shared.Dollars = f.Shared.Dollars.Add(c.Amount)
			default:
				left++
			}
		}
		a, err := r.Tier(f)
		require.NoError(t, err)
		b, err := r.Tier(items)
		require.NoError(t, err)
		require.Equal(t, a.Tier, b.Tier)
		require.Equal(t, a.Hard, b.Hard)
		require.Len(t, b.LeftOut, left)
	})
}

// What is proposed does what is said.
func TestAmountsThatAreProposedLowerTheTier(t *testing.T) {
	t.Parallel()
	r := rules(t).Tiers
	rapid.Check(t, func(t *rapid.T) {
		f := drawTier(t)
		a, err := r.Tier(f)
		require.NoError(t, err)
		for _, set := range a.Why.Counterfactuals {
			require.Less(t, slices.Index(tierOrder, assistance.Tier(set.Outcome)), slices.Index(tierOrder, a.Tier))
			for _, change := range set.Changes {
				require.Equal(t, change.Fact == "federal_assistance" && f.Federal.Known, change.Kind == "action")
			}
		}
		require.True(t, *a.Why.Complete)
	})
}

func TestHomeRentalIsMaintainedUnlessKnownNotToBeOne(t *testing.T) {
	t.Parallel()
	for told, want := range map[law.Tri]bool{law.Yes: true, law.Unknown: true, law.No: false} {
		a, err := rules(t).Tiers.Tier(assistance.TierFacts{AsOf: calendar.Of(2026, 3, 2), AssistedUnits: 1, HomeRental: told})
		require.NoError(t, err)
		require.Equal(t, want, slices.ContainsFunc(a.Requirements, func(r assistance.Requirement) bool { return r.Code == "ongoing_maintenance" }), "24 CFR 35.935 (text)")
	}
}
