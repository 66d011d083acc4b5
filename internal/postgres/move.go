package postgres

import (
	"context"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// Move asks for a move of a job.
type Move struct {
	To       renovation.State
	On       calendar.Date // local date; no date: today
	Reason   string
	Override string // why an owner has it made whatever stands in its way; empty: it is no override
}

// MoveRenovation makes a move, or refuses it with everything that stands in its way. Two requests at once are made one
// after the other, so that the second finds the job where the first has put it.
func (s *Store) MoveRenovation(ctx context.Context, call Call, id uuid.UUID, match *string, m Move) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		before, err := t.HoldMatching("renovation", id, match)
		if err != nil {
			return Outcome{}, err
		}
		if before.Ended {
			return Outcome{}, ended()
		}
		after, err := t.move(before, m)
		return Outcome{Status: 200, Record: after}, err
	})
}

func (t *Tx) move(before Record, m Move) (Record, error) {
	j, err := jobOf(before)
	if err != nil {
		return Record{}, err
	}
	sites, err := t.sitesOf(j, true)
	if err != nil {
		return Record{}, err
	}
	if m.On, err = t.dateOfMove(j, sites, m); err != nil {
		return Record{}, err
	}
	stands, v, err := t.jobFacts(before.ID, j, sites, m)
	if err != nil {
		return Record{}, err
	}
	blockers := renovation.Blockers(stands, m.To)
	if len(blockers) > 0 && (m.Override == "" || !renovation.Overridable(blockers)) {
		return Record{}, blocked(j.State, m, blockers)
	}
	made := MoveMade{To: m.To, From: j.State, On: m.On, RecordedAt: t.now, Note: m.Reason}
	if made.By, err = t.actor(); err != nil {
		return Record{}, err
	}
	if m.To == renovation.Ready || m.To == renovation.UnderWay {
		if made.Determination, err = json.Marshal(v.ofMove); err != nil {
			return Record{}, err
		}
	}
	action := "moved"
	if len(blockers) > 0 {
		action = "overridden"
		if made.Overridden, err = t.override(before, made, m.Override, blockers, sites); err != nil {
			return Record{}, err
		}
	}
	after, err := t.addMove(before, j, made, action, v.write)
	if err != nil {
		return Record{}, err
	}
	if m.To == renovation.UnderWay {
		if err := t.rejudgeNotices(after.ID, m.On, sites.jurisdictions); err != nil {
			return Record{}, err
		}
	}
	return after, t.spreadWork(after)
}

// dateOfMove gives the local date of a move, today where none is told. Only ready may be told for a day to come; moves come
// in order of date, but a job told ready ahead may be taken back or called off before that day.
func (t *Tx) dateOfMove(j job, sites worksites, m Move) (calendar.Date, error) {
	today := calendar.LocalDate(t.now, sites.zone)
	if m.On.IsZero() {
		m.On = today
	}
	var faults fault.Faults
	if m.On.After(today) && m.To != renovation.Ready {
		faults.Add("/on", "in_the_future", "%s has not come yet at the property, where it is %s; ask for the move when it is made.", m.On, today)
	}
	if n := len(j.Moves); n > 0 {
		last := j.Moves[n-1]
		ahead := last.On.After(today) && (m.To == renovation.Drafted || m.To == renovation.CalledOff)
		if m.On.Before(last.On) && !ahead {
			faults.Add("/on", "out_of_order", "The job moved to %s on %s; a later move cannot lie before it.", last.To, last.On)
		}
	}
	return m.On, faults.Err()
}

func blocked(from renovation.State, m Move, blockers []fault.Blocker) error {
	e := fault.New(fault.Conflict, "blocked", "The job is %s and does not move to %s: %d things stand in the way.", from, m.To, len(blockers))
	if len(blockers) == 1 {
		e.Detail = blockers[0].Detail
	}
	e.Blockers = blockers
	for _, b := range blockers {
		e.Fix("%s", b.Clear)
	}
	if m.Override != "" {
		e.Fix("Ask for the moves in their order: an override changes what stands in the way of a move, not their order.")
	}
	return e
}

// addMove adds a move to a held job.
func (t *Tx) addMove(before Record, j job, made MoveMade, action string, and ...func(*Draft) error) (Record, error) {
	fields, err := before.Fields()
	if err != nil {
		return Record{}, err
	}
	d := Draft{Fields: fields.Told()}
	if err := d.Set("state", made.To); err != nil {
		return Record{}, err
	}
	if err := d.Set("moves", append(j.Moves, made)); err != nil {
		return Record{}, err
	}
	for _, write := range and {
		if err := write(&d); err != nil {
			return Record{}, err
		}
	}
	return t.Replace(before, action, d)
}

