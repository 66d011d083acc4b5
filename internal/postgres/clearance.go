package postgres

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// Sampling is one lap of clearance as told: the members that are kept, and what the verdict turns on.
type Sampling struct {
	Draft      Draft
	Renovation uuid.UUID
	SampledAt  time.Time
	Programme  string          // whose limits apply beside those that always do
	Facts      clearance.Facts // without what the book knows: whether all the work was outdoors
	Rooms      []uuid.UUID     // of each sample; uuid.Nil where none was named
	Examiner   uuid.UUID       // the person on record who did it; uuid.Nil where none is told
	InHouse    bool            // an employee designated for clearance
}

// RecordClearance judges a sampling by the limits of its local date and keeps it with its verdict, whatever that is. A failed
// one sends a job that is being checked back to cleaning. written gives the members that say the verdict.
func (s *Store) RecordClearance(ctx context.Context, call Call, c Sampling, written func(clearance.Verdict, law.Determination) any) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		record, err := t.recordClearance(c, written)
		return Outcome{Status: 201, Record: record}, err
	})
}

func (t *Tx) recordClearance(c Sampling, written func(clearance.Verdict, law.Determination) any) (Record, error) {
	site, err := t.cleared(c.Renovation)
	if err != nil {
		return Record{}, err
	}
	judged, err := t.judgeClearance(site, c)
	if err != nil {
		return Record{}, err
	}
	facts, limits, verdict := judged.facts, judged.limits, judged.verdict
	id := newID()
	findings, err := t.openClearanceFindings(id, site, facts, verdict)
	if err != nil {
		return Record{}, err
	}
	d, err := draftOf(written(verdict, judged.why))
	if err != nil {
		return Record{}, err
	}
	for name, value := range c.Draft.Fields {
		d.Fields[name] = value
	}
	lap, err := t.lap(c.Renovation)
	if err != nil {
		return Record{}, err
	}
	d.ID = id
	for name, value := range map[string]any{"programme": c.Programme, "sampled_on": limits.On, "lap": lap, "finding_ids": findings} {
		if err := d.Set(name, value); err != nil {
			return Record{}, err
		}
	}
	if err := t.judgeExaminer(&d, c, site, limits.On); err != nil {
		return Record{}, err
	}
	record, err := t.Insert("clearance", "created", d)
	if err != nil || verdict.Outcome != clearance.Failed {
		return record, err
	}
	_, err = t.sendBack(site.job, limits.On, fmt.Sprintf("Clearance %d failed: %s.", lap, shortList(verdict.CleanAgain, clearance.Place.String)))
	return record, err
}

// judgeExaminer says whether a clearance counts by who did it, where somebody on record is told.
func (t *Tx) judgeExaminer(d *Draft, c Sampling, site clearedSite, on calendar.Date) error {
	if c.Examiner == uuid.Nil {
		return nil
	}
	j, err := jobOf(site.job)
	if err != nil {
		return err
	}
	sites, err := t.sitesOf(j, false)
	if err != nil {
		return err
	}
	return t.judgeDoer(d, deed{kind: "clearance", act: crew.SampleDust, person: c.Examiner, on: on, about: site.job, job: j, sites: sites,
		clearedBy: clearedBy{inHouse: c.InHouse, told: c.Facts.Clearer}})
}

// judgedClearance is what a sampling shows.
type judgedClearance struct {
	facts   clearance.Facts
	limits  clearance.Limits
	verdict clearance.Verdict
	why     law.Determination
}

func (t *Tx) judgeClearance(site clearedSite, c Sampling) (j judgedClearance, err error) {
	j.facts = c.Facts
	j.facts.OutdoorOnly = site.outdoors()
	if c.Facts.Clearer != nil {
		who := *c.Facts.Clearer
		who.Assisted, who.Work = law.TriOf(site.Assisted), site.work()
		j.facts.Clearer = &who
	}
	if j.facts.Samples, err = t.inRooms(site, c); err != nil {
		return j, err
	}
	rules, err := t.rules()
	if err != nil {
		return j, err
	}
	j.limits = rules.Clearances.On(calendar.LocalDate(c.SampledAt, site.zone), site.jurisdictions, []string{c.Programme})
	if j.verdict, err = clearance.Decide(j.facts, j.limits); err != nil {
		return j, err
	}
	j.why = j.verdict.Determination(j.facts, j.limits, rules.Law.RuleSet())
	rules.Localize(&j.why, "clearance", site.jurisdictions)
	return j, nil
}

