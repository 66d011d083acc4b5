package clearance

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// limitsOf are limits with one level for every surface indoors.
func limitsOf(level measure.Number, coming ...Limit) Limits {
	l := Level{Limit: Limit{Value: measure.Of(level, measure.MicrogramPerSquareFoot)}, Coming: coming}
	return Limits{On: calendar.Of(2026, 2, 2), Floor: l, Sill: l, Trough: l, LeastParts: 2, MostParts: 4}
}

func drawLevel(t *rapid.T) measure.Number {
	return measure.Int(rapid.SampledFrom([]int64{5, 10, 40, 100, 250, 400}).Draw(t, "level"))
}

// drawNumber draws fractions, small ones often, so that ties with a level happen.
func drawNumber(t *rapid.T, label string) measure.Number {
	return measure.Frac(rapid.OneOf(rapid.Int64Range(1, 60), rapid.Int64Range(1, 1e9)).Draw(t, label), rapid.SampledFrom([]int64{1, 2, 3, 9, 144, 1000}).Draw(t, label+" under"))
}

func wipe(mass, area measure.Number, less bool, parts int) Sample {
	s := Sample{Label: "S-1", Surface: Sill, Parts: parts, Mass: measure.Of(mass, measure.Microgram), Area: measure.Of(area, measure.SquareFoot)}
	if less {
		s.Mass.Qualifier = measure.LessThan
	}
	return s
}

func drawWipe(t *rapid.T) (mass, area measure.Number, less bool, parts int) {
	return drawNumber(t, "mass"), drawNumber(t, "area"), rapid.Bool().Draw(t, "less"), rapid.IntRange(1, 4).Draw(t, "parts")
}

func judge(t require.TestingT, s Sample, l Limits) SampleVerdict {
	v, err := Judge(s, l)
	require.NoError(t, err)
	return v
}

// worse ranks outcomes: what is less protective to accept comes first.
var worse = map[SampleOutcome]int{Pass: 0, Inconclusive: 1, Fail: 1}

// More lead, less area, or a lower level never makes a sample better, and a bigger composite is never judged more mildly
// (40 CFR 745.227(e)(8)(vii)).
func TestJudgementIsMonotone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		mass, area, less, parts := drawWipe(t)
		level := drawLevel(t)
		before := worse[judge(t, wipe(mass, area, less, parts), limitsOf(level)).Outcome]
		more := drawNumber(t, "more")
		require.GreaterOrEqual(t, worse[judge(t, wipe(mass.Add(more), area, less, parts), limitsOf(level)).Outcome], before, "mass")
		require.LessOrEqual(t, worse[judge(t, wipe(mass, area.Add(more), less, parts), limitsOf(level)).Outcome], before, "area")
		require.LessOrEqual(t, worse[judge(t, wipe(mass, area, less, parts), limitsOf(level.Add(more))).Outcome], before, "level")
		if parts < 4 {
			require.GreaterOrEqual(t, worse[judge(t, wipe(mass, area, less, parts+1), limitsOf(level)).Outcome], before, "parts")
		}
	})
}

// The verdict is the one that cross-multiplied whole numbers give: mass * n against level * 2 * area.
func TestJudgementIsExactAtTheLevel(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		area, level, parts := drawNumber(t, "area"), drawLevel(t), rapid.IntRange(1, 4).Draw(t, "parts")
		threshold := level
		if parts > 1 {
			threshold = level.Mul(measure.Frac(2, int64(parts)))
		}
		mass, hair := threshold.Mul(area), measure.Frac(1, 1e12)
		at := judge(t, wipe(mass, area, false, parts), limitsOf(level))
		require.Equal(t, Fail, at.Outcome)
		require.Zero(t, at.Loading.Cmp(at.Compared))
		require.Equal(t, Pass, judge(t, wipe(mass.Sub(hair), area, false, parts), limitsOf(level)).Outcome)
		require.Equal(t, Fail, judge(t, wipe(mass.Add(hair), area, false, parts), limitsOf(level)).Outcome)
		require.Equal(t, Pass, judge(t, wipe(mass, area, true, parts), limitsOf(level)).Outcome)
		require.Equal(t, Inconclusive, judge(t, wipe(mass.Add(hair), area, true, parts), limitsOf(level)).Outcome)
	})
}

