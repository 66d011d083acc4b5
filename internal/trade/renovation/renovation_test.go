package renovation_test

import (
	"io/fs"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

// embedded is read once: it never changes.
var embedded = sync.OnceValues(law.Embedded)

func rules(t require.TestingT) renovation.Rules {
	book, err := embedded()
	require.NoError(t, err)
	r, err := renovation.NewRules(book)
	require.NoError(t, err)
	return r
}

func number(t require.TestingT, text string) measure.Number {
	n, err := measure.ParseNumber(text)
	require.NoError(t, err)
	return n
}

func TestEmergencyLiftsTheNoticeAndNeverTheCleaning(t *testing.T) {
	t.Parallel()
	r := rules(t)
	w := renovation.Work{On: calendar.Of(2026, 3, 2), Area: measure.Int(50), AreaKnown: true, Method: practice.WetScraping, DoneBy: renovation.HiredFirm, Emergency: true}
	a, err := r.Apply(w, nil)
	require.NoError(t, err)
	require.NotContains(t, stepCodes(r, w, a), "pamphlet")
	require.Subset(t, stepCodes(r, w, a), []string{"cleaning", "verification", "records", "record_emergency"}, "40 CFR 745.82(b)")
}

func TestAllowanceSaysWhatIsLeftAndUntilWhen(t *testing.T) {
	t.Parallel()
	r := rules(t)
	jobs := []renovation.Other{{On: calendar.Of(2026, 3, 1), Area: measure.Int(4), Known: true}, {On: calendar.Of(2026, 3, 10), Area: measure.Int(1), Known: true}}
	a, err := r.Allowance(false, calendar.Of(2026, 3, 20), jobs)
	require.NoError(t, err)
	require.Equal(t, "5", a.Total.String())
	require.Equal(t, "1", a.Left.String())
	require.Equal(t, "2026-03-31", a.Until.String(), "from 31 March no 30 days hold 1 March")
	a, err = r.Allowance(false, calendar.Of(2026, 5, 1), jobs)
	require.NoError(t, err)
	require.Equal(t, "6", a.Left.String())
	require.True(t, a.Until.IsZero())
}

func TestApplicabilityDoesNotDependOnOrderAndGrowsWithArea(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		day := func(name string) calendar.Date {
			return calendar.Of(2026, 3, 1).AddDays(rapid.IntRange(0, 80).Draw(t, name))
		}
		area := func(name string) measure.Number { return measure.Frac(rapid.Int64Range(0, 900).Draw(t, name), 144) }
		w := renovation.Work{On: day("on"), HomeCovered: law.Yes, Area: area("own").Add(measure.Frac(1, 144)), AreaKnown: true, PaintDisturbed: law.Yes, Method: practice.WetScraping, DoneBy: renovation.HiredFirm}
		var others []renovation.Other
		for range rapid.IntRange(0, 6).Draw(t, "n") {
			others = append(others, renovation.Other{On: day("other"), Area: area("area"), Known: true, Emergency: rapid.Bool().Draw(t, "emergency")})
		}
		a, err := r.Apply(w, others)
		require.NoError(t, err)
		shuffled := rapid.Permutation(others).Draw(t, "order")
		b, err := r.Apply(w, shuffled)
		require.NoError(t, err)
		require.Equal(t, a.Outcome, b.Outcome)
		require.Zero(t, a.Total.Cmp(b.Total))
		require.Zero(t, a.Total.Cmp(slowTotal(w, others)), "against every run of 30 days, one by one")

		larger := w
		larger.Area = w.Area.Add(area("more"))
		c, err := r.Apply(larger, others)
		require.NoError(t, err)
		require.GreaterOrEqual(t, c.Outcome, a.Outcome, "more area never asks for less")
		more, err := r.Apply(w, append(shuffled, renovation.Other{On: day("added"), Area: area("added area"), Known: true}))
		require.NoError(t, err)
		require.GreaterOrEqual(t, more.Outcome, a.Outcome, "another job never asks for less")
		unknown := w
		unknown.AreaKnown = false
		u, err := r.Apply(unknown, others)
		require.NoError(t, err)
		require.Equal(t, renovation.CoveredRenovation, u.Outcome, "an unknown area is never less protective")
	})
}

