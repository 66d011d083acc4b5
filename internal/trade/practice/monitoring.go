package practice

import (
	"cmp"
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Monitoring is when exposure is to be measured again.
type Monitoring struct {
	State string        `json:"state"`            // assess: before anything else; every: at the interval; ended: no more, unless the work changes
	Every int           `json:"every_months"`     // 0 where the state is not every
	Next  calendar.Date `json:"next_by,omitzero"` // where the state is every
	Why   string        `json:"why"`
}

// monitoring takes the results in the order of their dates, the day's own among them (29 CFR 1926.62(d)(6)).
func (r reading) monitoring(f ExposureFacts, d day) Monitoring {
	if d.presumed != NotPresumed {
		return Monitoring{State: "assess", Why: "The exposure is presumed, not assessed: measure it at representative workers, those most exposed among them."}
	}
	rows := append(slices.Clone(f.Earlier), Result{On: f.measuredOn(), Level: measure.Of(d.average, measure.MicrogramPerCubicMetre)})
	slices.SortStableFunc(rows, func(a, b Result) int { return cmp.Compare(a.On, b.On) })
	months := 0
	limit, action := r.amount("exposure_limit"), r.amount("exposure_action_level")
	for i, row := range rows {
		switch {
		case !atMost(row.Level, limit):
			months = r.value("exposure_monitoring_months_above").Int()
		case months == 0 && !below(row.Level, action):
			months = r.value("exposure_monitoring_months").Int()
		case r.inARow(rows[:i+1], func(q measure.Quantity) bool { return below(q, action) }):
			months = 0
		case r.inARow(rows[:i+1], func(q measure.Quantity) bool { return atMost(q, limit) }):
			months = r.value("exposure_monitoring_months").Int()
		}
	}
	if months == 0 {
		return Monitoring{State: "ended", Why: "The exposure is below the action level, and was found so often enough: it is measured again where equipment, process, controls, people or tasks change."}
	}
	return Monitoring{State: "every", Every: months, Next: f.measuredOn().AddMonths(months),
		Why: "Until " + r.value("exposure_monitoring_results").Value + " results in a row, at least " + r.value("exposure_monitoring_apart").Value + " days apart, are lower."}
}

// inARow reports whether the last results all hold, are enough, and the first of them lies the days before the last.
func (r reading) inARow(rows []Result, holds func(measure.Quantity) bool) bool {
	n := 0
	for n < len(rows) && holds(rows[len(rows)-1-n].Level) {
		n++
	}
	if n < r.value("exposure_monitoring_results").Int() {
		return false
	}
	apart := int(r.amount("exposure_monitoring_apart").In(measure.Day).Scaled(0))
	return rows[len(rows)-1].On.Sub(rows[len(rows)-n].On) >= apart
}

// measuredOn is the latest date on which a concentration was found; that of the question where none is told.
func (f ExposureFacts) measuredOn() calendar.Date {
	var latest calendar.Date
	for _, s := range f.Spells {
		on := s.MeasuredOn
		if on.IsZero() {
			on = f.AsOf
		}
		latest = max(latest, on)
	}
	return latest
}

func (r reading) explainMonitoring(d *law.Determination, m Monitoring) {
	cite := r.value("exposure_monitoring_months").Cite()
	if m.State == "assess" {
		cite = law.Cite("29 CFR 1926.62(d)(2), (d)(3)", law.Text)
	}
	d.Because("exposure_monitoring", "tasks", "", cite, m.Why)
}