// actor is the name of the key that asks, or its identifier where it belongs to another organization.
func (t *Tx) actor() (string, error) {
	if t.call.Caller.Key == uuid.Nil {
		return "", nil
	}
	r, err := t.Load("key", t.call.Caller.Key)
	if fault.Is(err, fault.NotFound) {
		return t.call.Caller.Key.String(), nil
	}
	if err != nil {
		return "", err
	}
	var key struct {
		Name string `json:"name"`
	}
	return key.Name, r.Read(&key)
}

// Blockers lists what stands in the way of a move as things stand; without a move asked about, of the next one.
func (s *Store) Blockers(ctx context.Context, call Call, id uuid.UUID, m Move) (to renovation.State, blockers []fault.Blocker, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		to, blockers, err = t.blockers(id, m)
		if err == nil && call.Caller.Grant != uuid.Nil {
			t.RecordAccess("renovation", &id, false)
		}
		return err
	})
	return to, blockers, err
}

func (t *Tx) blockers(id uuid.UUID, m Move) (renovation.State, []fault.Blocker, error) {
	r, err := t.Load("renovation", id)
	if err != nil {
		return "", nil, err
	}
	j, err := jobOf(r)
	if err != nil {
		return "", nil, err
	}
	if m.To == "" {
		m.To = renovation.Next(j.State)
	}
	if m.To == "" {
		m.To = j.State
	}
	if r.Ended {
		return m.To, []fault.Blocker{{Code: "ended", Detail: "The record has ended.", Clear: "Record a new renovation."}}, nil
	}
	sites, err := t.sitesOf(j, false)
	if err != nil {
		return "", nil, err
	}
	if m.On.IsZero() {
		m.On = calendar.LocalDate(t.now, sites.zone)
	}
	stands, _, err := t.jobFacts(id, j, sites, m)
	if err != nil {
		return "", nil, err
	}
	return m.To, renovation.Blockers(stands, m.To), nil
}

// jobFacts gathers what a move of a job turns on. A job that goes under way starts on the date of the move.
func (t *Tx) jobFacts(id uuid.UUID, j job, sites worksites, m Move) (renovation.Job, verdict, error) {
	start := j.start()
	if m.To == renovation.UnderWay && j.begun().IsZero() {
		start = m.On
	}
	on := start
	if on.IsZero() {
		on = m.On
	}
	v, err := t.judgeOn(j, sites, id, on)
	if err != nil {
		return renovation.Job{}, v, repoint(err, "/on")
	}
	f := renovation.Job{State: j.State, On: m.On, WorkItems: len(j.WorkItems), Outcome: v.outcome, HUD: v.hud, Start: start,
		Emergency: j.Emergency != nil, NeedsWipes: j.ClearanceRequired, NoReason: m.Reason == "" && m.Override == ""}
	f.Record = j.Emergency.record()
	units := sites.units()
	told, err := t.noticesTold(id)
	if err != nil {
		return f, v, err
	}
	rules, err := t.rules()
	if err != nil {
		return f, v, err
	}
	if f.Unmet, f.GiveBetween, err = rules.Jobs.In(sites.jurisdictions).Unmet(duties(units, on), told, start); err != nil {
		return f, v, repoint(err, "/on")
	}
	if !start.IsZero() {
		mail, _, err := rules.Jobs.In(sites.jurisdictions).NoticeWindow(renovation.Mailed, start)
		if err != nil {
			return f, v, repoint(err, "/on")
		}
		f.MailBy = mail.To
	}
	if v.ofMove = v.determination; m.To == renovation.UnderWay && v.outcome == renovation.CoveredRenovation {
		if v.ofMove, err = t.crewOnStart(j, sites.jurisdictions, on, &f, v.determination); err != nil {
			return f, v, err
		}
	}
	if err := t.protections(id, j, on, units, &f); err != nil {
		return f, v, err
	}
	if err := t.proofs(id, j, sites, &f); err != nil {
		return f, v, err
	}
	if f.Undelivered, err = t.UndeliveredContainers(id); err != nil {
		return f, v, err
	}
	open, err := t.openFindings(id)
	for _, o := range open {
		if o.blocks {
			f.Findings = append(f.Findings, o.detail)
		}
		if o.stops {
			f.Stopped = append(f.Stopped, o.detail)
		}
	}
	return f, v, err
}

// units are the places within units, one for each unit.
func (s worksites) units() []Place {
	var units []Place
	seen := map[uuid.UUID]bool{uuid.Nil: true}
	for _, p := range s.places {
		if !seen[p.Unit] {
			seen[p.Unit] = true
			units = append(units, p)
		}
	}
	return units
}

