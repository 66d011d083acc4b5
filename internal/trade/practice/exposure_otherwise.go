package practice

import (
	"slices"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// otherwise lists what could be found out or done about a worker's day. Nothing of the worker's own is among it.
func (r reading) otherwise(f ExposureFacts, d day) []law.Alternative[ExposureFacts] {
	var list []law.Alternative[ExposureFacts]
	add := func(when, action bool, fact, value string, each func(*Spell)) {
		if when {
			list = append(list, law.Alternative[ExposureFacts]{Fact: fact, Value: value, Action: action, Set: func(f *ExposureFacts) {
				f.Spells = slices.Clone(f.Spells)
				for i := range f.Spells {
					each(&f.Spells[i])
				}
			}})
		}
	}
	presumed := d.presumed != NotPresumed
	add(presumed, false, "tasks/concentration", "monitored, below "+r.say("exposure_action_level"), r.monitored(f, "exposure_action_level", measure.Frac(999, 1000)))
	add(presumed, false, "tasks/concentration", "monitored, no more than "+r.say("exposure_limit"), r.monitored(f, "exposure_limit", measure.Int(1)))
	add(presumed, true, "tasks/dust_collection", "yes", func(s *Spell) {
		if s.task() == PowerToolCleaning {
			s.DustCollection = law.Yes
		}
	})
	if choices, least := r.choices(d); d.above() && least > 0 {
		i := slices.IndexFunc(choices, func(c Choice) bool { return c.Factor == least })
		kind := choices[i].Respirator
		add(true, true, "tasks/respirator", string(kind), func(s *Spell) {
			if r.worn(*s).Cmp(r.factor(kind)) < 0 {
				s.Respirator, s.Factor = kind, 0
			}
		})
	}
	if !presumed && d.average.Cmp(d.limit) > 0 {
		hours := down(f.atTasks().Mul(d.limit).Quo(d.average))
		share := hours.Quo(f.atTasks())
		add(hours.Sign() > 0, true, "tasks/hours", "no more than "+hours.String()+" h in all at the same tasks", func(s *Spell) {
			s.Hours = measure.Of(s.Hours.In(measure.Hour).Mul(share), measure.Hour)
		})
	}
	return list
}

// monitored takes what is not assessed as measured at a share of a level, averaged over the day's hours at tasks.
func (r reading) monitored(f ExposureFacts, level string, share measure.Number) func(*Spell) {
	c := r.number(level).Mul(share)
	if at, shift := f.atTasks(), r.number("exposure_shift_hours"); at.Cmp(shift) > 0 {
		c = c.Mul(shift).Quo(at)
	}
	return func(s *Spell) {
		if !r.assessed(*s) {
			s.Concentration, s.Basis, s.MeasuredOn = measure.Of(c, measure.MicrogramPerCubicMetre), ByMonitoring, r.on
		}
	}
}

// down is a number rounded down to hundredths.
func down(n measure.Number) measure.Number {
	rounded := measure.Frac(n.Scaled(2), 100)
	if rounded.Cmp(n) > 0 {
		rounded = rounded.Sub(measure.Frac(1, 100))
	}
	return rounded
}
