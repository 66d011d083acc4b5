package postgres

import (
	"github.com/google/uuid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// verification is what the book reads back from a cleaning verification's written form.
type verification struct {
	RenovationID uuid.UUID     `json:"renovation_id"`
	VerifiedOn   calendar.Date `json:"verified_on"`
	VisualPassed bool          `json:"visual_passed"`
	AllPassed    bool          `json:"all_passed"`
	Outcome      string        `json:"outcome"`
	PersonID     uuid.UUID     `json:"person_id"` // uuid.Nil: nobody on record

	Detail *verificationDetail `json:"detail"`
}

// completeVerification says whether a cleaning verification passed: nothing seen, and every section clean. Told in detail, the
// rules say so.
func (t *Tx) completeVerification(d *Draft) error {
	var v verification
	if err := d.Fields.Into(&v); err != nil {
		return err
	}
	about, j, sites, ok, err := t.toldJob(v.RenovationID)
	if err != nil || !ok {
		return err
	}
	if err := t.notYet("/verified_on", v.VerifiedOn, sites); err != nil {
		return err
	}
	v.Outcome = renovation.VerificationFailed
	if v.VisualPassed && v.AllPassed {
		v.Outcome = renovation.VerificationPassed
	}
	if v.Detail != nil {
		if err := t.verifyDetail(d, &v, j, sites); err != nil {
			return err
		}
	}
	if err := d.Set("outcome", v.Outcome); err != nil {
		return err
	}
	return t.judgeDoer(d, deed{kind: "verification", act: crew.VerifyCleaning, person: v.PersonID, on: v.VerifiedOn, about: about, job: j, sites: sites})
}

// verificationFailed is the finding's code for a job that was closed and whose verification then turned out to have failed.
const verificationFailed = "verification_failed_after_closing"

// followVerification sends a job back to cleaning when its verification has failed. A job that is closed already stays so,
// and a finding that must be closed is opened.
func (t *Tx) followVerification(r Record) error {
	var v verification
	if err := r.Read(&v); err != nil || r.Ended || v.Outcome != "failed" {
		return err
	}
	about, j, sites, _, err := t.toldJob(v.RenovationID)
	if err != nil {
		return err
	}
	note := "The cleaning verification of " + v.VerifiedOn.String() + " found dust or debris."
	if v.VisualPassed {
		note = "The cleaning verification of " + v.VerifiedOn.String() + " found sections that did not pass."
	}
	if j.State != renovation.Closed {
		_, err = t.sendBack(about, v.VerifiedOn, note)
		return err
	}
	_, err = t.OpenFinding(Finding{Code: verificationFailed, Detail: "This was told after the job was closed. " + note, SubjectKind: "verification", SubjectID: r.ID,
		RenovationID: &about.ID, Blocks: true, OpenedOn: calendar.LocalDate(t.now, sites.zone).String(), Citation: law.Cite("40 CFR 745.85(b)", law.Text)}, r.Properties)
	return err
}

// sendBack moves a held job that is being checked back to cleaning, because a verification or a clearance has failed; in
// any other state nothing moves. on is the local date of the failure: a passed result of that date or later counts again.
func (t *Tx) sendBack(r Record, on calendar.Date, note string) (Record, error) {
	j, err := jobOf(r)
	if err != nil || r.Ended || j.State != renovation.Checking {
		return r, err
	}
	if n := len(j.Moves); n > 0 {
		on = max(on, j.Moves[n-1].On)
	}
	return t.addMove(r, j, MoveMade{To: renovation.Cleaning, From: j.State, On: on, RecordedAt: t.now, Note: note}, "sent_back")
}

// rejudgeRenovation looks again at a job that another one at the same place may have made something else. Where work had
// begun and the renovation rule turns out to apply, a finding names what was not done.
func (t *Tx) rejudgeRenovation(id uuid.UUID) error {
	before, err := t.Hold("renovation", id)
	if err != nil || before.Ended {
		return err
	}
	j, err := jobOf(before)
	if err != nil || j.State == renovation.CalledOff {
		return err
	}
	sites, err := t.sitesOf(j, false)
	if err != nil {
		return err
	}
	v, err := t.judgeJob(j, sites, id)
	if err != nil || v.outcome.String() == j.Outcome {
		return err
	}
	fields, err := before.Fields()
	if err != nil {
		return err
	}
	d := Draft{Fields: fields.Told()}
	if err := v.write(&d); err != nil {
		return err
	}
	after, err := t.Replace(before, "reclassified", d)
	if err != nil {
		return err
	}
	if err := t.settleObserved(after); err != nil || j.begun().IsZero() || v.outcome != renovation.CoveredRenovation {
		return err
	}
	return t.findUntold(after, j, sites, reclassifiedUnderWay, "Work began on "+j.begun().String()+", and with the other jobs at its places it is a covered renovation.", renovation.WindowReading)
}

// findUntold opens a finding on a job whose work has begun that names what a covered renovation asks for before work and was not
// done. What follows from restricted facts is left out.
func (t *Tx) findUntold(r Record, j job, sites worksites, code, because string, c law.Citation) error {
	open, err := t.FindingOpen(r.ID, code)
	if err != nil || open != uuid.Nil {
		return err
	}
	stands, _, err := t.jobFacts(r.ID, j, sites, Move{To: renovation.UnderWay, On: j.begun()})
	if err != nil {
		return err
	}
	stands.State, stands.Restricted = renovation.Ready, false
	detail := because
	for _, b := range renovation.Blockers(stands, renovation.UnderWay) {
		detail += " " + b.Detail
	}
	_, err = t.OpenFinding(Finding{Code: code, Detail: shortened(detail), SubjectKind: "renovation", SubjectID: r.ID, RenovationID: &r.ID, Blocks: true,
		OpenedOn: calendar.LocalDate(t.now, sites.zone).String(), Citation: c}, r.Properties)
	return err
}

const (
	reclassifiedUnderWay = "reclassified_under_way"
	longestDetail        = 1900 // of a finding, in the contract 2000
)
