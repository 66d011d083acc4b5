package postgres

import (
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// causeKey tells one finding of observations from another: what happened, by which observation.
type causeKey struct {
	code, observation string
}

// observedFinding is a live finding that an observation opened.
type observedFinding struct {
	record Record
	form   Finding
	since  time.Time // the book knew of it
}

const selectObservedFindings = `
select id, version, array_remove(array[property_id], null), ended, body
from finding
where organization_id = $1
  and renovation_id = $2
  and subject_kind = 'observation'
  and not ended
order by id`

const holdObservedFindings = `
select id, version, array_remove(array[property_id], null), ended, body
from finding
where organization_id = $1
  and renovation_id = $2
  and subject_kind = 'observation'
  and not ended
order by id
for no key update`

// observedFindings are the live findings that the observations of a job opened.
func (t *Tx) observedFindings(job uuid.UUID, hold bool) (map[causeKey]observedFinding, error) {
	sql := selectObservedFindings
	if hold {
		sql = holdObservedFindings
	}
	var records []Record
	err := t.query(rowsOf(&records, func(row pgx.CollectableRow) (Record, error) {
		r := Record{Kind: "finding"}
		return r, row.Scan(&r.ID, &r.Version, &r.Properties, &r.Ended, &r.Body)
	}), sql, t.organization(), job)
	if err != nil {
		return nil, err
	}
	found := map[causeKey]observedFinding{}
	for _, r := range records {
		f := observedFinding{record: r}
		var head struct {
			CreatedAt time.Time `json:"created_at"`
		}
		if err := r.Read(&f.form); err != nil {
			return nil, err
		}
		if err := r.Read(&head); err != nil {
			return nil, err
		}
		f.since = head.CreatedAt
		found[causeKey{f.form.Code, f.form.SubjectID.String()}] = f
	}
	return found, nil
}

// settleObserved brings the findings of a held job in step with what its observations come to: findings are opened, say
// what became of their causes, or are voided where by what was told since there is no cause. What people have signed off
// stays as it is.
func (t *Tx) settleObserved(r Record) error {
	set, err := t.observations(r.ID, renovation.FindingKinds()...)
	if err != nil {
		return err
	}
	known, err := t.observedFindings(r.ID, true)
	if err != nil || len(set) == 0 && len(known) == 0 {
		return err
	}
	j, err := jobOf(r)
	if err != nil {
		return err
	}
	site, err := t.workSite(r, j)
	if err != nil {
		return err
	}
	wanted := map[causeKey]bool{}
	for _, c := range renovation.Observe(site, set).Causes {
		since, err := t.settleCause(r, site, c, known, wanted)
		if err != nil {
			return err
		}
		if late := c.Late(j.made(), since, site.Zone); len(late) > 0 {
			told := c
			told.Code, told.Stops, told.Why, told.Detail, told.Citation = renovation.LateFact, false, nil, c.LateDetail(late), law.Citation{}
			if _, err := t.settleCause(r, site, told, known, wanted); err != nil {
				return err
			}
		}
	}
	for key, f := range known {
		if !wanted[key] && f.form.State != signedOff {
			if err := t.voidFinding(f.record, site.Zone); err != nil {
				return err
			}
		}
	}
	return nil
}

// settleCause opens the finding of a cause, or brings it up to date; since is when the book came to know of it.
func (t *Tx) settleCause(r Record, site renovation.WorkSite, c renovation.Cause, known map[causeKey]observedFinding, wanted map[causeKey]bool) (since time.Time, err error) {
	key := causeKey{c.Code, c.Observation}
	if wanted[key] { // two causes of one observation were told late: one finding says so
		return t.now, nil
	}
	wanted[key] = true
	subject, err := uuid.Parse(c.Observation)
	if err != nil {
		return t.now, err
	}
	f, there := known[key]
	is := Finding{Code: c.Code, Detail: shortened(c.Detail), SubjectKind: "observation", SubjectID: subject, RenovationID: &r.ID, Blocks: true,
		Stops: c.StopsNow(), OpenedOn: calendar.LocalDate(t.now, site.Zone).String(), Determination: c.Why}
	if c.Citation.Clause != "" {
		is.Citation = c.Citation
	}
	if !there {
		_, err := t.OpenFinding(is, r.Properties)
		return t.now, err
	}
	if f.form.State == signedOff || f.form.Detail == is.Detail && f.form.Stops == is.Stops {
		return f.since, nil
	}
	is.State, is.Steps, is.OpenedOn = f.form.State, f.form.Steps, f.form.OpenedOn
	d, err := draftOf(is)
	if err != nil {
		return f.since, err
	}
	_, err = t.Replace(f.record, "restated", d)
	return f.since, err
}

// voidFinding ends a finding whose cause is gone. It stays readable, with the reason.
func (t *Tx) voidFinding(f Record, zone *time.Location) error {
	_, err := t.End(f, Ending{How: "void", Reason: "By what was told since, this did not happen so.", On: calendar.LocalDate(t.now, zone).String()})
	return err
}

// made are the moves as the rules see them.
func (j job) made() []renovation.MadeMove {
	moves := make([]renovation.MadeMove, len(j.Moves))
	for i, m := range j.Moves {
		moves[i] = renovation.MadeMove{From: m.From, To: m.To, On: m.On, Recorded: m.RecordedAt}
	}
	return moves
}

func shortened(detail string) string {
	if text := []rune(detail); len(text) > longestDetail {
		return string(text[:longestDetail]) + "…"
	}
	return detail
}
