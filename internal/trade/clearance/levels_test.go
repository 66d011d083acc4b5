package clearance

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
)

func level(t require.TestingT, l *DatedLevel) measure.Number {
	n, err := measure.ParseNumber(l.Value.Value)
	require.NoError(t, err)
	return n
}

// The next level governs, or a stricter one does, on the day from which it is required, and nothing stricter did the day before.
func TestNextLevelComesOnItsDay(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := LevelFacts{SampledOn: calendar.Of(2001, 3, 6).AddDays(rapid.IntRange(0, 9500).Draw(t, "day")),
			Programmes:    []string{rapid.SampledFrom([]string{"epa", "hud", "hud_grant"}).Draw(t, "programme")},
			Jurisdictions: rapid.SliceOfN(rapid.SampledFrom([]string{"us-ma", "us-ri", "us-oh", "us-mn", "us-ny-new-york-city"}), 0, 2).Draw(t, "places")}
		today, err := r.Levels(f)
		require.NoError(t, err)
		for i, s := range today.Levels {
			governing := 0
			for _, h := range s.History {
				if h.State == Governs {
					governing++
				}
				require.Equal(t, h.Required.After(f.SampledOn), h.State == ToCome)
			}
			require.Equal(t, s.Clearance != nil, governing == 1, "%s: %d govern", s.Surface, governing)
			if s.Next == nil {
				continue
			}
			g := f
			g.SampledOn = s.Next.Required
			then, err := r.Levels(g)
			require.NoError(t, err)
			require.LessOrEqual(t, level(t, then.Levels[i].Clearance).Cmp(level(t, s.Next)), 0)
			if g.SampledOn = s.Next.Required.AddDays(-1); s.Clearance != nil {
				before, err := r.Levels(g)
				require.NoError(t, err)
				require.Zero(t, level(t, before.Levels[i].Clearance).Cmp(level(t, s.Clearance)))
			}
		}
	})
}

// A hazard level is no clearance level: it never governs a wipe.
func TestHazardIsKeptApart(t *testing.T) {
	t.Parallel()
	r := rules(t)
	a, err := r.Levels(LevelFacts{SampledOn: calendar.Of(2026, 3, 2)})
	require.NoError(t, err)
	require.True(t, a.Levels[0].Hazard.AnyReportable, "89 FR 89416 (secondary)")
	require.Equal(t, "5.00", a.Levels[0].Clearance.Value.Value)
	limits := r.On(calendar.Of(2026, 3, 2), nil, nil)
	require.Zero(t, limits.Floor.Value.Number().Cmp(measure.Int(5)))
}
