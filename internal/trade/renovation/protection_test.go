package renovation_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

func drawProtection(t *rapid.T) renovation.ProtectionFacts {
	tri := func(name string) law.Tri {
		return rapid.SampledFrom([]law.Tri{law.Yes, law.No, law.Unknown}).Draw(t, name)
	}
	f := renovation.ProtectionFacts{On: calendar.Of(2026, 4, 15), HoursKnown: rapid.Bool().Draw(t, "hours known"), Days: rapid.IntRange(0, 7).Draw(t, "days"), Restricted: rapid.Bool().Draw(t, "restricted")}
	f.Hours = measure.Frac(rapid.Int64Range(1, 20).Draw(t, "hours"), 2)
	for i, fact := range triFacts(&f) {
		*fact = tri(string(rune('a' + i)))
	}
	return f
}

func triFacts(f *renovation.ProtectionFacts) []*law.Tri {
	return []*law.Tri{&f.Covered, &f.Assisted, &f.AboveDeMinimis, &f.Occupied, &f.Indoors, &f.LeadDisturbed, &f.Sealed, &f.SafeEntry, &f.Contained, &f.OtherHazard, &f.CleanedDaily,
		&f.Sleeping, &f.Bathroom, &f.Kitchen, &f.Protected}
}

var protectionOrder = map[string]int{"not_asked": 0, "keep_out": 1, "may_stay": 2, "relocate": 3}

func protect(t require.TestingT, r renovation.Rules, f renovation.ProtectionFacts) renovation.ProtectionAnswer {
	a, err := r.Protect(f)
	require.NoError(t, err)
	return a
}

func TestWhatIsNotKnownNeverLetsAnybodyStay(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		told := drawProtection(t)
		a := protect(t, r, told)
		untold := told
		switch i := rapid.IntRange(0, 16).Draw(t, "forgotten"); i {
		case 15:
			untold.HoursKnown = false
		case 16:
			untold.Days = 0
		default:
			*triFacts(&untold)[i] = law.Unknown
		}
		b := protect(t, r, untold)
		require.GreaterOrEqual(t, protectionOrder[b.Outcome], protectionOrder[a.Outcome], "%+v", told)
		if a.Advised && b.Outcome != "relocate" {
			require.True(t, b.Advised)
		}
	})
}

func TestRestrictedFactLoosensNothingAndIsNowhereSaid(t *testing.T) {
	t.Parallel()
	r := rules(t)
	written := func(f renovation.ProtectionFacts) string {
		text, err := json.Marshal(protect(t, r, f))
		require.NoError(t, err)
		return string(text)
	}
	rapid.Check(t, func(t *rapid.T) {
		f := drawProtection(t)
		with, without := f, f
		with.Restricted, without.Restricted = true, false
		a, b := protect(t, r, with), protect(t, r, without)
		require.Equal(t, b.Outcome, a.Outcome)
		require.True(t, a.Advised || !b.Advised, "it never takes protection away")
		require.NotContains(t, written(with), "estricted")
		require.NotContains(t, written(with), "regnan")
		if f.Protected != law.No {
			require.Equal(t, written(without), written(with), "the same answer as for anybody who may need more protection")
		}
	})
}

func TestShorterWorkNeverSendsAnybodyAway(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		long := drawProtection(t)
		short := long
		short.Hours, short.Days = long.Hours.Mul(measure.Frac(1, 2)), min(long.Days, 1)
		require.LessOrEqual(t, protectionOrder[protect(t, r, short).Outcome], protectionOrder[protect(t, r, long).Outcome])
	})
}
