package law_test

import (
	"fmt"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Two parameters of a federal law of our own: a level of which less protects more, and a count of which more does.
func federal(t require.TestingT) *law.Book {
	book, err := law.Load(fstest.MapFS{
		"level.yaml": {Data: []byte(`name: level
title: A level
description: A level for the test.
unit: ug/ft2
stricter: lower
values:
  - {jurisdiction: us, programme: epa, value: "40", effective: 2001-01-01, required: 2001-01-01, citation: clause one, source: text, recorded: 2020-01-01}
  - {jurisdiction: us, programme: epa, value: "10", effective: 2021-01-01, required: 2021-06-01, citation: clause two, source: text, recorded: 2020-01-01}
`)},
		"rooms.yaml": {Data: []byte(`name: rooms
title: Rooms to sample
description: Rooms for the test.
unit: ""
stricter: higher
values:
  - {jurisdiction: us, programme: epa, value: "4", effective: 2001-01-01, required: 2001-01-01, citation: clause three, source: text, recorded: 2020-01-01}
`)}, "wipes.yaml": {Data: []byte(`name: wipes
title: Wipes before the last
description: A number of which neither more nor fewer protect more.
unit: ""
stricter: neither
values:
  - {jurisdiction: us, programme: epa, value: "2", effective: 2001-01-01, required: 2001-01-01, citation: clause four, source: text, recorded: 2020-01-01}
`)}})
	require.NoError(t, err)
	return book
}

func day(year, month, d int) calendar.Date { return calendar.Of(year, time.Month(month), d) }

func local(parameter, value, unit string, effective calendar.Date) law.OverlayValue {
	return law.OverlayValue{Parameter: parameter, Value: value, Unit: unit, Effective: effective, Citation: "local clause", Source: law.Text}
}

func on(t require.TestingT, book *law.Book, name string, date calendar.Date, jurisdictions ...string) string {
	h, err := book.Handle(name)
	require.NoError(t, err)
	v, ok := book.On(h, date, law.Required, law.Scope{Jurisdictions: jurisdictions})
	if !ok {
		return ""
	}
	return v.Value
}

func TestFieldByFieldTheStricterGoverns(t *testing.T) {
	t.Parallel()
	base := federal(t)
	book, err := base.With([]law.Overlay{{Jurisdiction: "us-zz", Values: []law.OverlayValue{
		local("level", "25", "ug/ft2", day(2010, 1, 1)), local("rooms", "3", "", day(2010, 1, 1))}}})
	require.NoError(t, err)
	for name, c := range map[string]struct {
		parameter string
		date      calendar.Date
		want      string
	}{
		"before the local rule":                   {"level", day(2009, 12, 31), "40"},
		"the local level is stricter":             {"level", day(2010, 1, 1), "25"},
		"a federal level in effect, not required": {"level", day(2021, 5, 31), "25"},
		"the federal level has become stricter":   {"level", day(2021, 6, 1), "10"},
		"fewer rooms than the federal count":      {"rooms", day(2015, 1, 1), "4"},
	} {
		require.Equal(t, c.want, on(t, book, c.parameter, c.date, "us-zz"), name)
	}
	require.Equal(t, "40", on(t, book, "level", day(2015, 1, 1)), "elsewhere nothing has changed")
	require.Equal(t, "40", on(t, base, "level", day(2015, 1, 1), "us-zz"), "nor has the book below")
	require.NotEqual(t, base.RuleSet(), book.RuleSet())
	require.True(t, book.Knows("us-zz"))
	require.False(t, book.Knows("us-yy"))
}

func TestEffectsSayWhereTheFederalMinimumGoverns(t *testing.T) {
	t.Parallel()
	effects := federal(t).Effects(law.Overlay{Jurisdiction: "us-zz", Values: []law.OverlayValue{
		local("level", "25", "ug/ft2", day(2010, 1, 1)), local("level", "10", "ug/ft2", day(2030, 1, 1)), local("rooms", "3", "", day(2010, 1, 1))}})
	var told []string
	for _, e := range effects {
		told = append(told, fmt.Sprintf("%s %s %s-%s %s %s %s", e.Parameter, e.Value, e.From, e.Until, e.Effect, e.Federal, e.Citation.Clause))
	}
	require.Equal(t, []string{
		"level 25 2010-01-01-2021-06-01 governs 40 clause one",
		"level 25 2021-06-01-2030-01-01 federal_minimum_governs 10 clause two",
		"level 10 2030-01-01- same 10 clause two",
		"rooms 3 2010-01-01- federal_minimum_governs 4 clause three",
	}, told)
}

func TestAnAnswerShowsTheWeakerLocalValueAndThePlaceWithoutRules(t *testing.T) {
	t.Parallel()
	book, err := federal(t).With([]law.Overlay{{Jurisdiction: "us-zz", Values: []law.OverlayValue{local("level", "25", "ug/ft2", day(2010, 1, 1))}}})
	require.NoError(t, err)
	d := law.NewDetermination("q", day(2022, 1, 1), book.RuleSet())
	book.Localize(&d, []string{"level", "rooms"}, []string{"us-zz", "us-yy"})
	require.Equal(t, []string{"A level: us-zz has 25 (local clause), which is weaker; the federal minimum governs: 10 (clause two)."}, d.Differences)
	require.Len(t, d.Missing, 1)
	require.Contains(t, d.Missing[0].Why, "us-yy")
	d = law.NewDetermination("q", day(2015, 1, 1), book.RuleSet())
	book.Localize(&d, []string{"level"}, []string{"us-zz"})
	require.Empty(t, d.Differences, "it governed then")
}

func TestStrictRefusesWhatWouldHaveNoEffect(t *testing.T) {
	t.Parallel()
	o := law.Overlay{Jurisdiction: "us-zz", Strict: true, Values: []law.OverlayValue{local("rooms", "3", "", day(2010, 1, 1))}}
	err := federal(t).Check(o)
	require.True(t, fault.Is(err, fault.Implausible))
	require.Equal(t, "/values/0/value", fault.As(err).Fields[0].Pointer)
	require.Contains(t, fault.As(err).Fields[0].Detail, "clause three")
	o.Strict = false
	require.NoError(t, federal(t).Check(o))
}

func TestOverlaysThatCannotBeAreRefusedByField(t *testing.T) {
	t.Parallel()
	good := func() law.Overlay {
		return law.Overlay{Jurisdiction: "us-zz", Values: []law.OverlayValue{local("level", "8", "ug/ft2", day(2010, 1, 1))},
			Practices: []law.Stance{{Method: "dry_sanding", Prohibited: true, Guard: "Work wet.", Effective: day(2010, 1, 1), Citation: "c", Source: law.Text}},
			Requirements: []law.Requirement{{Code: "notice", Title: "A notice", Text: "Tell the board.", Trigger: law.RenovationStart,
				When: []law.Clause{{Fact: "job.area", Operator: law.MoreThan, Values: []string{"2"}}}, Due: law.Due{BeforeAtLeast: law.Span{Days: 7}},
				Effective: day(2010, 1, 1), Citation: "c", Source: law.Text}}}
	}
	require.NoError(t, federal(t).Check(good()))
	for name, c := range map[string]struct {
		spoil   func(*law.Overlay)
		pointer string
		code    string
	}{
		"federal law":                     {func(o *law.Overlay) { o.Jurisdiction = law.Federal }, "/jurisdiction", "federal_law"},
		"no such parameter":               {func(o *law.Overlay) { o.Values[0].Parameter = "levels" }, "/values/0/parameter", "unknown_parameter"},
		"below zero":                      {func(o *law.Overlay) { o.Values[0].Value = "-8" }, "/values/0/value", "negative"},
		"the same everywhere":             {func(o *law.Overlay) { o.Values[0] = local("wipes", "3", "", day(2010, 1, 1)) }, "/values/0/parameter", "not_of_a_place"},
		"nothing":                         {func(o *law.Overlay) { o.Values[0].Value = "0" }, "/values/0/value", "zero"},
		"no number":                       {func(o *law.Overlay) { o.Values[0].Value = "eight" }, "/values/0/value", "not_a_number"},
		"a unit of another dimension":     {func(o *law.Overlay) { o.Values[0].Unit = "ft2" }, "/values/0/unit", "wrong_unit"},
		"no unit":                         {func(o *law.Overlay) { o.Values[0].Unit = "" }, "/values/0/unit", "wrong_unit"},
		"required before it takes effect": {func(o *law.Overlay) { o.Values[0].Required = day(2009, 1, 1) }, "/values/0/required", "before_effective"},
		"ends before it begins":           {func(o *law.Overlay) { o.Values[0].Until = day(2010, 1, 1) }, "/values/0/until", "ends_before_it_begins"},
		"hearsay":                         {func(o *law.Overlay) { o.Values[0].Source = "hearsay" }, "/values/0/source", "unknown_source"},
		"a value told twice":              {func(o *law.Overlay) { o.Values = append(o.Values, o.Values[0]) }, "/values/1/effective", "told_twice"},
		"practice by hearsay":             {func(o *law.Overlay) { o.Practices[0].Source = "" }, "/practices/0/source", "unknown_source"},
		"no such trigger":                 {func(o *law.Overlay) { o.Requirements[0].Trigger = "full_moon" }, "/requirements/0/trigger", "unknown_trigger"},
		"a date without its trigger":      {func(o *law.Overlay) { o.Requirements[0].On = day(2011, 1, 1) }, "/requirements/0/on", "trigger_without_date"},
		"an interval without its span":    {func(o *law.Overlay) { o.Requirements[0].Trigger = law.Interval }, "/requirements/0/every", "trigger_without_interval"},
		"due before and after":            {func(o *law.Overlay) { o.Requirements[0].Due.Within = law.Span{Days: 3} }, "/requirements/0/due", "before_and_after"},
		"no day left":                     {func(o *law.Overlay) { o.Requirements[0].Due.BeforeAtMost = law.Span{Days: 3} }, "/requirements/0/due", "no_day_left"},
		"a restricted fact":               {func(o *law.Overlay) { o.Requirements[0].When[0].Fact = "resident.pregnant" }, "/requirements/0/when/0/fact", "unknown_fact"},
		"text above a number": {func(o *law.Overlay) {
			o.Requirements[0].When[0] = law.Clause{Fact: "home.rented", Operator: law.AtLeast, Values: []string{"yes"}}
		}, "/requirements/0/when/0/operator", "not_a_number"},
		"a value it never has": {func(o *law.Overlay) {
			o.Requirements[0].When[0] = law.Clause{Fact: "home.rented", Operator: law.Is, Values: []string{"maybe"}}
		}, "/requirements/0/when/0/values", "unknown_value"},
		"a number that is none":    {func(o *law.Overlay) { o.Requirements[0].When[0].Values = []string{"two"} }, "/requirements/0/when/0/values", "not_a_number"},
		"two values for one":       {func(o *law.Overlay) { o.Requirements[0].When[0].Values = []string{"2", "3"} }, "/requirements/0/when/0/values", "number_of_values"},
		"a requirement told twice": {func(o *law.Overlay) { o.Requirements = append(o.Requirements, o.Requirements[0]) }, "/requirements/1/code", "told_twice"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := good()
			c.spoil(&o)
			err := federal(t).Check(o)
			require.True(t, fault.Is(err, fault.Implausible), "%v", err)
			f := fault.As(err).Fields
			require.Equal(t, c.pointer, f[0].Pointer, "%v", f)
			require.Equal(t, c.code, f[0].Code)
		})
	}
}

