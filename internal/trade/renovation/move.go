package renovation

import (
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// State is where a job stands.
type State string

// The states.
const (
	Drafted   State = "drafted"
	Ready     State = "ready"
	UnderWay  State = "under_way"
	Cleaning  State = "cleaning"
	Checking  State = "checking"
	Closed    State = "closed"
	CalledOff State = "called_off"
)

// after are the moves a job may make from each state.
var after = map[State][]State{
	Drafted: {Ready, CalledOff}, Ready: {UnderWay, Drafted, CalledOff}, UnderWay: {Cleaning, CalledOff},
	Cleaning: {Checking}, Checking: {Closed, Cleaning},
}

// Next is the move that a job is heading for; empty when it has come to its end.
func Next(s State) State {
	if next := after[s]; len(next) > 0 {
		return next[0]
	}
	return ""
}

// Job is what the moves of a job turn on.
type Job struct {
	State State
	On    calendar.Date // of the move

	WorkItems int
	Outcome   Outcome // of the job as a whole
	HUD       bool    // the home is assisted and the work above the de minimis

	Start       calendar.Date // planned, or when work began
	Emergency   bool          // an emergency renovation: notice duties do not apply
	Record      EmergencyRecord
	Unmet       []Duty // pamphlets owed and not validly given for Start
	GiveBetween calendar.Window
	MailBy      calendar.Date // last date on which mailing it counts

	ChildUnits   []string // names of units where a child under six lives or visits and nothing is arranged
	UntoldUnits  []string // names of units of which that is not told, and nothing is arranged
	Restricted   bool     // a restricted fact asks for protection and nothing is arranged
	NoReason     bool     // for calling off: no reason was given
	Clearance    string   // outcome of the last clearance: passed, failed, inconclusive; empty when there is none
	Verification string   // outcome of the last cleaning verification, likewise
	Outdated     bool     // one of the two passed, but before the place was last cleaned, so that it is left out of them
	NeedsWipes   bool     // the contract or another law asks for clearance instead of verification
	Uncounted    bool     // one of the two passed, but by somebody not certified that day or who might not clear it, likewise left out

	NotCertified []NotCertified // who of the firm and the certified renovators on record is not certified on the day work starts

	Undelivered []string // labels of containers neither delivered nor accounted for
	Findings    []string // findings that stand in the way of closing
	Stopped     []string // findings that stop the work until it is put right and re-checked
}

// NotCertified is somebody who must be certified for work to start and is not.
type NotCertified struct {
	Who, Detail string
	Clause      law.Citation
}

// Blockers are all that stands in the way of a move; none means that it is made.
func Blockers(j Job, to State) []fault.Blocker {
	blockers := []fault.Blocker{}
	for _, rule := range moveRules {
		if !slices.Contains(rule.to, to) {
			continue
		}
		blockers = append(blockers, rule.check(j, to)...)
	}
	return blockers
}

// Overridable reports whether an owner may have a move made although these stand in its way. A move out of order is none that
// the job can make, so that nobody may.
func Overridable(blockers []fault.Blocker) bool {
	return !slices.ContainsFunc(blockers, func(b fault.Blocker) bool { return b.Code == outOfOrder })
}

const outOfOrder = "out_of_order"

// moveRules are the things that can stand in the way. Adding one is one entry.
var moveRules = []struct {
	to    []State
	check func(Job, State) []fault.Blocker
}{
	{[]State{Drafted, Ready, UnderWay, Cleaning, Checking, Closed, CalledOff}, inOrder},
	{[]State{Ready, UnderWay}, someWork},
	{[]State{Ready, UnderWay}, plannedStart},
	{[]State{Ready, UnderWay}, pamphletsGiven},
	{[]State{Ready, UnderWay}, childrenProtected},
	{[]State{Ready, UnderWay}, restrictedProtected},
	{[]State{UnderWay, Cleaning, Checking}, workStopped},
	{[]State{UnderWay}, crewCertified},
	{[]State{CalledOff}, reasonGiven},
	{[]State{CalledOff}, nothingToClean},
	{[]State{Closed}, cleanProved},
	{[]State{Closed}, wasteAccounted},
	{[]State{Closed}, emergencyRecorded},
	{[]State{Closed}, findingsClosed},
}

func inOrder(j Job, to State) []fault.Blocker {
	if slices.Contains(after[j.State], to) {
		return nil
	}
	clear := "The job has come to its end; record a new one."
	if next := after[j.State]; len(next) > 0 {
		words := make([]string, len(next))
		for i, s := range next {
			words[i] = string(s)
		}
		clear = "Ask for " + strings.Join(words, " or ") + "."
	}
	return []fault.Blocker{{Code: outOfOrder, Detail: fmt.Sprintf("A job that is %s does not move to %s.", j.State, to), Clear: clear}}
}

func someWork(j Job, _ State) []fault.Blocker {
	if j.WorkItems > 0 {
		return nil
	}
	return []fault.Blocker{{Code: "no_work_items", Detail: "The job names no work.", Clear: "Add the work items to the renovation."}}
}

func plannedStart(j Job, to State) []fault.Blocker {
	if to != Ready || !j.Start.IsZero() {
		return nil
	}
	return []fault.Blocker{{Code: "no_planned_start", Detail: "The job has no planned start, so notices cannot be judged.", Clear: "Set planned_start on the renovation."}}
}

// covered reports whether the renovation rule applies to the job.
func (j Job) covered() bool { return j.Outcome == CoveredRenovation }

func pamphletsGiven(j Job, _ State) []fault.Blocker {
	if !j.covered() || j.Emergency {
		return nil
	}
	var blockers []fault.Blocker
	for _, d := range j.Unmet {
		who := "The owner"
		if d.Recipient == AdultOccupant {
			who = "An adult occupant of unit " + d.UnitName
		}
		if d.Recipient == FacilityRepresentative {
			who = "A representative of facility " + d.UnitName
		}
		clear := "Give the pamphlet, with proof, before the start and record the notice."
		if !j.GiveBetween.To.IsZero() {
			clear = fmt.Sprintf("Hand over the pamphlet between %s and %s with a written acknowledgement, or mail it by %s with a certificate of mailing, and record the notice; or plan a later start.", j.GiveBetween.From, j.GiveBetween.To, j.MailBy)
		}
		blockers = append(blockers, fault.Blocker{Code: "no_valid_notice", Detail: who + " has not validly been given the pamphlet.", Clear: clear, Citation: noticeTiming.String()})
	}
	return blockers
}

const arrange = "Arrange that occupants stay out of the work area until it is cleared, and record the protection."

func childrenProtected(j Job, _ State) []fault.Blocker {
	if !j.covered() && !j.HUD {
		return nil
	}
	var blockers []fault.Blocker
	for _, unit := range j.ChildUnits {
		blockers = append(blockers, fault.Blocker{Code: "occupant_protection", Detail: "A child under six lives in or visits unit " + unit + ", and nothing is arranged to keep them out.", Clear: arrange,
			Citation: "40 CFR 745.85(a)(1), 24 CFR 35.1345(a); the stronger step for young children is common practice"})
	}
	for _, unit := range j.UntoldUnits {
		blockers = append(blockers, fault.Blocker{Code: "occupant_protection", Detail: "It is not told whether a child under six lives in or visits unit " + unit + ", and nothing is arranged to keep them out.",
			Clear: "Tell children_under_six on the unit's occupancies, none included; or arrange that occupants stay out of the work area until it is cleared, and record the protection.", Citation: "common practice: what is not known counts as yes"})
	}
	return blockers
}

// restrictedProtected says no more than that there is something, and by when.
func restrictedProtected(j Job, _ State) []fault.Blocker {
	if !j.Restricted || !j.covered() && !j.HUD {
		return nil
	}
	due := j.Start
	if due.IsZero() {
		due = j.On
	}
	return []fault.Blocker{{Code: "restricted_requirement", Detail: fmt.Sprintf("A restricted requirement applies, due %s.", due), Clear: arrange}}
}

// workStopped keeps a job from going on while what stops the work is not put right. It may go back to be cleaned.
func workStopped(j Job, to State) []fault.Blocker {
	if !stoppable(j.State, to) {
		return nil
	}
	var blockers []fault.Blocker
	for _, detail := range j.Stopped {
		blockers = append(blockers, fault.Blocker{Code: "work_stopped", Detail: detail,
			Clear: "Put it right and have it re-checked, and tell both as steps of the finding; for a breach of containment it is enough to tell that it was mended and then found intact. " +
				"If it was told in error, tell it again as it was. Closing asks for the finding to be signed off as well."})
	}
	return blockers
}

func crewCertified(j Job, _ State) []fault.Blocker {
	var blockers []fault.Blocker
	for _, n := range j.NotCertified {
		blockers = append(blockers, fault.Blocker{Code: "not_certified", Detail: n.Detail, Citation: n.Clause.String(),
			Clear: fmt.Sprintf("Record the certificate of %s that holds on that day, if there is one; or put somebody certified on the job, or start on a day on which the certificate holds.", n.Who)})
	}
	return blockers
}

func reasonGiven(j Job, _ State) []fault.Blocker {
	if !j.NoReason {
		return nil
	}
	return []fault.Blocker{{Code: "no_reason", Detail: "Calling a job off needs a reason.", Clear: "Send reason with the move."}}
}

// nothingToClean keeps a job that has begun from ending without cleaning: the paint it disturbed lies there all the same.
func nothingToClean(j Job, _ State) []fault.Blocker {
	if j.State != UnderWay || !j.covered() && !j.HUD {
		return nil
	}
	return []fault.Blocker{{Code: "work_has_begun", Detail: "Work has begun, so what was disturbed must be cleaned and checked; the job can no longer be called off.",
		Clear: "Ask for cleaning, and close the job when what was done is cleaned and checked.", Citation: "40 CFR 745.85(a)(5), (b)"}}
}

func cleanProved(j Job, _ State) []fault.Blocker {
	if !j.covered() && !j.HUD {
		return nil
	}
	wipes := j.NeedsWipes || j.HUD
	cite := "40 CFR 745.85(b), (c)"
	if j.HUD {
		cite = "24 CFR 35.1340"
	}
	switch {
	case wipes && j.Clearance == "passed", !wipes && j.Clearance == "passed", !wipes && j.Clearance == "" && j.Verification == "passed":
		return nil
	case j.Clearance == "failed":
		return []fault.Blocker{{Code: "clearance_failed", Detail: "The last clearance failed.", Clear: "Clean again what failed and all it stands for, sample again and record a clearance that passes.", Citation: cite}}
	case j.Clearance == "inconclusive":
		return []fault.Blocker{{Code: "clearance_inconclusive", Detail: "The last clearance could not decide.", Clear: "Sample again, over a larger area or with a lower reporting limit, and record the clearance.", Citation: cite}}
	case j.Outdated:
		return []fault.Blocker{{Code: "proof_outdated", Detail: "What passed was taken before the place was last cleaned, so it proves nothing of that cleaning.", Clear: "Verify the last cleaning, or sample after it, and record the result.", Citation: cite}}
	case j.Uncounted:
		return []fault.Blocker{{Code: "proof_does_not_count", Detail: "What passed was done by somebody who was not certified that day or might not clear this job, so it does not count; the finding says who and why.",
			Clear: "Have it done again by somebody who is, and record the result. If only a certificate was not on record yet, record it; what was told then counts.", Citation: cite}}
	case wipes:
		return []fault.Blocker{{Code: "no_clearance", Detail: "Clearance is required and none is told as passed.", Clear: "Record a clearance that passes.", Citation: cite}}
	}
	return []fault.Blocker{{Code: "not_verified", Detail: "Neither cleaning verification nor clearance is told as passed.", Clear: "Record the certified renovator's cleaning verification, or a clearance that passes.", Citation: cite}}
}

func wasteAccounted(j Job, _ State) []fault.Blocker {
	if len(j.Undelivered) == 0 {
		return nil
	}
	return []fault.Blocker{{Code: "containers_not_accounted", Detail: "Neither delivered nor accounted for: " + strings.Join(j.Undelivered, ", ") + ".",
		Clear: "Record the trip that delivers each, or account for its loss.", Citation: "40 CFR 745.85(a)(4); the balance is the book's own rule"}}
}

func findingsClosed(j Job, _ State) []fault.Blocker {
	var blockers []fault.Blocker
	for _, detail := range j.Findings {
		blockers = append(blockers, fault.Blocker{Code: "open_finding", Detail: detail, Clear: "Correct it, re-check it and have it signed off."})
	}
	return blockers
}
