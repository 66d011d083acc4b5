package practice

import (
	"strconv"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Presumed is how high the exposure is taken to be until it is assessed.
type Presumed struct {
	Class string         `json:"class"` // above_limit, high or highest
	Above measure.Shown  `json:"above"`
	UpTo  *measure.Shown `json:"up_to,omitempty"` // none for the highest
}

// Choice is a respirator and whether it is enough for the day.
type Choice struct {
	Respirator Respirator    `json:"respirator"`
	Factor     int           `json:"factor"`
	UseUpTo    measure.Shown `json:"use_up_to"` // average over the hours worked
	HEPA       bool          `json:"hepa_filters"`
	Enough     bool          `json:"enough"`
}

// Owed is something that the employer owes the worker.
type Owed struct {
	Code     string        `json:"code"`
	Text     string        `json:"text"`
	By       calendar.Date `json:"by,omitzero"`
	Citation law.Citation  `json:"citation"`
}

// ExposureAnswer is what a worker's day comes to and what it calls for.
type ExposureAnswer struct {
	Outcome     string            `json:"outcome"`
	Assessment  string            `json:"assessment"` // measured or presumed
	Presumed    *Presumed         `json:"presumed,omitempty"`
	Hours       measure.Shown     `json:"hours_worked"`
	Average     measure.Shown     `json:"average"`                 // over shift hours, without regard to respirators
	Credited    measure.Shown     `json:"average_with_respirator"` // the same with credit for what is worn
	OverHours   measure.Shown     `json:"average_over_hours"`      // over the hours worked, which is compared with allowable
	Allowable   measure.Shown     `json:"allowable"`               // the limit, lowered in a long day
	ActionLevel measure.Shown     `json:"action_level"`
	LeastFactor int               `json:"least_factor,omitzero"` // the least assigned factor that is enough; absent where none is needed, or none is enough
	Respirators []Choice          `json:"respirators"`
	Owed        []Owed            `json:"owed"`
	Monitoring  Monitoring        `json:"monitoring"`
	Medical     Medical           `json:"medical"`
	Determining law.Determination `json:"determination"`
}

// Assess says what a worker's day comes to: the averages, whether the limit is kept, which respirators are enough, and what is owed.
// What is not assessed is presumed by its task. Facts that contradict one another, and a date before the rule, are faults.
func (e Exposures) Assess(f ExposureFacts) (ExposureAnswer, error) {
	if _, ok := e.book.On(e.numbers["exposure_limit"], f.AsOf, law.Required, e.scope); !ok {
		return ExposureAnswer{}, e.book.TooEarly(e.numbers["exposure_limit"], "/as_of", f.AsOf)
	}
	if err := e.check(f); err != nil {
		return ExposureAnswer{}, err
	}
	r := reading{e, f.AsOf}
	d := r.day(f)
	a := ExposureAnswer{Outcome: d.outcome(), Assessment: "measured", Hours: measure.Hour.Shown(d.hours),
		Average: microgram(d.average), Credited: microgram(d.credited), OverHours: microgram(r.over(d, d.average)),
		Allowable: microgram(r.allowable(d)), ActionLevel: microgram(d.actionLevel), Respirators: []Choice{}, Owed: []Owed{}}
	if d.presumed != NotPresumed {
		a.Assessment, a.Presumed = "presumed", r.presume(d.presumed)
	}
	if d.above() {
		a.Respirators, a.LeastFactor = r.choices(d)
	}
	a.Monitoring, a.Medical = r.monitoring(f, d), r.medical(f.Medical, d)
	a.Owed = r.owed(f, d)
	a.Determining = r.explainDay(f, d, a)
	law.Otherwise(&a.Determining, f, r.otherwise(f, d), func(f ExposureFacts) string {
		if e.check(f) != nil {
			return ""
		}
		return r.day(f).outcome()
	})
	return a, nil
}

func microgram(n measure.Number) measure.Shown { return measure.MicrogramPerCubicMetre.Shown(n) }

// over is an average over shift hours, averaged over the hours worked instead.
func (r reading) over(d day, average measure.Number) measure.Number {
	return average.Mul(r.number("exposure_shift_hours")).Quo(d.hours.Max(r.number("exposure_shift_hours")))
}

// allowable is the limit of the day: in one longer than the shift, the limit times the shift divided by the hours worked.
func (r reading) allowable(d day) measure.Number { return r.over(d, d.limit) }

func (r reading) presume(c Class) *Presumed {
	high, highest := microgram(r.number("exposure_presumed_high")), microgram(r.number("exposure_presumed_highest"))
	switch c {
	case AboveLimit:
		return &Presumed{c.String(), microgram(r.number("exposure_limit")), &high}
	case High:
		return &Presumed{c.String(), high, &highest}
	}
	return &Presumed{Class: c.String(), Above: highest}
}

// choices are the respirators of the date's table, and the least factor that is enough.
func (r reading) choices(d day) ([]Choice, int) {
	list, least, needed := []Choice{}, 0, r.need(d)
	for _, kind := range respirators {
		v, ok := r.book.On(r.factors[kind], r.on, law.Required, r.scope)
		if !ok {
			continue
		}
		c := Choice{Respirator: kind, Factor: v.Int(), UseUpTo: microgram(v.Number().Mul(r.allowable(d))), HEPA: kind.filters(), Enough: r.suffices(v.Number(), needed)}
		if c.Enough && (least == 0 || c.Factor < least) {
			least = c.Factor
		}
		list = append(list, c)
	}
	return list, least
}

// explainDay says why the day comes to what it does.
func (r reading) explainDay(f ExposureFacts, d day, a ExposureAnswer) law.Determination {
	e := law.NewDetermination("exposure", f.AsOf, r.book.RuleSet())
	e.Outcome = d.outcome()
	e.Use("as_of", f.AsOf.String())
	e.Use("hours_worked", d.hours.Show()+" h")
	for i, s := range f.Spells {
		r.explainSpell(&e, "tasks/"+strconv.Itoa(i), s)
	}
	limit, action := r.value("exposure_limit"), r.value("exposure_action_level")
	e.Because("exposure_average", "tasks", d.average.Show()+" ug/m3", law.Cite("29 CFR 1926.62(b), (c)(1)", law.Text), "What was told comes to "+d.average.Show()+" ug/m3 over "+r.value("exposure_shift_hours").Value+" hours without regard to respirators; the action level is "+action.Value+" and the limit "+limit.Value+".")
	if d.hours.Cmp(r.number("exposure_shift_hours")) > 0 {
		e.Because("exposure_long_day", "hours_worked", d.hours.Show()+" h", law.Cite("29 CFR 1926.62(c)(2)", law.Text), "In a day of "+d.hours.Show()+" hours no more than "+a.Allowable.Value+" ug/m3 is allowed on average over the hours worked, which is the same as the limit over "+r.value("exposure_shift_hours").Value+" hours. The action level is not lowered.")
	}
	if d.credited.Cmp(d.average) != 0 {
		e.Because("respirator_credit", "tasks", d.credited.Show()+" ug/m3", law.Cite("29 CFR 1926.62(c)(3)", law.Text), "While a respirator is worn, exposure counts divided by its factor: "+d.credited.Show()+" ug/m3. The credit holds for the limit, and for nothing else: monitoring, clothing and medical surveillance go by the exposure without it.")
	}
	r.explainMonitoring(&e, a.Monitoring)
	r.explainMedical(&e, f.Medical, a.Medical)
	return e
}

func (r reading) explainSpell(e *law.Determination, fact string, s Spell) {
	task := s.task()
	e.Use(fact+"/task", string(task))
	if s.Concentration.Known() {
		e.Use(fact+"/concentration", string(s.Concentration.Qualifier)+s.Concentration.Text+" "+s.Concentration.Code)
	}
	if s.Respirator.worn() {
		e.Use(fact+"/respirator", string(s.Respirator))
	}
	if r.assessed(s) {
		return
	}
	class := s.class()
	e.Because("presumed_exposure", fact+"/task", string(task), class.cite(task), "Until the exposure is assessed, "+r.treatedAs(class))
	switch {
	case s.Concentration.Known():
		e.Miss(fact+"/concentration", "What was told is no assessment of this task: "+r.unfit(s), "Monitoring of the task would take the place of what is presumed.")
	default:
		e.Miss(fact+"/concentration", "The exposure at the task was not measured.", "Monitoring of the task would take the place of what is presumed.")
	}
	if task == TaskUnknown {
		e.Miss(fact+"/task", "The presumption turns on the task; one that is not known gets the highest.", "A task of a lower list, or of none, would be presumed lower.")
	}
	if task == PowerToolCleaning && s.collects() == law.Unknown {
		e.Miss(fact+"/dust_collection", "Power tools are presumed higher without dust collection.", "Dust collection would put the task into the lowest list.")
	}
}

// treatedAs says how high a class is presumed.
func (r reading) treatedAs(c Class) string {
	switch c {
	case AboveLimit:
		return "the worker is treated as exposed to more than " + r.say("exposure_limit") + " and no more than " + r.say("exposure_presumed_high") + "."
	case High:
		return "the worker is treated as exposed to more than " + r.say("exposure_presumed_high") + "."
	}
	return "the worker is treated as exposed to more than " + r.say("exposure_presumed_highest") + "."
}

// unfit says why a told concentration does not count.
func (r reading) unfit(s Spell) string {
	switch s.Basis {
	case ByMonitoring:
		return "the monitoring is more than " + r.value("exposure_data_months").Value + " months old."
	case ByObjectiveData:
		return "objective data may not take the place of monitoring at the tasks of the lists."
	}
	return "it is not known what it rests on."
}
