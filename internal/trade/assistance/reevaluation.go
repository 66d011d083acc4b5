package assistance

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// Reevaluation is one reevaluation by a certified risk assessor (24 CFR 35.1355(b)).
type Reevaluation struct {
	On    calendar.Date
	Found law.Tri // whether it found a lead hazard; not known counts as found
}

// Report is a resident's report of paint in poor condition.
type Report struct{ On, AnsweredOn calendar.Date }

// UpkeepFacts are what is known of a home under ongoing maintenance.
type UpkeepFacts struct {
	AsOf          calendar.Date
	ReducedOn     calendar.Date // completion of hazard reduction; none when there was none, or it is not known
	LeadRemains   law.Tri       // lead-based paint was left in place
	Reevaluations []Reevaluation
	VisualOn      calendar.Date // the last visual assessment
	TurnoverOn    calendar.Date // the last change of residents
	Reports       []Report
}

// UpkeepOutcome is how a home stands with its maintenance and reevaluation.
type UpkeepOutcome string

// The outcomes.
const (
	UpkeepInOrder UpkeepOutcome = "in_order"
	UpkeepDue     UpkeepOutcome = "due" // something can be done now to be in time
	UpkeepOverdue UpkeepOutcome = "overdue"
)

// UpkeepAnswer says what is owed by when.
type UpkeepAnswer struct {
	Outcome       UpkeepOutcome     `json:"outcome"`
	Reevaluations []Reevaluated     `json:"reevaluations"`
	CleanInARow   int               `json:"clean_in_a_row"`
	Ended         bool              `json:"reevaluation_ended"`
	Due           []UpkeepDuty      `json:"due"`
	Why           law.Determination `json:"determination"`
}

// Reevaluated says what one reevaluation counts for.
type Reevaluated struct {
	Index int           `json:"index"` // in the request, from 0
	On    calendar.Date `json:"on"`
	InRow bool          `json:"counts_in_a_row"`
	Why   string        `json:"why"`
}

// UpkeepDuty is something to be done, with the days on which it is in time.
type UpkeepDuty struct {
	What     string        `json:"what"`
	From     calendar.Date `json:"from,omitzero"`
	By       calendar.Date `json:"by"`
	State    string        `json:"state"` // waiting, open, met, late or overdue
	Text     string        `json:"text"`
	Rule     string        `json:"rule"`
	Citation law.Citation  `json:"citation"`
}

// UpkeepRules are the parameters that maintenance and reevaluation read, found once.
type UpkeepRules struct {
	book                       *law.Book
	scope                      law.Scope
	first, months, around, row law.Handle
	visual, report             law.Handle
}

func newUpkeepRules(book *law.Book) (UpkeepRules, error) {
	r := UpkeepRules{book: book}
	return r, book.Handles(map[string]*law.Handle{"reevaluation_first_months": &r.first, "reevaluation_months": &r.months, "reevaluation_days_around": &r.around,
		"reevaluation_clean_in_a_row": &r.row, "visual_assessment_months": &r.visual, "resident_report_days": &r.report})
}

// In is the rules as they hold in a property's jurisdictions, beside the federal one.
func (r UpkeepRules) In(jurisdictions []string) UpkeepRules {
	r.scope.Jurisdictions = jurisdictions
	return r
}

// upkeep are the numbers on a date.
type upkeep struct{ first, months, around, row, visual, report *law.Value }

func (r UpkeepRules) on(date calendar.Date) (upkeep, error) {
	l := r.book.Lookup(date, "/as_of", r.scope)
	n := upkeep{l.Value(r.first), l.Value(r.months), l.Value(r.around), l.Value(r.row), l.Value(r.visual), l.Value(r.report)}
	return n, l.Err()
}

