package bloodlead

import (
	"slices"

	"sillbook/internal/fault"
	"sillbook/internal/trade/law"
)

// The outcomes of a case.
const (
	NoCase      = "no_case"              // no child under six, or below the level
	Unconfirmed = "not_confirmed"        // the level is not confirmed
	NoDeadlines = "no_federal_deadlines" // no programme whose rules have deadlines
	Open        = "open"
	Overdue     = "overdue" // something that is due has not been done
	Closed      = "closed"
)

// Way is one of the ways in which a case is closed.
type Way struct {
	Way  string `json:"way"`
	Met  bool   `json:"met"`
	Text string `json:"text"`
}

// Answer is what a case asks for.
type Answer struct {
	Outcome   string            `json:"outcome"`
	Elevated  string            `json:"elevated_under_abatement_rules"` // yes, no or unknown: another level than the housing rule's
	Deadlines []Deadline        `json:"deadlines"`
	Sampling  *Sampling         `json:"sampling,omitempty"` // of the other units
	Ways      []Way             `json:"ways_to_close"`
	Explained law.Determination `json:"determination"`
}

// judgement is an answer before it is put into words.
type judgement struct {
	outcome   string
	threshold threshold
	met       law.Tri
	deadlines []Deadline
}

// Judge says what must be done by when. What contradicts itself, and a notice before the law, is a fault.
func (r Rules) Judge(f Facts) (Answer, error) {
	if r.value(r.single, f.NotifiedOn, law.Scope{}) == nil {
		return Answer{}, r.book.TooEarly(r.single, "/notified_on", f.NotifiedOn)
	}
	if err := f.check(); err != nil {
		return Answer{}, err
	}
	f = f.asOf()
	if err := r.levelOn(f).check(f); err != nil {
		return Answer{}, err
	}
	return r.explain(f, r.judge(f)), nil
}

// check refuses tests that contradict what is told of the level.
func (t threshold) check(f Facts) error {
	var faults fault.Faults
	switch found := t.byTests(f.Tests); {
	case f.Threshold == law.No && found == law.Yes:
		faults.Add("/at_or_above_level", "contradiction", "The tests reach the level of the day; correct them, or say yes.")
	case f.Threshold == law.Yes && found == law.No && len(f.Tests) > 0:
		faults.Add("/at_or_above_level", "contradiction", "The tests are below the level of the day; correct them, or say no.")
	}
	return faults.Err()
}

func (r Rules) judge(f Facts) judgement {
	j := judgement{threshold: r.levelOn(f)}
	j.met = j.threshold.met(f)
	switch {
	case !f.VoidOn.IsZero():
		j.outcome = Closed
	case f.UnderSix == law.No, j.met == law.No:
		j.outcome = NoCase
	case f.Confirmed == law.No:
		j.outcome = Unconfirmed
	case f.Programme == NoProgramme:
		j.outcome = NoDeadlines
	case f.givenUp(r.value(r.attempts, f.NotifiedOn, scope(f))):
		j.outcome = Closed
	default:
		j.deadlines = r.deadlines(f)
		j.outcome = outcomeOf(j.deadlines)
	}
	return j
}

func outcomeOf(list []Deadline) string {
	counted := slices.DeleteFunc(slices.Clone(list), func(d Deadline) bool { return !d.counted })
	switch {
	case slices.ContainsFunc(counted, func(d Deadline) bool { return d.State == overdue }):
		return Overdue
	case slices.ContainsFunc(counted, func(d Deadline) bool { return !d.settled() }):
		return Open
	}
	return Closed
}

// ways are those in which a case is closed, and which of them it was.
func (f Facts) ways(givenUp bool) []Way {
	return []Way{
		{"clearance", !f.ClearedOn.IsZero(), "Clearance is achieved, and the report says that every hazard was treated."},
		{"health_department_certificate", !f.CertifiedOn.IsZero(), "The health department certifies that the hazards are reduced."},
		{"nothing_found", !f.ReportOn.IsZero() && f.Hazards == law.No, "The investigation found no hazards."},
		{"not_verified", givenUp, "A report from elsewhere could not be verified after the attempts that the rule asks for."},
		{"void", !f.VoidOn.IsZero(), "It was recorded by mistake, and is voided with a reason."},
	}
}
