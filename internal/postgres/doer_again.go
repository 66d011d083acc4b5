package postgres

import (
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
)

const selectDoneBy = `
select 'verification', id, renovation_id
from verification
where organization_id = $1
  and person_id = $2
  and not ended
union all
select 'clearance', id, renovation_id
from clearance
where organization_id = $1
  and person_id = $2
  and not ended
order by 3, 2`

// doneBy is a cleaning verification or a clearance that somebody made.
type doneBy struct {
	Kind    string
	ID, Job uuid.UUID
}

// followCertificate looks again at what the holder of a certificate that came, changed or ended has verified and cleared: a
// certificate may be recorded after the work that it covers, or turn out to be in error. Some of it may lie outside the caller's
// reach; the book keeps it in step all the same.
func (t *Tx) followCertificate(r Record) error {
	holds := []Record{r}
	if r.Version > 1 { // it may have been somebody else's until now
		before, err := t.At(r.Kind, r.ID, r.Version-1)
		if err != nil {
			return err
		}
		holds = append(holds, before)
	}
	reach := t.call.Caller.Properties
	defer func() { t.call.Caller.Properties = reach }()
	t.call.Caller.Properties = nil
	seen := map[uuid.UUID]bool{uuid.Nil: true}
	for _, version := range holds {
		var certificate struct {
			PersonID uuid.UUID `json:"person_id"`
		}
		if err := version.Read(&certificate); err != nil {
			return err
		}
		if seen[certificate.PersonID] {
			continue
		}
		seen[certificate.PersonID] = true
		if err := t.weighAllBy(certificate.PersonID); err != nil {
			return err
		}
	}
	return nil
}

func (t *Tx) weighAllBy(person uuid.UUID) error {
	var done []doneBy
	err := t.query(rowsOf(&done, pgx.RowToStructByPos[doneBy]), selectDoneBy, t.organization(), person)
	if err != nil || len(done) == 0 {
		return err
	}
	found, err := t.holders(person)
	if err != nil || found[person] == nil {
		return err
	}
	for _, one := range done {
		if err := t.weighAgain(one, found[person]); err != nil {
			return err
		}
	}
	return nil
}

// deedForm is what is read back of a verification or a clearance about who did it.
type deedForm struct {
	VerifiedOn    calendar.Date     `json:"verified_on"`
	SampledOn     calendar.Date     `json:"sampled_on"`
	Counts        bool              `json:"counts"`
	Certification law.Determination `json:"certification"`
	Authority     law.Determination `json:"authority"`
}

// weighAgain brings what a record says of whoever made it in step with the certificates on record. What has come to count
// leaves its finding to be signed off; what counts no longer opens one.
func (t *Tx) weighAgain(one doneBy, who *holder) error {
	about, j, sites, ok, err := t.toldJob(one.Job)
	if err != nil || !ok {
		return err
	}
	record, err := t.Hold(one.Kind, one.ID)
	if err != nil || record.Ended {
		return err
	}
	var told deedForm
	if err := record.Read(&told); err != nil {
		return err
	}
	did := deed{kind: one.Kind, act: crew.VerifyCleaning, on: max(told.VerifiedOn, told.SampledOn), about: about, job: j, sites: sites}
	if one.Kind == "clearance" {
		did.act, did.clearedBy = crew.SampleDust, clearedBy{told: toldIn(told.Authority), again: true}
	}
	now, err := t.weigh(did, who)
	if err != nil || told.Counts == (len(now.findings) == 0) && told.Certification.Outcome == now.held.Explained.Outcome {
		return err
	}
	fields, err := record.Fields()
	if err != nil {
		return err
	}
	d := Draft{ID: record.ID, Fields: fields.Told()}
	if err := now.write(&d); err != nil {
		return err
	}
	var fresh []Finding
	for _, f := range now.findings {
		open, err := t.FindingOpen(record.ID, f.Code)
		if err != nil {
			return err
		}
		if open == uuid.Nil && f.Code != independenceBroken {
			fresh = append(fresh, f)
		}
	}
	if err := t.openAbout(&d, did, fresh); err != nil {
		return err
	}
	_, err = t.Replace(record, "rejudged", d)
	return err
}

// toldIn are the facts about a clearer that an answer on record rested on.
func toldIn(d law.Determination) *clearance.AuthorityFacts {
	used := map[string]string{}
	for _, u := range d.Used {
		used[u.Fact] = u.Value
	}
	return &clearance.AuthorityFacts{Supervised: law.TriOf(used["supervised"]), Licensed: law.TriOf(used["licensed"]), SingleUnit: law.TriOf(used["single_unit"]),
		Random: law.TriOf(used["random_sampling"]), Approved: law.TriOf(used["sampling_approved"]), Relation: clearance.Relation(used["relation"])}
}
