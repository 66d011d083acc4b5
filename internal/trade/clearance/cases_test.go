package clearance

import (
	"io/fs"
	"os"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/testdata/overlays"
)

// The cases of testdata/clearance are for readers of the law; this file reads them.

type toldSample struct {
	Label, Place, Surface               string
	Area, Length, Width, Mass, Reported string
	ReportingLimit                      string `yaml:"reporting_limit"`
	Parts                               int
	Surfaces                            []Surface
	Represents                          []string
}

func cases[T any](t *testing.T, file string) []T {
	text, err := os.ReadFile("../../../testdata/clearance/" + file)
	require.NoError(t, err)
	var told []T
	require.NoError(t, yaml.UnmarshalWithOptions(text, &told, yaml.Strict()))
	require.NotEmpty(t, told)
	return told
}

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

func (s toldSample) sample(t require.TestingT) Sample {
	return Sample{
		Label: s.Label, Place: s.Place, Surface: Surface(s.Surface), Parts: s.Parts, Surfaces: s.Surfaces, Represents: s.Represents,
		Area: told(t, s.Area, measure.Area), Length: told(t, s.Length, measure.Length), Width: told(t, s.Width, measure.Length),
		Mass: told(t, s.Mass, measure.Mass), ReportingLimit: told(t, s.ReportingLimit, measure.Mass),
		Reported: told(t, s.Reported, measure.Loading),
	}
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

func requireMark(t *testing.T, source, mark string) {
	require.NotEmpty(t, source)
	require.Contains(t, []string{"published", "derived", "common practice"}, mark)
}

func TestSamples(t *testing.T) {
	t.Parallel()
	type sampleCase struct {
		Case, Source, Mark        string
		SampledOn                 calendar.Date `yaml:"sampled_on"`
		Programmes, Jurisdictions []string
		Sample                    toldSample
		Expect                    struct {
			Loading, Limit, Compared, Outcome, Fault, Decides string
			WouldFailFrom                                     calendar.Date `yaml:"would_fail_from"`
			LaboratoryLimitMet                                string        `yaml:"laboratory_limit_met"`
		}
	}
	r := rules(t)
	for _, c := range cases[sampleCase](t, "samples.yaml") {
		t.Run(c.Case, func(t *testing.T) {
			t.Parallel()
			requireMark(t, c.Source, c.Mark)
			v, err := Judge(c.Sample.sample(t), r.On(c.SampledOn, c.Jurisdictions, c.Programmes))
			require.NoError(t, err)
			require.Equal(t, c.Expect.Outcome, string(v.Outcome), v.Why)
			require.NotEmpty(t, v.Why)
			require.Equal(t, c.Expect.Loading != "", v.Loading.Known())
			if v.Loading.Known() {
				require.Equal(t, c.Expect.Loading, v.Loading.Show())
			}
			require.Equal(t, c.Expect.Limit != "", v.Limit.Known())
			if c.Expect.Limit != "" {
				require.Zero(t, v.Limit.Value.Cmp(told(t, c.Expect.Limit+" ug/ft2", measure.Loading)), v.Limit.Value.Show())
				require.NotEmpty(t, v.Limit.Citation.Clause)
				compared := c.Expect.Compared
				if compared == "" {
					compared = c.Expect.Limit
				}
				require.Zero(t, v.Compared.Cmp(told(t, compared+" ug/ft2", measure.Loading)), v.Compared.Show())
			}
			require.Equal(t, c.Expect.WouldFailFrom, v.WouldFailFrom)
			require.Equal(t, c.Expect.WouldFailFrom.IsZero(), !v.NextLimit.Known())
			require.Equal(t, law.TriOf(c.Expect.Decides), v.Decides, "decides")
			require.Equal(t, law.TriOf(c.Expect.LaboratoryLimitMet), v.LaboratoryLimitMet, "laboratory limit met")
			require.Equal(t, c.Expect.Fault != "", v.Fault != nil)
			if v.Fault != nil {
				require.Equal(t, c.Expect.Fault, v.Fault.Code)
				require.NotEmpty(t, v.Fault.Citation.Clause)
			}
		})
	}
}

func TestWorksites(t *testing.T) {
	t.Parallel()
	type worksiteCase struct {
		Case, Source, Mark, Visual, Waited string
		OutdoorOnly                        string `yaml:"outdoor_only"`
		LaboratoryRecognised               string `yaml:"laboratory_recognised"`
		Samples                            []toldSample
		Expect                             struct {
			Outcome                   string
			CleanAgain                []string `yaml:"clean_again"`
			Resample, Faults, Missing []string
		}
	}
	limits := rules(t).On(calendar.Of(2026, 2, 2), nil, nil)
	for _, c := range cases[worksiteCase](t, "worksites.yaml") {
		t.Run(c.Case, func(t *testing.T) {
			t.Parallel()
			requireMark(t, c.Source, c.Mark)
			f := Facts{Visual: law.TriOf(c.Visual), OutdoorOnly: c.OutdoorOnly == "yes", Waited: told(t, c.Waited, measure.Duration),
				Recognised: law.TriOf(c.LaboratoryRecognised)}
			for _, s := range c.Samples {
				f.Samples = append(f.Samples, s.sample(t))
			}
			v, err := Decide(f, limits)
			require.NoError(t, err)
			require.Equal(t, c.Expect.Outcome, string(v.Outcome))
			require.Len(t, v.Samples, len(c.Samples))
			require.Equal(t, c.Expect.CleanAgain, texts(v.CleanAgain, Place.String))
			require.Equal(t, c.Expect.Resample, texts(v.Resample, Place.String))
			require.Equal(t, c.Expect.Faults, texts(v.Faults, func(f SampleFault) string { return f.Code }))
			require.Equal(t, c.Expect.Missing, texts(v.Missing, func(m law.Missing) string { return m.Fact }))
			require.NotEmpty(t, v.Reasons)

			d := v.Determination(f, limits, "1-test")
			require.Equal(t, c.Expect.Outcome, d.Outcome)
			require.Equal(t, limits.On, d.AsOf)
			require.Equal(t, v.Reasons, d.Reasons)
		})
	}
}

func texts[T any](list []T, text func(T) string) (out []string) {
	for _, one := range list {
		out = append(out, text(one))
	}
	return out
}
