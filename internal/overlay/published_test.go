package overlay_test

import (
	"io/fs"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/internal/overlay"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/testdata/overlays"
)

// published reads every example and the federal law with all of them on top.
func published(t *testing.T) (federal, book *law.Book, list map[string]law.Overlay) {
	t.Helper()
	federal, err := law.Embedded()
	require.NoError(t, err)
	names, err := fs.Glob(overlays.Files, "*.yaml")
	require.NoError(t, err)
	list = map[string]law.Overlay{}
	var all []law.Overlay
	for _, name := range names {
		text, err := overlays.Files.ReadFile(name)
		require.NoError(t, err)
		o, err := law.ReadOverlay(text)
		require.NoError(t, err, name)
		require.NoError(t, overlay.Ready(&o), name)
		require.NoError(t, federal.Check(o), name)
		require.Equal(t, o.Jurisdiction+".yaml", name)
		list[o.Jurisdiction] = o
		all = append(all, o)
	}
	book, err = federal.With(all)
	require.NoError(t, err)
	return federal, book, list
}

func date(t *testing.T, text string) calendar.Date {
	d, err := calendar.ParseDate(text)
	require.NoError(t, err)
	return d
}

// The levels of each place, as it publishes them, and what is required there on a date beside federal law: the stricter, surface
// by surface. Dust in ug/ft2: floor, sill, trough.
func TestPublishedLevelsGovernWhereTheyAreStricter(t *testing.T) {
	t.Parallel()
	_, book, _ := published(t)
	for name, c := range map[string]struct {
		place, on           string
		floor, sill, trough string
	}{
		"New York City had 5, 40 and 100 before EPA (89 FR 89416, summary)":                {"us-ny-new-york-city", "2022-03-01", "5", "40", "100"},
		"Rhode Island: 10, 100, 100 of 216-RICR-50-15-5.8.5 beside EPA's 10, 100, 400":     {"us-ri", "2025-03-01", "10", "100", "100"},
		"Rhode Island: EPA's 5, 40, 100 govern from 12 January 2026":                       {"us-ri", "2026-01-12", "5", "40", "100"},
		"Ohio: 10, 100, 100 of OAC 3701-32-19":                                             {"us-oh", "2025-03-01", "10", "100", "100"},
		"Minnesota: 10, 100, 400 of Minn. R. 4761.2510, the same as EPA's":                 {"us-mn", "2024-03-01", "10", "100", "400"},
		"Massachusetts: below 40, 250, 400 of 105 CMR 460.170 is weaker and has no effect": {"us-ma", "2025-03-01", "10", "100", "400"},
		"Massachusetts: nor has it under the levels of 12 January 2026":                    {"us-ma", "2026-03-01", "5", "40", "100"},
	} {
		for parameter, want := range map[string]string{"clearance_dust_floor": c.floor, "clearance_dust_sill": c.sill, "clearance_dust_trough": c.trough} {
			h, err := book.Handle(parameter)
			require.NoError(t, err)
			v, ok := book.On(h, date(t, c.on), law.Required, law.Scope{Jurisdictions: []string{c.place}, Programmes: []string{"epa", law.Local}})
			require.True(t, ok)
			require.Equal(t, want, v.Value, "%s: %s", name, parameter)
		}
	}
}

// Bare soil in ppm: Minnesota 100 (Minn. R. 4761.2510), Rhode Island 400 everywhere (216-RICR-50-15-5.8.5), the federal 400 in play
// areas and 1,200 in the rest of the yard (40 CFR 745.65(c)).
func TestPublishedSoilLevels(t *testing.T) {
	t.Parallel()
	_, book, _ := published(t)
	for place, want := range map[string][2]string{"us-mn": {"100", "100"}, "us-ri": {"400", "400"}, "us-oh": {"400", "1200"}} {
		for i, parameter := range []string{"soil_hazard_play_area", "soil_hazard_yard"} {
			h, err := book.Handle(parameter)
			require.NoError(t, err)
			v, ok := book.On(h, date(t, "2026-03-02"), law.Required, law.Scope{Jurisdictions: []string{place}})
			require.True(t, ok)
			require.Equal(t, want[i], v.Value, "%s in %s", parameter, place)
		}
	}
}

func TestWeakerMassachusettsIsShownAndStrictRefusesIt(t *testing.T) {
	t.Parallel()
	federal, _, list := published(t)
	ma := list["us-ma"]
	for _, e := range federal.Effects(ma) {
		if !e.From.Before(date(t, "2021-03-08")) && e.Parameter != "clearance_dust_trough" {
			require.Equal(t, law.FederalGoverns, e.Effect, "%s from %s", e.Parameter, e.From)
			require.Contains(t, e.Citation.Clause, "745.227(e)(8)(viii)")
		}
	}
	ma.Strict = true
	require.Error(t, federal.Check(ma))
}

