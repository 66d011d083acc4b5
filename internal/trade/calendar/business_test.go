package calendar

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Every day of 1978 to 2040, against pandas; the fixture's head has its version and the command.
func TestHolidaysAgreeWithPandas(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../../testdata/calendar/federal_holidays.txt")
	require.NoError(t, err)
	theirs := map[string]bool{}
	for line := range strings.Lines(string(text)) {
		if !strings.HasPrefix(line, "#") {
			theirs[strings.TrimSpace(line)] = true
		}
	}
	require.Greater(t, len(theirs), 600)
	for d := Of(1978, 1, 1); d.Before(Of(2040, 12, 31)); d++ {
		require.Equal(t, theirs[d.String()], d.IsFederalHoliday(), d)
	}
}

// Dates as the Office of Personnel Management lists them for federal employees (from memory).
func TestObservedHolidaysThatSurprise(t *testing.T) {
	t.Parallel()
	for day, want := range map[string]bool{
		"2021-06-18": true,  // the first Juneteenth was a Saturday
		"2020-06-19": false, // a year too early
		"2021-12-31": true,  // New Year's Day 2022 was a Saturday
		"2022-01-01": false,
		"2023-01-02": true, // New Year's Day 2023 was a Sunday
		"2026-07-03": true, // Independence Day 2026 is a Saturday
		"2026-07-04": false,
		"1985-01-21": false, // before the birthday of Martin Luther King, Jr., was one
		"1986-01-20": true,
		"2026-11-26": true,
		"2026-11-27": false, // the day after Thanksgiving is not a federal holiday
	} {
		require.Equal(t, want, date(t, day).IsFederalHoliday(), day)
	}
}

func TestBusinessDaysSkipWeekendsAndHolidays(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, from string
		n          int
		want       string
	}{
		{"a plain week: 5 business days after a Monday", "2026-03-02", 5, "2026-03-09"},
		{"none: the day itself, even a Sunday", "2026-03-01", 0, "2026-03-01"},
		{"from a Saturday", "2026-03-07", 1, "2026-03-09"},
		{"over Independence Day, observed on the Friday", "2026-07-01", 2, "2026-07-06"},
		{"backwards over Thanksgiving", "2026-11-30", -2, "2026-11-25"},
		{"5 business days before a start, 40 CFR 745.227(e)(4)", "2026-06-22", -5, "2026-06-12"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := date(t, c.from).AddBusinessDays(c.n)
			require.Equal(t, c.want, got.String())
			if c.n != 0 {
				require.Equal(t, c.n, date(t, c.from).BusinessDaysUntil(got))
			}
		})
	}
}

func TestAddingBusinessDaysIsCountingThem(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := Of(2000, 1, 1).AddDays(rapid.IntRange(0, 15000).Draw(t, "day"))
		n := rapid.IntRange(-40, 40).Filter(func(n int) bool { return n != 0 }).Draw(t, "n")
		got := d.AddBusinessDays(n)
		require.True(t, got.IsBusinessDay())
		require.Equal(t, n, d.BusinessDaysUntil(got))
		require.Equal(t, n > 0, got.After(d))
	})
}

func TestWindowsIncludeBothEnds(t *testing.T) {
	t.Parallel()
	from, to := Of(2026, 3, 1), Of(2026, 3, 31)
	w := Window{From: from, To: to}
	require.True(t, w.Contains(from))
	require.True(t, w.Contains(to))
	require.False(t, w.Contains(from-1))
	require.False(t, w.Contains(to+1))
	require.False(t, w.Contains(0))
	require.True(t, Window{From: from}.Contains(last))
	require.False(t, Window{From: from}.Contains(from-1))
	require.True(t, Window{To: to}.Contains(first))
	require.True(t, Window{}.Contains(from))
	require.False(t, Window{}.Contains(0))
	require.True(t, Window{From: to, To: from}.IsEmpty())
	require.False(t, Window{From: from, To: from}.IsEmpty())
	require.True(t, w.Overlaps(Window{From: to}))
	require.False(t, w.Overlaps(Window{From: to + 1}))
	require.False(t, w.Overlaps(Window{From: from + 5, To: from + 4}))
	require.Equal(t, Window{From: from + 3, To: to}, w.And(Window{From: from + 3}))
	require.Equal(t, Window{From: from, To: to - 3}, w.And(Window{To: to - 3}))
}

func TestOverlapMeansADayInBoth(t *testing.T) {
	t.Parallel()
	end := rapid.Int32Range(0, 8)
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) Date {
			if n := end.Draw(t, label); n > 0 {
				return Of(2026, 3, 1).AddDays(int(n))
			}
			return 0
		}
		v, w := Window{draw("v from"), draw("v to")}, Window{draw("w from"), draw("w to")}
		shared := false
		for d := Of(2026, 2, 20); d < Of(2026, 3, 20); d++ {
			both := v.Contains(d) && w.Contains(d)
			shared = shared || both
			require.Equal(t, both, v.And(w).Contains(d))
		}
		require.Equal(t, shared, v.Overlaps(w))
	})
}
