package home_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func visitRules(t require.TestingT) home.VisitRules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := home.NewVisitRules(book)
	require.NoError(t, err)
	return r
}

var tri = rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})

// drawLog is a log of three visitors around the day asked about.
func drawLog(t *rapid.T) home.VisitFacts {
	f := home.VisitFacts{AsOf: calendar.Of(2026, 4, 1), BuildYear: rapid.IntRange(1970, 1985).Draw(t, "year"),
		Certainty: rapid.SampledFrom([]home.Certainty{home.Recorded, home.Estimated, home.YearUnknown}).Draw(t, "certainty"), LogComplete: tri.Draw(t, "complete")}
	for _, label := range []string{"K-1", "K-2"} {
		f.Visitors = append(f.Visitors, home.Visitor{Label: label, UnderSix: tri.Draw(t, label)})
	}
	for range rapid.IntRange(0, 60).Draw(t, "visits") {
		f.Visits = append(f.Visits, drawVisit(t, f.AsOf))
	}
	return f
}

func drawVisit(t *rapid.T, on calendar.Date) home.Visit {
	return home.Visit{Visitor: rapid.SampledFrom([]string{"K-1", "K-2", ""}).Draw(t, "visitor"),
		On: on.AddDays(rapid.IntRange(-40, 40).Draw(t, "day")), Hours: measure.Frac(int64(rapid.IntRange(1, 5).Draw(t, "quarters")), 4)}
}

// protection orders the outcomes: a place that is one protects at least as much as one that is presumed to be.
var protection = map[home.FacilityOutcome]int{home.NoFacility: 0, home.PresumedFacility: 1, home.IsFacility: 1}

func TestFurtherVisitNeverTakesAFacilityOut(t *testing.T) {
	t.Parallel()
	r := visitRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawLog(t)
		before, err := r.Facility(f)
		require.NoError(t, err)
		f.Visits = append(f.Visits, drawVisit(t, f.AsOf))
		after, err := r.Facility(f)
		if err != nil {
			require.ErrorContains(t, err, "more_than_a_day")
			return
		}
		require.GreaterOrEqual(t, protection[after.Outcome], protection[before.Outcome])
		if before.Outcome == home.IsFacility {
			require.Equal(t, home.IsFacility, after.Outcome)
		}
	})
}

func TestUnknownFactOfALogIsNeverLessProtective(t *testing.T) {
	t.Parallel()
	r := visitRules(t)
	rapid.Check(t, func(t *rapid.T) {
		known := drawLog(t)
		unknown := known
		switch rapid.IntRange(0, 3).Draw(t, "forgotten") {
		case 0:
			unknown.BuildYear, unknown.Certainty = 0, home.YearUnknown
		case 1:
			unknown.LogComplete = law.Unknown
		case 2:
			unknown.Visitors = nil
		case 3:
			unknown.Visits = append([]home.Visit(nil), known.Visits...)
			for i := range unknown.Visits {
				unknown.Visits[i].Visitor = ""
			}
		}
		a, err := r.Facility(known)
		require.NoError(t, err)
		b, err := r.Facility(unknown)
		require.NoError(t, err)
		require.GreaterOrEqual(t, protection[b.Outcome], protection[a.Outcome])
	})
}

func TestChangesOfALogAreNotWrittenIntoIt(t *testing.T) {
	t.Parallel()
	f := home.VisitFacts{AsOf: calendar.Of(2026, 4, 1), LogComplete: law.Unknown, Visitors: []home.Visitor{{Label: "K-1"}},
		Visits: []home.Visit{{On: calendar.Of(2026, 3, 2), Hours: measure.Int(24)}, {Visitor: "K-1", On: calendar.Of(2026, 3, 3), Hours: measure.Int(24)}, {Visitor: "K-1", On: calendar.Of(2026, 3, 4), Hours: measure.Int(24)}}}
	a, err := visitRules(t).Facility(f)
	require.NoError(t, err)
	require.NotEmpty(t, a.Why.Counterfactuals)
	require.Equal(t, []home.Visitor{{Label: "K-1"}}, f.Visitors)
	require.Empty(t, f.Visits[0].Visitor)
	require.Equal(t, "K-1", f.Visits[2].Visitor)
}
