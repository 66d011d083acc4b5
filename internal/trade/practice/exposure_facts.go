package practice

import (
	"strconv"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Basis is what a concentration rests on.
type Basis uint8

// The bases. One that is not known counts for nothing.
const (
	BasisUnknown    Basis = iota
	ByMonitoring          // personal samples of the task
	ByObjectiveData       // not for the tasks of the lists (29 CFR 1926.62(d)(3)(iv)(B))
)

// BasisOf reads "monitoring" and "objective_data"; anything else is not known.
func BasisOf(text string) Basis {
	switch text {
	case "monitoring":
		return ByMonitoring
	case "objective_data":
		return ByObjectiveData
	}
	return BasisUnknown
}

// Spell is a part of a worker's day at one task with one respirator.
type Spell struct {
	Task           Task // or
	Method         Method
	DustCollection law.Tri
	Hours          measure.Quantity
	Concentration  measure.Quantity // of lead in the air outside a respirator; zero Quantity when not known
	Basis          Basis
	MeasuredOn     calendar.Date // no date: for this work
	Respirator     Respirator
	Factor         int // a lower protection factor than the assigned one; 0 when not told
}

// Result is an average exposure found by earlier monitoring, over shift hours and without regard to respirators.
type Result struct {
	On    calendar.Date
	Level measure.Quantity
}

// ExposureFacts are a worker's day and what is known of the worker's earlier ones.
type ExposureFacts struct {
	AsOf        calendar.Date
	HoursWorked measure.Quantity // in the day; zero Quantity: those of the spells
	Spells      []Spell
	ReceivedOn  calendar.Date // when the results of monitoring came
	Earlier     []Result
	Medical     MedicalFacts
}

// task is what the spell's task is, by name or by method.
func (s Spell) task() Task {
	if s.Task == "" || s.Task == TaskUnknown {
		if s.Method == "" {
			return TaskUnknown
		}
		return TaskOf(s.Method)
	}
	return s.Task
}

// collects is whether dust is collected at the tool; a method with shroud and vacuum says so.
func (s Spell) collects() law.Tri {
	if s.DustCollection == law.Unknown && s.Method == MachineWithShroud {
		return law.Yes
	}
	return s.DustCollection
}

func (s Spell) class() Class { return s.task().class(s.collects()) }

// hours are those of the day: those told, or those of the spells.
func (f ExposureFacts) hours() measure.Number {
	if f.HoursWorked.Known() {
		return f.HoursWorked.In(measure.Hour)
	}
	return f.atTasks()
}

func (f ExposureFacts) atTasks() (sum measure.Number) {
	for _, s := range f.Spells {
		sum = sum.Add(s.Hours.In(measure.Hour))
	}
	return sum
}

var wholeDay = measure.Int(24)

// check refuses facts that contradict one another or cannot be. The pointers are a request's.
func (e Exposures) check(f ExposureFacts) error {
	var faults fault.Faults
	var sum measure.Number
	for i, s := range f.Spells {
		at := "/tasks/" + strconv.Itoa(i)
		sum = sum.Add(s.Hours.In(measure.Hour))
		faults.Merge(at+"/hours", s.Hours.Positive())
		if sum.Cmp(wholeDay) > 0 && sum.Sub(s.Hours.In(measure.Hour)).Cmp(wholeDay) <= 0 {
			faults.Add(at+"/hours/value", "too_many_hours", "With this task the day has %s hours; a day has 24. Correct the hours of the tasks.", sum.Show())
		}
		s.check(&faults, at, f.AsOf)
		e.checkFactor(&faults, at, s, f.AsOf)
	}
	if f.HoursWorked.Known() {
		worked := f.HoursWorked.In(measure.Hour)
		faults.Merge("/hours_worked", f.HoursWorked.Positive())
		if worked.Cmp(wholeDay) > 0 {
			faults.Add("/hours_worked/value", "too_many_hours", "%s hours were told; a day has 24.", worked.Show())
		}
		if worked.Cmp(sum) < 0 {
			faults.Add("/hours_worked/value", "fewer_than_at_tasks", "%s hours were worked and %s are told task by task; correct one of them.", worked.Show(), sum.Show())
		}
	}
	past(&faults, "/results_received_on", f.ReceivedOn, f.AsOf)
	for i, r := range f.Earlier {
		at := "/earlier_results/" + strconv.Itoa(i)
		past(&faults, at+"/on", r.On, f.AsOf)
		faults.Merge(at+"/level", r.Level.NonNegative())
	}
	f.Medical.check(&faults, f.AsOf)
	return faults.Err()
}

func (s Spell) check(faults *fault.Faults, at string, asOf calendar.Date) {
	if s.Concentration.Known() {
		faults.Merge(at+"/concentration", s.Concentration.NonNegative())
	} else if s.Basis != BasisUnknown || !s.MeasuredOn.IsZero() {
		faults.Add(at+"/basis", "basis_without_concentration", "It is told how a concentration was found, and no concentration; tell it, or leave basis and measured_on out.")
	}
	past(faults, at+"/measured_on", s.MeasuredOn, asOf)
	if s.Task != "" && s.Task != TaskUnknown && s.Method != "" && s.Method != Unknown && TaskOf(s.Method) != OtherTask && s.Task != OtherTask && TaskOf(s.Method) != s.Task {
		faults.Add(at+"/task", "contradicts_method", "The task is %s, and the method %s is %s; correct one of them, or leave one out.", s.Task, s.Method, TaskOf(s.Method))
	}
	if s.DustCollection == law.No && s.Method == MachineWithShroud {
		faults.Add(at+"/dust_collection", "contradicts_method", "The method %s collects the dust, and dust_collection says that nothing does; correct one of them.", s.Method)
	}
}

// checkFactor refuses a protection factor that no respirator gives.
func (e Exposures) checkFactor(faults *fault.Faults, at string, s Spell, asOf calendar.Date) {
	if s.Factor == 0 {
		return
	}
	if !s.Respirator.worn() {
		faults.Add(at+"/protection_factor", "factor_without_respirator", "A protection factor is told and no respirator; say which respirator is worn, or leave the factor out.")
		return
	}
	if v, ok := e.book.On(e.factors[s.Respirator], asOf, law.Required, e.scope); ok && s.Factor > v.Int() {
		faults.Add(at+"/protection_factor", "factor_above_assigned", "The factor assigned to %s is %s, and %d was told; whatever a fit test found, the assigned factor counts.", s.Respirator, v.Value, s.Factor)
	}
}

// past refuses a date after the date of the question; no date is none.
func past(faults *fault.Faults, at string, date, asOf calendar.Date) {
	if date.After(asOf) {
		faults.Add(at, "in_the_future", "%s is after %s, the date of the question; nothing was found on it yet.", date, asOf)
	}
}