// Judge works out what a home under ongoing maintenance owes by when (24 CFR 35.1355).
func (r UpkeepRules) Judge(f UpkeepFacts) (UpkeepAnswer, error) {
	if err := f.check(); err != nil {
		return UpkeepAnswer{}, err
	}
	n, err := r.on(f.AsOf)
	if err != nil {
		return UpkeepAnswer{}, err
	}
	a := n.judge(f)
	a.Why = r.explain(f, n, a)
	law.Otherwise(&a.Why, f, n.alternatives(f), func(f UpkeepFacts) string { return string(n.judge(f).Outcome) })
	return a, nil
}

func (f UpkeepFacts) check() error {
	var faults fault.Faults
	for i, e := range f.Reevaluations {
		at := fmt.Sprintf("/reevaluations/%d/on", i)
		if e.On.After(f.AsOf) {
			faults.Add(at, "in_the_future", "A reevaluation on %s has not been made by %s.", e.On, f.AsOf)
		}
		if e.On.Before(f.ReducedOn) {
			faults.Add(at, "contradiction", "Reevaluations follow hazard reduction; this one of %s lies before %s.", e.On, f.ReducedOn)
		}
		if i > 0 && !e.On.After(f.Reevaluations[i-1].On) {
			faults.Add(at, "out_of_order", "Tell reevaluations in the order in which they were made, each on a day of its own.")
		}
	}
	for i, p := range f.Reports {
		if p.On.After(f.AsOf) {
			faults.Add(fmt.Sprintf("/reports/%d/on", i), "in_the_future", "A report of %s has not come in by %s.", p.On, f.AsOf)
		}
		if !p.AnsweredOn.IsZero() && p.AnsweredOn.Before(p.On) {
			faults.Add(fmt.Sprintf("/reports/%d/answered_on", i), "contradiction", "It cannot have been answered on %s, before it came in on %s.", p.AnsweredOn, p.On)
		}
	}
	for _, told := range f.dates() {
		if told.on.After(f.AsOf) {
			faults.Add("/"+told.name, "in_the_future", "%s has not come by %s.", told.on, f.AsOf)
		}
	}
	return faults.Err()
}

// toldDate is a date by its name in a request.
type toldDate struct {
	name string
	on   calendar.Date
}

func (f UpkeepFacts) dates() []toldDate {
	return []toldDate{{"hazard_reduction_completed_on", f.ReducedOn}, {"visual_assessment_on", f.VisualOn}, {"turnover_on", f.TurnoverOn}}
}

// judge follows the reevaluations one by one, then lists what is due.
func (n upkeep) judge(f UpkeepFacts) UpkeepAnswer {
	a := UpkeepAnswer{Outcome: UpkeepInOrder, Reevaluations: []Reevaluated{}, Due: []UpkeepDuty{}}
	switch {
	case f.LeadRemains != law.No && !f.ReducedOn.IsZero():
		n.reevaluate(&a, f)
	case f.LeadRemains == law.Yes: // hazard reduction left lead paint, nobody knows when: it may be long ago
		a.owe(UpkeepDuty{What: "reevaluate", By: f.AsOf, State: "overdue", Rule: "first_reevaluation", Citation: n.first.Cite(),
			Text: "Have a certified risk assessor reevaluate now, or find out when hazard reduction was completed."}, f.AsOf, 0)
	}
	n.assess(&a, f)
	for i, p := range f.Reports {
		by := p.On.AddDays(n.report.Int())
		a.owe(UpkeepDuty{What: "answer_report", By: by, Rule: "resident_report", Citation: n.report.Cite(),
			Text: fmt.Sprintf("Answer the resident's report of %s (report %d) within %s days.", p.On, i+1, n.report.Value)}, f.AsOf, p.AnsweredOn)
	}
	return a
}