func TestFactThatIsNotKnownNeverAsksForLess(t *testing.T) {
	t.Parallel()
	r := rules(t)
	tri := rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})
	doer := rapid.SampledFrom([]renovation.DoneBy{renovation.DoerUnknown, renovation.OwnerOccupant, renovation.Landlord, renovation.LandlordEmployee, renovation.HiredFirm, renovation.Volunteer})
	rapid.Check(t, func(t *rapid.T) {
		day := func(name string) calendar.Date {
			return calendar.Of(2026, 3, 1).AddDays(rapid.IntRange(0, 40).Draw(t, name))
		}
		area := func(name string) measure.Number { return measure.Frac(rapid.Int64Range(0, 1200).Draw(t, name), 144) }
		known := renovation.Work{On: day("on"), HomeCovered: tri.Draw(t, "home"), Exterior: rapid.Bool().Draw(t, "exterior"),
			Component: rapid.SampledFrom([]home.Component{home.Unlisted, home.Wall, home.Window, home.WindowSill}).Draw(t, "component"),
			Area:      area("area"), AreaKnown: true, Share: rapid.Map(rapid.Int64Range(0, 20), measure.Int).Draw(t, "share"), ShareKnown: true,
			PaintDisturbed: rapid.SampledFrom([]law.Tri{law.Unknown, law.No}).Draw(t, "disturbed"), Method: rapid.SampledFrom(practice.Methods()).Draw(t, "method"),
			WindowReplaced: rapid.Bool().Draw(t, "window"), Demolished: rapid.Bool().Draw(t, "demolished"), Emergency: rapid.Bool().Draw(t, "emergency"),
			DoneBy: doer.Draw(t, "doer"), Rented: tri.Draw(t, "rented"), LeadFree: tri.Draw(t, "lead free"), Assisted: tri.Draw(t, "assisted")}
		others := []renovation.Other{{On: day("other"), Area: area("other area"), Known: true, NeverMinor: rapid.Bool().Draw(t, "never minor")}}
		before, err := r.Apply(known, others)
		require.NoError(t, err)
		unknown, fewer := known, slices.Clone(others)
		switch rapid.IntRange(0, 7).Draw(t, "forgotten") {
		case 0:
			unknown.HomeCovered = law.Unknown
		case 1:
			unknown.Area, unknown.AreaKnown = measure.Number{}, false
		case 2:
			unknown.PaintDisturbed = law.Unknown
		case 3:
			unknown.Method = practice.Unknown
		case 4:
			unknown.DoneBy = renovation.DoerUnknown
		case 5:
			unknown.LeadFree = law.Unknown
		case 6:
			unknown.Share, unknown.ShareKnown = measure.Number{}, false
		case 7:
			fewer[0].Area, fewer[0].Known = measure.Number{}, false
		}
		after, err := r.Apply(unknown, fewer)
		require.NoError(t, err)
		require.GreaterOrEqual(t, after.Outcome, before.Outcome, "%+v", known)
		if before.HUD == renovation.HUDApplies {
			require.Equal(t, renovation.HUDApplies, after.HUD, "%+v", known)
		}
		require.Subset(t, stepCodes(r, unknown, after), stepCodes(r, known, before), "a fact that is not known takes no step away")
	})
}

func TestStepsSayTheNumbersOfTheLaw(t *testing.T) {
	t.Parallel()
	r := rules(t)
	w := renovation.Work{On: calendar.Of(2026, 3, 2), Exterior: true}
	a, err := r.Apply(w, nil)
	require.NoError(t, err)
	said := map[string]string{}
	for _, s := range r.StepsBefore(w, a) {
		said[s.Code] = s.Text
		require.NotContains(t, s.Text, "{")
	}
	for code, number := range map[string]string{
		"pamphlet":               "at most 60 days before", // 40 CFR 745.84(a) (text)
		"containment":            "within 20 feet closed",  // 40 CFR 745.85(a)(2)(ii)(A) (text)
		"no_prohibited_practice": "below 1100 degrees",     // 40 CFR 745.85(a)(3)(iii) (text)
		"records":                "for 3 years after",      // 40 CFR 745.86(a) (text)
	} {
		require.Contains(t, said[code], number)
	}
}

func stepCodes(r renovation.Rules, w renovation.Work, a renovation.Applicability) []string {
	list := []string{}
	for _, s := range r.StepsBefore(w, a) {
		list = append(list, s.Code)
	}
	return list
}

func TestStepsFitThePlace(t *testing.T) {
	t.Parallel()
	r := rules(t)
	for name, c := range map[string]struct {
		work         renovation.Work
		with, within string
		lacks        string
	}{
		"in a room: 6 feet, cloths (40 CFR 745.85(a)(2)(i), (b)(1))":       {renovation.Work{}, "6 feet", "cloths", "tell_units"},
		"outside: 10 feet, eyes only (40 CFR 745.85(a)(2)(ii), (b)(2))":    {renovation.Work{Exterior: true}, "10 feet", "no dust or debris remains", "tell_units"},
		"in a common area: the units are told, too (40 CFR 745.84(b))":     {renovation.Work{Shared: true}, "6 feet", "in writing", ""},
		"emergency in a common area: no notice is owed (40 CFR 745.82(b))": {renovation.Work{Shared: true, Emergency: true}, "6 feet", "emergency", "tell_units"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c.work.On = calendar.Of(2026, 3, 2)
			a, err := r.Apply(c.work, nil)
			require.NoError(t, err)
			var text strings.Builder
			for _, s := range r.StepsBefore(c.work, a) {
				require.NotEmpty(t, s.Citation.Clause)
				text.WriteString(s.Text)
			}
			require.Contains(t, text.String(), c.with)
			require.Contains(t, text.String(), c.within)
			require.NotContains(t, stepCodes(r, c.work, a), c.lacks)
		})
	}
}

