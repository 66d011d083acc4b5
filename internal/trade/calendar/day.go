package calendar

import "time"

// A deadline is a day of the property, and is kept until that day ends there.

// EndsAt is the instant at which d is over in the place whose time zone loc is: the first from which it is a later day there
// for good. What is due on d is late from that instant on. It is midnight, except where clocks are put forward over
// midnight, put back from just after it, or where a day was left out; no date ends at the zero time.
func (d Date) EndsAt(loc *time.Location) time.Time {
	if d == 0 {
		return time.Time{}
	}
	midnight := (d + 1).Time() // as if local time were UTC
	var end time.Time
	// no zone is as much as a day from UTC, so the day lies between these
	for at, last := midnight.Add(-48*time.Hour), midnight.Add(24*time.Hour); at.Before(last); {
		begins, ends := at.In(loc).ZoneBounds()
		if ends.IsZero() || ends.After(last) {
			ends = last
		}
		_, offset := at.In(loc).Zone()
		over := midnight.Add(-time.Duration(offset) * time.Second) // by the clock of these hours
		if over.After(ends) {
			over = ends
		}
		if over.After(begins) && over.After(end) {
			end = over
		}
		at = ends
	}
	return end.UTC()
}

// Around is the days from n before d to n after it: two years after a date, plus or minus 60 days, are
// date.AddYears(2).Around(60). No date is around no date.
func (d Date) Around(n int) Window {
	if d == 0 {
		return Window{From: first + 1, To: first} // empty
	}
	return Window{From: d.AddDays(-n), To: d.AddDays(n)}
}
