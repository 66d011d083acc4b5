package waste_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/waste"
)

func classes(t require.TestingT, overlays ...law.Overlay) waste.Classes {
	book, err := law.Embedded()
	require.NoError(t, err)
	book, err = book.With(overlays)
	require.NoError(t, err)
	c, err := waste.NewClasses(book)
	require.NoError(t, err)
	return c
}

func classify(t require.TestingT, c waste.Classes, f waste.ClassFacts) waste.ClassAnswer {
	a, err := c.Classify(f)
	require.NoError(t, err)
	return a
}

var spring = calendar.Of(2026, 3, 2)

func kilograms(n int64) measure.Quantity { return measure.Of(measure.Int(n), measure.Kilogram) }

// Household lead waste taken to an intermediate place first makes that place a generator; only direct delivery keeps the
// exclusion (published: Rhode Island DEM guidelines).
func TestAPlaceInBetweenBecomesAGeneratorWhereTheJurisdictionReadsItSo(t *testing.T) {
	t.Parallel()
	c := classes(t, law.Overlay{Jurisdiction: "us-zz", Values: []law.OverlayValue{{Parameter: "household_waste_intermediate_generator", Value: "1",
		Effective: calendar.Of(2010, 1, 1), Citation: "Example guidelines", Source: law.Text}}})
	f := waste.ClassFacts{AsOf: spring, Origin: waste.Residence, Contractor: law.Yes, Held: waste.IntermediatePlace, Generated: []waste.Generated{{On: spring, Mass: kilograms(300)}}}
	here := classify(t, c.In([]string{"us-zz"}), f)
	require.Equal(t, "small_quantity", here.Outcome)
	require.Equal(t, "intermediate_place_generator", here.Determining.Reasons[0].Rule)
	require.Contains(t, here.Determining.Counterfactuals, law.Counterfactual{Outcome: "household_waste", Changes: []law.Change{{Fact: "held", Value: "on_property", Kind: "action"}}})
	require.Equal(t, "household_waste", classify(t, c, f).Outcome, "elsewhere")
	f.Held = waste.OnProperty
	require.Equal(t, "household_waste", classify(t, c.In([]string{"us-zz"}), f).Outcome, "straight from the property")
	f.Held = waste.HeldUnknown
	require.Equal(t, "small_quantity", classify(t, c.In([]string{"us-zz"}), f).Outcome, "not known gets the protective answer")
}

func TestAJurisdictionMayKeepContractorsOutOfTheExclusion(t *testing.T) {
	t.Parallel()
	c := classes(t, law.Overlay{Jurisdiction: "us-zz", Values: []law.OverlayValue{{Parameter: "household_exclusion_contractor", Value: "0",
		Effective: calendar.Of(2010, 1, 1), Citation: "Example code", Source: law.Text}}}).In([]string{"us-zz"})
	f := waste.ClassFacts{AsOf: spring, Origin: waste.Residence, Held: waste.OnProperty, Generated: []waste.Generated{{On: spring, Mass: kilograms(50)}}}
	require.Equal(t, "very_small_quantity", classify(t, c, f).Outcome, "who made it is not known")
	f.Contractor = law.No
	require.Equal(t, "household_waste", classify(t, c, f).Outcome)
}

var lighter = []string{"household_waste", "not_hazardous", "very_small_quantity", "small_quantity", "large_quantity"}

// weight orders answers by how much they ask for: the class of waste, and of its generator.
func weight(t require.TestingT, a waste.ClassAnswer) int {
	if a.Generator != nil {
		return slices.Index(lighter, a.Generator.Class)
	}
	i := slices.Index(lighter, a.Outcome)
	require.GreaterOrEqual(t, i, 0, a.Outcome)
	return i
}

