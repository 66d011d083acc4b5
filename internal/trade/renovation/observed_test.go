package renovation_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

func workSite(t testing.TB) renovation.WorkSite {
	t.Helper()
	book, err := law.Embedded()
	require.NoError(t, err)
	practices, err := practice.NewRules(book)
	require.NoError(t, err)
	return renovation.WorkSite{Zone: time.UTC, Abatement: law.No, Assisted: law.No, Practices: practices}
}

// seen makes an observation at a time of the day such as "08:00" on 27 April 2026, or "2 08:00" a day later.
func seen(kind renovation.ObservationKind, at string, change ...func(*renovation.Observation)) renovation.Observation {
	day, clock := 1, at
	if d, rest, two := strings.Cut(at, " "); two {
		_, _ = fmt.Sscan(d, &day)
		clock = rest
	}
	t, err := time.Parse("2006-01-02 15:04", fmt.Sprintf("2026-04-%02d %s", 26+day, clock))
	if err != nil {
		panic(err)
	}
	o := renovation.Observation{ID: string(kind) + " " + at, Kind: kind, At: t}
	for _, c := range change {
		c(&o)
	}
	return o
}

func by(m practice.Method, guards ...func(*practice.Facts)) func(*renovation.Observation) {
	return func(o *renovation.Observation) {
		o.Used.Method = m
		for _, g := range guards {
			g(&o.Used)
		}
	}
}

func heat(degrees int) func(*practice.Facts) {
	return func(f *practice.Facts) { f.Temperature = measure.Of(measure.Int(int64(degrees)), measure.Fahrenheit) }
}

func inRoom(room string) func(*renovation.Observation) {
	return func(o *renovation.Observation) { o.Spot.Room = room }
}

func intact(t law.Tri) func(*renovation.Observation) {
	return func(o *renovation.Observation) { o.Intact = t }
}

func inArea(t law.Tri) func(*renovation.Observation) {
	return func(o *renovation.Observation) { o.InArea = t }
}

func withdrawn(o *renovation.Observation) { o.Withdrawn = true }

// Kinds that every job ready for work has before it, so that a case shows one thing.
var ready = []renovation.Observation{seen(renovation.SignPosted, "07:00"), seen(renovation.ContainmentBuilt, "07:30")}

// opened are the causes as "code of observation", with "stops" behind those that still stop the work.
func opened(o renovation.Observed) []string {
	list := []string{}
	for _, c := range o.Causes {
		text := c.Code + " of " + c.Observation
		if c.StopsNow() {
			text += ", stops"
		}
		list = append(list, text)
	}
	return list
}

