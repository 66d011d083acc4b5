package bloodlead

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func rules(t require.TestingT) Rules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := NewRules(book)
	require.NoError(t, err)
	return r
}

var (
	tris       = rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})
	programmes = rapid.SampledFrom([]Programme{"", OtherAgency, ProjectBased, HUDOwned, PublicHousing, TenantBased})
	sources    = rapid.SampledFrom([]Source{"", HealthDepartment, MedicalProvider, Elsewhere})
)

// aCase draws a case under the rule of 2017 or later, every fact of which may be unknown.
func aCase(t *rapid.T) Facts {
	notified := calendar.Of(2018, 1, 1).AddDays(rapid.IntRange(0, 3500).Draw(t, "notified"))
	day := func(name string, from, to int) calendar.Date {
		if rapid.Bool().Draw(t, name+" known") {
			return notified.AddDays(rapid.IntRange(from, to).Draw(t, name))
		}
		return 0
	}
	count := func(name string, most int) Count {
		return Count{N: rapid.IntRange(0, most).Draw(t, name), Known: rapid.Bool().Draw(t, name+" known")}
	}
	f := Facts{AsOf: notified.AddDays(rapid.IntRange(0, 300).Draw(t, "as of")), NotifiedOn: notified, Programme: programmes.Draw(t, "programme"), Source: sources.Draw(t, "source"),
		Threshold: law.Yes, Confirmed: law.Yes, UnderSix: law.Yes, LivesThere: tris.Draw(t, "lives there"), Another: tris.Draw(t, "another"), Hazards: tris.Draw(t, "hazards"),
		LocalActed: tris.Draw(t, "local"), VerifiedOn: day("verified", 0, 20), InvestigatedOn: day("investigated", -60, 60), AssessedOn: day("assessed", -60, 60),
		DepartmentOn: day("department", -60, 60), ReportOn: day("report", -30, 60), ClearedOn: day("cleared", 0, 200), CertifiedOn: day("certified", 0, 200),
		ToldDepartmentOn: day("told", 0, 20), ToldHUDOn: day("told hud", 0, 20), ToldCompletionOn: day("told completion", 0, 200), OthersAssessedOn: day("others assessed", 0, 90),
		OthersClearedOn: day("others cleared", 90, 250), ResidentsToldOn: day("residents", 0, 90), Others: count("others", 30), OthersHazards: count("with hazards", 30), OthersLarge: count("large", 30)}
	if rapid.Bool().Draw(t, "drawn") {
		f.Tests = []Test{{DrawnOn: notified.AddDays(-rapid.IntRange(0, 40).Draw(t, "days before"))}}
	}
	f.AddressesMatchedOn = 0
	return f.asOf()
}

// neverLater demands that what one case owes another owes too, no later.
func neverLater(t require.TestingT, sooner, later []Deadline) {
	due := map[string]Deadline{}
	for _, d := range sooner {
		due[d.What] = d
	}
	for _, d := range later {
		if d.State == notNeeded || d.What == "match_addresses" || d.What == "risk_assessment" {
			continue
		}
		require.Contains(t, due, d.What)
		require.NotEqual(t, notNeeded, due[d.What].State, "%s is not needed: %s", d.What, due[d.What].Text)
		require.False(t, due[d.What].Due.After(d.Due), "%s is due on %s, later than %s", d.What, due[d.What].Due, d.Due)
	}
}

func TestAnEarlierNoticeNeverGivesALaterDeadline(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		later := aCase(t)
		sooner := later
		sooner.NotifiedOn = later.NotifiedOn.AddDays(-rapid.IntRange(0, 60).Draw(t, "days earlier"))
		require.NotEmpty(t, r.deadlines(sooner))
		neverLater(t, r.deadlines(sooner), r.deadlines(later))
	})
}

