package postgres

import (
	"fmt"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// deed is a cleaning verification or a clearance that is being told, and who did it.
type deed struct {
	kind   string // verification or clearance
	act    crew.Act
	person uuid.UUID // uuid.Nil: nobody on record
	on     calendar.Date
	clearedBy

	about Record
	job   job
	sites worksites
}

// standing is what is known of whoever did something: how they were certified and, for a clearance, whether they might clear.
type standing struct {
	held      crew.Holding
	authority *law.Determination // nil for a verification
	findings  []Finding          // none: it counts
}

// judgeDoer writes into a draft whether what somebody did counts: they were certified that day in that place and, for a
// clearance, might clear this job. Otherwise it is kept all the same, and a finding says who, what and when, where the law
// asks for it on this job. Nobody on record is not looked at.
func (t *Tx) judgeDoer(d *Draft, did deed) error {
	if did.person == uuid.Nil {
		return nil
	}
	found, err := t.holders(did.person)
	if err != nil {
		return err
	}
	who := found[did.person]
	if who == nil || who.kind != "person" {
		return nil // the check of references says so
	}
	s, err := t.weigh(did, who)
	if err != nil {
		return err
	}
	if err := s.write(d); err != nil {
		return err
	}
	return t.openAbout(d, did, s.findings)
}

// weigh says how whoever did something stood that day, and what is to be found about it.
func (t *Tx) weigh(did deed, who *holder) (s standing, err error) {
	enough := did.act.By()
	if did.kind == "clearance" {
		enough = clearers
	}
	if s.held, err = t.holds(who, enough, did.on, did.sites.jurisdictions); err != nil {
		return s, err
	}
	if s.held.Outcome != crew.Valid {
		s.findings = append(s.findings, did.finding(notCertified, did.act.Clause(),
			fmt.Sprintf("%s was not a %s on %s: %s.", who.name, did.act.Who(), did.on, s.held.Because())))
	}
	if did.kind == "clearance" {
		err = t.weighAuthority(did, who, &s)
	}
	return s, err
}

func (s standing) write(d *Draft) error {
	if err := d.Set("counts", len(s.findings) == 0); err != nil {
		return err
	}
	if s.authority != nil {
		if err := d.Set("authority", s.authority); err != nil {
			return err
		}
	}
	return d.Set("certification", s.held.Explained)
}

// finding is what is found about a deed.
func (did deed) finding(code string, clause law.Citation, why string) Finding {
	what := "cleaning verification"
	if did.kind == "clearance" {
		what = "clearance"
	}
	return Finding{Code: code, Detail: fmt.Sprintf("%s A pass in the %s of %s does not count.", why, what, did.on), SubjectKind: did.kind,
		RenovationID: &did.about.ID, Blocks: true, Citation: clause}
}

// openAbout opens the findings about a deed, where the job is one whose cleaning must be proved.
func (t *Tx) openAbout(d *Draft, did deed, findings []Finding) error {
	if len(findings) == 0 {
		return nil
	}
	v, err := t.judgeJob(did.job, did.sites, did.about.ID)
	if err != nil || v.outcome != renovation.CoveredRenovation && !v.hud {
		return err
	}
	var ids []uuid.UUID
	if text := d.Fields["finding_ids"]; !isNull(text) {
		if err := json.Unmarshal(text, &ids); err != nil {
			return err
		}
	}
	for _, f := range findings {
		f.SubjectID, f.OpenedOn = d.ID, calendar.LocalDate(t.now, did.sites.zone).String()
		opened, err := t.OpenFinding(f, did.about.Properties)
		if err != nil {
			return err
		}
		ids = append(ids, opened.ID)
	}
	return d.Set("finding_ids", ids)
}
