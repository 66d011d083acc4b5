package renovation

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Allowance says how much paint may still be disturbed at a place before a job there stops being minor.
type Allowance struct {
	On    calendar.Date
	Total measure.Number // ft2, the largest sum over any 30 consecutive days that contain the date
	Limit measure.Number // ft2
	Left  measure.Number // ft2, never negative
	Until calendar.Date  // first date on which the total is smaller, or more is left, if nothing more is done; no date when it is zero
	Cite  law.Citation
}

// Allowance looks at the jobs of one place on a date. Nothing is left where a job's area is not known, or where a
// job is never minor.
func (r Rules) Allowance(exterior bool, on calendar.Date, jobs []Other) (Allowance, error) {
	limit, days, err := r.minor(exterior, on)
	if err != nil {
		return Allowance{}, err
	}
	now := running(on, measure.Number{}, jobs, days)
	a := Allowance{On: on, Total: now.total, Limit: limit.Number(), Cite: limit.Cite()}
	if !now.unknown && !now.neverMinor {
		a.Left = a.Limit.Sub(a.Total).Max(measure.Number{})
	}
	a.Until = fallsOn(on, now, jobs, days)
	return a, nil
}

// fallsOn is the first later date on which less stands in the way: a smaller total, or no more of what leaves nothing.
func fallsOn(on calendar.Date, now run, jobs []Other, days int) calendar.Date {
	if now.total.IsZero() && !now.unknown && !now.neverMinor {
		return 0
	}
	for n := 1; n < 2*days; n++ {
		later := running(on.AddDays(n), measure.Number{}, jobs, days)
		if later.total.Cmp(now.total) < 0 || now.unknown && !later.unknown || now.neverMinor && !later.neverMinor {
			return on.AddDays(n)
		}
	}
	return 0
}