func TestAFactThatIsNotKnownNeverGivesALaterDeadline(t *testing.T) {
	t.Parallel()
	r := rules(t)
	forget := map[string]func(*Facts){
		"programme":        func(f *Facts) { f.Programme = "" },
		"source":           func(f *Facts) { f.Source = "" },
		"verified":         func(f *Facts) { f.VerifiedOn = 0 },
		"tests":            func(f *Facts) { f.Tests = nil },
		"investigation":    func(f *Facts) { f.InvestigatedOn = 0 },
		"assessment":       func(f *Facts) { f.AssessedOn = 0 },
		"department":       func(f *Facts) { f.DepartmentOn = 0 },
		"report":           func(f *Facts) { f.ReportOn = 0 },
		"hazards":          func(f *Facts) { f.Hazards = law.Unknown },
		"reduction":        func(f *Facts) { f.ClearedOn, f.CertifiedOn = 0, 0 },
		"others":           func(f *Facts) { f.Others = Count{} },
		"others assessed":  func(f *Facts) { f.OthersAssessedOn = 0 },
		"others cleared":   func(f *Facts) { f.OthersClearedOn = 0 },
		"others' hazards":  func(f *Facts) { f.OthersHazards = Count{} },
		"others large":     func(f *Facts) { f.OthersLarge = Count{} },
		"lives there":      func(f *Facts) { f.LivesThere = law.Unknown },
		"another assisted": func(f *Facts) { f.Another = law.Unknown },
	}
	for name, change := range forget {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				known := aCase(t)
				unknown := known
				change(&unknown)
				was := r.deadlines(known)
				if known.OthersHazards.none() && !unknown.OthersHazards.none() {
					was = without(was, "tell_residents") // owed only where the other units are known to have no hazards
				}
				neverLater(t, r.deadlines(unknown), was)
			})
		})
	}
}

func without(list []Deadline, what string) (rest []Deadline) {
	for _, d := range list {
		if d.What != what {
			rest = append(rest, d)
		}
	}
	return rest
}

// The level falls from day to day, never rises, and a higher level is never less of a case.
func TestTheLevelIsMonotoneInTheDayAndInTheTest(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		tenths := rapid.Int64Range(0, 300).Draw(t, "tenths")
		f := Facts{NotifiedOn: calendar.Of(2000, 9, 15).AddDays(rapid.IntRange(0, 9900).Draw(t, "day")), LocalActed: tris.Draw(t, "local")}
		f.AsOf = f.NotifiedOn
		f.Tests = []Test{{DrawnOn: f.NotifiedOn, Level: measure.Of(measure.Frac(tenths, 10), measure.MicrogramPerDecilitre)}}
		met := r.levelOn(f).met(f)
		later := f
		later.NotifiedOn = f.NotifiedOn.AddDays(rapid.IntRange(0, 3000).Draw(t, "later"))
		higher := f
		higher.Tests = []Test{{DrawnOn: f.NotifiedOn, Level: measure.Of(measure.Frac(tenths+rapid.Int64Range(0, 100).Draw(t, "more"), 10), measure.MicrogramPerDecilitre)}}
		if met == law.Yes {
			require.Equal(t, law.Yes, r.levelOn(later).met(later))
			require.Equal(t, law.Yes, r.levelOn(higher).met(higher))
		}
		unknown := f
		unknown.Tests, unknown.LocalActed = nil, law.Unknown
		require.NotEqual(t, law.No, r.levelOn(unknown).met(unknown))
	})
}

// Every set of changes that an answer offers leads where it says.
func TestWhatWouldChangeACaseDoes(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := aCase(t)
		f.UnderSix, f.Confirmed, f.Threshold = tris.Draw(t, "under six"), tris.Draw(t, "confirmed"), tris.Draw(t, "threshold")
		a := r.explain(f, r.judge(f))
		for _, set := range a.Explained.Counterfactuals {
			require.NotEqual(t, a.Outcome, set.Outcome)
			require.LessOrEqual(t, len(set.Changes), 3)
		}
		if a.Outcome == Closed || a.Outcome == NoCase {
			return
		}
		require.NotNil(t, a.Explained.Complete)
	})
}
