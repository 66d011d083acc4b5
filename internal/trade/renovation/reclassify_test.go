package renovation_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

func repair(id string, on calendar.Date, area measure.Number) renovation.Placed {
	return renovation.Placed{ID: id, Work: renovation.Work{On: on, Area: area, AreaKnown: true, Method: practice.WetScraping, DoneBy: renovation.LandlordEmployee}}
}

func TestLaterJobMakesEarlierOnesCovered(t *testing.T) {
	t.Parallel()
	r := rules(t)
	march := func(day int) calendar.Date { return calendar.Of(2026, 3, day) }
	first, second := repair("first", march(1), measure.Int(4)), repair("second", march(20), measure.Int(3))

	// 40 CFR 745.83, jobs in the same room within the same 30 days (derived): 4 + 3 = 7 ft2, more than 6
	own, changed, err := r.Reclassify([]renovation.Placed{first}, second)
	require.NoError(t, err)
	require.Equal(t, renovation.CoveredRenovation, own.Outcome)
	require.Len(t, changed, 1)
	require.Equal(t, "first", changed[0].ID)
	require.Equal(t, renovation.Minor, changed[0].Before.Outcome)
	require.Equal(t, renovation.CoveredRenovation, changed[0].After.Outcome)

	// 40 CFR 745.83, other than emergency renovations (text)
	emergency := second
	emergency.Work.Emergency = true
	own, changed, err = r.Reclassify([]renovation.Placed{first}, emergency)
	require.NoError(t, err)
	require.Equal(t, renovation.Minor, own.Outcome)
	require.Empty(t, changed)

	// 40 CFR 745.83 (derived): the same job, and that job replaces a window
	window := second
	window.Work.Area, window.Work.WindowReplaced = measure.Frac(1, 2), true
	_, changed, err = r.Reclassify([]renovation.Placed{first}, window)
	require.NoError(t, err)
	require.Len(t, changed, 1)
}

func TestClassOfJobsDoesNotDependOnTheOrderInWhichTheyAreTold(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		var jobs []renovation.Placed
		for i := range rapid.IntRange(1, 7).Draw(t, "n") {
			j := repair(fmt.Sprint(i), calendar.Of(2026, 3, 1).AddDays(rapid.IntRange(0, 70).Draw(t, "day")), measure.Frac(rapid.Int64Range(1, 700).Draw(t, "area"), 144))
			j.Work.Emergency, j.Work.WindowReplaced = rapid.Bool().Draw(t, "emergency"), rapid.IntRange(0, 9).Draw(t, "window") == 0
			jobs = append(jobs, j)
		}
		require.Equal(t, told(t, r, jobs), told(t, r, rapid.Permutation(jobs).Draw(t, "order")))
	})
}

// told tells the jobs one after another and gives what each is in the end.
func told(t *rapid.T, r renovation.Rules, jobs []renovation.Placed) map[string]renovation.Outcome {
	outcomes := map[string]renovation.Outcome{}
	for i, j := range jobs {
		own, changed, err := r.Reclassify(jobs[:i], j)
		require.NoError(t, err)
		outcomes[j.ID] = own.Outcome
		for _, c := range changed {
			require.Equal(t, outcomes[c.ID], c.Before.Outcome)
			require.Greater(t, c.After.Outcome, c.Before.Outcome, "a job that is added takes no requirement away")
			outcomes[c.ID] = c.After.Outcome
		}
	}
	return outcomes
}
