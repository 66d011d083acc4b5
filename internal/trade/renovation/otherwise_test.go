package renovation_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

func TestWhatIsShownWouldChangeTheOutcome(t *testing.T) {
	t.Parallel()
	r := rules(t)
	tri := rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})
	rapid.Check(t, func(t *rapid.T) {
		on := calendar.Of(2026, 3, 1).AddDays(rapid.IntRange(0, 20).Draw(t, "on"))
		w := renovation.Work{On: on, HomeCovered: tri.Draw(t, "home"), Method: rapid.SampledFrom(practice.Methods()).Draw(t, "method"), LeadFree: tri.Draw(t, "lead free"),
			Area: measure.Int(rapid.Int64Range(1, 12).Draw(t, "area")), AreaKnown: rapid.Bool().Draw(t, "known"), WindowReplaced: rapid.Bool().Draw(t, "window"),
			DoneBy: rapid.SampledFrom([]renovation.DoneBy{renovation.DoerUnknown, renovation.OwnerOccupant, renovation.HiredFirm, renovation.PropertyManager}).Draw(t, "doer"),
			Rented: tri.Draw(t, "rented"), Assisted: law.No}
		others := []renovation.Other{{On: on.AddDays(rapid.IntRange(-29, 29).Draw(t, "day")), Area: measure.Int(rapid.Int64Range(0, 9).Draw(t, "other")), Known: rapid.Bool().Draw(t, "told"), NeverMinor: rapid.Bool().Draw(t, "never")}}
		a, err := r.Apply(w, others)
		require.NoError(t, err)
		d := r.Explain(w, others, a)
		r.Otherwise(&d, w, others)
		require.True(t, *d.Complete)
		known := map[string]bool{"home_covered": w.HomeCovered != law.Unknown, "lead_free": w.LeadFree != law.Unknown, "done_by": w.DoneBy != renovation.DoerUnknown}
		for _, set := range d.Counterfactuals {
			require.NotEqual(t, a.Outcome.String(), set.Outcome)
			for _, c := range set.Changes {
				require.False(t, known[c.Fact], "what is known and cannot be changed is left alone: %s", c.Fact)
				require.NotEqual(t, "emergency", c.Fact)
			}
		}
		if a.Outcome == renovation.CoveredRenovation && w.HomeCovered == law.Unknown {
			require.NotEmpty(t, d.Counterfactuals)
		}
	})
}

func TestTheLaterDayThatIsShownIsTheFirst(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		on := calendar.Of(2026, 3, 1)
		var others []renovation.Other
		for range rapid.IntRange(1, 5).Draw(t, "n") {
			others = append(others, renovation.Other{On: on.AddDays(rapid.IntRange(-29, 40).Draw(t, "day")), Area: measure.Int(rapid.Int64Range(1, 5).Draw(t, "area")), Known: true})
		}
		w := renovation.Work{On: on, HomeCovered: law.Yes, LeadFree: law.No, Area: measure.Int(3), AreaKnown: true, Method: practice.WetScraping, DoneBy: renovation.HiredFirm, Assisted: law.No}
		a, err := r.Apply(w, others)
		require.NoError(t, err)
		if a.Outcome == renovation.Minor {
			return
		}
		d := r.Explain(w, others, a)
		r.Otherwise(&d, w, others)
		first := w
		for first.On = on.AddDays(1); ; first.On = first.On.AddDays(1) {
			b, err := r.Apply(first, others)
			require.NoError(t, err)
			if b.Outcome == renovation.Minor {
				break
			}
		}
		require.Contains(t, d.Counterfactuals, law.Counterfactual{Changes: []law.Change{{Fact: "on", Value: first.On.String(), Kind: "action"}}, Outcome: "minor"})
	})
}

func TestFactsThatPullApartAreNoContradiction(t *testing.T) {
	t.Parallel()
	for name, w := range map[string]renovation.Work{
		"an owner who lives in a rented home":            {DoneBy: renovation.OwnerOccupant, Rented: law.Yes},
		"a landlord of a home that is not let":           {DoneBy: renovation.Landlord, Rented: law.No},
		"told to disturb paint, by painting":             {Method: practice.PaintedOnly, PaintDisturbed: law.Yes},
		"a window replaced in work on the wall it is in": {Component: home.Wall, WindowReplaced: true},
		"a window replaced without paint":                {Component: home.Window, WindowReplaced: true, PaintDisturbed: law.No},
	} {
		require.NoError(t, renovation.Contradictions(w), name)
	}
	err := renovation.Contradictions(renovation.Work{Component: home.Door, WindowReplaced: true, Method: practice.PaintedOnly, Demolished: true, PaintDisturbed: law.No})
	require.Len(t, fault.As(err).Fields, 4, "all of them at once")
}

func TestBeforeCertifiedWorkNothingNotKnownTakesAStepAway(t *testing.T) {
	t.Parallel()
	r := rules(t)
	for day := calendar.Of(2010, 4, 20); day.Before(calendar.Of(2010, 7, 10)); day = day.AddDays(1) {
		told := renovation.Work{On: day, Area: measure.Int(50), AreaKnown: true, Method: practice.WetScraping, DoneBy: renovation.HiredFirm, OptedOut: law.Yes}
		untold := told
		untold.OptedOut = law.Unknown
		a, err := r.Apply(told, nil)
		require.NoError(t, err)
		b, err := r.Apply(untold, nil)
		require.NoError(t, err)
		require.Subset(t, stepCodes(r, untold, b), stepCodes(r, told, a), day.String())
		require.Contains(t, stepCodes(r, told, a), "pamphlet")
		require.Equal(t, !day.Before(calendar.Of(2010, 4, 22)), len(stepCodes(r, untold, b)) > 2, "40 CFR 745.81(a): certified work from 22 April 2010 (text)")
	}
}
