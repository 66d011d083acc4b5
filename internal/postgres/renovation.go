package postgres

import (
	"slices"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/evidence"
	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/renovation"
)

// job is what the book reads back from a renovation's written form.
type job struct {
	PropertyID        uuid.UUID     `json:"property_id"`
	WorkItems         []WorkForm    `json:"work_items"`
	PlannedStart      calendar.Date `json:"planned_start"`
	PlannedEnd        calendar.Date `json:"planned_end"`
	DoneBy            doer          `json:"done_by"`
	Emergency         *emergency    `json:"emergency"`
	Assisted          string        `json:"assisted"`
	ClearanceRequired bool          `json:"clearance_required"`
	FirmID            uuid.UUID     `json:"firm_id"` // uuid.Nil: none on record
	Crew              []crewMember  `json:"crew"`

	State   renovation.State `json:"state"`
	Outcome string           `json:"outcome"`
	Moves   []MoveMade       `json:"moves"`
}

type doer struct {
	Relation string `json:"relation"`
}

// MoveMade is a move of a job that was made.
type MoveMade struct {
	To            renovation.State `json:"to"`
	From          renovation.State `json:"from"`
	On            calendar.Date    `json:"on"` // local date
	By            string           `json:"by,omitempty"`
	RecordedAt    time.Time        `json:"recorded_at"`
	Note          string           `json:"note,omitempty"`
	Determination jsontext.Value   `json:"determination,omitempty"`
	Overridden    *Overridden      `json:"overridden,omitempty"`
}

func jobOf(r Record) (j job, err error) {
	err = r.Read(&j)
	return j, err
}

// begun is when work began; no date while it has not.
func (j job) begun() calendar.Date { return j.last(renovation.UnderWay) }

// last is when the job last moved to a state; no date when it never did.
func (j job) last(to renovation.State) calendar.Date {
	for _, m := range slices.Backward(j.Moves) {
		if m.To == to {
			return m.On
		}
	}
	return 0
}

// start is when work began or, until it has, when it is planned to.
func (j job) start() calendar.Date {
	if begun := j.begun(); !begun.IsZero() {
		return begun
	}
	return j.PlannedStart
}

// settledUnderWay are the members that are settled once work is under way.
var settledUnderWay = []string{"work_items", "planned_start", "planned_end", "done_by", "firm_id"}

// completeRenovation checks the places of a job's work and says what the job is under the renovation rule.
func (t *Tx) completeRenovation(before *Record, d *Draft) error {
	var old job
	known := map[uuid.UUID]bool{}
	if before == nil {
		if err := d.Set("state", renovation.Drafted); err != nil {
			return err
		}
		if err := d.Set("moves", []MoveMade{}); err != nil {
			return err
		}
	} else {
		changed, err := t.checkSettled(*before, *d)
		if err != nil || !changed {
			return err
		}
		if old, err = jobOf(*before); err != nil {
			return err
		}
		d.ID, known = before.ID, old.places()
	}
	var j job
	if err := d.Fields.Into(&j); err != nil {
		return err
	}
	var faults fault.Faults
	if err := t.checkCrew(&faults, j, old.Crew); err != nil {
		return err
	}
	sites, err := t.checkPlaces(&j, known, d)
	if fault.Is(err, fault.Implausible) {
		faults.Merge("", err)
	} else if err != nil {
		return err
	}
	if err := faults.Err(); err != nil {
		return err
	}
	verdict, err := t.judgeJob(j, sites, d.ID)
	if err != nil {
		return repoint(err, "/planned_start")
	}
	if err := verdict.write(d); err != nil {
		return err
	}
	if before == nil {
		return nil
	}
	if err := t.emergencyWithdrawn(*before, j, sites); err != nil {
		return err
	}
	if err := t.crewToldLate(d.ID, j, old, sites, verdict); err != nil {
		return err
	}
	return t.rejudgeNotices(d.ID, j.start(), sites.jurisdictions)
}

// places are the places that a job's work items name.
func (j job) places() map[uuid.UUID]bool {
	named := map[uuid.UUID]bool{}
	for _, w := range j.WorkItems {
		_, id := w.site()
		named[id] = true
	}
	return named
}