func TestValuesAreConvertedExactlyAndEnd(t *testing.T) {
	t.Parallel()
	v := local("level", "1", "ug/m2", day(2010, 1, 1))
	v.Until = day(2012, 1, 1)
	book, err := federal(t).With([]law.Overlay{{Jurisdiction: "us-zz", Values: []law.OverlayValue{v}}})
	require.NoError(t, err)
	require.Equal(t, "0.09290304", on(t, book, "level", day(2011, 12, 31), "us-zz"), "one square foot is 0.09290304 m2, exactly")
	require.Equal(t, "40", on(t, book, "level", day(2012, 1, 1), "us-zz"), "it has ended")
}

func TestPracticesHoldFromTheirDateOnInTheirPlace(t *testing.T) {
	t.Parallel()
	book, err := federal(t).With([]law.Overlay{{Jurisdiction: "us-zz", Practices: []law.Stance{{Method: "dry_sanding", Prohibited: true,
		Guard: "Work wet.", Effective: day(2010, 1, 1), Until: day(2020, 1, 1), Citation: "c", Source: law.Text}}}})
	require.NoError(t, err)
	here := []string{"us-zz"}
	require.Len(t, book.Stances("dry_sanding", day(2010, 1, 1), here), 1)
	require.Empty(t, book.Stances("dry_sanding", day(2009, 12, 31), here))
	require.Empty(t, book.Stances("dry_sanding", day(2020, 1, 1), here))
	require.Empty(t, book.Stances("wet_sanding", day(2010, 1, 1), here))
	require.Empty(t, book.Stances("dry_sanding", day(2010, 1, 1), []string{"us-yy"}))
}