func TestObservationsOpenFindings(t *testing.T) {
	t.Parallel()
	const used, checked, breached, mended = renovation.MethodUsed, renovation.ContainmentChecked, renovation.ContainmentBreached, renovation.ContainmentMended
	assisted := func(s *renovation.WorkSite) { s.Assisted = law.Yes }
	notTold := func(s *renovation.WorkSite) { s.Assisted = law.Unknown }
	little := func(s *renovation.WorkSite) { s.Asked = renovation.AskedLittle }
	nothing := func(s *renovation.WorkSite) { s.Asked = renovation.AskedNothing }
	for name, c := range map[string]struct {
		site func(*renovation.WorkSite)
		bare bool // without the signs and containment of a job made ready
		told []renovation.Observation
		want []string
	}{
		"40 CFR 745.85(a)(3)(i) (text): open flame is prohibited": {
			told: []renovation.Observation{seen(used, "08:00", by(practice.OpenFlame))}, want: []string{"prohibited_practice of method_used 08:00, stops"}},
		"40 CFR 745.85(a)(3)(ii) (text): a machine without shroud is prohibited": {
			told: []renovation.Observation{seen(used, "08:00", by(practice.MachineWithoutShroud))}, want: []string{"prohibited_practice of method_used 08:00, stops"}},
		"40 CFR 745.85(a)(3)(iii) (text): a heat gun is used only below 1,100 degrees F": {
			told: []renovation.Observation{seen(used, "08:00", by(practice.HeatGun, heat(1100)))}, want: []string{"restricted_practice_without_guard of method_used 08:00, stops"}},
		"40 CFR 745.85(a)(3)(iii) (text): below it, it is lawful": {
			told: []renovation.Observation{seen(used, "08:00", by(practice.HeatGun, heat(1099)))}, want: []string{}},
		"a heat gun of which the temperature is not told counts as too hot (protective)": {
			told: []renovation.Observation{seen(used, "08:00", by(practice.HeatGun))}, want: []string{"restricted_practice_without_guard of method_used 08:00, stops"}},
		"24 CFR 35.140(e) (text): dry scraping is prohibited in assisted housing, except on small spots and the like": {
			site: assisted, told: []renovation.Observation{seen(used, "08:00", by(practice.DryScraping))}, want: []string{"restricted_practice_without_guard of method_used 08:00, stops"}},
		"assistance that is not told counts as given (protective)": {
			site: notTold, told: []renovation.Observation{seen(used, "08:00", by(practice.DryScraping))}, want: []string{"restricted_practice_without_guard of method_used 08:00, stops"}},
		"40 CFR 745.85(a)(3) names no dry scraping (text)": {
			told: []renovation.Observation{seen(used, "08:00", by(practice.DryScraping))}, want: []string{}},
		"what is withdrawn counts for nothing": {
			told: []renovation.Observation{seen(used, "08:00", by(practice.OpenFlame), withdrawn)}, want: []string{}},
		"40 CFR 745.85(a)(1), (2) (text): signs and containment come before the work": {bare: true,
			told: []renovation.Observation{seen(used, "08:00", by(practice.WetScraping)), seen(used, "09:00", by(practice.WetScraping)), seen(renovation.SignPosted, "10:00"),
				seen(used, "11:00", by(practice.WetScraping))},
			want: []string{"missing_containment of method_used 08:00", "missing_sign of method_used 08:00"}},
		"a sign posted at the instant of the work is up for it": {bare: true,
			told: []renovation.Observation{seen(used, "08:00", by(practice.WetScraping)), seen(renovation.SignPosted, "08:00"), seen(renovation.ContainmentBuilt, "08:00")}, want: []string{}},
		"40 CFR 745.85(a)(1) (text): signs stay up": {
			told: []renovation.Observation{seen(renovation.SignRemoved, "08:00"), seen(used, "09:00", by(practice.WetScraping))}, want: []string{"missing_sign of method_used 09:00"}},
		"containment of another room is none for this one": {bare: true,
			told: []renovation.Observation{ready[0], seen(renovation.ContainmentBuilt, "07:30", inRoom("kitchen")), seen(used, "08:00", by(practice.WetScraping), inRoom("hall"))},
			want: []string{"missing_containment of method_used 08:00"}},
		"painting alone needs neither sign nor containment": {bare: true,
			told: []renovation.Observation{seen(used, "08:00", by(practice.PaintedOnly))}, want: []string{}},
		"40 CFR 745.85(a)(2) (text): a breach stops the work": {
			told: []renovation.Observation{seen(breached, "08:00")}, want: []string{"containment_breach of containment_breached 08:00, stops"}},
		"mended and found intact, the work goes on": {
			told: []renovation.Observation{seen(breached, "08:00", inRoom("hall")), seen(mended, "08:30", inRoom("hall")), seen(checked, "08:40", intact(law.Yes))}, want: []string{"containment_breach of containment_breached 08:00"}},
		"mended and not checked, it does not": {
			told: []renovation.Observation{seen(breached, "08:00"), seen(mended, "08:30"), seen(checked, "08:40")}, want: []string{"containment_breach of containment_breached 08:00, stops"}},
		"checked before it was mended, it does not": {
			told: []renovation.Observation{seen(breached, "08:00"), seen(checked, "08:20", intact(law.Yes)), seen(mended, "08:30")}, want: []string{"containment_breach of containment_breached 08:00, stops"}},
		"mended in another room, it does not": {
			told: []renovation.Observation{seen(breached, "08:00", inRoom("hall")), seen(mended, "08:30", inRoom("kitchen")), seen(checked, "08:40", intact(law.Yes))}, want: []string{"containment_breach of containment_breached 08:00, stops"}},
		"mended in vain, the same breach goes on": {
			told: []renovation.Observation{seen(breached, "08:00"), seen(mended, "08:30"), seen(checked, "08:40", intact(law.No)), seen(checked, "08:50", intact(law.Yes))},
			want: []string{"containment_breach of containment_breached 08:00, stops"}},
		"a check that finds it not intact is a breach": {
			told: []renovation.Observation{seen(checked, "08:40", intact(law.No))}, want: []string{"containment_breach of containment_checked 08:40, stops"}},
		"24 CFR 35.1345(a) (text): occupants stay out of the work area": {
			told: []renovation.Observation{seen(renovation.OccupantInWorkArea, "08:00")}, want: []string{"occupant_entry of occupant_in_work_area 08:00"}},
		"a visitor of whom it is not told counts as having been in it (protective)": {
			told: []renovation.Observation{seen(renovation.Visitor, "08:00"), seen(renovation.Visitor, "09:00", inArea(law.No))}, want: []string{"occupant_entry of visitor 08:00"}},
		"a job planned as minor needs no sign, but a breach is one": {site: little, bare: true,
			told: []renovation.Observation{seen(used, "08:00", by(practice.WetScraping)), seen(breached, "09:00")}, want: []string{"containment_breach of containment_breached 09:00, stops"}},
		"40 CFR 745.83 (derived): with a restricted method it is no longer minor": {site: little, bare: true,
			told: []renovation.Observation{seen(used, "08:00", by(practice.HeatGun, heat(900)))}, want: []string{"missing_containment of method_used 08:00", "missing_sign of method_used 08:00"}},
		"what the rules do not reach opens nothing": {site: nothing, bare: true,
			told: []renovation.Observation{seen(used, "08:00", by(practice.OpenFlame)), seen(breached, "09:00"), seen(renovation.OccupantInWorkArea, "10:00")}, want: []string{}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			site := workSite(t)
			if c.site != nil {
				c.site(&site)
			}
			told := c.told
			if !c.bare {
				told = append(slices.Clone(ready), told...)
			}
			is := renovation.Observe(site, told)
			require.Equal(t, c.want, opened(is))
			for _, cause := range is.Causes {
				require.NotEmpty(t, cause.Citation.Clause)
				require.NotEmpty(t, cause.Detail)
			}
		})
	}
}

