// Package calendar counts in the local dates that the rules are written in: days, business days, weeks and windows.
package calendar

import (
	"time"

	"sillbook/internal/fault"
)

// Date is a day of the Gregorian calendar, without time or zone. It counts days, 1 being 0001-01-01, so that the
// zero value is "no date". A date on record is always between 0001-01-01 and 9999-12-31; arithmetic stops at those ends,
// and arithmetic on no date gives no date.
type Date int32

const (
	first Date = 1
	last  Date = 3652059 // 9999-12-31
	epoch      = 719163  // 1970-01-01
)

// Of is the day, or no date if there is no such day. It is for dates written in code; [ParseDate] says what is wrong.
func Of(year int, month time.Month, day int) Date {
	if year < 1 || year > 9999 || month < 1 || month > 12 || day < 1 || day > daysIn(year, month) {
		return 0
	}
	return count(year, month, day)
}

// ParseDate reads "2026-03-01". Another shape is a Malformed fault, a day that does not exist an Implausible one.
func ParseDate(text string) (Date, error) {
	if len(text) != 10 || text[4] != '-' || text[7] != '-' {
		return 0, notADate(text)
	}
	year, okYear := digits(text[0:4])
	month, okMonth := digits(text[5:7])
	day, okDay := digits(text[8:10])
	if !okYear || !okMonth || !okDay {
		return 0, notADate(text)
	}
	d := Of(year, time.Month(month), day)
	if d.IsZero() {
		return 0, noSuchDay(text, year, time.Month(month))
	}
	return d, nil
}

// LocalDate is the day it is, at that instant, in the place whose time zone loc is.
func LocalDate(instant time.Time, loc *time.Location) Date {
	year, month, day := instant.In(loc).Date()
	return Of(year, month, day)
}

// IsZero reports whether d is no date.
func (d Date) IsZero() bool { return d == 0 }

// Civil is the year, month and day of d, and zeros for no date.
func (d Date) Civil() (year int, month time.Month, day int) {
	if d == 0 {
		return 0, 0, 0
	}
	return civil(d)
}

// Year is the year of d.
func (d Date) Year() int {
	year, _, _ := d.Civil()
	return year
}

// Weekday is the day of the week of d; for no date it means nothing.
func (d Date) Weekday() time.Weekday { return time.Weekday(d % 7) }

// Time is midnight of d in UTC, the form in which other libraries hold a date; the zero time for no date.
func (d Date) Time() time.Time {
	if d == 0 {
		return time.Time{}
	}
	return time.Unix((int64(d)-epoch)*24*60*60, 0).UTC()
}

// AddDays is the day n days after d, before it if n is negative.
func (d Date) AddDays(n int) Date {
	if d == 0 {
		return 0
	}
	return Date(min(max(int64(d)+int64(n), int64(first)), int64(last)))
}

// AddMonths is the same day n months later, or the last day of that month where it is shorter: a month after
// 31 January is 28 or 29 February.
func (d Date) AddMonths(n int) Date {
	if d == 0 {
		return 0
	}
	year, month, day := civil(d)
	months := year*12 + int(month) - 1 + n
	switch {
	case months < 12:
		return first
	case months >= 10000*12:
		return last
	}
	year, month = months/12, time.Month(months%12+1)
	return count(year, month, min(day, daysIn(year, month)))
}

// AddYears is the same day n years later; 29 February becomes 28 February in a year without it.
func (d Date) AddYears(n int) Date { return d.AddMonths(12 * n) }

// Sub is the number of days from o to d.
func (d Date) Sub(o Date) int { return int(d) - int(o) }

// Before reports whether d is before o. No date is before every date.
func (d Date) Before(o Date) bool { return d < o }

// After reports whether d is after o.
func (d Date) After(o Date) bool { return d > o }

// WeekStart is the Sunday on or before d: the rule for child-occupied facilities counts weeks from Sunday to Saturday
// (40 CFR 745.83).
func (d Date) WeekStart() Date { return d.AddDays(-int(d.Weekday())) }

// String is "2026-03-01", and empty for no date.
func (d Date) String() string {
	var b [10]byte
	return string(d.append(b[:0]))
}

// MarshalText is String as bytes.
func (d Date) MarshalText() ([]byte, error) { return d.append(make([]byte, 0, 10)), nil }

// UnmarshalText reads what MarshalText writes.
func (d *Date) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = 0
		return nil
	}
	parsed, err := ParseDate(string(text))
	if err == nil {
		*d = parsed
	}
	return err
}

func (d Date) append(b []byte) []byte {
	if d == 0 {
		return b
	}
	year, month, day := civil(d)
	return append(b, byte('0'+year/1000), byte('0'+year/100%10), byte('0'+year/10%10), byte('0'+year%10), '-',
		byte('0'+month/10), byte('0'+month%10), '-', byte('0'+day/10), byte('0'+day%10))
}

func notADate(text string) error {
	return fault.New(fault.Malformed, "not_a_date", "%q is not a date: write year, month and day as 2026-03-01.", text)
}

func noSuchDay(text string, year int, month time.Month) error {
	switch {
	case year < 1:
		return fault.New(fault.Implausible, "no_such_date", "%s does not exist: years begin at 0001.", text)
	case month < 1 || month > 12:
		return fault.New(fault.Implausible, "no_such_date", "%s does not exist: months go from 01 to 12.", text)
	}
	return fault.New(fault.Implausible, "no_such_date", "%s does not exist: the days of %s %d go from 01 to %d.",
		text, month, year, daysIn(year, month))
}

func digits(text string) (n int, ok bool) {
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return 0, false
		}
		n = n*10 + int(text[i]-'0')
	}
	return n, true
}

func daysIn(year int, month time.Month) int {
	switch month {
	case time.April, time.June, time.September, time.November:
		return 30
	case time.February:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// count and civil take the year from March, so that the leap day is its last day, and count in cycles of 400 years, which
// all have 146,097 days.

func count(year int, month time.Month, day int) Date {
	m := int(month) - 3
	if m < 0 {
		m, year = m+12, year-1
	}
	return Date(365*year + year/4 - year/100 + year/400 + (153*m+2)/5 + day - 306)
}

func civil(d Date) (int, time.Month, int) {
	days := int(d) + 305 // since 0000-03-01
	cycle := days / 146097
	ofCycle := days % 146097
	yearOfCycle := (ofCycle - ofCycle/1460 + ofCycle/36524 - ofCycle/146096) / 365
	ofYear := ofCycle - (365*yearOfCycle + yearOfCycle/4 - yearOfCycle/100)
	m := (5*ofYear + 2) / 153
	day := ofYear - (153*m+2)/5 + 1
	year := 400*cycle + yearOfCycle
	if m >= 10 {
		return year + 1, time.Month(m - 9), day
	}
	return year, time.Month(m + 3), day
}
