package renovation

import (
	"slices"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/practice"
)

// Planner puts together what the other questions of a job answer.
type Planner struct {
	Jobs      Rules
	Practices practice.Rules
	Sampling  clearance.Plans
}

// In is the planner as the rules hold in a property's jurisdictions.
func (p Planner) In(jurisdictions []string) Planner {
	p.Jobs, p.Practices = p.Jobs.In(jurisdictions), p.Practices.In(jurisdictions)
	return p
}

// PlanFacts are all that is known of a job beforehand.
type PlanFacts struct {
	Start, End  calendar.Date // no End where it is not known
	Works       []PlannedWork
	Kind        home.UnitKind
	OwnerThere  law.Tri
	Occupants   ProtectionFacts // what is arranged for occupants; the rest of it follows from the job
	Site        ContainmentFacts
	Clearance   bool    // the contract or another law asks for dust clearance instead of verification
	Isolated    law.Tri // sheeting isolates clean rooms from the work area
	InvoiceDate calendar.Date
}

// PlannedWork is one piece of work of a job, at a place.
type PlannedWork struct {
	Place  string
	Work   Work
	Others []Other        // other jobs at the place
	Tools  practice.Facts // how the method is used, where that is told
}

// PlanStep is one step of a plan.
type PlanStep struct {
	Phase string `json:"phase"`
	Task
	Meets   string        `json:"meets,omitempty"` // the requirement it belongs to, as must_happen_first names it
	From    calendar.Date `json:"from,omitzero"`   // first and last day on which it counts
	To      calendar.Date `json:"to,omitzero"`
	Details []string      `json:"details"`
	Excused bool          `json:"excused"`
	Record  string        `json:"record,omitempty"`
}

// The phases of a plan, in order.
const (
	phaseScope      = "scope"
	phasePeople     = "people"
	phaseNotices    = "notices"
	phaseOccupants  = "occupants"
	phaseAir        = "ventilation"
	phaseSigns      = "signs"
	phaseContain    = "containment"
	phaseWorkers    = "workers"
	phaseMethods    = "methods"
	phaseLeaving    = "leaving"
	phaseDaily      = "each_day"
	phaseFinal      = "final_cleaning"
	phaseChecking   = "checking"
	phaseAfterwards = "afterwards"
	phaseWaste      = "waste"
	phasePapers     = "papers"
)

// PlanAnswer is a job's plan: its steps in order, each with its reason.
type PlanAnswer struct {
	Outcome       string            `json:"outcome"` // what the job is
	HousingRule   string            `json:"housing_rule"`
	Steps         []PlanStep        `json:"steps"`
	Determination law.Determination `json:"determination"`
}

// Plan puts a job's steps in order, from the scope to the papers. Nothing is left out because of what is not known.
func (p Planner) Plan(f PlanFacts) (PlanAnswer, error) {
	q := &planning{Planner: p, PlanFacts: f, n: p.Jobs.numbers("/start", f.Start)}
	if err := q.apply(); err != nil {
		return PlanAnswer{}, err
	}
	q.d.Question = "job_plan"
	if !f.End.IsZero() {
		q.d.Use("end", f.End.String())
	}
	parts := []func() error{q.scope, q.people, q.notices}
	if q.careful() {
		parts = append(parts, q.occupants, q.containment, q.workers)
	}
	parts = append(parts, q.methods)
	switch {
	case q.careful():
		parts = append(parts, q.cleaningUp, q.checking, q.afterwards)
	case q.outcome == Abatement:
		parts = append(parts, q.wipes)
	}
	for _, part := range append(parts, q.papers) {
		if err := part(); err != nil {
			return PlanAnswer{}, err
		}
	}
	q.d.Because("plan_order", "work", "", planOrder, "The steps stand in the order in which they are done, from finding out what applies to the papers that are kept.")
	return PlanAnswer{Outcome: q.outcome.String(), HousingRule: q.hud.String(), Steps: q.steps, Determination: q.d}, q.n.err()
}

var planOrder = law.Citation{Clause: "40 CFR 745.84 to 745.86; 24 CFR 35.1345", Source: law.Derived, Note: "The order in which the clauses' duties fall due."}