func TestAllowanceLeavesNothingBesideAJobThatIsNeverMinor(t *testing.T) {
	t.Parallel()
	r := rules(t)
	window := renovation.Work{On: calendar.Of(2026, 3, 1), Area: measure.Int(1), AreaKnown: true, Component: home.Window, Method: practice.Replaced}
	a, err := r.Allowance(false, calendar.Of(2026, 3, 20), []renovation.Other{window.AsOther()})
	require.NoError(t, err)
	require.Equal(t, "1", a.Total.String())
	require.True(t, a.Left.IsZero())
	require.Equal(t, "2026-03-31", a.Until.String())
	a, err = r.Allowance(false, calendar.Of(2026, 3, 31), []renovation.Other{window.AsOther()})
	require.NoError(t, err)
	require.Equal(t, "6", a.Left.String())
}

func TestWorkThatAddsNothingToOtherJobs(t *testing.T) {
	t.Parallel()
	on := calendar.Of(2026, 3, 2)
	nothing := renovation.Other{On: on, Known: true}
	base := renovation.Work{On: on, Area: measure.Int(3), AreaKnown: true, Method: practice.OpenFlame}
	require.Equal(t, renovation.Other{On: on, Area: measure.Int(3), Known: true, NeverMinor: true}, base.AsOther())
	free, over, emergency := base, base, base
	free.LeadFree = law.Yes
	require.Equal(t, nothing, free.AsOther(), "40 CFR 745.82(a): the rule does not apply to it")
	over.Method = practice.PaintedOnly
	require.Equal(t, nothing, over.AsOther(), "40 CFR 745.83: no painted surface is disturbed")
	emergency.Emergency = true
	require.True(t, emergency.AsOther().Emergency, "40 CFR 745.83: other than emergency renovations")
}

func TestJurisdictionTightensTheLimit(t *testing.T) {
	t.Parallel()
	files := fstest.MapFS{}
	names, err := fs.Glob(os.DirFS("../law/parameters"), "*.yaml")
	require.NoError(t, err)
	for _, name := range names {
		text, err := os.ReadFile("../law/parameters/" + name)
		require.NoError(t, err)
		files[name] = &fstest.MapFile{Data: text}
	}
	files["minor_repair_interior.yaml"].Data = append(files["minor_repair_interior.yaml"].Data,
		[]byte("  - {jurisdiction: us-zz, programme: local, value: \"2\", effective: 2020-01-01, required: 2020-01-01, citation: an invented local code, source: text, recorded: 2026-11-25}\n")...)
	book, err := law.Load(files)
	require.NoError(t, err)
	r, err := renovation.NewRules(book)
	require.NoError(t, err)
	w := renovation.Work{On: calendar.Of(2026, 3, 2), Area: measure.Int(3), AreaKnown: true, Method: practice.WetScraping, DoneBy: renovation.HiredFirm}
	a, err := r.Apply(w, nil)
	require.NoError(t, err)
	require.Equal(t, renovation.Minor, a.Outcome)
	a, err = r.In([]string{"us-zz"}).Apply(w, nil)
	require.NoError(t, err)
	require.Equal(t, renovation.CoveredRenovation, a.Outcome)
	require.Equal(t, "2", a.Limit.String())
}

// slowTotal looks at every run of 30 days that holds the job's date.
func slowTotal(w renovation.Work, others []renovation.Other) measure.Number {
	best := w.Area
	for back := range 30 {
		from := w.On.AddDays(-back)
		sum := w.Area
		for _, o := range others {
			if !o.Emergency && !o.On.Before(from) && o.On.Sub(from) < 30 {
				sum = sum.Add(o.Area)
			}
		}
		best = best.Max(sum)
	}
	return best
}

// Not parallel: allocations are counted for the whole process.
func TestApplicabilityDoesNotAllocate(t *testing.T) {
	r, w, others := benchmarked(t)
	require.Zero(t, testing.AllocsPerRun(100, func() {
		if _, err := r.Apply(w, others); err != nil {
			t.Fatal(err)
		}
	}))
}

func BenchmarkApply(b *testing.B) {
	r, w, others := benchmarked(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Apply(w, others); err != nil {
			b.Fatal(err)
		}
	}
}

func benchmarked(t require.TestingT) (renovation.Rules, renovation.Work, []renovation.Other) {
	w := renovation.Work{On: calendar.Of(2026, 3, 20), HomeCovered: law.Yes, Area: measure.Int(3), AreaKnown: true, Method: practice.WetScraping, DoneBy: renovation.LandlordEmployee}
	return rules(t), w, []renovation.Other{{On: calendar.Of(2026, 3, 1), Area: number(t, "1.5"), Known: true}, {On: calendar.Of(2026, 3, 10), Area: number(t, "36/144"), Known: true}}
}
