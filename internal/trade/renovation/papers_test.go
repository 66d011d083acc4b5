package renovation_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// local is the law with a place's own numbers of notices on top.
func local(t *testing.T, values map[string]string) renovation.Rules {
	t.Helper()
	book, err := embedded()
	require.NoError(t, err)
	o := law.Overlay{Jurisdiction: "us-zz"}
	for parameter, value := range values {
		o.Values = append(o.Values, law.OverlayValue{Parameter: parameter, Value: value, Effective: calendar.Of(2020, 1, 1), Citation: "an invented local code", Source: law.Text})
	}
	with, err := book.With([]law.Overlay{o})
	require.NoError(t, err)
	r, err := renovation.NewRules(with)
	require.NoError(t, err)
	return r.In([]string{"us-zz"})
}

func TestAPlacesOwnNumbersNarrowTheDaysOfANotice(t *testing.T) {
	t.Parallel()
	start := calendar.Of(2026, 6, 1)
	for name, c := range map[string]struct {
		values   map[string]string
		how      renovation.How
		from, to string
	}{
		"an upper bound of ten days":         {map[string]string{"notice_days_before": "10"}, renovation.Handed, "2026-05-22", "2026-05-31"},
		"a lower bound of three days":        {map[string]string{"notice_least_days": "3"}, renovation.Handed, "2026-04-02", "2026-05-29"},
		"both, by mail":                      {map[string]string{"notice_days_before": "10", "notice_least_days": "8"}, renovation.Mailed, "2026-05-22", "2026-05-24"},
		"an upper bound within that of mail": {map[string]string{"notice_days_before": "5"}, renovation.Mailed, "", ""},
		"a weaker upper bound":               {map[string]string{"notice_days_before": "90"}, renovation.Handed, "2026-04-02", "2026-05-31"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			a, err := local(t, c.values).Dates(renovation.NoticeFacts{Recipient: renovation.Owner, How: c.how, Start: start})
			require.NoError(t, err)
			if c.from == "" {
				require.Equal(t, "no_valid_date", a.Outcome)
				require.True(t, a.From.IsZero())
				require.Equal(t, "how", a.Determination.Counterfactuals[0].Changes[0].Fact, "it can be handed over instead")
				return
			}
			require.Equal(t, []string{c.from, c.to}, []string{a.From.String(), a.To.String()})
		})
	}
}

func TestNoticeCountsOnTheDaysOfItsWindowAndOnNoOther(t *testing.T) {
	t.Parallel()
	r := rules(t)
	start := calendar.Of(2026, 6, 1)
	for _, how := range []renovation.How{renovation.Handed, renovation.Mailed, renovation.AttemptedDelivery} {
		for back := range 70 {
			day := start.AddDays(2 - back)
			a, err := r.Dates(renovation.NoticeFacts{Recipient: renovation.AdultOccupant, How: how, Start: start, Given: day})
			require.NoError(t, err)
			require.Equal(t, !day.Before(a.From) && !day.After(a.To), *a.Counts, "%s on %s", how, day)
		}
	}
}

func TestWhatIsNotKnownOfAJobIsKept(t *testing.T) {
	t.Parallel()
	r := rules(t)
	tri := rapid.SampledFrom([]law.Tri{law.Yes, law.No, law.Unknown})
	rapid.Check(t, func(t *rapid.T) {
		f := renovation.RecordFacts{Completed: calendar.Of(2026, 4, 20), Covered: tri.Draw(t, "covered"), Assisted: tri.Draw(t, "assisted"), OwnerThere: tri.Draw(t, "owner"), Mailed: tri.Draw(t, "mailed"),
			Attempted: tri.Draw(t, "attempted"), Clearance: tri.Draw(t, "clearance"), Workers: tri.Draw(t, "workers"), Maintenance: tri.Draw(t, "maintenance"),
			Place: rapid.SampledFrom([]home.UnitKind{home.Dwelling, home.CommonArea, home.ChildOccupiedFacility}).Draw(t, "place")}
		told, err := r.Records(f)
		require.NoError(t, err)
		untold := f
		for i, fact := range []*law.Tri{&untold.Covered, &untold.Assisted, &untold.OwnerThere, &untold.Mailed, &untold.Attempted, &untold.Clearance, &untold.Workers, &untold.Maintenance} {
			if rapid.Bool().Draw(t, string(rune('a'+i))) {
				*fact = law.Unknown
			}
		}
		more, err := r.Records(untold)
		require.NoError(t, err)
		until := map[string]calendar.Date{}
		for _, k := range more.Records {
			until[k.Code] = k.Until
		}
		for _, k := range told.Records {
			later, kept := until[k.Code]
			require.True(t, kept, k.Code)
			require.True(t, later.IsZero() || !later.Before(k.Until), k.Code)
		}
		require.GreaterOrEqual(t, len(more.Give), len(told.Give))
	})
}
