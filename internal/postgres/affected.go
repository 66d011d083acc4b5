package postgres

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/trade"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/renovation"
)

// Affected are the jobs outside the certified time of a holder in a discipline.
type Affected struct {
	Discipline crew.Discipline `json:"discipline"`
	FirmID     *uuid.UUID      `json:"firm_id,omitempty"`
	PersonID   *uuid.UUID      `json:"person_id,omitempty"`
	Holder     string          `json:"holder"`
	Items      []AffectedJob   `json:"items"`
	Complete   bool            `json:"complete"`
}

// AffectedJob is a job, or something done on it, that has a day on which the holder is not certified.
type AffectedJob struct {
	RenovationID   uuid.UUID        `json:"renovation_id"`
	PropertyID     uuid.UUID        `json:"property_id"`
	Title          string           `json:"title"`
	State          renovation.State `json:"state"`
	What           string           `json:"what"` // work, verification or clearance
	VerificationID *uuid.UUID       `json:"verification_id,omitempty"`
	ClearanceID    *uuid.UUID       `json:"clearance_id,omitempty"`
	From           calendar.Date    `json:"from"`
	To             calendar.Date    `json:"to"`
	On             calendar.Date    `json:"on"` // the first day without
	Standing       crew.Standing    `json:"standing"`
	Why            string           `json:"why"`
}

// mostAffected bounds how many jobs of a holder are looked at, the latest first.
const mostAffected = 1000

const selectWorkOf = `
select r.id, r.property_id, r.body, p.body
from renovation r
join property p on p.organization_id = r.organization_id and p.id = r.property_id
where r.organization_id = $1
  and not r.ended
  and ($4::uuid[] is null or r.property_id = any($4))
  and (r.firm_id = $2 or r.id in (
    select m.renovation_id
    from crew_member m
    where m.organization_id = $1
      and m.person_id = $2
      and m.part = $3))
order by r.id desc
limit $5`

const selectVerificationsOf = `
select v.id, r.id, r.property_id, v.body, r.body, p.body
from verification v
join renovation r on r.organization_id = v.organization_id and r.id = v.renovation_id
join property p on p.organization_id = v.organization_id and p.id = v.property_id
where v.organization_id = $1
  and not v.ended
  and ($3::uuid[] is null or v.property_id = any($3))
  and v.person_id = $2
order by v.id desc
limit $4`

const selectClearancesOf = `
select c.id, r.id, r.property_id, c.body, r.body, p.body
from clearance c
join renovation r on r.organization_id = c.organization_id and r.id = c.renovation_id
join property p on p.organization_id = c.organization_id and p.id = c.property_id
where c.organization_id = $1
  and not c.ended
  and ($3::uuid[] is null or c.property_id = any($3))
  and c.person_id = $2
order by c.id desc
limit $4`

// AffectedJobs finds what the holder of a certificate does or did in its discipline on days on which the certificates on record
// do not show it, within the caller's reach.
func (s *Store) AffectedJobs(ctx context.Context, call Call, certificate uuid.UUID) (a Affected, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		a, err = t.affectedJobs(certificate)
		return err
	})
	return a, err
}

func (t *Tx) affectedJobs(certificate uuid.UUID) (Affected, error) {
	a := Affected{Items: []AffectedJob{}, Complete: true}
	record, err := t.Load("certificate", certificate)
	if err != nil {
		return a, err
	}
	if err := record.Read(&a); err != nil {
		return a, err
	}
	of := a.FirmID
	if of == nil {
		of = a.PersonID
	}
	found, err := t.holders(*of)
	if err != nil {
		return a, err
	}
	rules, err := t.rules()
	if err != nil {
		return a, err
	}
	if t.call.Caller.Grant != uuid.Nil {
		t.RecordAccess("certificate", &certificate, false)
	}
	l := lapse{Tx: t, rules: rules, holder: found[*of], answer: &a}
	a.Holder = l.holder.name
	return a, l.look()
}

// lapse looks for what a holder does without a certificate.
type lapse struct {
	*Tx
	rules  *trade.Rules
	holder *holder
	answer *Affected
}

// look asks each kind of thing for which the discipline is needed.
func (l lapse) look() error {
	switch d := l.answer.Discipline; {
	case d == crew.Firm:
		return l.work("", crew.BeTheFirm)
	case d == crew.Renovator:
		if err := l.work(certifiedRenovator, crew.DirectTheWork); err != nil {
			return err
		}
		return l.told("verification", selectVerificationsOf, crew.VerifyCleaning)
	case d == crew.AbatementSupervisor:
		return l.work("supervisor", crew.AbateSupervise)
	case slices.Contains(crew.SampleDust.By(), d):
		return l.told("clearance", selectClearancesOf, crew.SampleDust)
	}
	return nil
}

