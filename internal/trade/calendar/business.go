package calendar

import "time"

// holiday is a federal holiday: the day it falls on in a year, and the first year it was one.
type holiday struct {
	since int
	on    func(year int) Date
}

// holidays are those of 5 U.S.C. 6103(a), as they have stood since 1978, with the two that came later. Earlier years had other days
// (Veterans Day was in October from 1971 to 1977), which no deadline here reaches. Inauguration Day is a holiday in and
// around the capital only, and is left out.
var holidays = [...]holiday{
	{0, func(y int) Date { return Of(y, time.January, 1) }},
	{1986, func(y int) Date { return nth(3, time.Monday, y, time.January) }}, // birthday of Martin Luther King, Jr.
	{0, func(y int) Date { return nth(3, time.Monday, y, time.February) }},   // Washington's birthday
	{0, func(y int) Date { return nth(1, time.Monday, y, time.June) - 7 }},   // Memorial Day, the last Monday of May
	{2021, func(y int) Date { return Of(y, time.June, 19) }},                 // Juneteenth, Pub. L. 117-17 (from memory)
	{0, func(y int) Date { return Of(y, time.July, 4) }},
	{0, func(y int) Date { return nth(1, time.Monday, y, time.September) }}, // Labor Day
	{0, func(y int) Date { return nth(2, time.Monday, y, time.October) }},   // Columbus Day
	{0, func(y int) Date { return Of(y, time.November, 11) }},               // Veterans Day
	{0, func(y int) Date { return nth(4, time.Thursday, y, time.November) }},
	{0, func(y int) Date { return Of(y, time.December, 25) }},
}

// IsFederalHoliday reports whether federal offices are closed on d for a holiday. One that falls on a Saturday is observed the
// Friday before, one on a Sunday the Monday after (5 U.S.C. 6103(b); Executive Order 11582; both from memory).
func (d Date) IsFederalHoliday() bool {
	if d == 0 {
		return false
	}
	year := d.Year()
	for _, h := range holidays {
		if year >= h.since && observed(h.on(year)) == d {
			return true
		}
	}
	// the year's last Friday may be the next year's New Year
	return observed(Of(year+1, time.January, 1)) == d
}

// IsBusinessDay reports whether d is a Monday to Friday on which federal offices are open. The rules that count business
// days do not define them; this reading is common practice.
func (d Date) IsBusinessDay() bool {
	weekday := d.Weekday()
	return d != 0 && weekday != time.Saturday && weekday != time.Sunday && !d.IsFederalHoliday()
}

// AddBusinessDays is the n-th business day after d, before it if n is negative. The day d itself is not counted, and is the
// answer when n is 0.
func (d Date) AddBusinessDays(n int) Date {
	step := 1
	if n < 0 {
		n, step = -n, -1
	}
	for n > 0 && d > first && d < last {
		if d += Date(step); d.IsBusinessDay() {
			n--
		}
	}
	return d
}

// BusinessDaysUntil counts the business days after d up to and including o; it is negative when o is before d, and then
// counts those before d from o on.
func (d Date) BusinessDaysUntil(o Date) int {
	if d == 0 || o == 0 {
		return 0
	}
	n, step := 0, Date(1)
	if o < d {
		step = -1
	}
	for d != o {
		if d += step; d.IsBusinessDay() {
			n += int(step)
		}
	}
	return n
}

// nth is the n-th such weekday of a month.
func nth(n int, weekday time.Weekday, year int, month time.Month) Date {
	d := Of(year, month, 1)
	return d.AddDays((int(weekday)-int(d.Weekday())+7)%7 + 7*(n-1))
}

func observed(d Date) Date {
	switch d.Weekday() {
	case time.Saturday:
		return d - 1
	case time.Sunday:
		return d + 1
	}
	return d
}
