package postgres

import (
	"fmt"
	"slices"

	"github.com/google/uuid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// crewMember is somebody on a job, and their part in it.
type crewMember struct {
	PersonID uuid.UUID `json:"person_id"`
	Part     string    `json:"part"`
}

// certifiedRenovator is the part of the one who is assigned to a job.
const certifiedRenovator = "certified_renovator"

// checkCrew demands that everybody on a job is on record and, where newly named, live.
func (t *Tx) checkCrew(f *fault.Faults, j job, before []crewMember) error {
	if len(j.Crew) == 0 {
		return nil
	}
	ids := make([]uuid.UUID, len(j.Crew))
	for i, m := range j.Crew {
		ids[i] = m.PersonID
	}
	found, err := t.holders(ids...)
	for i, m := range j.Crew {
		pointer := fmt.Sprintf("/crew/%d/person_id", i)
		known := slices.ContainsFunc(before, func(b crewMember) bool { return b.PersonID == m.PersonID })
		switch h := found[m.PersonID]; {
		case h == nil || h.kind != "person":
			f.Add(pointer, "no_such_reference", "There is no person with this identifier that this credential may see.")
		case h.ended && !known:
			f.Add(pointer, "reference_ended", "The person has ended; name a live one.")
		}
	}
	return err
}

const deleteCrew = `
delete from crew_member
where organization_id = $1
  and renovation_id = $2`

const insertCrew = `
insert into crew_member (organization_id, renovation_id, person_id, part)
select $1, $2, unnest($3::uuid[]), unnest($4::text[])
on conflict do nothing`

// spreadCrew keeps the index of who is on which job in step with a job.
func (t *Tx) spreadCrew(r Record) error {
	j, err := jobOf(r)
	if err != nil {
		return err
	}
	if r.Version > 1 {
		t.later(deleteCrew, t.organization(), r.ID)
	}
	if len(j.Crew) == 0 || r.Ended {
		return nil
	}
	people, parts := make([]uuid.UUID, len(j.Crew)), make([]string, len(j.Crew))
	for i, m := range j.Crew {
		people[i], parts[i] = m.PersonID, m.Part
	}
	t.later(insertCrew, t.organization(), r.ID, people, parts)
	return nil
}

// assigned is a firm or a certified renovator of a job, and what they must be certified for.
type assigned struct {
	*holder
	act  crew.Act
	fact string
}

// assigned are those of a job who must be certified for the work: its firm and its certified renovators, where they are on
// record.
func (t *Tx) assigned(j job) (list []assigned, err error) {
	var ids []uuid.UUID
	if j.FirmID != uuid.Nil {
		ids = append(ids, j.FirmID)
	}
	for _, m := range j.Crew {
		if m.Part == certifiedRenovator {
			ids = append(ids, m.PersonID)
		}
	}
	if len(ids) == 0 {
		return nil, nil
	}
	found, err := t.holders(ids...)
	if err != nil {
		return nil, err
	}
	if h := found[j.FirmID]; h != nil {
		list = append(list, assigned{h, crew.BeTheFirm, "firm_id"})
	}
	for i, m := range j.Crew {
		if h := found[m.PersonID]; h != nil && m.Part == certifiedRenovator {
			list = append(list, assigned{h, crew.DirectTheWork, fmt.Sprintf("crew/%d", i)})
		}
	}
	return list, nil
}

// crewOnStart says who of a covered job is certified on the day on which its work starts. Who is not stands in the way, save in
// an emergency; that nobody is on record is listed as missing.
func (t *Tx) crewOnStart(j job, jurisdictions []string, on calendar.Date, f *renovation.Job, d law.Determination) (law.Determination, error) {
	d.Reasons, d.Used, d.Missing = slices.Clone(d.Reasons), slices.Clone(d.Used), slices.Clone(d.Missing)
	list, err := t.assigned(j)
	if err != nil {
		return d, err
	}
	for _, who := range list {
		held, err := t.holds(who.holder, who.act.By(), on, jurisdictions)
		if err != nil {
			return d, repoint(err, "/on")
		}
		d.Use(who.fact, who.name)
		if held.Outcome == crew.Valid {
			d.Because(who.act.Rule(), who.fact, string(held.Outcome), who.act.Clause(), fmt.Sprintf("%s is a %s on %s.", who.name, held.Discipline, on))
			continue
		}
		text := fmt.Sprintf("%s is not a %s on %s: %s.", who.name, held.Discipline, on, held.Because())
		if j.Emergency.lifts() {
			text += " In an emergency that is lifted, only to the extent necessary."
		} else {
			f.NotCertified = append(f.NotCertified, renovation.NotCertified{Who: who.name, Detail: text, Clause: who.act.Clause()})
		}
		d.Because(who.act.Rule(), who.fact, string(held.Outcome), who.act.Clause(), text)
	}
	if j.FirmID == uuid.Nil {
		d.Miss("firm_id", "No firm on record is named for the job, so whether it is certified on the day was not looked at.", "A firm that is not certified that day would keep the work from starting.")
	}
	if !slices.ContainsFunc(list, func(who assigned) bool { return who.act == crew.DirectTheWork }) {
		d.Miss("crew", "No certified renovator on record is named for the job, so whether one is certified on the day was not looked at.", "One who is not certified that day would keep the work from starting.")
	}
	return d, nil
}

// notCertified is the finding's code for work, a verification or a clearance by somebody who was not certified that day.
const notCertified = "not_certified"

// crewToldLate opens a finding for each who is named for a job under way or done and was not certified: the firm on any day of
// its work so far, a certified renovator on the last of them.
func (t *Tx) crewToldLate(id uuid.UUID, j job, before job, sites worksites, v verdict) error {
	if j.begun().IsZero() || v.outcome != renovation.CoveredRenovation || j.Emergency.lifts() {
		return nil
	}
	rules, err := t.rules()
	if err != nil {
		return err
	}
	today := calendar.LocalDate(t.now, sites.zone)
	from, to := j.days(today)
	to = min(to, max(from, today))
	list, err := t.assigned(j)
	if err != nil {
		return err
	}
	for _, who := range list {
		first := to
		if who.act == crew.BeTheFirm {
			first = from
		}
		if before.names(who) {
			continue
		}
		gap, found := rules.Crews.Certificates.FirstGap(who.certificates, who.act.By(), first, to, sites.jurisdictions)
		if !found {
			continue
		}
		detail := fmt.Sprintf("%s was named for the job after its work had begun on %s, and was not a %s on %s: %s.", who.name, from, who.act.Who(), gap.On, gap.Standing.Because())
		if _, err := t.OpenFinding(Finding{Code: notCertified, Detail: detail, SubjectKind: who.kind, SubjectID: who.id, RenovationID: &id, Blocks: true,
			OpenedOn: today.String(), Citation: who.act.Clause()}, []uuid.UUID{j.PropertyID}); err != nil {
			return err
		}
	}
	return nil
}

// names reports whether a job names a firm or a certified renovator.
func (j job) names(who assigned) bool {
	return who.id == j.FirmID || slices.Contains(j.Crew, crewMember{who.id, certifiedRenovator})
}
