package law_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

const wellFormed = `name: limit
title: A limit
description: A limit for the test.
unit: ug/ft2
stricter: lower
values:
  - {jurisdiction: us, programme: epa, value: "40", effective: 2001-03-06, required: 2001-03-06, citation: clause one, source: text, recorded: 2026-01-01}
  - {jurisdiction: us, programme: epa, value: "5", effective: 2025-01-13, required: 2026-01-12, citation: clause two, source: secondary, recorded: 2026-01-01}
  - {jurisdiction: us-zz, programme: local, value: "8", effective: 2025-02-01, required: 2025-02-01, citation: local clause, source: text, recorded: 2026-01-01}
`

func load(text string) (*law.Book, error) {
	return law.Load(fstest.MapFS{"limit.yaml": {Data: []byte(text)}})
}

func TestEmbeddedLawIsWellFormed(t *testing.T) {
	t.Parallel()
	book, err := law.Embedded()
	require.NoError(t, err)
	require.NotEmpty(t, book.Parameters())
	require.Regexp(t, `^\d+-[0-9a-f]{12}$`, book.RuleSet())
}

func TestMalformedEntryIsNamedWithFileAndLine(t *testing.T) {
	t.Parallel()
	entry := `  - {jurisdiction: us, programme: epa, value: "40", effective: 2026-02-01, required: 2026-02-01, citation: c, source: text, recorded: 2026-01-01}
`
	for name, c := range map[string]struct{ text, says string }{
		"unknown field":            {wellFormed + "colour: red\n", "limit.yaml"},
		"unknown source":           {wellFormed + `  - {jurisdiction: us, programme: epa, value: "4", effective: 2026-02-01, required: 2026-02-01, citation: c, source: hearsay, recorded: 2026-01-01}` + "\n", "limit.yaml:10: \"hearsay\""},
		"value is no number":       {wellFormed + `  - {jurisdiction: us, programme: epa, value: "four", effective: 2026-02-01, required: 2026-02-01, citation: c, source: text, recorded: 2026-01-01}` + "\n", "limit.yaml:10: \"four\""},
		"required before effect":   {wellFormed + `  - {jurisdiction: us, programme: epa, value: "4", effective: 2026-02-01, required: 2026-01-01, citation: c, source: text, recorded: 2026-01-01}` + "\n", "limit.yaml:10: it is required on 2026-01-01"},
		"date that does not exist": {wellFormed + `  - {jurisdiction: us, programme: epa, value: "4", effective: 2026-02-30, required: 2026-03-01, citation: c, source: text, recorded: 2026-01-01}` + "\n", "limit.yaml"},
		"overlapping entry":        {wellFormed + entry + entry, "limit.yaml:11: it overlaps"},
		"out of order":             {wellFormed + `  - {jurisdiction: us, programme: epa, value: "4", effective: 2000-02-01, required: 2000-02-01, citation: c, source: text, recorded: 2026-01-01}` + "\n", "limit.yaml:10: values must be in the order"},
		"no citation":              {wellFormed + `  - {jurisdiction: us, programme: epa, value: "4", effective: 2026-02-01, required: 2026-02-01, source: text, recorded: 2026-01-01}` + "\n", "limit.yaml:10: citation is missing"},
		"unknown unit":             {"name: limit\ntitle: a\ndescription: b\nunit: furlong\nstricter: lower\nvalues:\n" + entry, "limit.yaml:4:"},
		"another file's name":      {"name: other\ntitle: a\ndescription: b\nunit: ft2\nstricter: lower\nvalues:\n" + entry, "limit.yaml:1: the parameter other must be in other.yaml"},
		"no direction":             {"name: limit\ntitle: a\ndescription: b\nunit: ft2\nvalues:\n" + entry, "stricter must say"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := load(c.text)
			require.ErrorContains(t, err, c.says)
		})
	}
}

