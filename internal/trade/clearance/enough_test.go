package clearance

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// drawVisit draws wipes of some rooms, now and then with a blank.
func drawVisit(t *rapid.T) Facts {
	f := Facts{Visual: law.Yes, Waited: told(t, "2 h", measure.Duration)}
	for i := range rapid.IntRange(0, 8).Draw(t, "wipes") {
		f.Samples = append(f.Samples, Sample{Label: fmt.Sprint("W-", i), Place: fmt.Sprint("Room ", rapid.IntRange(0, 4).Draw(t, "room")),
			Surface: rapid.SampledFrom([]Surface{FloorBare, FloorCarpeted, Sill, Trough}).Draw(t, "surface"), Outside: rapid.Bool().Draw(t, "outside"),
			Area: told(t, "1 ft2", measure.Area), Mass: measure.Of(measure.Int(rapid.Int64Range(0, 6).Draw(t, "mass")), measure.Microgram)})
	}
	return f
}

func outcomeOf(t require.TestingT, f Facts, l Limits) Outcome {
	v, err := Decide(f, l)
	require.NoError(t, err)
	if v.Outcome == Passed {
		require.Empty(t, v.NotSampled)
	}
	return v.Outcome
}

// What is told of the place, of whoever examined it, or of a blank never makes a pass of what was none; and nothing of it makes a failure.
func TestTellingMoreNeverMakesAPass(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		limits := r.On(calendar.Of(2026, 3, 2), nil, []string{rapid.SampledFrom([]string{"epa", "hud"}).Draw(t, "programme")})
		bare := drawVisit(t)
		before := outcomeOf(t, bare, limits)
		more := bare
		if rapid.Bool().Draw(t, "place") {
			p := drawPlanFacts(t)
			more.Site = &Site{Work: p.Work, Extent: Worksite, Contained: p.Contained, WindowsCovered: p.WindowsCovered, Rooms: p.Rooms}
		}
		if rapid.Bool().Draw(t, "examiner") {
			who, _ := drawAuthority(t)
			more.Clearer = &who
		}
		if rapid.Bool().Draw(t, "blank") {
			more.Samples = append(append([]Sample{}, bare.Samples...), Sample{Label: "B-1", Surface: FieldBlank,
				Mass: measure.Of(measure.Int(rapid.Int64Range(0, 20).Draw(t, "blank mass")), measure.Microgram)})
		}
		after := outcomeOf(t, more, limits)
		require.Equal(t, before == Failed, after == Failed)
		if after == Passed {
			require.Equal(t, Passed, before)
		}
	})
}

// One more wipe that counts and passes never makes the sampling lack more.
func TestOneMoreWipeNeverLacksMore(t *testing.T) {
	t.Parallel()
	r := rules(t)
	limits := r.On(calendar.Of(2026, 3, 2), nil, []string{"epa"})
	rapid.Check(t, func(t *rapid.T) {
		f := drawVisit(t)
		p := drawPlanFacts(t)
		f.Site = &Site{Work: p.Work, Extent: Worksite, Contained: p.Contained, WindowsCovered: p.WindowsCovered, Rooms: p.Rooms}
		before, err := Decide(f, limits)
		require.NoError(t, err)
		f.Samples = append(append([]Sample{}, f.Samples...), Sample{Label: "one more", Place: fmt.Sprint("Room ", rapid.IntRange(0, 9).Draw(t, "where")), Surface: Trough,
			Area: told(t, "1 ft2", measure.Area), Mass: measure.Of(measure.Int(1), measure.Microgram)})
		after, err := Decide(f, limits)
		require.NoError(t, err)
		require.LessOrEqual(t, len(after.NotSampled), len(before.NotSampled))
	})
}

// What would change a verdict does.
func TestCounterfactualsOfAVerdictHold(t *testing.T) {
	t.Parallel()
	r := rules(t)
	limits := r.On(calendar.Of(2026, 3, 2), nil, []string{"epa"})
	rapid.Check(t, func(t *rapid.T) {
		f := drawVisit(t)
		v, err := Decide(f, limits)
		require.NoError(t, err)
		d := v.Determination(f, limits, "1-test")
		Otherwise(&d, f, limits)
		require.True(t, *d.Complete)
		for _, set := range d.Counterfactuals {
			require.NotEqual(t, string(v.Outcome), set.Outcome)
			require.NotEmpty(t, set.Changes)
		}
		if v.Outcome == Failed {
			require.NotEmpty(t, d.Counterfactuals, "what failed can be cleaned again")
		}
	})
}