func TestObservationsSayHowTheWorkAreaStands(t *testing.T) {
	t.Parallel()
	is := renovation.Observe(workSite(t), append(slices.Clone(ready),
		seen(renovation.OccupantMovedOut, "07:10"), seen(renovation.VentilationOff, "07:20"),
		seen(renovation.RenovatorPresent, "07:30", func(o *renovation.Observation) { o.Moment = renovation.AtSigns }),
		seen(renovation.MethodUsed, "08:00", by(practice.WetScraping)), seen(renovation.DayCleaned, "12:00"), seen(renovation.MethodUsed, "13:00", by(practice.WetScraping)),
		seen(renovation.WasteStored, "16:00"),
		seen(renovation.MethodUsed, "2 08:00", by(practice.WetScraping)), seen(renovation.DayCleaned, "2 16:00"),
		seen(renovation.ContainmentBreached, "2 17:00"), seen(renovation.ContainmentMended, "2 17:10"), seen(renovation.ContainmentChecked, "2 17:20", intact(law.Yes)),
		seen(renovation.SignRemoved, "3 08:00"), seen(renovation.OccupantBack, "3 09:00")))
	require.Equal(t, law.No, is.SignsUp)
	require.Equal(t, law.No, is.OccupantsOut)
	require.Equal(t, law.Yes, is.VentilationOff)
	require.Equal(t, []renovation.Moment{renovation.AtSigns}, is.Present)
	require.Len(t, is.Containments, 1)
	require.Equal(t, renovation.Intact, is.Containments[0].State)
	days := []string{}
	for _, d := range is.Days {
		days = append(days, fmt.Sprint(d.On, " cleaned ", d.Cleaned, " stored ", d.WasteStored))
	}
	require.Equal(t, []string{"2026-04-27 cleaned false stored true", "2026-04-28 cleaned true stored false"}, days,
		"40 CFR 745.85(a)(4)(ii) (text): at the end of each day, so after the last work of the day")
	none := renovation.Observe(workSite(t), nil)
	require.Equal(t, law.Unknown, none.SignsUp, "nobody told")
	require.Empty(t, none.Causes)
}

