package renovation_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

func TestSectionsAreEachSmallerThanTheLimitAndNoMoreThanNeeded(t *testing.T) {
	t.Parallel()
	limit := measure.Int(40) // 40 CFR 745.85(b)(1) (text)
	rapid.Check(t, func(t *rapid.T) {
		area := measure.Frac(rapid.Int64Range(1, 400000).Draw(t, "area"), rapid.Int64Range(1, 150).Draw(t, "parts"))
		n := renovation.Sections(area, limit)
		if area.Cmp(limit) <= 0 {
			require.Equal(t, 1, n)
			return
		}
		require.Negative(t, area.Cmp(limit.Mul(measure.Int(int64(n)))), "equal sections are each smaller than the limit")
		require.True(t, n == 2 || area.Cmp(limit.Mul(measure.Int(int64(n-1)))) >= 0, "one fewer would not do")
		larger := renovation.Sections(area.Add(measure.Int(rapid.Int64Range(0, 100).Draw(t, "more"))), limit)
		require.GreaterOrEqual(t, larger, n)
	})
}

var wipedItems = []renovation.ToVerify{{Name: "sill", Surface: renovation.WipedSill}, {Name: "floor", Surface: renovation.WipedFloor, Area: measure.Int(45), AreaKnown: true}}

// drawEvents are things told in order, sensible and not.
func drawEvents(t *rapid.T) []renovation.Event {
	at := time.Date(2026, 4, 15, 14, 0, 0, 0, time.UTC)
	var events []renovation.Event
	for i := range rapid.IntRange(0, 25).Draw(t, "n") {
		name := func(what string) string { return fmt.Sprintf("%s %d", what, i) }
		at = at.Add(time.Duration(rapid.IntRange(0, 70).Draw(t, name("minutes"))) * time.Minute)
		item := rapid.IntRange(0, 1).Draw(t, name("item"))
		e := renovation.Event{At: at, What: rapid.SampledFrom([]renovation.What{renovation.Looked, renovation.Cleaned, renovation.Wipe, renovation.Wipe, renovation.Wipe}).Draw(t, name("what")),
			Passed: rapid.IntRange(0, 5).Draw(t, name("passed")) > 0}
		if e.What == renovation.Wipe {
			e.Item, e.Section = wipedItems[item].Name, 1+item*rapid.IntRange(0, 1).Draw(t, name("section"))
			e.Cloth = rapid.SampledFrom([]renovation.Cloth{renovation.Wet, renovation.Wet, renovation.Dry}).Draw(t, name("cloth"))
			e.Face = rapid.SampledFrom([]renovation.Face{renovation.NewCloth, renovation.NewCloth, renovation.UnusedFace, renovation.UsedFace}).Draw(t, name("face"))
			e.Match = rapid.SampledFrom([]renovation.Match{renovation.Matches, renovation.Lighter, renovation.Darker, renovation.Darker}).Draw(t, name("match"))
			e.Dry = rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No}).Draw(t, name("dry"))
		}
		events = append(events, e)
	}
	return events
}

func verifyBy(t require.TestingT, r renovation.Rules, who law.Tri, events []renovation.Event) renovation.VerificationAnswer {
	a, err := r.Verify(renovation.VerificationFacts{On: calendar.Of(2026, 4, 15), Renovator: who, Items: wipedItems, Events: events})
	require.NoError(t, err)
	return a
}

func TestNothingIsVerifiedButByTheClause(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		events := drawEvents(t)
		a := verifyBy(t, r, law.Yes, events)
		odd := map[int]bool{}
		for _, o := range a.Odd {
			require.False(t, odd[o.Event], "an event is named once")
			odd[o.Event] = true
			require.NotContains(t, o.Text, "{")
		}
		seen := false
		for i, e := range events {
			if e.What == renovation.Looked {
				seen = e.Passed
			}
			if e.What == renovation.Wipe && !odd[i] {
				require.True(t, seen, "no wipe counts before somebody has looked")
				require.NotEqual(t, renovation.UsedFace, e.Face)
				require.False(t, e.Cloth == renovation.Dry && e.Dry != law.Yes, "no dry wipe counts on a surface that is wet, or may be")
				require.False(t, e.Face == renovation.UnusedFace && e.Cloth == renovation.Wet && e.Item == "floor")
			}
		}
		all := true
		for _, item := range a.Items {
			for _, part := range item.Parts {
				require.LessOrEqual(t, part.WetWipes, 2, "there is no third wet wipe")
				require.NotEmpty(t, part.Next)
				require.Equal(t, part.State == "wait_and_dry", part.NotBefore != nil)
				all = all && part.State == "verified"
			}
		}
		require.Equal(t, all && seen, a.Outcome == "verified")
		require.NotEqual(t, "verified", verifyBy(t, r, law.Unknown, events).Outcome)
		require.Equal(t, "does_not_count", verifyBy(t, r, law.No, events).Outcome)
	})
}

func TestADrynessThatIsNotToldNeverVerifiesMore(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		events := drawEvents(t)
		untold := append([]renovation.Event(nil), events...)
		for i := range untold {
			untold[i].Dry = law.Unknown
		}
		told, a := verifyBy(t, r, law.Yes, events), verifyBy(t, r, law.Yes, untold)
		if a.Outcome == "verified" {
			require.Equal(t, "verified", told.Outcome)
		}
		require.Equal(t, told.Cloths, a.Cloths, "cloths that do not count were used all the same")
	})
}