// What each place asks beyond, with the dates that follow.
func TestPublishedRequirements(t *testing.T) {
	t.Parallel()
	_, book, _ := published(t)
	for name, c := range map[string]struct {
		place    string
		trigger  law.Trigger
		on       string
		facts    law.LocalFacts
		code     string // empty: nothing is asked
		from, by string
		applies  string
	}{
		"Rhode Island: a window job that starts on 1 June 2026 is told by 25 May (216-RICR-50-15-5, derived)": {
			"us-ri", law.RenovationStart, "2026-06-01", law.LocalFacts{"job.window_replaced": "yes"}, "start_work_notice", "", "2026-05-25", "yes"},
		"Rhode Island: demolition indoors too": {
			"us-ri", law.RenovationStart, "2026-06-01", law.LocalFacts{"job.window_replaced": "no", "job.hazard_control": "no", "job.exterior": "no", "job.demolition": "yes"}, "start_work_notice", "", "2026-05-25", "yes"},
		"Rhode Island: the kind of work is not known": {
			"us-ri", law.RenovationStart, "2026-06-01", nil, "start_work_notice", "", "2026-05-25", "presumed"},
		"Rhode Island: a conformance certificate is good for 2 years": {
			"us-ri", law.Interval, "2025-02-10", nil, "conformance_certificate", "", "2027-02-10", "yes"},
		"Maryland: abatement is told 24 hours to 10 days before (COMAR 26.16.01.11)": {
			"us-md", law.AbatementStart, "2026-06-20", nil, "abatement_notice", "2026-06-10", "2026-06-19", "yes"},
		"Maryland: results within 10 calendar days": {
			"us-md", law.ResultReceived, "2026-06-20", nil, "results_passed_on", "", "2026-06-30", "yes"},
		"New Jersey: wipes within 60 days of the first inspection after interim controls (N.J.A.C. 5:28A-2.5)": {
			"us-nj", law.InspectionMade, "2026-06-01", law.LocalFacts{"job.interim_controls": "yes"}, "wipes_after_interim_controls", "", "2026-07-31", "yes"},
		"New Jersey: a lead-safe certificate is good for 2 years": {
			"us-nj", law.Interval, "2024-02-29", nil, "lead_safe_certificate", "", "2026-02-28", "yes"},
		"Massachusetts: after three failed cleanings (105 CMR 460.170)": {
			"us-ma", law.ClearanceFailed, "2026-06-01", law.LocalFacts{"clearance.failures": "3"}, "licensed_deleader_after_three_failures", "", "2026-06-01", "yes"},
		"Massachusetts: not after two": {
			"us-ma", law.ClearanceFailed, "2026-06-01", law.LocalFacts{"clearance.failures": "2"}, "", "", "", ""},
		"New York City: dust clearance at the end (Health Code 173.13)": {
			"us-ny-new-york-city", law.RenovationEnd, "2026-06-01", nil, "dust_clearance_at_end", "", "2026-06-01", "yes"},
		"Wisconsin: the sampler has no interest in the result (DHS 163.14(5))": {
			"us-wi", law.ClearanceSampled, "2026-06-01", nil, "sampler_independent", "", "2026-06-01", "yes"},
		"Rochester: a rental built before 1978 is inspected (ch. 90 art. III)": {
			"us-ny-rochester", law.Lease, "2026-06-01", law.LocalFacts{"home.rented": "yes", "home.build_year": "1931"}, "rental_inspection", "", "2026-06-01", "yes"},
		"Rochester: 20 square feet outdoors are not more than the limit (from memory)": {
			"us-ny-rochester", law.InspectionMade, "2026-06-01", law.LocalFacts{"job.exterior": "yes", "paint.deteriorated_area": "20"}, "", "", "", ""},
		"Rochester: 15.5 square feet indoors are (from memory)": {
			"us-ny-rochester", law.InspectionMade, "2026-06-01", law.LocalFacts{"job.exterior": "no", "paint.deteriorated_area": "15.5"}, "deteriorated_paint", "", "2026-06-01", "yes"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			a := book.LocalDuties(law.LocalEvent{AsOf: date(t, c.on), Jurisdictions: []string{c.place}, Trigger: c.trigger, On: date(t, c.on), Facts: c.facts})
			if c.code == "" {
				require.Empty(t, a.Requirements)
				return
			}
			for _, r := range a.Requirements {
				if r.Code == c.code {
					require.Equal(t, []string{c.from, c.by, c.applies}, []string{r.From.String(), r.By.String(), r.Applies})
					return
				}
			}
			require.Fail(t, "nothing is asked", "%v", a.Requirements)
		})
	}
}

func TestNewYorkCityBarsDryWork(t *testing.T) {
	t.Parallel()
	_, book, _ := published(t)
	here := []string{"us-ny-new-york-city"}
	for _, method := range []string{"dry_sanding", "dry_scraping"} {
		stances := book.Stances(method, calendar.Of(2026, time.March, 2), here)
		require.Len(t, stances, 1)
		require.True(t, stances[0].Prohibited, "NYC Health Code 173.13")
	}
	require.Empty(t, book.Stances("wet_sanding", calendar.Of(2026, time.March, 2), here))
}
