package renovation_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

func taskCodes(tasks []renovation.Task) []string {
	list := []string{}
	for _, task := range tasks {
		list = append(list, task.Code)
	}
	return list
}

func TestWhatIsNotKnownLeavesNoStepOfTheCleaningOut(t *testing.T) {
	t.Parallel()
	r := rules(t)
	tri := rapid.SampledFrom([]law.Tri{law.Yes, law.No, law.Unknown})
	rapid.Check(t, func(t *rapid.T) {
		f := renovation.CleaningFacts{On: calendar.Of(2026, 4, 15), Rooms: drawContainment(t).Rooms, Outdoors: rapid.Bool().Draw(t, "outdoors"), Days: rapid.IntRange(0, 3).Draw(t, "days"), Isolated: tri.Draw(t, "isolated")}
		for i := range f.Rooms {
			f.Rooms[i].Carpet = tri.Draw(t, "carpet")
		}
		told, err := r.Clean(f)
		require.NoError(t, err)
		for _, task := range told.Final {
			require.NotContains(t, task.Text, "{")
			require.NotEmpty(t, task.Why)
		}
		f.Days, f.Isolated = 0, law.Unknown
		for i := range f.Rooms {
			f.Rooms[i].Carpet = law.Unknown
		}
		untold, err := r.Clean(f)
		require.NoError(t, err)
		require.Subset(t, taskCodes(untold.Final), taskCodes(told.Final))
		require.Subset(t, taskCodes(untold.Daily), taskCodes(told.Daily))
	})
}