// planning is a plan that is being made.
type planning struct {
	Planner
	PlanFacts
	n       *numbers
	outcome Outcome
	hud     HUD
	asked   []Step // what the works' rules ask for, each once
	applied []Applicability
	steps   []PlanStep
	d       law.Determination
}

// apply asks of every piece of work what it is, beside the others at its place; the most demanding is what the job is.
func (q *planning) apply() error {
	for i, w := range q.Works {
		beside := slices.Clone(w.Others)
		for k, other := range q.Works {
			if k != i && other.Place == w.Place && other.Work.Exterior == w.Work.Exterior {
				beside = append(beside, other.Work.AsOther())
			}
		}
		a, err := q.Jobs.Apply(w.Work, beside)
		if err != nil {
			return err
		}
		for _, s := range q.Jobs.StepsBefore(w.Work, a) {
			if !slices.ContainsFunc(q.asked, func(t Step) bool { return t.Code == s.Code && t.Text == s.Text }) {
				q.asked = append(q.asked, s)
			}
		}
		q.applied, q.hud = append(q.applied, a), max(q.hud, a.HUD)
		if i == 0 || a.Outcome > q.outcome {
			q.outcome = a.Outcome
			q.d = q.Jobs.Explain(w.Work, beside, a)
			if len(q.Works) == 1 {
				q.Jobs.Otherwise(&q.d, w.Work, beside)
			}
		}
	}
	return nil
}

// asks reports whether a requirement holds, and gives it.
func (q *planning) asks(code string) (Step, bool) {
	i := slices.IndexFunc(q.asked, func(s Step) bool { return s.Code == code })
	if i < 0 {
		return Step{}, false
	}
	return q.asked[i], true
}

// housing reports whether the housing rule asks for safe work practices and clearance, or may.
func (q *planning) housing() bool { return q.hud == HUDApplies || q.hud == HUDIfAssisted }

// careful reports whether the work practices are asked for at all.
func (q *planning) careful() bool {
	_, contained := q.asks("containment")
	return contained || q.housing()
}

// meets is the requirement that a step belongs to: its own where that is asked for, else the housing rule's.
func (q *planning) meets(code string) string {
	if _, asked := q.asks(code); asked {
		return code
	}
	if q.hud == HUDApplies {
		return "hud_clearance"
	}
	return ""
}

// add puts a step at the end.
func (q *planning) add(phase, meets string, t Task, details ...string) *PlanStep {
	if t.Amounts == nil {
		t.Amounts = []Amount{}
	}
	if details == nil {
		details = []string{}
	}
	q.steps = append(q.steps, PlanStep{Phase: phase, Task: t, Meets: meets, Details: details})
	return &q.steps[len(q.steps)-1]
}

// take adds the reasons, differences and gaps of a part's answer to the plan's, each once.
func (q *planning) take(part law.Determination) {
	for _, r := range part.Reasons {
		if !slices.ContainsFunc(q.d.Reasons, func(s law.Reason) bool { return s.Rule == r.Rule && s.Text == r.Text }) {
			q.d.Reasons = append(q.d.Reasons, r)
		}
	}
	for _, m := range part.Missing {
		if !slices.ContainsFunc(q.d.Missing, func(o law.Missing) bool { return o.Fact == m.Fact }) {
			q.d.Missing = append(q.d.Missing, m)
		}
	}
	for _, s := range part.Differences {
		if !slices.Contains(q.d.Differences, s) {
			q.d.Differences = append(q.d.Differences, s)
		}
	}
}

// last is the last day of the work, its first where the end is not known.
func (q *planning) last() calendar.Date { return max(q.Start, q.End) }

// days are the days of the work, 0 where the end is not known.
func (q *planning) days() int {
	if q.End.IsZero() {
		return 0
	}
	return q.End.Sub(q.Start) + 1
}

func (q *planning) indoors() bool {
	return len(q.Site.Rooms) > 0 || slices.ContainsFunc(q.Works, func(w PlannedWork) bool { return !w.Work.Exterior })
}

func (q *planning) outdoors() bool {
	return len(q.Site.Runs) > 0 || slices.ContainsFunc(q.Works, func(w PlannedWork) bool { return w.Work.Exterior })
}
