package assistance

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

func upkeepOf(t require.TestingT) UpkeepRules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := NewRules(book)
	require.NoError(t, err)
	return r.Upkeep
}

func drawUpkeep(t *rapid.T) UpkeepFacts {
	f := UpkeepFacts{AsOf: calendar.Of(2026, time.March, 2), LeadRemains: law.Tri(rapid.IntRange(0, 2).Draw(t, "left"))}
	f.ReducedOn = f.AsOf.AddDays(-rapid.IntRange(1, 4000).Draw(t, "reduced"))
	on := f.ReducedOn
	for range rapid.IntRange(0, 4).Draw(t, "reevaluations") {
		if on = on.AddDays(rapid.IntRange(600, 900).Draw(t, "after")); on.After(f.AsOf) {
			break
		}
		f.Reevaluations = append(f.Reevaluations, Reevaluation{on, law.Tri(rapid.IntRange(0, 2).Draw(t, "found"))})
	}
	f.VisualOn = f.AsOf.AddDays(-rapid.IntRange(0, 900).Draw(t, "visual"))
	return f
}

var rank = map[UpkeepOutcome]int{UpkeepInOrder: 0, UpkeepDue: 1, UpkeepOverdue: 2}

// What is not known never protects less, and a hazard found never ends reevaluation sooner.
func TestNotKnowingNeverProtectsLess(t *testing.T) {
	t.Parallel()
	r := upkeepOf(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawUpkeep(t)
		known, err := r.Judge(f)
		require.NoError(t, err)
		forgotten := f
		forgotten.Reevaluations = append([]Reevaluation{}, f.Reevaluations...)
		if n := len(forgotten.Reevaluations); n > 0 && rapid.Bool().Draw(t, "forget what it found") {
			forgotten.Reevaluations[rapid.IntRange(0, n-1).Draw(t, "which")].Found = law.Tri(rapid.SampledFrom([]int{int(law.Unknown), int(law.Yes)}).Draw(t, "now"))
		} else if rapid.Bool().Draw(t, "forget the visual assessment") {
			forgotten.VisualOn = 0
		} else {
			forgotten.LeadRemains = law.Unknown
		}
		less, err := r.Judge(forgotten)
		require.NoError(t, err)
		require.GreaterOrEqual(t, rank[less.Outcome], rank[known.Outcome])
		if less.Ended {
			require.True(t, known.Ended || f.LeadRemains == law.No)
		}
	})
}

// Time only makes things more due.
func TestALaterDayIsNeverLessDue(t *testing.T) {
	t.Parallel()
	r := upkeepOf(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawUpkeep(t)
		now, err := r.Judge(f)
		require.NoError(t, err)
		f.AsOf = f.AsOf.AddDays(rapid.IntRange(1, 2000).Draw(t, "days"))
		later, err := r.Judge(f)
		require.NoError(t, err)
		require.GreaterOrEqual(t, rank[later.Outcome], rank[now.Outcome])
	})
}
