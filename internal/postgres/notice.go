package postgres

import (
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// notice is what the book reads back from a notice's written form.
type notice struct {
	RenovationID uuid.UUID            `json:"renovation_id"`
	UnitID       uuid.UUID            `json:"unit_id"`
	Recipient    renovation.Recipient `json:"recipient"`
	How          renovation.How       `json:"how"`
	Proof        renovation.Proof     `json:"proof"`
	GivenOn      calendar.Date        `json:"given_on"`
	Attempt      *struct{}            `json:"attempt"`
}

// told is the notice as the rule sees it.
func (n notice) told() renovation.Told {
	told := renovation.Told{Notice: renovation.Notice{Recipient: n.Recipient, How: n.How, Proof: n.Proof, On: n.GivenOn, Attempt: n.Attempt != nil}}
	if n.UnitID != uuid.Nil {
		told.Unit = n.UnitID.String()
	}
	return told
}

// toldJob reads the job that a fact is about, with its places. ok is false when there is none within reach or it has ended,
// which the check of references will say.
func (t *Tx) toldJob(id uuid.UUID) (r Record, j job, sites worksites, ok bool, err error) {
	r, err = t.Hold("renovation", id)
	if fault.Is(err, fault.NotFound) || r.Ended {
		return r, j, sites, false, nil
	}
	if err != nil {
		return r, j, sites, false, err
	}
	if j, err = jobOf(r); err != nil {
		return r, j, sites, false, err
	}
	sites, err = t.sitesOf(j, false)
	return r, j, sites, err == nil, err
}

// notYet refuses a local date that has not come at the property.
func (t *Tx) notYet(pointer string, on calendar.Date, sites worksites) error {
	var faults fault.Faults
	if today := calendar.LocalDate(t.now, sites.zone); on.After(today) {
		faults.Add(pointer, "in_the_future", "%s has not come yet at the property, where it is %s; tell what happened, when it has happened.", on, today)
	}
	return faults.Err()
}

// completeNotice says whether a notice counts for the job's start. One that comes too late for work that has begun is
// recorded all the same, and opens a finding unless another notice meets the duty.
func (t *Tx) completeNotice(d *Draft) error {
	var n notice
	if err := d.Fields.Into(&n); err != nil {
		return err
	}
	r, j, sites, ok, err := t.toldJob(n.RenovationID)
	if err != nil || !ok {
		return err
	}
	if err := t.notYet("/given_on", n.GivenOn, sites); err != nil {
		return err
	}
	counts, err := t.judgeNotice(d, n, j.start(), sites.jurisdictions)
	if err != nil {
		return err
	}
	begun := j.begun()
	if counts || begun.IsZero() || j.Emergency != nil || j.Outcome != renovation.CoveredRenovation.String() {
		return nil
	}
	told, err := t.noticesTold(r.ID)
	if err != nil {
		return err
	}
	rules, err := t.rules()
	if err != nil {
		return err
	}
	unmet, _, err := rules.Jobs.In(sites.jurisdictions).Unmet([]renovation.Duty{{Recipient: n.Recipient, Unit: n.told().Unit}}, told, begun)
	if err != nil || len(unmet) == 0 {
		return err
	}
	found, err := t.OpenFinding(Finding{Code: "late_notice", SubjectKind: "notice", SubjectID: d.ID, RenovationID: &r.ID, Blocks: true,
		Detail: "Work began on " + begun.String() + " and the " + strings.ReplaceAll(string(n.Recipient), "_", " ") +
			" had not validly been given the pamphlet; it was told to have been given on " + n.GivenOn.String() + ".",
		OpenedOn: calendar.LocalDate(t.now, sites.zone).String(), Citation: law.Cite("40 CFR 745.84(a), (c)", law.Text)}, r.Properties)
	if err != nil {
		return err
	}
	return d.Set("finding_ids", []uuid.UUID{found.ID})
}

// judgeNotice writes into a draft whether a notice counts for a start, when it might have been given, and why.
func (t *Tx) judgeNotice(d *Draft, n notice, start calendar.Date, jurisdictions []string) (counts bool, err error) {
	rules, err := t.rules()
	if err != nil {
		return false, err
	}
	a, err := rules.Jobs.In(jurisdictions).JudgeNotice(n.told().Notice, start)
	if err != nil {
		return false, err
	}
	members := map[string]any{"counts": a.Counts, "why": a.Why, "valid_from": nil, "valid_to": nil}
	if !a.Window.From.IsZero() {
		members["valid_from"], members["valid_to"] = a.Window.From, a.Window.To
	}
	for name, value := range members {
		if err := d.Set(name, value); err != nil {
			return false, err
		}
	}
	return a.Counts, nil
}

const selectNotices = `
select id, body
from notice
where organization_id = $1
  and renovation_id = $2
  and not ended
order by id`

// notices lists the live notices of a job; what is read are their identifiers and written forms.
func (t *Tx) notices(job uuid.UUID) ([]Record, error) {
	var list []Record
	err := t.query(rowsOf(&list, func(row pgx.CollectableRow) (Record, error) {
		r := Record{Kind: "notice"}
		return r, row.Scan(&r.ID, &r.Body)
	}), selectNotices, t.organization(), job)
	return list, err
}

// noticesTold are the live notices of a job as the rule sees them.
func (t *Tx) noticesTold(job uuid.UUID) ([]renovation.Told, error) {
	records, err := t.notices(job)
	if err != nil {
		return nil, err
	}
	told := make([]renovation.Told, len(records))
	for i, r := range records {
		var n notice
		if err := r.Read(&n); err != nil {
			return nil, err
		}
		told[i] = n.told()
	}
	return told, nil
}

// rejudgeNotices keeps what a job's notices say of themselves in step with its start.
func (t *Tx) rejudgeNotices(job uuid.UUID, start calendar.Date, jurisdictions []string) error {
	records, err := t.notices(job)
	if err != nil {
		return err
	}
	for _, listed := range records {
		r, err := t.Hold("notice", listed.ID)
		if err != nil {
			return err
		}
		var n notice
		if err := r.Read(&n); err != nil {
			return err
		}
		fields, err := r.Fields()
		if err != nil {
			return err
		}
		d := Draft{Fields: fields.Told()}
		if _, err := t.judgeNotice(&d, n, start, jurisdictions); err != nil {
			return err
		}
		if _, err := t.Replace(r, "rejudged", d); err != nil {
			return err
		}
	}
	return nil
}

// protection is what the book reads back from a protection's written form.
type protection struct {
	RenovationID uuid.UUID     `json:"renovation_id"`
	UnitID       uuid.UUID     `json:"unit_id"` // uuid.Nil: every unit of the job
	From         calendar.Date `json:"from"`
	To           calendar.Date `json:"to"` // no date: until the place is cleared
}

const selectProtections = `
select body
from protection
where organization_id = $1
  and renovation_id = $2
  and not ended
order by id`

func (t *Tx) protectionsTold(job uuid.UUID) (list []protection, err error) {
	err = t.query(rowsOf(&list, func(row pgx.CollectableRow) (p protection, err error) {
		var body []byte
		if err := row.Scan(&body); err != nil {
			return p, err
		}
		return p, json.Unmarshal(body, &p)
	}), selectProtections, t.organization(), job)
	return list, err
}

// holds reports whether something is arranged for a unit from the start of work to its planned end.
func holds(arranged []protection, unit uuid.UUID, start, end calendar.Date) bool {
	for _, p := range arranged {
		if (p.UnitID == uuid.Nil || p.UnitID == unit) && !p.From.After(start) && (p.To.IsZero() || !p.To.Before(max(start, end))) {
			return true
		}
	}
	return false
}
