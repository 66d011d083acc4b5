package clearance

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/testdata/overlays"
)

// told reads "<5 ug"; nothing is not told.
func told(t require.TestingT, text string, want measure.Dimension) measure.Quantity {
	if text == "" {
		return measure.Quantity{}
	}
	value, less := strings.CutPrefix(text, "<")
	qualifier := measure.Exactly
	if less {
		qualifier = measure.LessThan
	}
	space := strings.LastIndex(value, " ")
	require.Positive(t, space, text)
	q, err := measure.New(value[:space], qualifier, value[space+1:], want)
	require.NoError(t, err)
	return q
}

// rules are those of federal law with the published overlays of states and cities on top.
func rules(t require.TestingT) *Rules {
	book, err := law.Embedded()
	require.NoError(t, err)
	names, err := fs.Glob(overlays.Files, "*.yaml")
	require.NoError(t, err)
	var local []law.Overlay
	for _, name := range names {
		text, err := overlays.Files.ReadFile(name)
		require.NoError(t, err)
		o, err := law.ReadOverlay(text)
		require.NoError(t, err)
		local = append(local, o)
	}
	book, err = book.With(local)
	require.NoError(t, err)
	r, err := NewRules(book)
	require.NoError(t, err)
	return r
}

// Facts that no request tells: an inspection of which nothing is known, and wipes taken before the final cleaning had ended.
func TestWorksitesThatNoRequestTells(t *testing.T) {
	t.Parallel()
	limits := rules(t).On(calendar.Of(2026, 2, 2), nil, nil)
	floor := func(mass string) Sample {
		return Sample{Label: "F-1", Place: "Kitchen", Surface: FloorBare, Area: told(t, "1 ft2", measure.Area), Mass: told(t, mass, measure.Mass)}
	}
	sill := Sample{Label: "S-1", Place: "Kitchen", Surface: Sill, Area: told(t, "16 in2", measure.Area), Mass: told(t, "<5 ug", measure.Mass)}
	for name, c := range map[string]struct {
		facts                                 Facts
		outcome                               Outcome
		cleanAgain, resample, faults, missing []string
	}{
		"40 CFR 745.227(e)(8)(i), derived: without a visual inspection nothing is shown": {
			Facts{Waited: told(t, "2 h", measure.Duration), Samples: []Sample{floor("0 ug")}}, NotShown, nil, nil, nil, []string{"visual_passed"}},
		"40 CFR 745.227(e)(8)(vii), derived: a failure decides over what is inconclusive": {
			Facts{Samples: []Sample{floor("5 ug"), sill}}, Failed, []string{"bare floor, Kitchen (sample F-1)"}, []string{"window sill, Kitchen (sample S-1)"}, nil,
			[]string{"visual_passed", "cleaned_at"}},
		"40 CFR 745.227(e)(8)(iv), derived: wipes taken before the final cleaning had ended do not count, even a failing one": {
			Facts{Visual: law.Yes, Waited: told(t, "-30 min", measure.Duration), Samples: []Sample{floor("90 ug")}}, NotShown, nil,
			[]string{"bare floor, Kitchen (sample F-1)"}, []string{SampledTooEarly}, []string{"samples"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v, err := Decide(c.facts, limits)
			require.NoError(t, err)
			require.Equal(t, c.outcome, v.Outcome)
			require.Equal(t, c.cleanAgain, texts(v.CleanAgain, Place.String))
			require.Equal(t, c.resample, texts(v.Resample, Place.String))
			require.Equal(t, c.faults, texts(v.Faults, func(f SampleFault) string { return f.Code }))
			require.Equal(t, c.missing, texts(v.Missing, func(m law.Missing) string { return m.Fact }))
			d := v.Determination(c.facts, limits, "1-test")
			require.Equal(t, string(c.outcome), d.Outcome)
			require.Equal(t, v.Reasons, d.Reasons)
			require.Equal(t, limits.On, d.AsOf)
		})
	}
}

func texts[T any](list []T, text func(T) string) (out []string) {
	for _, one := range list {
		out = append(out, text(one))
	}
	return out
}