// A date from which a sample could no longer pass is the first one on which it does not, when judged then.
func TestLookingAheadAgreesWithTheDayItself(t *testing.T) {
	t.Parallel()
	r := rules(t)
	surfaces := rapid.SampledFrom([]Surface{FloorBare, FloorCarpeted, Sill, Trough})
	rapid.Check(t, func(t *rapid.T) {
		mass, area, less, parts := drawWipe(t)
		s := wipe(mass, area, less, parts)
		s.Surface = surfaces.Draw(t, "surface")
		on := calendar.Of(2024, 12, 1).AddDays(rapid.IntRange(0, 600).Draw(t, "day"))
		v := judge(t, s, r.On(on, nil, nil))
		if v.WouldFailFrom.IsZero() {
			return
		}
		require.Equal(t, Pass, v.Outcome)
		require.True(t, v.WouldFailFrom.After(on))
		require.Equal(t, Pass, judge(t, s, r.On(v.WouldFailFrom.AddDays(-1), nil, nil)).Outcome)
		require.NotEqual(t, Pass, judge(t, s, r.On(v.WouldFailFrom, nil, nil)).Outcome)
	})
}

// More programmes and places never make a level higher.
func TestMoreRulesAreNeverMilder(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		on := calendar.Of(2001, 3, 6).AddDays(rapid.IntRange(0, 10000).Draw(t, "day"))
		places := rapid.SliceOfN(rapid.SampledFrom([]string{"us-ma", "us-mn", "us-oh", "us-ri", "us-ny-new-york-city", "us-zz"}), 0, 3).Draw(t, "places")
		programmes := rapid.SliceOfN(rapid.SampledFrom([]string{"hud", "hud_grant"}), 0, 2).Draw(t, "programmes")
		federal, all := r.On(on, nil, nil), r.On(on, places, programmes)
		for _, surface := range []Surface{FloorBare, FloorCarpeted, Sill, Trough} {
			require.LessOrEqual(t, all.level(surface).Value.Cmp(federal.level(surface).Value), 0)
			for _, c := range all.level(surface).Coming {
				require.False(t, c.Effective.After(on))
				require.True(t, c.Required.After(on))
				require.Negative(t, c.Value.Cmp(all.level(surface).Value))
			}
		}
	})
}

// A worksite passes only if its visual inspection passed and every wipe of it did.
func TestNothingFailsInAPassedWorksite(t *testing.T) {
	t.Parallel()
	hour, err := measure.New("1", "", "h", measure.Duration)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		f := Facts{Visual: law.Tri(rapid.IntRange(0, 2).Draw(t, "visual"))}
		if rapid.Bool().Draw(t, "waited") {
			f.Waited = hour
		}
		for i := range rapid.IntRange(0, 4).Draw(t, "samples") {
			mass, area, less, parts := drawWipe(t)
			s := wipe(mass, area, less, parts)
			s.Label = string(rune('a' + i))
			f.Samples = append(f.Samples, s)
		}
		limits := limitsOf(drawLevel(t))
		limits.Wait = Limit{Value: hour}
		v, err := Decide(f, limits)
		require.NoError(t, err)
		passes, fails := 0, 0
		for _, s := range v.Samples {
			switch s.Outcome {
			case Pass:
				passes++
			case Fail:
				fails++
			}
		}
		require.Equal(t, fails > 0 || f.Visual == law.No, v.Outcome == Failed)
		require.Equal(t, f.Visual == law.Yes && f.Waited.Known() && passes > 0 && passes == len(f.Samples), v.Outcome == Passed)
		require.Equal(t, v.Outcome == Failed, len(v.CleanAgain) > 0)
		require.NotEmpty(t, v.Reasons)
	})
}
