package clearance

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func TestWhatCannotBeIsRefusedWithItsPlace(t *testing.T) {
	t.Parallel()
	mass := func(text string) measure.Quantity { return told(t, text, measure.Mass) }
	area := func(text string) measure.Quantity { return told(t, text, measure.Area) }
	inch := told(t, "4 in", measure.Length)
	good := Sample{Label: "S-1", Surface: Sill, Area: area("16 in2"), Mass: mass("3 ug")}
	require.NoError(t, good.Check())
	for name, c := range map[string]struct {
		change   func(*Sample)
		pointers []string
		says     string
	}{
		"unknown surface": {func(s *Sample) { s.Surface = "wall" }, []string{"/surface"}, "is not a surface of a wipe"},
		"negative area":   {func(s *Sample) { s.Area = area("-1 ft2") }, []string{"/area/value"}, "An area cannot be negative"},
		"no area":         {func(s *Sample) { s.Area = measure.Quantity{} }, []string{"/area"}, "or its length and width"},
		"area of zero":    {func(s *Sample) { s.Area = area("0 ft2") }, []string{"/area/value"}, "must be more than zero"},
		"area less than":  {func(s *Sample) { s.Area = area("<1 ft2") }, []string{"/area/qualifier"}, "leave it out"},
		"area and sides":  {func(s *Sample) { s.Length, s.Width = inch, inch }, []string{"/area"}, "not both"},
		"one side":        {func(s *Sample) { s.Area, s.Length = measure.Quantity{}, inch }, []string{"/width"}, "go together"},
		"negative side": {func(s *Sample) {
			s.Area, s.Length, s.Width = measure.Quantity{}, inch, told(t, "-4 in", measure.Length)
		}, []string{"/width/value"}, "A length cannot be negative"},
		"no mass":                     {func(s *Sample) { s.Mass = measure.Quantity{} }, []string{"/mass"}, "as the laboratory reports it"},
		"negative mass":               {func(s *Sample) { s.Mass = mass("-3 ug") }, []string{"/mass/value"}, "A mass cannot be negative"},
		"less than no mass":           {func(s *Sample) { s.Mass = mass("<0 ug") }, []string{"/mass/value"}, "must be more than zero"},
		"no reporting limit at all":   {func(s *Sample) { s.ReportingLimit = mass("0 ug") }, []string{"/reporting_limit/value"}, "must be more than zero"},
		"negative loading as told":    {func(s *Sample) { s.Reported = told(t, "-1 ug/ft2", measure.Loading) }, []string{"/reported/value"}, "A loading cannot be negative"},
		"negative number of wipes":    {func(s *Sample) { s.Parts = -1 }, []string{"/parts"}, "cannot be negative"},
		"several things at once":      {func(s *Sample) { s.Surface, s.Area = "", area("-1 ft2") }, []string{"/surface", "/area/value"}, "cannot be negative"},
		"a blank with a bad area too": {func(s *Sample) { s.Surface, s.Area = FieldBlank, area("-1 ft2") }, []string{"/area/value"}, "cannot be negative"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := good
			c.change(&s)
			_, err := Judge(s, limitsOf(measure.Int(40)))
			require.True(t, fault.Is(err, fault.Implausible))
			var pointers []string
			for _, f := range fault.As(err).Fields {
				pointers = append(pointers, f.Pointer)
			}
			require.Equal(t, c.pointers, pointers)
			require.ErrorContains(t, err, c.says)

			_, err = Decide(Facts{Visual: law.Yes, Samples: []Sample{s}}, limitsOf(measure.Int(40)))
			require.Equal(t, "/samples/0"+c.pointers[0], fault.As(err).Fields[0].Pointer)
		})
	}
}

func TestLabelsAndTheDateOfSamplingAreNeeded(t *testing.T) {
	t.Parallel()
	s := Sample{Label: "S-1", Surface: FieldBlank, Mass: told(t, "3 ug", measure.Mass)}
	_, err := Decide(Facts{Samples: []Sample{s, s}}, Limits{})
	fields := fault.As(err).Fields
	require.Len(t, fields, 2)
	require.Equal(t, "/sampled_on", fields[0].Pointer)
	require.Equal(t, "/samples/1/label", fields[1].Pointer)
}

func TestSentencesSayWhatHappenedAtTheLevel(t *testing.T) {
	t.Parallel()
	limits := rules(t).On(calendar.Of(2026, 2, 2), nil, nil)
	sill := func(area, mass string, parts int) Sample {
		return Sample{Label: "S-1", Surface: Sill, Area: told(t, area, measure.Area), Mass: told(t, mass, measure.Mass), Parts: parts}
	}
	for want, s := range map[string]Sample{
		"39.0 ug/ft2 is below the limit of 40.0 ug/ft2.":                                                                                         sill("1 ft2", "39 ug", 1),
		"40.0 ug/ft2 is just below the limit of 40.0 ug/ft2.":                                                                                    sill("1 ft2", "39.999 ug", 1),
		"40.0 ug/ft2 is the limit of 40.0 ug/ft2, and must be below it.":                                                                         sill("1 ft2", "40 ug", 1),
		"40.0 ug/ft2 is just above the limit of 40.0 ug/ft2.":                                                                                    sill("1 ft2", "40.001 ug", 1),
		"50.2 ug/ft2 is above the limit of 40.0 ug/ft2.":                                                                                         sill("1 ft2", "50.2 ug", 1),
		"<20.0 ug/ft2 is not above the limit of 40.0 ug/ft2, so the true value is below it.":                                                     sill("36 in2", "<5 ug", 1),
		"<45.0 ug/ft2 cannot be shown to be below the limit of 40.0 ug/ft2: sample again with a bigger area, or a laboratory that reports less.": sill("16 in2", "<5 ug", 1),
		"25.0 ug/ft2 is above the limit of 20.0 ug/ft2 (40.0 ug/ft2 for a single wipe, divided by half of the 4 wipes).":                         sill("4 ft2", "100 ug", 4),
	} {
		require.Equal(t, want, judge(t, s, limits).Why)
	}
}

// The limit is chosen by the day at the property: the same instant is 11 January in one zone and the 12th in another.
func TestTheLimitIsThatOfTheLocalDate(t *testing.T) {
	t.Parallel()
	r := rules(t)
	instant := time.Date(2026, 1, 12, 4, 30, 0, 0, time.UTC)
	for zone, want := range map[*time.Location]string{
		time.FixedZone("five hours behind", -5*60*60): "100 ug/ft2",
		time.UTC: "40 ug/ft2",
	} {
		limits := r.On(calendar.LocalDate(instant, zone), nil, nil)
		require.Zero(t, limits.Sill.Value.Cmp(told(t, want, measure.Loading)), zone)
	}
}

func TestALawWithoutClearanceIsNoted(t *testing.T) {
	t.Parallel()
	_, err := NewRules(&law.Book{})
	require.ErrorContains(t, err, "there is no parameter")
}
