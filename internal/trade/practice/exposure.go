package practice

import (
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Exposures are the parameters of workers' exposure (29 CFR 1926.62), found once.
type Exposures struct {
	book    *law.Book
	scope   law.Scope
	numbers map[string]law.Handle
	factors map[Respirator]law.Handle
}

// exposureNumbers are the parameters that are read by name.
var exposureNumbers = [...]string{
	"exposure_limit", "exposure_shift_hours", "exposure_action_level", "exposure_presumed_high", "exposure_presumed_highest",
	"exposure_clothing_daily", "exposure_clothing_days", "exposure_monitoring_months", "exposure_monitoring_months_above",
	"exposure_monitoring_apart", "exposure_monitoring_results", "exposure_data_months", "exposure_results_days", "exposure_programme_months",
	"exposure_training_months", "exposure_record_years", "exposure_medical_record_years", "medical_programme_days", "medical_test_months_first",
	"medical_test_first_months", "medical_test_months_later", "medical_test_months_raised", "medical_test_months_removed",
	"medical_level_raised", "medical_level_removal", "medical_level_results", "medical_follow_up_days", "medical_notice_days",
	"medical_examination_months", "medical_benefit_months",
}

// NewExposures finds the parameters.
func NewExposures(book *law.Book) (Exposures, error) {
	e := Exposures{book: book, numbers: map[string]law.Handle{}, factors: map[Respirator]law.Handle{}}
	for _, name := range exposureNumbers {
		h, err := book.Handle(name)
		if err != nil {
			return e, err
		}
		e.numbers[name] = h
	}
	for _, kind := range respirators {
		h, err := book.Handle("respirator_" + string(kind))
		if err != nil {
			return e, err
		}
		e.factors[kind] = h
	}
	return e, nil
}

// In is the rules as they hold in a workplace's jurisdictions, beside the federal one.
func (e Exposures) In(jurisdictions []string) Exposures {
	e.scope.Jurisdictions = jurisdictions
	return e
}

// reading is the rules' numbers on a date.
type reading struct {
	Exposures
	on calendar.Date
}

// value is a number on the date. Federal numbers all begin on one date, before which nothing is answered.
func (r reading) value(name string) law.Value {
	if v, ok := r.book.On(r.numbers[name], r.on, law.Required, r.scope); ok {
		return *v
	}
	return law.Value{}
}

func (r reading) number(name string) measure.Number { return r.value(name).Number() }

// amount is a number in its unit.
func (r reading) amount(name string) measure.Quantity {
	v := r.value(name)
	return r.book.Quantity(r.numbers[name], &v)
}

// say is a number with its unit, for a sentence.
func (r reading) say(name string) string {
	return r.value(name).Value + " " + r.amount(name).Unit.String()
}

// factor is the assigned protection factor of a respirator on the date: 1 where there is none.
func (r reading) factor(kind Respirator) measure.Number {
	if h, ok := r.factors[kind]; ok {
		if v, ok := r.book.On(h, r.on, law.Required, r.scope); ok {
			return v.Number()
		}
	}
	return measure.Int(1)
}

// worn is the factor that counts for a spell.
func (r reading) worn(s Spell) measure.Number {
	f := r.factor(s.Respirator)
	if s.Factor > 0 {
		f = f.Min(measure.Int(int64(s.Factor)))
	}
	return f
}

// assessed reports whether a spell's concentration counts as an assessment. Objective data do not for the tasks of the lists, nor
// does monitoring that is too old.
func (r reading) assessed(s Spell) bool {
	if !s.Concentration.Known() {
		return false
	}
	switch s.Basis {
	case ByMonitoring:
		oldest := r.on.AddMonths(-r.value("exposure_data_months").Int())
		return s.MeasuredOn.IsZero() || !s.MeasuredOn.Before(oldest)
	case ByObjectiveData:
		return s.task() == OtherTask
	}
	return false
}

// day is what a worker's day comes to.
type day struct {
	hours       measure.Number // worked
	average     measure.Number // ug/m3 over shift hours, of what was told, without regard to respirators
	credited    measure.Number // the same, where a respirator is worn divided by its factor
	limit       measure.Number // over shift hours
	actionLevel measure.Number
	presumed    Class // the highest of the spells that are not assessed
	covered     bool  // the respirators worn suffice for the presumed classes
}

func (r reading) day(f ExposureFacts) day {
	d := day{hours: f.hours(), limit: r.number("exposure_limit"), actionLevel: r.number("exposure_action_level"), covered: true}
	shift := r.number("exposure_shift_hours")
	for _, s := range f.Spells {
		if s.Concentration.Known() {
			dose := s.Concentration.In(measure.MicrogramPerCubicMetre).Mul(s.Hours.In(measure.Hour)).Quo(shift)
			d.average = d.average.Add(dose)
			d.credited = d.credited.Add(dose.Quo(r.worn(s)))
		}
		if !r.assessed(s) {
			d.presumed = max(d.presumed, s.class())
			d.covered = d.covered && r.suffices(r.worn(s), r.presumedNeed(s.class(), d))
		}
	}
	return d
}

// need is the protection factor that an exposure calls for.
type need struct {
	factor measure.Number
	above  bool // more than the factor, not the factor itself
}

// presumedNeed is what a presumed class calls for: the least factor that is enough for all of it. The highest class has no upper
// end; more than the factor of its lower end is called for. The presumption is held against what is allowable in the day, so that a
// respirator that is not used up to the class's end in a long day is not enough for it.
func (r reading) presumedNeed(c Class, d day) need {
	limit := r.allowable(d)
	switch c {
	case AboveLimit:
		return need{factor: r.number("exposure_presumed_high").Quo(limit)}
	case High:
		return need{factor: r.number("exposure_presumed_highest").Quo(limit)}
	case Highest:
		return need{factor: r.number("exposure_presumed_highest").Quo(limit), above: true}
	}
	return need{}
}

// need is what the day calls for: the greater of what was found and what is presumed.
func (r reading) need(d day) need {
	n := r.presumedNeed(d.presumed, d)
	if found := d.average.Quo(d.limit); d.average.Cmp(d.limit) > 0 && found.Cmp(n.factor) > 0 {
		n = need{factor: found}
	}
	return n
}

func (r reading) suffices(factor measure.Number, n need) bool {
	c := factor.Cmp(n.factor)
	return c > 0 || c == 0 && !n.above
}

// outcome is the day in a word.
func (d day) outcome() string {
	above := d.presumed != NotPresumed || d.average.Cmp(d.limit) > 0
	switch {
	case above && d.covered && d.credited.Cmp(d.limit) <= 0:
		return "respirator_worn"
	case above:
		return "respirator_needed"
	case d.average.Cmp(d.actionLevel) >= 0:
		return "action_level"
	}
	return "below_action_level"
}

// atAction reports whether the exposure is at or above the action level, or presumed so.
func (d day) atAction() bool { return d.outcome() != "below_action_level" }

// above reports whether the exposure is above the limit, or presumed so, without regard to respirators.
func (d day) above() bool { return d.presumed != NotPresumed || d.average.Cmp(d.limit) > 0 }