func TestRequirementsArise(t *testing.T) {
	t.Parallel()
	requirement := law.Requirement{Code: "start_notice", Title: "Notice of the start", Text: "Tell the board.", Trigger: law.RenovationStart,
		When: []law.Clause{{Fact: "job.window_replaced", Operator: law.Is, Values: []string{"yes"}}},
		Due:  law.Due{BeforeAtLeast: law.Span{Days: 7}, BeforeAtMost: law.Span{Days: 10}}, Effective: day(2010, 1, 1), Citation: "c", Source: law.Text}
	cycle := law.Requirement{Code: "cycle", Title: "Inspection", Text: "Inspect again.", Trigger: law.Interval, Every: law.Span{Years: 3}, Effective: day(2010, 1, 1), Citation: "c", Source: law.Memory}
	deadline := law.Requirement{Code: "register", Title: "Registration", Text: "Register.", Trigger: law.OnDate, On: day(2028, 1, 1), Effective: day(2010, 1, 1), Citation: "c", Source: law.Text}
	book, err := federal(t).With([]law.Overlay{{Jurisdiction: "us-zz", Requirements: []law.Requirement{requirement, cycle, deadline}}})
	require.NoError(t, err)
	ask := func(trigger law.Trigger, date calendar.Date, facts law.LocalFacts) law.LocalAnswer {
		return book.LocalDuties(law.LocalEvent{AsOf: date, Jurisdictions: []string{"us-zz"}, Trigger: trigger, On: date, Facts: facts})
	}

	a := ask(law.RenovationStart, day(2026, 6, 11), law.LocalFacts{"job.window_replaced": "yes"})
	require.Len(t, a.Requirements, 1)
	require.Equal(t, "yes", a.Requirements[0].Applies)
	require.Equal(t, "2026-06-01", a.Requirements[0].From.String())
	require.Equal(t, "2026-06-04", a.Requirements[0].By.String())
	require.Equal(t, "required", a.Determination.Outcome)

	a = ask(law.RenovationStart, day(2026, 6, 11), nil)
	require.Equal(t, "presumed", a.Requirements[0].Applies, "what is not known gets the protective answer")
	require.Equal(t, []string{"job.window_replaced"}, a.Requirements[0].Missing)

	a = ask(law.RenovationStart, day(2026, 6, 11), law.LocalFacts{"job.window_replaced": "no"})
	require.Empty(t, a.Requirements)
	require.Equal(t, "none", a.Determination.Outcome)
	require.Empty(t, ask(law.RenovationStart, day(2009, 6, 11), law.LocalFacts{"job.window_replaced": "yes"}).Requirements, "not in effect yet")
	require.Empty(t, ask(law.MoveIn, day(2026, 6, 11), nil).Requirements)

	require.Equal(t, "2027-02-28", ask(law.Interval, day(2024, 2, 29), nil).Requirements[0].By.String(), "three years after a leap day")
	require.Equal(t, "2028-01-01", ask(law.OnDate, day(2026, 1, 1), nil).Requirements[0].By.String())
}