var anyKinds = []renovation.ObservationKind{renovation.SignPosted, renovation.SignRemoved, renovation.ContainmentBuilt, renovation.ContainmentChecked,
	renovation.ContainmentBreached, renovation.ContainmentMended, renovation.MethodUsed, renovation.MethodUsed, renovation.OccupantMovedOut, renovation.OccupantBack,
	renovation.OccupantInWorkArea, renovation.DayCleaned, renovation.WasteStored, renovation.Visitor, renovation.RenovatorPresent}

var anyObservation = rapid.Custom(func(t *rapid.T) renovation.Observation {
	tri := rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No})
	o := renovation.Observation{Kind: rapid.SampledFrom(anyKinds).Draw(t, "kind"), At: time.Date(2026, 4, 27, 8, rapid.IntRange(0, 40).Draw(t, "minute")*60, 0, 0, time.UTC),
		Withdrawn: rapid.IntRange(0, 9).Draw(t, "withdrawn") == 0, Intact: tri.Draw(t, "intact"), InArea: tri.Draw(t, "in area"), WithChild: tri.Draw(t, "child"),
		Moment: rapid.SampledFrom([]renovation.Moment{renovation.AtSigns, renovation.AtCleaning}).Draw(t, "moment")}
	o.Spot.Room = rapid.SampledFrom([]string{"", "", "kitchen", "hall"}).Draw(t, "room")
	o.Used = practice.Facts{Method: rapid.SampledFrom(practice.Methods()).Draw(t, "method")}
	return o
})

// The record is a function of the set: whatever the order in which observations are told, in however many parts and however
// often, it comes to the same.
func TestObservationsComeToTheSameInAnyOrderAndHoweverOftenTold(t *testing.T) {
	t.Parallel()
	site := workSite(t)
	rapid.Check(t, func(t *rapid.T) {
		site := site
		site.Asked = rapid.SampledFrom([]renovation.Asked{renovation.AskedAll, renovation.AskedAll, renovation.AskedLittle, renovation.AskedNothing}).Draw(t, "asked")
		set := rapid.SliceOfN(anyObservation, 0, 30).Draw(t, "set")
		for i := range set {
			set[i].ID = fmt.Sprintf("%02d", i)
		}
		told := slices.Concat(set, set[:len(set)/2])
		shuffled := rapid.Permutation(told).Draw(t, "order")
		require.Equal(t, renovation.Observe(site, set), renovation.Observe(site, shuffled))
	})
}

// Which of several tellings stands does not depend on which arrived first.
func TestLatestTellingStandsWhateverArrivedFirst(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		tellings := rapid.SliceOfNDistinct(rapid.Custom(func(t *rapid.T) renovation.Telling {
			return renovation.Telling{ToldAt: time.Unix(int64(rapid.IntRange(0, 3).Draw(t, "at")), 0), Content: []byte(rapid.StringN(0, 2, -1).Draw(t, "content"))}
		}), 1, 6, func(x renovation.Telling) string { return x.ToldAt.String() + string(x.Content) }).Draw(t, "tellings")
		latest := slices.MaxFunc(tellings, renovation.Telling.Compare)
		require.Equal(t, latest, slices.MaxFunc(rapid.Permutation(tellings).Draw(t, "arrived"), renovation.Telling.Compare))
		for _, x := range tellings {
			require.False(t, x.ToldAt.After(latest.ToldAt), "nothing was told later than what stands")
		}
	})
}