func drawWaste(t *rapid.T) waste.ClassFacts {
	tri := rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})
	f := waste.ClassFacts{AsOf: spring, Contractor: tri.Draw(t, "contractor"),
		Origin: rapid.SampledFrom([]waste.Origin{waste.Residence, waste.NonResidentialChildFacility, waste.NonResidentialBuilding, waste.OriginUnknown}).Draw(t, "origin"),
		Held:   rapid.SampledFrom([]waste.Held{waste.OnProperty, waste.IntermediatePlace, waste.HeldUnknown}).Draw(t, "held"),
		Start:  spring.AddDays(-rapid.IntRange(0, 300).Draw(t, "held days"))}
	qualifier := rapid.SampledFrom([]measure.Qualifier{measure.Exactly, measure.LessThan})
	if rapid.Bool().Draw(t, "extract tested") {
		f.Extract = measure.Of(measure.Frac(rapid.Int64Range(40, 60).Draw(t, "tenths of mg/L"), 10), measure.MilligramPerLitre)
		f.Extract.Qualifier = qualifier.Draw(t, "extract less than")
	}
	if rapid.Bool().Draw(t, "total tested") {
		f.Total = measure.Of(measure.Int(rapid.Int64Range(95, 105).Draw(t, "mg/kg")), measure.MilligramPerKilogram)
		f.Total.Qualifier = qualifier.Draw(t, "total less than")
	}
	for range rapid.IntRange(0, 3).Draw(t, "days") {
		f.Generated = append(f.Generated, waste.Generated{On: spring.AddDays(-rapid.IntRange(0, 5).Draw(t, "ago")), Acute: rapid.IntRange(0, 9).Draw(t, "acute") == 0,
			Mass: kilograms(rapid.SampledFrom([]int64{0, 1, 2, 50, 99, 100, 101, 500, 900, 999, 1000, 1001}).Draw(t, "kg"))})
	}
	if rapid.Bool().Draw(t, "store told") {
		f.OnSite = kilograms(rapid.SampledFrom([]int64{0, 999, 1000, 5999, 6000, 6001}).Draw(t, "kg held"))
	}
	if rapid.Bool().Draw(t, "distance told") {
		f.Distance = measure.Of(measure.Int(rapid.Int64Range(198, 202).Draw(t, "miles")), measure.Mile)
	}
	return f
}

func TestMoreWasteOrMoreLeadNeverMakesALighterClassOrALongerTime(t *testing.T) {
	t.Parallel()
	c := classes(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawWaste(t)
		more := f
		more.Generated = slices.Clone(f.Generated)
		for i := range more.Generated {
			more.Generated[i].Mass = kilograms(more.Generated[i].Mass.Number().Scaled(0) + rapid.Int64Range(0, 500).Draw(t, "more kg"))
		}
		grow := func(q *measure.Quantity) {
			if q.Known() {
				less := q.Qualifier
				*q = measure.Of(q.Number().Add(measure.Frac(rapid.Int64Range(0, 20).Draw(t, "more tenths"), 10)), q.Unit)
				q.Qualifier = less
			}
		}
		grow(&more.Extract)
		grow(&more.Total)
		before, after := classify(t, c, f), classify(t, c, more)
		require.GreaterOrEqual(t, weight(t, after), weight(t, before), "%+v", f)
		if before.Generator != nil && before.Generator.Days > 0 {
			require.NotZero(t, after.Generator.Days)
			require.LessOrEqual(t, after.Generator.Days, before.Generator.Days)
		}
	})
}

func TestWhatIsNotKnownOfWasteNeverMakesALighterClassOrALongerTime(t *testing.T) {
	t.Parallel()
	federal := classes(t)
	strict := classes(t, law.Overlay{Jurisdiction: "us-zz", Values: []law.OverlayValue{{Parameter: "household_waste_intermediate_generator", Value: "1",
		Effective: calendar.Of(2010, 1, 1), Citation: "Example guidelines", Source: law.Text}}}).In([]string{"us-zz"})
	rapid.Check(t, func(t *rapid.T) {
		f := drawWaste(t)
		less := f
		for _, forget := range []func(){
			func() { less.Origin = waste.OriginUnknown }, func() { less.Contractor = law.Unknown }, func() { less.Held = waste.HeldUnknown },
			func() { less.Extract = measure.Quantity{} }, func() { less.Generated = nil }, func() { less.Distance = measure.Quantity{} },
		} {
			if rapid.Bool().Draw(t, "forgotten") {
				forget()
			}
		}
		// A total that cannot fail still says so where a failing extract is forgotten: the two are at odds.
		if f.Extract.Known() && !less.Extract.Known() {
			less.Total = measure.Quantity{}
		}
		for _, c := range []waste.Classes{federal, strict} {
			known, unknown := classify(t, c, f), classify(t, c, less)
			require.GreaterOrEqual(t, weight(t, unknown), weight(t, known), "%+v", f)
			if known.Generator != nil && known.Generator.Days > 0 {
				require.LessOrEqual(t, unknown.Generator.Days, known.Generator.Days)
				require.NotZero(t, unknown.Generator.Days)
			}
		}
	})
}