func TestValueIsTheStrictestRequiredOnTheDate(t *testing.T) {
	t.Parallel()
	book, err := load(wellFormed)
	require.NoError(t, err)
	limit, err := book.Handle("limit")
	require.NoError(t, err)
	local := law.Scope{Jurisdictions: []string{"us-zz"}}
	for name, c := range map[string]struct {
		on      string
		reading law.Reading
		scope   law.Scope
		want    string
	}{
		"before anything":                         {"2001-03-05", law.Required, law.Scope{}, ""},
		"first day":                               {"2001-03-06", law.Required, law.Scope{}, "40"},
		"in effect and not yet required":          {"2025-01-13", law.Required, law.Scope{}, "40"},
		"in effect":                               {"2025-01-13", law.InEffect, law.Scope{}, "5"},
		"last day before it is required":          {"2026-01-11", law.Required, law.Scope{}, "40"},
		"required":                                {"2026-01-12", law.Required, law.Scope{}, "5"},
		"a local rule tightens":                   {"2025-02-01", law.Required, local, "8"},
		"a local rule is not asked for elsewhere": {"2025-02-01", law.Required, law.Scope{}, "40"},
		"the federal value governs once stricter": {"2026-01-12", law.Required, local, "5"},
		"another programme has none":              {"2026-01-12", law.Required, law.Scope{Programmes: []string{"hud"}}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			date, err := calendar.ParseDate(c.on)
			require.NoError(t, err)
			v, ok := book.On(limit, date, c.reading, c.scope)
			require.Equal(t, c.want != "", ok)
			if ok {
				require.Equal(t, c.want, v.Value)
			}
		})
	}
	next, ok := book.Next(limit, calendar.Of(2025, 6, 1), law.Scope{})
	require.True(t, ok)
	require.Equal(t, "2026-01-12", next.Required.String())
	_, ok = book.Next(limit, calendar.Of(2026, 6, 1), law.Scope{})
	require.False(t, ok)
	require.ErrorContains(t, book.TooEarly(limit, "/sampled_on", calendar.Of(2000, 1, 1)), "is to be met from 2001-03-06")
}

// Not parallel: allocations are counted for the whole process.
func TestLookUpDoesNotAllocate(t *testing.T) {
	book, err := load(wellFormed)
	require.NoError(t, err)
	limit, err := book.Handle("limit")
	require.NoError(t, err)
	local := law.Scope{Jurisdictions: []string{"us-zz"}}
	require.Zero(t, testing.AllocsPerRun(100, func() { book.On(limit, calendar.Of(2026, 6, 1), law.Required, local) }))
}

func TestCorrectionIsAddedAndReplacesWhatItCorrects(t *testing.T) {
	t.Parallel()
	book, err := load(wellFormed + `  - {jurisdiction: us, programme: epa, value: "4", effective: 2025-02-01, required: 2026-01-12, citation: first, source: memory, recorded: 2026-01-01}
  - {jurisdiction: us, programme: epa, value: "6", effective: 2025-02-01, required: 2026-01-12, citation: corrected, source: text, recorded: 2026-03-01}
`)
	require.NoError(t, err)
	limit, err := book.Handle("limit")
	require.NoError(t, err)
	v, ok := book.On(limit, calendar.Of(2026, 6, 1), law.Required, law.Scope{})
	require.True(t, ok)
	require.Equal(t, "6", v.Value)
	require.Len(t, book.Parameters()[0].Values, 5, "the history keeps both")
	before, err := load(wellFormed)
	require.NoError(t, err)
	require.NotEqual(t, before.RuleSet(), book.RuleSet())

	earlier := book.KnownOn(calendar.Of(2026, 2, 28))
	v, ok = earlier.On(limit, calendar.Of(2026, 6, 1), law.Required, law.Scope{})
	require.True(t, ok)
	require.Equal(t, "4", v.Value, "what was learned in March is not known in February")
	require.Equal(t, book.RuleSet(), book.KnownOn(calendar.Of(2026, 3, 1)).RuleSet())
	require.NotEqual(t, book.RuleSet(), earlier.RuleSet())
	_, ok = book.KnownOn(calendar.Of(2025, 12, 31)).On(limit, calendar.Of(2026, 6, 1), law.Required, law.Scope{})
	require.False(t, ok, "nothing was recorded yet")
	require.ErrorContains(t, book.KnownOn(calendar.Of(2025, 12, 31)).TooEarly(limit, "/on", calendar.Of(2026, 6, 1)), "No law was on record")
}

func TestRuleSetNamesWhatAnswersAndNothingElse(t *testing.T) {
	t.Parallel()
	book, err := load(wellFormed)
	require.NoError(t, err)
	retitled, err := load(strings.Replace(wellFormed, "title: A limit", "title: Another title", 1))
	require.NoError(t, err)
	require.Equal(t, book.RuleSet(), retitled.RuleSet())
	dated, err := load(strings.Replace(wellFormed, "required: 2026-01-12", "required: 2026-01-13", 1))
	require.NoError(t, err)
	require.NotEqual(t, book.RuleSet(), dated.RuleSet())
}

func TestCitationSaysHowWellItIsKnown(t *testing.T) {
	t.Parallel()
	require.Equal(t, "40 CFR 745.83", law.Cite("40 CFR 745.83", law.Text).String())
	require.Equal(t, "40 CFR 745.83 (from memory)", law.Cite("40 CFR 745.83", law.Memory).String())
	require.Equal(t, "common practice", law.Cite("", law.CommonPractice).String())
}