// Telling one more breach, method or entry never takes away a stop that is there; withdrawing one never adds one of another.
func TestOneMoreBadThingNeverTakesAwayAnother(t *testing.T) {
	t.Parallel()
	site := workSite(t)
	rapid.Check(t, func(t *rapid.T) {
		set := rapid.SliceOfN(anyObservation, 0, 20).Draw(t, "set")
		for i := range set {
			set[i].ID = fmt.Sprintf("%02d", i)
		}
		more := rapid.Custom(func(t *rapid.T) renovation.Observation {
			o := anyObservation.Draw(t, "one")
			o.Kind = rapid.SampledFrom([]renovation.ObservationKind{renovation.ContainmentBreached, renovation.OccupantInWorkArea}).Draw(t, "bad")
			o.ID, o.Withdrawn = "more", false
			return o
		}).Draw(t, "more")
		after := opened(renovation.Observe(site, append(slices.Clone(set), more)))
		for _, code := range opened(renovation.Observe(site, set)) {
			// A check that found the containment not intact is the same breach when one was told before it.
			if !strings.HasPrefix(code, renovation.ContainmentBreach) && !strings.HasPrefix(code, renovation.MissingContainment) {
				require.Contains(t, after, code)
			}
		}
		require.True(t, slices.ContainsFunc(after, func(code string) bool { return strings.Contains(code, " of more") }))
	})
}

func TestCauseToldAfterAMoveItWouldHaveBlockedIsLate(t *testing.T) {
	t.Parallel()
	at := func(day, hour int) time.Time { return time.Date(2026, 4, day, hour, 0, 0, 0, time.UTC) }
	made := func(from, to renovation.State, recorded time.Time) renovation.MadeMove {
		return renovation.MadeMove{From: from, To: to, On: dateOf(recorded), Recorded: recorded}
	}
	moves := []renovation.MadeMove{made(renovation.Ready, renovation.UnderWay, at(27, 8)), made(renovation.UnderWay, renovation.Cleaning, at(28, 8)),
		made(renovation.Checking, renovation.Cleaning, at(28, 12)), made(renovation.Checking, renovation.Closed, at(29, 8))}
	for name, c := range map[string]struct {
		cause renovation.Cause
		known time.Time
		want  []renovation.State
	}{
		"a breach told after closing":                    {renovation.Cause{At: at(27, 10), Stops: true}, at(30, 8), []renovation.State{renovation.Cleaning, renovation.Closed}},
		"told in time":                                   {renovation.Cause{At: at(27, 10), Stops: true}, at(27, 11), nil},
		"told before closing, after cleaning began":      {renovation.Cause{At: at(27, 10), Stops: true}, at(28, 9), []renovation.State{renovation.Cleaning}},
		"an entry stands in the way of closing only":     {renovation.Cause{At: at(27, 10)}, at(30, 8), []renovation.State{renovation.Closed}},
		"what happened after a move did not hinder it":   {renovation.Cause{At: at(28, 9), Stops: true}, at(30, 8), []renovation.State{renovation.Closed}},
		"a breach that was over did not hinder cleaning": {renovation.Cause{At: at(27, 10), Stops: true, Over: at(27, 11)}, at(30, 8), []renovation.State{renovation.Closed}},
		"on a day before the work began":                 {renovation.Cause{At: at(26, 7), Stops: true}, at(27, 9), []renovation.State{renovation.UnderWay}},
		"on the day it began, and told that day":         {renovation.Cause{At: at(27, 7), Stops: true}, at(27, 9), nil},
		"after closing":                                  {renovation.Cause{At: at(29, 9), Stops: true}, at(30, 8), nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var late []renovation.State
			for _, m := range c.cause.Late(moves, c.known, time.UTC) {
				late = append(late, m.To)
			}
			require.Equal(t, c.want, late)
		})
	}
	c := renovation.Cause{At: at(28, 23), Stops: true}
	backdated := renovation.MadeMove{From: renovation.UnderWay, To: renovation.Cleaning, On: dateOf(at(28, 0)), Recorded: at(29, 9)}
	require.Len(t, c.Late([]renovation.MadeMove{backdated}, at(30, 8), time.UTC), 1, "a move told for a day gone by: which came first that day is not known")
	require.Contains(t, c.LateDetail([]renovation.MadeMove{backdated}), "cleaning on 2026-04-28")
}

func dateOf(t time.Time) calendar.Date { return calendar.LocalDate(t, time.UTC) }
