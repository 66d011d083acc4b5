package home_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

func rules(t require.TestingT) home.Rules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := home.NewRules(book)
	require.NoError(t, err)
	return r
}

func TestCoverageBeforeTheLawIsAFault(t *testing.T) {
	t.Parallel()
	_, err := rules(t).Cover(home.CoverageFacts{AsOf: calendar.Of(1990, 1, 1), Bedrooms: home.BedroomsUnknown})
	require.ErrorContains(t, err, "/as_of")
}

func TestUnknownFactIsNeverLessProtective(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		tri := rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})
		known := home.CoverageFacts{AsOf: calendar.Of(2025, 1, 1).AddDays(rapid.IntRange(-400, 400).Draw(t, "day")),
			BuildYear: rapid.IntRange(1970, 1990).Draw(t, "year"), Certainty: rapid.SampledFrom([]home.Certainty{home.Recorded, home.Estimated, home.YearUnknown}).Draw(t, "certainty"),
			Kind:          rapid.SampledFrom([]home.UnitKind{home.Dwelling, home.CommonArea, home.ChildOccupiedFacility}).Draw(t, "kind"),
			Bedrooms:      rapid.IntRange(-1, 3).Draw(t, "bedrooms"),
			HousingFor:    rapid.SampledFrom([]home.HousingFor{home.ForUnknown, home.General, home.OlderPeople, home.PeopleWithDisabilities}).Draw(t, "for"),
			ChildUnderSix: tri.Draw(t, "child"), VisitedByChild: tri.Draw(t, "visited"), FoundLeadFree: tri.Draw(t, "lead free")}
		unknown := known
		switch rapid.IntRange(0, 5).Draw(t, "forgotten") {
		case 0:
			unknown.BuildYear, unknown.Certainty = 0, home.YearUnknown
		case 1:
			unknown.Bedrooms = home.BedroomsUnknown
		case 2:
			unknown.HousingFor = home.ForUnknown
		case 3:
			unknown.ChildUnderSix = law.Unknown
		case 4:
			unknown.VisitedByChild = law.Unknown
		case 5:
			unknown.FoundLeadFree = law.Unknown
		}
		a, err := r.Cover(known)
		require.NoError(t, err)
		b, err := r.Cover(unknown)
		require.NoError(t, err)
		if a.Outcome != home.NotCovered {
			require.NotEqual(t, home.NotCovered, b.Outcome, "%+v", known)
		}
	})
}

func TestChildOrPregnantResidentIsProtectedWhileTheyStay(t *testing.T) {
	t.Parallel()
	stays := []home.Stay{
		{From: calendar.Of(2026, 1, 1), To: calendar.Of(2026, 3, 31), Told: true, Visiting: 1},
		{From: calendar.Of(2026, 4, 1), Told: true, Pregnant: 1},
	}
	day := func(m int, d int) home.Protected {
		on := calendar.Of(2026, 1, 1).AddMonths(m - 1).AddDays(d - 1)
		return home.ProtectedOn(stays, on, on)
	}
	require.Equal(t, home.Protected{Child: true}, day(3, 31))
	require.Equal(t, home.Protected{Restricted: true}, day(4, 1))
	require.Equal(t, home.Protected{}, home.ProtectedOn(stays, calendar.Of(2025, 12, 1), calendar.Of(2025, 12, 31)))
	require.Equal(t, home.Protected{Child: true, Restricted: true}, home.ProtectedOn(stays, calendar.Of(2026, 3, 30), calendar.Of(2026, 4, 2)))
}

func TestChildrenThatWereNotToldCountAsThere(t *testing.T) {
	t.Parallel()
	on := calendar.Of(2026, 3, 2)
	untold := home.Stay{From: calendar.Of(2026, 1, 1)}
	none := home.Stay{From: calendar.Of(2026, 1, 1), Told: true}
	visited := home.Stay{From: calendar.Of(2026, 1, 1), Told: true, Visiting: 1}
	lives := home.Stay{From: calendar.Of(2026, 1, 1), Told: true, Present: 1}
	gone := home.Stay{From: calendar.Of(2026, 1, 1), To: calendar.Of(2026, 3, 1), Told: true, Present: 1}
	for _, c := range []struct {
		name         string
		stays        []home.Stay
		lives, comes law.Tri
		untold       bool
	}{
		{"nobody told", nil, law.Unknown, law.Unknown, false},
		{"a stay without a count", []home.Stay{untold}, law.Unknown, law.Unknown, true},
		{"no children", []home.Stay{none}, law.No, law.No, false},
		{"one stay of two without a count", []home.Stay{none, untold}, law.Unknown, law.Unknown, true},
		{"a visiting child", []home.Stay{none, visited}, law.No, law.Yes, false},
		{"a child beside a stay without a count", []home.Stay{untold, lives}, law.Yes, law.Yes, true},
		{"a child that has left", []home.Stay{gone, none}, law.No, law.No, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.lives, home.ChildLives(c.stays, on))
			require.Equal(t, c.comes, home.ChildComes(c.stays, on))
			require.Equal(t, c.untold, home.ProtectedOn(c.stays, on, on).Untold)
		})
	}
}

// Not parallel: allocations are counted for the whole process.
func TestCoverageDoesNotAllocate(t *testing.T) {
	r := rules(t)
	f := home.CoverageFacts{AsOf: calendar.Of(2026, 3, 2), BuildYear: 1931, Certainty: home.Recorded, Bedrooms: 2}
	require.Zero(t, testing.AllocsPerRun(100, func() {
		if _, err := r.Cover(f); err != nil {
			t.Fatal(err)
		}
	}))
}

func BenchmarkCover(b *testing.B) {
	r := rules(b)
	f := home.CoverageFacts{AsOf: calendar.Of(2026, 3, 2), BuildYear: 1931, Certainty: home.Recorded, Bedrooms: 2}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Cover(f); err != nil {
			b.Fatal(err)
		}
	}
}
