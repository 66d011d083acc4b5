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
	Until calendar.Date  // first date on which the total is smaller if nothing more is done; no date when it is zero
	Cite  law.Citation
}

// Allowance looks at the jobs of one place on a date.
func (r Rules) Allowance(exterior bool, on calendar.Date, jobs []Other) (Allowance, error) {
	limit, days, err := r.minor(exterior, on)
	if err != nil {
		return Allowance{}, err
	}
	a := Allowance{On: on, Limit: limit.Number(), Cite: limit.Cite()}
	var unknown bool
	a.Total, unknown = running(on, measure.Number{}, jobs, days)
	if a.Total.Cmp(a.Limit) < 0 && !unknown {
		a.Left = a.Limit.Sub(a.Total)
	}
	a.Until = fallsOn(on, a.Total, jobs, days)
	return a, nil
}

// fallsOn is the first later date on which the running total is smaller.
func fallsOn(on calendar.Date, total measure.Number, jobs []Other, days int) calendar.Date {
	if total.IsZero() {
		return 0
	}
	for n := 1; n < 2*days; n++ {
		later := on.AddDays(n)
		if sum, _ := running(later, measure.Number{}, jobs, days); sum.Cmp(total) < 0 {
			return later
		}
	}
	return 0
}