// checkSettled refuses to change what is settled once work is under way. changed is false when nothing differs at all.
func (t *Tx) checkSettled(before Record, d Draft) (changed bool, err error) {
	old, err := before.Fields()
	if err != nil {
		return false, err
	}
	if same, err := equal(old.Told(), d.Fields); err != nil || same {
		return false, err
	}
	j, err := jobOf(before)
	if err != nil || j.State == renovation.Drafted || j.State == renovation.Ready {
		return true, err
	}
	refused := fault.New(fault.Conflict, "job_under_way", "The job is %s; what is done, when and by whom is settled.", j.State).
		Fix("Leave these fields as they are. Record further work as a renovation of its own.")
	for _, name := range settledUnderWay {
		if name == "firm_id" && isNull(old[name]) {
			continue // which firm it was may be told late
		}
		same, err := equal(Fields{name: old[name]}, Fields{name: d.Fields[name]})
		if err != nil {
			return false, err
		}
		if !same {
			refused.At("/"+name, "settled", "%s can be changed only while the job is drafted or ready.", name)
		}
	}
	if len(refused.Fields) > 0 {
		return false, refused
	}
	return true, nil
}

// repoint says at which field of the request a fault lies that a rule found at one of its own facts.
func repoint(err error, pointer string) error {
	if !fault.Is(err, fault.Implausible) {
		return err
	}
	e := *fault.As(err)
	e.Fields = slices.Clone(e.Fields)
	for i := range e.Fields {
		e.Fields[i].Pointer = pointer
	}
	return &e
}

const selectOpenFindings = `
select renovation_id, body
from finding
where organization_id = $1
  and renovation_id = any($2)
  and state <> 'signed_off'
  and not ended
order by id`

// closedWithOpenFinding says of a row of renovation whether the job is closed and a finding is open on it.
const closedWithOpenFinding = `(state = 'closed' and exists (
    select
    from finding
    where finding.organization_id = renovation.organization_id
      and finding.renovation_id = renovation.id
      and finding.state <> 'signed_off'
      and not finding.ended))`

// openFinding is an open finding on a job.
type openFinding struct {
	job    uuid.UUID
	detail string
	blocks bool
	stops  bool // work, as things stand
}

func (t *Tx) openFindings(jobs ...uuid.UUID) ([]openFinding, error) {
	var found []openFinding
	err := t.query(rowsOf(&found, func(row pgx.CollectableRow) (openFinding, error) {
		var o openFinding
		var body []byte
		if err := row.Scan(&o.job, &body); err != nil {
			return o, err
		}
		var f Finding
		err := json.Unmarshal(body, &f)
		o.detail, o.blocks, o.stops = f.Detail, f.Blocks, f.stopsWork()
		return o, err
	}), selectOpenFindings, t.organization(), jobs)
	return found, err
}

// headlines adds to jobs how many findings are open on them and how many moves were overridden, and what follows of it.
func (t *Tx) headlines(records []Record, bodies [][]byte) error {
	ids := make([]uuid.UUID, len(records))
	for i := range records {
		ids[i] = records[i].ID
	}
	found, err := t.openFindings(ids...)
	if err != nil {
		return err
	}
	open := map[uuid.UUID]int{}
	for _, f := range found {
		open[f.job]++
	}
	for i, r := range records {
		if bodies[i], err = headlined(bodies[i], open[r.ID]); err != nil {
			return err
		}
	}
	return nil
}

func headlined(body []byte, open int) ([]byte, error) {
	var fields Fields
	if err := json.Unmarshal(body, &fields); err != nil {
		return nil, err
	}
	var j job
	if err := fields.Into(&j); err != nil {
		return nil, err
	}
	headline, withFinding := string(j.State), open > 0 && j.State == renovation.Closed
	if withFinding {
		headline = "closed, with open finding"
	}
	d := Draft{Fields: fields}
	for name, value := range map[string]any{"headline": headline, "open_findings": open, "closed_with_open_finding": withFinding, "overrides": j.overrides()} {
		if err := d.Set(name, value); err != nil {
			return nil, err
		}
	}
	text, err := json.Marshal(d.Fields)
	if err != nil {
		return nil, err
	}
	return evidence.Canonical(text)
}
