package calendar

import (
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	_ "time/tzdata" // where the system has none

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// rows are those of a fixture; its head has the libraries, their versions and the script.
func rows(t *testing.T, name string, least int) (all [][]string) {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/calendar/" + name)
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		if !strings.HasPrefix(line, "#") {
			all = append(all, strings.Split(strings.TrimSpace(line), "\t"))
		}
	}
	require.GreaterOrEqual(t, len(all), least)
	return all
}

func number(t *testing.T, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	require.NoError(t, err)
	return n
}

func TestBusinessDaysAgreeWithNumpy(t *testing.T) {
	t.Parallel()
	for _, row := range rows(t, "business_days.tsv", 6000) {
		require.Equal(t, row[2], date(t, row[0]).AddBusinessDays(number(t, row[1])).String(), "%s and %s business days", row[0], row[1])
	}
}

func TestMonthsAgreeWithDateutil(t *testing.T) {
	t.Parallel()
	for _, row := range rows(t, "months.tsv", 200) {
		require.Equal(t, row[2], date(t, row[0]).AddMonths(number(t, row[1])).String(), "%s and %s months", row[0], row[1])
	}
}

func TestADayEndsWhenZoneinfoSaysSo(t *testing.T) {
	t.Parallel()
	for _, row := range rows(t, "day_ends.tsv", 30) {
		place, err := time.LoadLocation(row[0])
		require.NoError(t, err)
		require.Equal(t, row[2], date(t, row[1]).EndsAt(place).Format(time.RFC3339), "%s in %s", row[1], row[0])
	}
}

// What is done before a day ends there is done in time, and from that instant on it is late.
func TestADayIsOverWhenItEnds(t *testing.T) {
	t.Parallel()
	var places []*time.Location
	for _, name := range []string{"America/New_York", "America/Los_Angeles", "America/St_Johns", "America/Havana", "Pacific/Apia", "Pacific/Kiritimati", "Etc/GMT+12", "UTC"} {
		place, err := time.LoadLocation(name)
		require.NoError(t, err)
		places = append(places, place)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := Of(1960, 1, 1).AddDays(rapid.IntRange(0, 36000).Draw(t, "day"))
		place := rapid.SampledFrom(places).Draw(t, "place")
		end := d.EndsAt(place)
		require.False(t, LocalDate(end.Add(-time.Nanosecond), place).After(d))
		require.True(t, LocalDate(end, place).After(d))
		require.True(t, LocalDate(end.Add(24*time.Hour), place).After(d))
		require.False(t, (d + 1).EndsAt(place).Before(end), "days end in their order")
		now := end.Add(time.Duration(rapid.Int64Range(-1e15, 1e15).Draw(t, "now")))
		if now.After(end) {
			require.True(t, LocalDate(now, place).After(d))
		}
	})
	require.True(t, Date(0).EndsAt(time.UTC).IsZero())
}

func TestAroundADate(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, on, from, to string }{
		{"two years plus or minus 60 days, 24 CFR 35.1355(b)", "2024-03-01", "2025-12-31", "2026-04-30"},
		{"the same after a leap day", "2024-02-29", "2025-12-30", "2026-04-29"},
		{"over a leap day", "2022-01-31", "2023-12-02", "2024-03-31"},
	} {
		w := date(t, c.on).AddYears(2).Around(60)
		require.Equal(t, c.from, w.From.String(), c.name)
		require.Equal(t, c.to, w.To.String(), c.name)
	}
	require.True(t, Date(0).Around(60).IsEmpty())
	require.False(t, Date(0).Around(60).Contains(first))
}

func TestLaterDatesNeverEndSooner(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := Of(1990, 1, 1).AddDays(rapid.IntRange(0, 20000).Draw(t, "day"))
		later := d.AddDays(rapid.IntRange(0, 400).Draw(t, "later"))
		n, months := rapid.IntRange(0, 60).Draw(t, "n"), rapid.IntRange(-100, 100).Draw(t, "months")
		require.False(t, later.AddMonths(months).Before(d.AddMonths(months)))
		require.False(t, later.AddBusinessDays(n).Before(d.AddBusinessDays(n)))
		require.False(t, d.AddBusinessDays(n).Before(d.AddDays(n)), "business days are never more than days")
		require.LessOrEqual(t, d.AddMonths(months).AddMonths(-months).Sub(d), 0, "there and back never comes out later")
	})
}

// Federal holidays changed over the years (5 U.S.C. 6103 and its amendments, from memory).
func TestHolidaysHaveAHistory(t *testing.T) {
	t.Parallel()
	count := func(year int) (n int) {
		for d := Of(year, 1, 2); d.Before(Of(year+1, 1, 1)); d++ {
			if d.IsFederalHoliday() {
				n++
			}
		}
		return n
	}
	// counted without New Year's Day itself: 1985, 2020 and 2025 have no other one around the turn of the year
	require.Equal(t, 8, count(1985))
	require.Equal(t, 9, count(1987), "with the birthday of Martin Luther King, Jr., from 1986")
	require.Equal(t, 9, count(2020))
	require.Equal(t, 10, count(2025), "with Juneteenth, from 2021")
}
