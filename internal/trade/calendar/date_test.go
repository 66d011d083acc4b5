package calendar

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
)

func date(t require.TestingT, text string) Date {
	d, err := ParseDate(text)
	require.NoError(t, err)
	return d
}

func TestParseDateSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		kind fault.Kind
		says string
	}{
		{"2026-02-30", fault.Implausible, "2026-02-30 does not exist: the days of February 2026 go from 01 to 28."},
		{"2024-02-30", fault.Implausible, "from 01 to 29"},
		{"1900-02-29", fault.Implausible, "from 01 to 28"},
		{"2026-04-31", fault.Implausible, "the days of April 2026 go from 01 to 30"},
		{"2026-01-00", fault.Implausible, "from 01 to 31"},
		{"2026-13-01", fault.Implausible, "months go from 01 to 12"},
		{"2026-00-01", fault.Implausible, "months go from 01 to 12"},
		{"0000-01-01", fault.Implausible, "years begin at 0001"},
		{"2026-3-1", fault.Malformed, "write year, month and day as 2026-03-01"},
		{"20260301", fault.Malformed, "is not a date"},
		{"2026-03-01T00:00:00Z", fault.Malformed, "is not a date"},
		{"-026-03-01", fault.Malformed, "is not a date"},
		{"2026/03/01", fault.Malformed, "is not a date"},
		{"yyyy-mm-dd", fault.Malformed, "is not a date"},
		{"", fault.Malformed, "is not a date"},
	} {
		t.Run(c.text, func(t *testing.T) {
			t.Parallel()
			_, err := ParseDate(c.text)
			require.True(t, fault.Is(err, c.kind), "%v", err)
			require.ErrorContains(t, err, c.says)
		})
	}
}

func TestTheZeroValueIsNoDate(t *testing.T) {
	t.Parallel()
	var none Date
	require.True(t, none.IsZero())
	require.Empty(t, none.String())
	require.True(t, none.Time().IsZero())
	require.Zero(t, none.Year())
	require.Zero(t, none.AddDays(3))
	require.Zero(t, none.AddMonths(3))
	require.Zero(t, none.AddBusinessDays(3))
	require.Zero(t, none.WeekStart())
	require.False(t, none.IsBusinessDay())
	require.Zero(t, Of(2026, 2, 30))
	require.Zero(t, Of(10000, 1, 1))
	require.Equal(t, Date(1), Of(1, 1, 1))
	require.Equal(t, last, Of(9999, 12, 31))
	require.Equal(t, Date(epoch), Of(1970, 1, 1))
}

func TestMonthsEndEarlyWhereTheyMust(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		from   string
		months int
		want   string
	}{
		{"2026-01-31", 1, "2026-02-28"},
		{"2024-01-31", 1, "2024-02-29"},
		{"2024-02-29", 12, "2025-02-28"},
		{"2024-02-29", 48, "2028-02-29"},
		{"2026-03-31", -1, "2026-02-28"},
		{"2026-01-15", -1, "2025-12-15"},
		{"2026-12-15", 1, "2027-01-15"},
		{"9999-06-01", 12, "9999-12-31"},
		{"0001-06-01", -12, "0001-01-01"},
	} {
		require.Equal(t, c.want, date(t, c.from).AddMonths(c.months).String(), "%s and %d months", c.from, c.months)
	}
	require.Equal(t, "2029-04-22", date(t, "2026-04-22").AddYears(3).String())
	require.Equal(t, last, last.AddDays(1))
	require.Equal(t, first, first.AddDays(-1))
}

// The day of sampling decides which limit is required, so it is the day at the property.
func TestLocalDateIsTheDayAtThePlace(t *testing.T) {
	t.Parallel()
	instant := time.Date(2026, 1, 12, 4, 30, 0, 0, time.UTC)
	eastern := time.FixedZone("five hours behind", -5*60*60)
	require.Equal(t, "2026-01-11", LocalDate(instant, eastern).String())
	require.Equal(t, "2026-01-12", LocalDate(instant, time.UTC).String())
	require.Equal(t, "2026-01-12", LocalDate(instant.In(eastern), time.UTC).String())
}

func TestWeeksStartOnSunday(t *testing.T) {
	t.Parallel()
	for day, want := range map[string]string{
		"2026-03-01": "2026-03-01", "2026-03-07": "2026-03-01", "2026-03-08": "2026-03-08", "2026-01-01": "2025-12-28",
	} {
		require.Equal(t, want, date(t, day).WeekStart().String())
		require.Equal(t, time.Sunday, date(t, want).Weekday())
	}
}

func TestTextGoesBothWays(t *testing.T) {
	t.Parallel()
	var told struct{ On, Unset Date }
	require.NoError(t, json.Unmarshal([]byte(`{"On":"2026-03-01","Unset":""}`), &told))
	require.Equal(t, Of(2026, 3, 1), told.On)
	written, err := json.Marshal(told)
	require.NoError(t, err)
	require.JSONEq(t, `{"On":"2026-03-01","Unset":""}`, string(written))
	require.Error(t, json.Unmarshal([]byte(`{"On":"2026-02-30"}`), &told))
	require.Equal(t, Of(2026, 3, 1), told.On)
}

// Every day agrees with the standard library's calendar.
func TestDatesAgreeWithTheStandardLibrary(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := Date(rapid.Int32Range(int32(first), int32(last)).Draw(t, "day"))
		theirs := d.Time()
		require.Equal(t, theirs.Format(time.DateOnly), d.String())
		require.Equal(t, theirs.Weekday(), d.Weekday())
		require.Equal(t, d, date(t, d.String()))
		require.Equal(t, d, LocalDate(theirs, time.UTC))
		require.Equal(t, d, Of(d.Civil()))
		n := rapid.IntRange(-100000, 100000).Draw(t, "days")
		if later := d.AddDays(n); later > first && later < last {
			require.Equal(t, theirs.AddDate(0, 0, n).Format(time.DateOnly), later.String())
			require.Equal(t, n, later.Sub(d))
		}
	})
}

// Not parallel: allocations are counted for the whole process.
func TestDatesDoNotAllocate(t *testing.T) {
	var sink Date
	require.Zero(t, testing.AllocsPerRun(100, func() {
		d, err := ParseDate("2026-03-01")
		if err != nil {
			sink++
		}
		sink += d.AddDays(30).AddMonths(3).AddBusinessDays(5).WeekStart()
	}))
}
