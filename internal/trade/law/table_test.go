package law_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

const printed = `name: counts
title: Counts
description: How many to take.
columns: [older, newer]
effective: 1997-01-01
citation: a clause
recorded: 2026-01-01
note: about the whole
rows:
  - {from: 1, to: 9, take: [all, all], source: memory}
  - {from: 10, to: 10, take: [all, 9], source: text}
  - {from: 11, take: [5.8 %, 2.9 %], source: text}
`

func loadTable(text string) (*law.Book, error) {
	return law.Load(fstest.MapFS{"limit.yaml": {Data: []byte(wellFormed)}, "tables/counts.yaml": {Data: []byte(text)}})
}

func TestTableSaysHowManyToTake(t *testing.T) {
	t.Parallel()
	book, err := loadTable(printed)
	require.NoError(t, err)
	table, err := book.Table("counts")
	require.NoError(t, err)
	for _, c := range []struct {
		things, column, take int
		all                  bool
	}{
		{1, 0, 1, true}, {9, 1, 9, true}, {10, 0, 10, true}, {10, 1, 9, false},
		{11, 0, 1, false},    // 0.638, rounded up
		{1500, 0, 87, false}, // 5.8 % is a whole number and stays
		{1500, 1, 44, false}, // 43.5
		{100000, 1, 2900, false},
	} {
		row, ok := table.On(c.things)
		require.True(t, ok)
		take, all := row.Of(c.things, c.column)
		require.Equal(t, c.take, take, c)
		require.Equal(t, c.all, all, c)
	}
	row, _ := table.On(10)
	require.Equal(t, law.Citation{Clause: "a clause", Source: law.Text, Note: "about the whole"}, table.Cite(row))
	_, ok := table.On(0)
	require.False(t, ok)
	_, err = book.Table("other")
	require.ErrorContains(t, err, "there is no table other")
	require.Len(t, book.Tables(), 1)
}

func TestTableIsCorrectedByAddingARow(t *testing.T) {
	t.Parallel()
	before, err := loadTable(printed)
	require.NoError(t, err)
	book, err := loadTable(printed + `corrections:
  - {from: 10, to: 10, take: [all, 8], source: text, recorded: 2026-03-01, note: "first"}
  - {from: 10, to: 10, take: [all, 7], source: text, recorded: 2026-04-01}
`)
	require.NoError(t, err)
	require.NotEqual(t, before.RuleSet(), book.RuleSet())
	take := func(b *law.Book) int {
		table, err := b.Table("counts")
		require.NoError(t, err)
		row, ok := table.On(10)
		if !ok {
			return 0
		}
		n, _ := row.Of(10, 1)
		return n
	}
	require.Equal(t, 7, take(book))
	require.Equal(t, 8, take(book.KnownOn(calendar.Of(2026, 3, 31))))
	require.Equal(t, 9, take(book.KnownOn(calendar.Of(2026, 2, 28))))
	require.Equal(t, 0, take(book.KnownOn(calendar.Of(2025, 12, 31))), "it was not on record")
	require.Equal(t, before.RuleSet(), book.KnownOn(calendar.Of(2026, 1, 31)).RuleSet())
}

func TestMalformedTableIsRefusedWithFileAndLine(t *testing.T) {
	t.Parallel()
	swap := func(old, with string) string { return strings.Replace(printed, old, with, 1) }
	for name, c := range map[string]struct{ text, says string }{
		"gap":                  {swap("from: 10, to: 10", "from: 12, to: 12"), "counts.yaml:11: the row must begin at 10"},
		"overlap":              {swap("from: 10, to: 10", "from: 9, to: 10"), "counts.yaml:11: the row must begin at 10"},
		"backwards":            {swap("to: 9", "to: -1"), "counts.yaml:10: the row must end at 1 or later"},
		"an end at the end":    {swap("from: 11,", "from: 11, to: 20,"), "counts.yaml:12: the last row has no end"},
		"a column short":       {swap("[all, 9]", "[all]"), "counts.yaml:11: take must have a number for each of the 2 columns"},
		"more than there are":  {swap("[all, 9]", "[all, 11]"), `counts.yaml:11: "11" is not all`},
		"not a number":         {swap("[all, 9]", "[all, few]"), `counts.yaml:11: "few" is not all`},
		"more than a hundred":  {swap("5.8 %", "101 %"), `counts.yaml:12: "101 %" is not all`},
		"unknown source":       {swap("source: text", "source: hearsay"), `counts.yaml:11: source "hearsay" is not`},
		"no source":            {swap(", source: memory", ""), `counts.yaml:10: source "" is not`},
		"a row of its own day": {swap("source: memory", "source: memory, recorded: 2026-01-02"), "counts.yaml:10: recorded stands at the head"},
		"no date":              {swap("effective: 1997-01-01\n", ""), "effective and recorded each need a date"},
		"no citation":          {swap("citation: a clause\n", ""), "citation is missing"},
		"another file's name":  {swap("name: counts", "name: other"), "counts.yaml:1: the table other must be in other.yaml"},
		"unknown field":        {printed + "colour: red\n", "colour"},
		"corrects nothing":     {printed + "corrections:\n  - {from: 2, to: 3, take: [all, all], source: text, recorded: 2026-03-01}\n", "counts.yaml:14: there is no row from 2 to 3"},
		"undated correction":   {printed + "corrections:\n  - {from: 1, to: 9, take: [all, all], source: text}\n", "counts.yaml:14: a correction needs the date"},
		"corrections backwards": {printed + "corrections:\n  - {from: 1, to: 9, take: [all, all], source: text, recorded: 2026-03-02}\n" +
			"  - {from: 1, to: 9, take: [all, all], source: text, recorded: 2026-03-01}\n", "counts.yaml:15: corrections must be in the order"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := loadTable(c.text)
			require.ErrorContains(t, err, c.says)
		})
	}
}