// An overlay never makes a value less protective, whatever it says, wherever and whenever.
func TestNoOverlayMakesAnythingLessProtective(t *testing.T) {
	t.Parallel()
	base := federal(t)
	rapid.Check(t, func(t *rapid.T) {
		var overlays []law.Overlay
		for range rapid.IntRange(0, 3).Draw(t, "overlays") {
			o := law.Overlay{Jurisdiction: rapid.SampledFrom([]string{"us-aa", "us-bb"}).Draw(t, "where")}
			for range rapid.IntRange(0, 3).Draw(t, "values") {
				v := local(rapid.SampledFrom([]string{"level", "rooms"}).Draw(t, "parameter"), fmt.Sprint(rapid.IntRange(1, 100).Draw(t, "value")), "", day(rapid.IntRange(1995, 2040).Draw(t, "year"), 3, 1))
				if v.Parameter == "level" {
					v.Unit = "ug/ft2"
				}
				if rapid.Bool().Draw(t, "ends") {
					v.Until = v.Effective.AddYears(rapid.IntRange(1, 9).Draw(t, "lasts"))
				}
				o.Values = append(o.Values, v)
			}
			overlays = append(overlays, o)
		}
		book, err := base.With(overlays)
		require.NoError(t, err)
		date := day(rapid.IntRange(2001, 2045).Draw(t, "on"), 7, 1)
		for _, name := range []string{"level", "rooms"} {
			h, err := base.Handle(name)
			require.NoError(t, err)
			before, _ := base.On(h, date, law.Required, law.Scope{Jurisdictions: []string{"us-aa", "us-bb"}})
			after, _ := book.On(h, date, law.Required, law.Scope{Jurisdictions: []string{"us-aa", "us-bb"}})
			if name == "level" {
				require.LessOrEqual(t, after.Number().Cmp(before.Number()), 0)
			} else {
				require.GreaterOrEqual(t, after.Number().Cmp(before.Number()), 0)
			}
		}
	})
}

func TestBookKnownOnADateLeavesOutWhatWasRecordedLater(t *testing.T) {
	t.Parallel()
	early, late := local("level", "30", "ug/ft2", day(2010, 1, 1)), local("level", "20", "ug/ft2", day(2011, 1, 1))
	early.Recorded, late.Recorded = day(2022, 1, 1), day(2024, 1, 1)
	book, err := federal(t).With([]law.Overlay{{Jurisdiction: "us-zz", Values: []law.OverlayValue{early, late}}})
	require.NoError(t, err)
	require.Equal(t, "20", on(t, book, "level", day(2012, 1, 1), "us-zz"))
	require.Equal(t, "30", on(t, book.KnownOn(day(2023, 1, 1)), "level", day(2012, 1, 1), "us-zz"))
	require.Equal(t, "40", on(t, book.KnownOn(day(2021, 1, 1)), "level", day(2012, 1, 1), "us-zz"))
}
