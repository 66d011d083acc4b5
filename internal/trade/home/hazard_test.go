package home_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func hazardRules(t require.TestingT) home.HazardRules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := home.NewHazardRules(book)
	require.NoError(t, err)
	return r
}

func quantity(t require.TestingT, value int, unit string, want measure.Dimension, q measure.Qualifier) measure.Quantity {
	made, err := measure.New(fmt.Sprint(value), q, unit, want)
	require.NoError(t, err)
	return made
}

func drawHazards(t *rapid.T) home.HazardFacts {
	f := home.HazardFacts{AsOf: calendar.Of(2026, 1, 12).AddDays(rapid.IntRange(-3000, 300).Draw(t, "day"))}
	qualifier := rapid.SampledFrom([]measure.Qualifier{measure.Exactly, measure.Exactly, measure.LessThan})
	for i := range rapid.IntRange(0, 3).Draw(t, "surfaces") {
		s := home.HazardSurface{Label: fmt.Sprint("S", i), Place: "Room", LeadBased: tri.Draw(t, "lead"), Deteriorated: tri.Draw(t, "deteriorated"),
			Friction: tri.Draw(t, "friction"), ImpactDamage: tri.Draw(t, "impact"), ToothMarks: tri.Draw(t, "teeth"), DustBelowSill: rapid.Bool().Draw(t, "sill")}
		if rapid.Bool().Draw(t, "dust below") {
			s.DustBelow = quantity(t, rapid.IntRange(1, 300).Draw(t, "below"), "ug/ft2", measure.Loading, qualifier.Draw(t, "q"))
		}
		f.Surfaces = append(f.Surfaces, s)
	}
	for i := range rapid.IntRange(0, 3).Draw(t, "soil") {
		f.Soil = append(f.Soil, home.SoilSample{Label: fmt.Sprint("G", i), Where: rapid.SampledFrom([]home.SoilPlace{home.PlayArea, home.Dripline, home.RestOfYard}).Draw(t, "where"),
			Bare: tri.Draw(t, "bare"), Level: quantity(t, rapid.IntRange(0, 3000).Draw(t, "ppm"), "ppm", measure.Fraction, qualifier.Draw(t, "q"))})
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "dust") {
		f.Dust = append(f.Dust, home.DustSample{Label: fmt.Sprint("D", i), Unit: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "unit"), On: rapid.SampledFrom([]home.DustPlace{home.OnFloor, home.OnSill, home.OnTrough}).Draw(t, "on"),
			Wipes: rapid.IntRange(1, 4).Draw(t, "wipes"), Loading: quantity(t, rapid.IntRange(1, 300).Draw(t, "ug"), "ug/ft2", measure.Loading, qualifier.Draw(t, "q"))})
	}
	f.Units = []home.HazardUnit{{Label: "A"}, {Label: "B"}, {Label: "C"}}
	return f
}

var hazardOrder = map[home.HazardOutcome]int{home.NoHazards: 0, home.HazardsPresumed: 1, home.HazardsFound: 2}

// 40 CFR 745.65: a higher level is never less of a hazard, nor is a fact that is forgotten taken for none.
func TestHazardsRiseWithLevelsAndDoNotGoByForgetting(t *testing.T) {
	t.Parallel()
	r := hazardRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawHazards(t)
		before, err := r.Hazards(f)
		require.NoError(t, err)
		forgetting := rapid.Bool().Draw(t, "forget")
		switch {
		case forgetting && len(f.Surfaces) > 0:
			s := &f.Surfaces[0]
			[]func(){func() { s.LeadBased = law.Unknown }, func() { s.Friction = law.Unknown }, func() { s.Deteriorated = law.Unknown }, func() { s.DustBelow = measure.Quantity{} }}[rapid.IntRange(0, 3).Draw(t, "fact")]()
		case forgetting && len(f.Soil) > 0:
			f.Soil[0].Bare = law.Unknown
		case len(f.Soil) > 0 && rapid.Bool().Draw(t, "soil"):
			level := &f.Soil[0].Level
			*level = quantity(t, int(level.Number().Scaled(0))+rapid.IntRange(0, 2000).Draw(t, "more"), "ppm", measure.Fraction, level.Qualifier)
		default:
			level := &f.Dust[0].Loading
			*level = quantity(t, int(level.Number().Scaled(0))+rapid.IntRange(0, 200).Draw(t, "more"), "ug/ft2", measure.Loading, level.Qualifier)
		}
		after, err := r.Hazards(f)
		require.NoError(t, err)
		if forgetting {
			require.GreaterOrEqual(t, min(hazardOrder[after.Outcome], 1), min(hazardOrder[before.Outcome], 1))
			return
		}
		require.GreaterOrEqual(t, hazardOrder[after.Outcome], hazardOrder[before.Outcome])
	})
}

// The mean of single wipes is the plain mean; a composite of n weighs as n single wipes of its loading do (40 CFR 745.227(h)(3)).
func TestCompositeWeighsAsItsWipes(t *testing.T) {
	t.Parallel()
	r := hazardRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := home.HazardFacts{AsOf: calendar.Of(2024, 3, 2)}
		single := f
		for range rapid.IntRange(1, 5).Draw(t, "samples") {
			d := home.DustSample{Label: "D", Unit: "A", On: home.OnFloor, Wipes: rapid.IntRange(1, 4).Draw(t, "wipes"), Loading: quantity(t, rapid.IntRange(1, 40).Draw(t, "ug"), "ug/ft2", measure.Loading, measure.Exactly)}
			f.Dust = append(f.Dust, d)
			wipes := d.Wipes
			d.Wipes = 1
			for range wipes {
				single.Dust = append(single.Dust, d)
			}
		}
		a, err := r.Hazards(f)
		require.NoError(t, err)
		b, err := r.Hazards(single)
		require.NoError(t, err)
		require.Equal(t, a.Means[0].Mean, b.Means[0].Mean)
		require.Equal(t, a.Outcome, b.Outcome)
		require.Equal(t, a.Means[0].Wipes, b.Means[0].Samples)
	})
}

// HUD never asks for work practices where EPA does not, by the extents of the two clauses.
func TestEPAsExtentIsTheStricterOne(t *testing.T) {
	t.Parallel()
	r := hazardRules(t)
	rapid.Check(t, func(t *rapid.T) {
		hundredths := rapid.IntRange(0, 4000).Draw(t, "hundredths")
		area, err := measure.New(fmt.Sprintf("%d/100", hundredths), measure.Exactly, "ft2", measure.Area)
		require.NoError(t, err)
		exterior := rapid.Bool().Draw(t, "exterior")
		a, err := r.Hazards(home.HazardFacts{AsOf: calendar.Of(2026, 3, 2), Surfaces: []home.HazardSurface{{Label: "S", Place: "Room", Exterior: exterior, Component: home.Wall,
			LeadBased: law.Yes, Deteriorated: law.Yes, Friction: law.No, ImpactDamage: law.No, ToothMarks: law.No, Area: area}}})
		require.NoError(t, err)
		limit := 200
		if exterior {
			limit = 2000
		}
		require.Equal(t, hundredths >= limit, a.Practices[0].EPA)
		require.Equal(t, hundredths > limit, a.Practices[0].HUD)
		require.Equal(t, hundredths == limit, len(a.Why.Differences) == 1)
	})
}