// clearedSite is what a clearance turns on of its job and its property.
type clearedSite struct {
	job       Record
	State     renovation.State `json:"state"`
	Assisted  string           `json:"assisted"`
	Outcome   string           `json:"outcome"`
	WorkItems []struct {
		RoomID         *uuid.UUID `json:"room_id"`
		ExteriorSideID *uuid.UUID `json:"exterior_side_id"`
	} `json:"work_items"`

	property      uuid.UUID
	zone          *time.Location
	jurisdictions []string
}

// cleared holds the job of a clearance, so that laps are counted and moves are made one after the other.
func (t *Tx) cleared(job uuid.UUID) (s clearedSite, err error) {
	var faults fault.Faults
	s.job, err = t.Hold("renovation", job)
	switch {
	case fault.Is(err, fault.NotFound):
		faults.Add("/renovation_id", "no_such_reference", "There is no renovation with this identifier that this credential may see.")
	case err != nil:
		return s, err
	case s.job.Ended:
		faults.Add("/renovation_id", "reference_ended", "The renovation has ended; name a live one.")
	}
	if err := faults.Err(); err != nil {
		return s, err
	}
	return t.siteOf(s.job)
}

// siteOf is the site of a job.
func (t *Tx) siteOf(job Record) (s clearedSite, err error) {
	s.job = job
	if err := job.Read(&s); err != nil {
		return s, err
	}
	s.property = s.job.Properties[0]
	property, err := t.Load("property", s.property)
	if err != nil {
		return s, err
	}
	var at bodyOfPlace
	if err := property.Read(&at); err != nil {
		return s, err
	}
	s.jurisdictions = at.Jurisdictions
	s.zone, err = time.LoadLocation(at.TimeZone)
	return s, err
}

// outdoors reports whether the job has work and all of it is outdoors. Work without a place may be indoors.
func (s clearedSite) outdoors() bool {
	for _, w := range s.WorkItems {
		if w.RoomID != nil || w.ExteriorSideID == nil {
			return false
		}
	}
	return len(s.WorkItems) > 0
}

// work is what was done, as far as it decides who clears it.
func (s clearedSite) work() clearance.Work {
	if s.Outcome == renovation.Abatement.String() {
		return clearance.Abatement
	}
	return clearance.Renovation
}

const selectSampledRooms = `
select r.id, r.property_id, r.ended, convert_from(r.body, 'UTF8')::jsonb ->> 'name', coalesce(convert_from(u.body, 'UTF8')::jsonb ->> 'name', '')
from room r
left join unit u on u.organization_id = r.organization_id and u.id = r.unit_id
where r.organization_id = $1
  and r.id = any($2)`

// inRooms checks the rooms that samples name, and gives the samples with their places: where no words were told, the
// names of the room and its unit.
func (t *Tx) inRooms(site clearedSite, c Sampling) ([]clearance.Sample, error) {
	samples := slices.Clone(c.Facts.Samples)
	rooms, err := t.sampledRooms(c.Rooms)
	if err != nil {
		return nil, err
	}
	var faults fault.Faults
	for i, id := range c.Rooms {
		if id == uuid.Nil {
			continue
		}
		pointer := fmt.Sprintf("/samples/%d/room_id", i)
		room, there := rooms[id]
		switch {
		case !there || !t.call.Caller.Sees([]uuid.UUID{room.property}):
			faults.Add(pointer, "no_such_reference", "There is no room with this identifier that this credential may see.")
		case room.ended:
			faults.Add(pointer, "reference_ended", "The room has ended; name a live one.")
		case room.property != site.property:
			faults.Add(pointer, "another_property", "The room is on another property than the job.")
		}
		if samples[i].Place == "" {
			samples[i].Place = room.place
		}
	}
	return samples, faults.Err()
}

