package postgres

import (
	"github.com/google/uuid"

	"sillbook/internal/trade/calendar"
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
}

// completeVerification says whether a cleaning verification passed: nothing seen, and every section clean.
func (t *Tx) completeVerification(d *Draft) error {
	var v verification
	if err := d.Fields.Into(&v); err != nil {
		return err
	}
	_, _, sites, ok, err := t.toldJob(v.RenovationID)
	if err != nil || !ok {
		return err
	}
	if err := t.notYet("/verified_on", v.VerifiedOn, sites); err != nil {
		return err
	}
	outcome := "failed"
	if v.VisualPassed && v.AllPassed {
		outcome = "passed"
	}
	return d.Set("outcome", outcome)
}

// followVerification sends a job back to cleaning when its verification has failed.
func (t *Tx) followVerification(r Record) error {
	var v verification
	if err := r.Read(&v); err != nil || r.Ended || v.Outcome != "failed" {
		return err
	}
	job, err := t.Hold("renovation", v.RenovationID)
	if err != nil {
		return err
	}
	note := "The cleaning verification of " + v.VerifiedOn.String() + " found dust or debris."
	if v.VisualPassed {
		note = "The cleaning verification of " + v.VerifiedOn.String() + " found sections that did not pass."
	}
	_, err = t.sendBack(job, v.VerifiedOn, note)
	return err
}

// sendBack moves a held job that is being checked back to cleaning, because a verification or a clearance has failed. A
// job that is closed already stays so: what has come to light opens a finding that must be closed. In any other state the
// fact stands in the book and nothing moves. on is the local date of the failure.
func (t *Tx) sendBack(r Record, on calendar.Date, note string) (Record, error) {
	j, err := jobOf(r)
	if err != nil || r.Ended {
		return r, err
	}
	switch j.State {
	case renovation.Closed:
		var site worksites
		if err := site.locate(t, j.PropertyID); err != nil {
			return r, err
		}
		_, err = t.OpenFinding(Finding{Code: "failed_after_closing", Detail: "The job was closed, and then this was told: " + note, SubjectKind: "renovation", SubjectID: r.ID,
			RenovationID: &r.ID, Blocks: true, OpenedOn: calendar.LocalDate(t.now, site.zone).String(), Citation: law.Cite("40 CFR 745.85(b), (c)", law.Text)}, r.Properties)
		return r, err
	case renovation.Checking:
		if n := len(j.Moves); n > 0 {
			on = max(on, j.Moves[n-1].On)
		}
		return t.addMove(r, j, MoveMade{To: renovation.Cleaning, From: j.State, On: on, RecordedAt: t.now, Note: note}, "sent_back")
	}
	return r, nil
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
	stands, v, err := t.jobFacts(id, j, sites, Move{To: renovation.UnderWay, On: j.start()})
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
	if err != nil || j.begun().IsZero() || v.outcome != renovation.CoveredRenovation {
		return err
	}
	return t.findUntold(after, stands, j.begun(), sites)
}

// findUntold opens a finding on a job under way that names what a covered renovation asks for before work and was not done.
// What follows from restricted facts is left out.
func (t *Tx) findUntold(r Record, stands renovation.Job, begun calendar.Date, sites worksites) error {
	open, err := t.FindingOpen(r.ID, "reclassified_under_way")
	if err != nil || open != uuid.Nil {
		return err
	}
	stands.State, stands.Restricted = renovation.Ready, false
	detail := "Work began on " + begun.String() + ", and with the other jobs at its places it is a covered renovation."
	for _, b := range renovation.Blockers(stands, renovation.UnderWay) {
		detail += " " + b.Detail
	}
	_, err = t.OpenFinding(Finding{Code: "reclassified_under_way", Detail: detail, SubjectKind: "renovation", SubjectID: r.ID, RenovationID: &r.ID, Blocks: true,
		OpenedOn: calendar.LocalDate(t.now, sites.zone).String(), Citation: renovation.WindowReading}, r.Properties)
	return err
}
