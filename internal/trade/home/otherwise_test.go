package home_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

// What would change a home's coverage is found out, never done: no answer asks for a child to leave, or for another year.
func TestOnlyUnknownFactsOfAHomeAreProposed(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := home.CoverageFacts{AsOf: calendar.Of(2026, 3, 2), BuildYear: rapid.IntRange(1970, 1985).Draw(t, "year"),
			Certainty: rapid.SampledFrom([]home.Certainty{home.Recorded, home.Estimated, home.YearUnknown}).Draw(t, "certainty"),
			Bedrooms:  rapid.IntRange(-1, 2).Draw(t, "bedrooms"), HousingFor: rapid.SampledFrom([]home.HousingFor{home.ForUnknown, home.General, home.OlderPeople}).Draw(t, "for"),
			ChildUnderSix: tri.Draw(t, "child"), FoundLeadFree: tri.Draw(t, "free")}
		c, err := r.Cover(f)
		require.NoError(t, err)
		d := r.Explain(f, c)
		r.Otherwise(&d, f)
		require.NotNil(t, d.Complete)
		known := map[string]bool{"build_year": f.Certainty == home.Recorded, "bedrooms": f.Bedrooms >= 0, "housing_for": f.HousingFor != home.ForUnknown,
			"child_under_six": f.ChildUnderSix != law.Unknown, "found_lead_free": f.FoundLeadFree != law.Unknown}
		for _, set := range d.Counterfactuals {
			require.NotEqual(t, d.Outcome, set.Outcome)
			for _, change := range set.Changes {
				require.Equal(t, "fact", change.Kind)
				require.False(t, known[change.Fact], change.Fact)
			}
		}
	})
}