// work looks at the days of the holder's jobs.
func (l lapse) work(part string, act crew.Act) error {
	n := 0
	err := l.query(func(rows pgx.Rows) error {
		for ; rows.Next(); n++ {
			var item AffectedJob
			var body, property []byte
			if err := rows.Scan(&item.RenovationID, &item.PropertyID, &body, &property); err != nil {
				return err
			}
			j, zone, jurisdictions, err := item.read(body, property)
			if err != nil {
				return err
			}
			item.What = "work"
			item.From, item.To = j.days(calendar.LocalDate(l.now, zone))
			l.add(item, act, jurisdictions)
		}
		return rows.Err()
	}, selectWorkOf, l.organization(), l.holder.id, part, l.call.Caller.Properties, mostAffected)
	return l.sorted(n, err)
}

// told looks at the days of what the holder told or is told of.
func (l lapse) told(what, sql string, act crew.Act) error {
	n := 0
	err := l.query(func(rows pgx.Rows) error {
		for ; rows.Next(); n++ {
			var item AffectedJob
			var id uuid.UUID
			var body, job, property []byte
			if err := rows.Scan(&id, &item.RenovationID, &item.PropertyID, &body, &job, &property); err != nil {
				return err
			}
			_, _, jurisdictions, err := item.read(job, property)
			if err != nil {
				return err
			}
			var on struct {
				VerifiedOn calendar.Date `json:"verified_on"`
				SampledOn  calendar.Date `json:"sampled_on"`
			}
			if err := json.Unmarshal(body, &on); err != nil {
				return err
			}
			item.What, item.From = what, max(on.VerifiedOn, on.SampledOn)
			item.To = item.From
			if what == "verification" {
				item.VerificationID = &id
			} else {
				item.ClearanceID = &id
			}
			l.add(item, act, jurisdictions)
		}
		return rows.Err()
	}, sql, l.organization(), l.holder.id, l.call.Caller.Properties, mostAffected)
	return l.sorted(n, err)
}

// read takes from the written forms of a job and its property what is shown of them.
func (a *AffectedJob) read(body, property []byte) (j job, zone *time.Location, jurisdictions []string, err error) {
	if err = json.Unmarshal(body, a); err != nil {
		return
	}
	if err = json.Unmarshal(body, &j); err != nil {
		return
	}
	var at bodyOfPlace
	if err = json.Unmarshal(property, &at); err != nil {
		return
	}
	zone, err = time.LoadLocation(at.TimeZone)
	return j, zone, at.Jurisdictions, err
}

// add puts in what has a day without a certificate. Work without days has none.
func (l lapse) add(item AffectedJob, act crew.Act, jurisdictions []string) {
	if item.From.IsZero() {
		return
	}
	gap, found := l.rules.Crews.Certificates.FirstGap(l.holder.certificates, act.By(), item.From, item.To, jurisdictions)
	if !found {
		return
	}
	item.On, item.Standing = gap.On, gap.Standing
	item.Why = fmt.Sprintf("%s is not a %s on %s: %s.", l.holder.name, act.Who(), gap.On, gap.Standing.Because())
	l.answer.Items = append(l.answer.Items, item)
}

func (l lapse) sorted(n int, err error) error {
	l.answer.Complete = l.answer.Complete && n < mostAffected
	slices.SortStableFunc(l.answer.Items, func(a, b AffectedJob) int { return cmp.Compare(a.On, b.On) })
	if len(l.answer.Items) > mostAffected {
		l.answer.Items, l.answer.Complete = l.answer.Items[:mostAffected], false
	}
	return err
}

// days are the first and the last day of a job's work, its cleaning included: what was done, and what is left to do as planned;
// no days where nothing is planned or the job was called off before it began.
func (j job) days(today calendar.Date) (from, to calendar.Date) {
	from = j.begun()
	switch {
	case !from.IsZero() && j.State == renovation.Closed:
		return from, max(from, j.last(renovation.Closed))
	case !from.IsZero() && j.State == renovation.CalledOff:
		return from, max(from, j.last(renovation.CalledOff))
	case !from.IsZero():
		return from, max(from, today, j.PlannedEnd)
	case j.State == renovation.CalledOff:
		return 0, 0
	}
	return j.PlannedStart, max(j.PlannedStart, j.PlannedEnd)
}