// reevaluate follows the spacing: the first within its months, each later one its months after the one before, give or take
// the days around. Two things start the count of clean ones again: a hazard found, and a spacing that is not the rule's.
func (n upkeep) reevaluate(a *UpkeepAnswer, f UpkeepFacts) {
	window := calendar.Window{From: f.ReducedOn, To: f.ReducedOn.AddMonths(n.first.Int())}
	for i, e := range f.Reevaluations {
		one := Reevaluated{Index: i, On: e.On, InRow: true}
		switch {
		case a.Ended && e.Found == law.No:
			one.InRow, one.Why = false, "Reevaluation had ended before."
		case e.Found != law.No: // after the end too: a hazard that was found begins it again
			a.CleanInARow, a.Ended, one.InRow = 0, false, false
			one.Why = "It found a hazard, or what it found is not known: the count of clean ones starts again."
		case !window.Contains(e.On):
			a.CleanInARow = 1
			one.Why = fmt.Sprintf("It found nothing, but was made outside %s to %s: it is the first of the count.", window.From, window.To)
		default:
			a.CleanInARow++
			one.Why = fmt.Sprintf("It found nothing, between %s and %s.", window.From, window.To)
		}
		a.Ended = a.Ended || a.CleanInARow >= n.row.Int()
		window = n.next(e.On)
		a.Reevaluations = append(a.Reevaluations, one)
	}
	if a.Ended {
		return
	}
	d := UpkeepDuty{What: "reevaluate", From: window.From, By: window.To, Rule: "reevaluation_spacing", Citation: n.months.Cite(),
		Text: fmt.Sprintf("Have a certified risk assessor reevaluate between %s and %s.", window.From, window.To)}
	if len(f.Reevaluations) == 0 {
		d.From, d.Rule, d.Citation = 0, "first_reevaluation", n.first.Cite()
		d.Text = fmt.Sprintf("Have a certified risk assessor reevaluate by %s, within %s months of hazard reduction.", window.To, n.first.Value)
	}
	a.owe(d, f.AsOf, 0)
}

// next is when the reevaluation after one of a date is in time.
func (n upkeep) next(on calendar.Date) calendar.Window {
	day := on.AddMonths(n.months.Int())
	return day.Around(n.around.Int())
}

// assess lists the visual assessments: at turnover, and every so many months.
func (n upkeep) assess(a *UpkeepAnswer, f UpkeepFacts) {
	if !f.TurnoverOn.IsZero() {
		done := f.VisualOn
		if done.Before(f.TurnoverOn) {
			done = 0
		}
		a.owe(UpkeepDuty{What: "assess_at_turnover", By: f.TurnoverOn, Rule: "visual_assessment", Citation: n.visual.Cite(),
			Text: fmt.Sprintf("Look at the paint at the change of residents of %s.", f.TurnoverOn)}, f.AsOf, done)
	}
	by := f.VisualOn.AddMonths(n.visual.Int())
	d := UpkeepDuty{What: "assess_visually", By: by, Rule: "visual_assessment", Citation: n.visual.Cite(),
		Text: fmt.Sprintf("Look at all painted surfaces by %s, at least every %s months.", by, n.visual.Value)}
	if f.VisualOn.IsZero() { // it may be long ago
		d.By, d.State, d.Text = f.AsOf, "overdue", "Look at all painted surfaces now: when that was last done is not known."
	}
	a.owe(d, f.AsOf, 0)
}

// owe adds a duty with its state, and lets the outcome follow the worst.
func (a *UpkeepAnswer) owe(d UpkeepDuty, asOf, doneOn calendar.Date) {
	switch {
	case d.State != "":
	case !doneOn.IsZero() && !doneOn.After(d.By) || d.What == "assess_at_turnover" && !doneOn.IsZero():
		d.State = "met"
	case !doneOn.IsZero():
		d.State = "late"
	case asOf.After(d.By):
		d.State = "overdue"
	case !d.From.IsZero() && asOf.Before(d.From):
		d.State = "waiting"
	default:
		d.State = "open"
	}
	switch {
	case d.State == "overdue":
		a.Outcome = UpkeepOverdue
	case d.State == "open" && a.Outcome == UpkeepInOrder:
		a.Outcome = UpkeepDue
	}
	a.Due = append(a.Due, d)
}