// duties are the pamphlets that a job in these units owes on a date. An owner is owed one for every job; for work in common
// places and outside it is the only one, and the units around are told by notices or signs, a step of the job.
func duties(units []Place, on calendar.Date) []renovation.Duty {
	sites := make([]renovation.Site, len(units))
	for i, p := range units {
		sites[i] = renovation.Site{Unit: p.Unit.String(), Name: p.UnitName, Kind: p.UnitKind, OwnerThere: law.TriOf(p.unit.OwnerOccupied), Occupied: p.occupied(on)}
	}
	return renovation.Duties(sites)
}

// occupied says whether somebody lives in the unit on a date: no where the stays on record have all ended by then, and not
// known where none is on record.
func (p Place) occupied(on calendar.Date) law.Tri {
	if len(p.stays) == 0 {
		return law.Unknown
	}
	for _, s := range p.stays {
		if s.To.IsZero() || !s.To.Before(on) {
			return law.Yes
		}
	}
	return law.No
}

// withoutEnd is how long work is taken to last when nobody has planned its end.
const withoutEnd = 30 // days

// protections finds out in which units somebody must be kept out of the work and nothing is arranged. A protection holds
// for its unit, or for all of them, when it begins by the start and lasts to the planned end.
func (t *Tx) protections(id uuid.UUID, j job, start calendar.Date, units []Place, f *renovation.Job) error {
	arranged, err := t.protectionsTold(id)
	if err != nil {
		return err
	}
	end := j.PlannedEnd
	if end.IsZero() || end.Before(start) {
		end = start.AddDays(withoutEnd)
	}
	for _, p := range units {
		if holds(arranged, p.Unit, start, j.PlannedEnd) {
			continue
		}
		need := p.Protected(start, end)
		f.Restricted = f.Restricted || need.Restricted
		switch {
		case need.Child:
			f.ChildUnits = append(f.ChildUnits, p.UnitName)
		case need.Untold:
			f.UntoldUnits = append(f.UntoldUnits, p.UnitName)
		}
	}
	return nil
}

const selectLastClearance = `
select outcome, sampled_at
from clearance
where organization_id = $1
  and renovation_id = $2
  and not ended
  and (counts or outcome <> 'passed')
order by sampled_at desc, id desc
limit 1`

const selectLastVerification = `
select body
from verification
where organization_id = $1
  and renovation_id = $2
  and not ended
  and (counts or convert_from(body, 'UTF8')::jsonb->>'outcome' <> 'passed')
order by convert_from(body, 'UTF8')::jsonb->>'verified_on' desc, id desc
limit 1`

const selectUncounted = `
select exists (
  select
  from clearance
  where organization_id = $1
    and renovation_id = $2
    and not ended
    and not counts
    and outcome = 'passed')
or exists (
  select
  from verification
  where organization_id = $1
    and renovation_id = $2
    and not ended
    and not counts
    and convert_from(body, 'UTF8')::jsonb->>'outcome' = 'passed')`

// proofs finds the last clearance and the last cleaning verification, of those that count. One that passed before the place was
// last cleaned proves nothing of that cleaning; one that failed stands until it is answered, whoever found it.
func (t *Tx) proofs(id uuid.UUID, j job, sites worksites, f *renovation.Job) error {
	cleaned := j.last(renovation.Cleaning)
	var sampled calendar.Date
	err := t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			var at time.Time
			if err := rows.Scan(&f.Clearance, &at); err != nil {
				return err
			}
			sampled = calendar.LocalDate(at, sites.zone)
		}
		return rows.Err()
	}, selectLastClearance, t.organization(), id)
	if err != nil {
		return err
	}
	err = t.query(func(rows pgx.Rows) (err error) {
		f.Uncounted, err = pgx.CollectExactlyOneRow(rows, pgx.RowTo[bool])
		return err
	}, selectUncounted, t.organization(), id)
	if err != nil {
		return err
	}
	var last verification
	err = t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			var body []byte
			if err := rows.Scan(&body); err != nil {
				return err
			}
			if err := json.Unmarshal(body, &last); err != nil {
				return err
			}
		}
		return rows.Err()
	}, selectLastVerification, t.organization(), id)
	if err != nil {
		return err
	}
	if f.Verification = last.Outcome; f.Verification == "passed" && last.VerifiedOn.Before(cleaned) {
		f.Verification, f.Outdated = "", !f.NeedsWipes && !f.HUD
	}
	if f.Clearance == "passed" && sampled.Before(cleaned) {
		f.Clearance, f.Outdated = "", true
	}
	return nil
}