// sampledRoom is a room that a sample may name.
type sampledRoom struct {
	property uuid.UUID
	ended    bool
	place    string // "Kitchen, 2B"
}

func (t *Tx) sampledRooms(ids []uuid.UUID) (map[uuid.UUID]sampledRoom, error) {
	found := map[uuid.UUID]sampledRoom{}
	if !slices.ContainsFunc(ids, func(id uuid.UUID) bool { return id != uuid.Nil }) {
		return found, nil
	}
	return found, t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			var id uuid.UUID
			var room sampledRoom
			var unit string
			if err := rows.Scan(&id, &room.property, &room.ended, &room.place, &unit); err != nil {
				return err
			}
			if unit != "" {
				room.place += ", " + unit
			}
			found[id] = room
		}
		return rows.Err()
	}, selectSampledRooms, t.organization(), ids)
}

const countLaps = `
select count(*)
from clearance
where organization_id = $1
  and renovation_id = $2
  and not ended`

// lap is one more than the live clearances of the job.
func (t *Tx) lap(job uuid.UUID) (lap int, err error) {
	err = t.query(func(rows pgx.Rows) (err error) {
		lap, err = pgx.CollectExactlyOneRow(rows, pgx.RowTo[int])
		return err
	}, countLaps, t.organization(), job)
	return lap + 1, err
}

// Codes of the findings that a clearance opens.
const (
	sampleFault      = "sample_fault"
	notRecognised    = "laboratory_not_recognised"
	failedAfterClose = "clearance_failed_after_closing"
)

// openClearanceFindings opens a finding for each thing that should not have been. Only a failure after closing stands in the
// way of closing by itself: what does not count leaves the job without a passed clearance, and that does.
func (t *Tx) openClearanceFindings(id uuid.UUID, site clearedSite, facts clearance.Facts, v clearance.Verdict) ([]uuid.UUID, error) {
	opened := []uuid.UUID{}
	open := func(code, detail string, blocks bool, c law.Citation) error {
		f := Finding{Code: code, Detail: detail, SubjectKind: "clearance", SubjectID: id, RenovationID: &site.job.ID, Blocks: blocks,
			OpenedOn: calendar.LocalDate(t.now, site.zone).String(), Citation: c}
		record, err := t.OpenFinding(f, []uuid.UUID{site.property})
		opened = append(opened, record.ID)
		return err
	}
	if len(v.Faults) > 0 {
		detail := fmt.Sprintf("%d samples do not count. %s", len(v.Faults), shortList(v.Faults, func(f clearance.SampleFault) string { return f.Label + ": " + f.Detail }))
		if err := open(sampleFault, detail, false, v.Faults[0].Citation); err != nil {
			return nil, err
		}
	}
	if facts.Recognised == law.No && slices.ContainsFunc(facts.Samples, func(s clearance.Sample) bool { return !s.Surface.IsBlank() }) {
		detail := "The wipes were measured by a laboratory that is not a recognised one, so they show no pass; have new wipes measured by a recognised one."
		if err := open(notRecognised, detail, false, clearance.Recognition); err != nil {
			return nil, err
		}
	}
	if v.Outcome == clearance.Failed && site.State == renovation.Closed {
		detail := "A clearance told after the job was closed failed. To be cleaned again: " + shortList(v.CleanAgain, clearance.Place.String) + "."
		if err := open(failedAfterClose, detail, true, v.Reasons[0].Citation); err != nil {
			return nil, err
		}
	}
	return opened, nil
}

// shortList names the first few things of a list, each cut to what a sentence bears, and how many there are beside them.
func shortList[T any](list []T, name func(T) string) string {
	const few, longest = 3, 200
	var names []string
	for _, one := range list[:min(few, len(list))] {
		text := []rune(name(one))
		if len(text) > longest {
			text = append(text[:longest], '…')
		}
		names = append(names, string(text))
	}
	text := strings.Join(names, "; ")
	if more := len(list) - few; more > 0 {
		text += fmt.Sprintf("; and %d more", more)
	}
	return text
}
