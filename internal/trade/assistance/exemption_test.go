package assistance_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
)

func rules(t require.TestingT) assistance.Rules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := assistance.NewRules(book)
	require.NoError(t, err)
	return r
}

var tri = rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})

// 24 CFR 35.115(a): whatever is forgotten, nothing becomes exempt that was not.
func TestUnknownFactNeverExempts(t *testing.T) {
	t.Parallel()
	r := rules(t).Exemptions
	protection := map[assistance.ExemptionOutcome]int{assistance.Exempt: 0, assistance.ExemptInPart: 1, assistance.PresumedNotExempt: 2, assistance.NotExempt: 2}
	rapid.Check(t, func(t *rapid.T) {
		f := assistance.ExemptionFacts{AsOf: calendar.Of(2026, 3, 2), BuildYear: rapid.IntRange(1970, 1985).Draw(t, "year"),
			Certainty: rapid.SampledFrom([]home.Certainty{home.Recorded, home.Estimated, home.YearUnknown}).Draw(t, "certainty"), Bedrooms: rapid.IntRange(-1, 2).Draw(t, "bedrooms"),
			HousingFor:    rapid.SampledFrom([]home.HousingFor{home.ForUnknown, home.General, home.OlderPeople}).Draw(t, "for"),
			ChildUnderSix: tri.Draw(t, "child"), FoundLeadFree: tri.Draw(t, "free"), LeadPaintRemoved: tri.Draw(t, "removed"), RemovalCleared: tri.Draw(t, "cleared"),
			ToBeDemolished: tri.Draw(t, "demolished"), Unoccupied: tri.Draw(t, "empty"), NonResidential: tri.Draw(t, "shop"), SharedWithHomes: tri.Draw(t, "shared"),
			Rehabilitation: tri.Draw(t, "rehabilitation"), PaintDisturbed: tri.Draw(t, "paint"), EmergencyAction: tri.Draw(t, "emergency"),
			Historic: tri.Draw(t, "historic"), PreservationOffice: tri.Draw(t, "office")}
		known, err := r.Exempt(f)
		require.NoError(t, err)
		forgotten := f
		forget := []func(*assistance.ExemptionFacts){
			func(f *assistance.ExemptionFacts) { f.BuildYear, f.Certainty = 0, home.YearUnknown },
			func(f *assistance.ExemptionFacts) { f.Bedrooms = home.BedroomsUnknown },
			func(f *assistance.ExemptionFacts) { f.HousingFor = home.ForUnknown },
			func(f *assistance.ExemptionFacts) { f.ChildUnderSix = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.FoundLeadFree = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.RemovalCleared = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.LeadPaintRemoved = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.Unoccupied = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.SharedWithHomes = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.PaintDisturbed = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.PreservationOffice = law.Unknown },
			func(f *assistance.ExemptionFacts) { f.EmergencyAction = law.Unknown },
		}
		forget[rapid.IntRange(0, len(forget)-1).Draw(t, "forgotten")](&forgotten)
		unknown, err := r.Exempt(forgotten)
		require.NoError(t, err)
		require.GreaterOrEqual(t, protection[unknown.Outcome], protection[known.Outcome])
		for _, set := range known.Why.Counterfactuals {
			require.NotEqual(t, known.Why.Outcome, set.Outcome)
		}
	})
}

func TestExemptionEndsOnItsDay(t *testing.T) {
	t.Parallel()
	r := rules(t).Exemptions
	f := assistance.ExemptionFacts{BuildYear: 1931, Certainty: home.Recorded, Bedrooms: 2, HousingFor: home.General, SeizedOn: calendar.Of(2023, 6, 4)}
	for days := range 400 {
		f.AsOf = f.SeizedOn.AddDays(days)
		a, err := r.Exempt(f)
		require.NoError(t, err)
		require.Equal(t, days < 270, a.Outcome == assistance.Exempt, "24 CFR 35.115(a)(10) (text): fewer than 270 days; %d", days)
	}
}
