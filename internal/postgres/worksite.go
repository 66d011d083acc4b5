package postgres

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

// worksites are the places of a job, one for each of its work items.
type worksites struct {
	zone          *time.Location // of the property, in which its dates are local
	jurisdictions []string       // of the property
	places        []Place
}

// site is the kind and identifier of the place that a piece of work names.
func (f WorkForm) site() (kind string, id uuid.UUID) {
	if f.ExteriorSideID != nil {
		return "exterior_side", *f.ExteriorSideID
	}
	if f.RoomID != nil {
		return "room", *f.RoomID
	}
	return "room", uuid.Nil
}

// checkPlaces finds the places of a job's work: each must be there, within reach, on one property, and live unless the
// job named it before. It writes the property into the draft.
func (t *Tx) checkPlaces(j *job, known map[uuid.UUID]bool, d *Draft) (worksites, error) {
	found, err := t.findPlaces(*j, true)
	if err != nil {
		return worksites{}, err
	}
	var faults fault.Faults
	sites := worksites{places: make([]Place, len(j.WorkItems))}
	for i, w := range j.WorkItems {
		kind, id := w.site()
		words, pointer := strings.ReplaceAll(kind, "_", " "), fmt.Sprintf("/work_items/%d/%s_id", i, kind)
		p := found[id]
		switch {
		case p == nil:
			faults.Add(pointer, "no_such_reference", "There is no %s with this identifier that this credential may see.", words)
			continue
		case p.ended && !known[id]:
			faults.Add(pointer, "reference_ended", "The %s has ended; name a live one.", words)
			continue
		case j.PropertyID == uuid.Nil:
			j.PropertyID = p.Property
		case p.Property != j.PropertyID:
			faults.Add(pointer, "another_property", "The %s is on another property than the job; record a renovation for each property.", words)
		}
		sites.places[i] = p.Place
	}
	if err := faults.Err(); err != nil {
		return sites, err
	}
	if j.PropertyID == uuid.Nil {
		faults.Add("/property_id", "missing", "Give the property, or a work item with its place.")
		return sites, faults.Err()
	}
	err = sites.locate(t, j.PropertyID)
	if fault.Is(err, fault.NotFound) {
		faults.Add("/property_id", "no_such_reference", "There is no property with this identifier that this credential may see.")
		err = faults.Err()
	}
	if err != nil {
		return sites, err
	}
	return sites, d.Set("property_id", j.PropertyID)
}

type foundPlace struct {
	Place
	ended bool
}

// findPlaces finds the places of a job's work, those out of reach left out. hold keeps them, in the order of their
// identifiers, so that what is disturbed there is added up by one request at a time.
func (t *Tx) findPlaces(j job, hold bool) (map[uuid.UUID]*foundPlace, error) {
	if hold {
		if err := t.takeTurnOf(j.WorkItems...); err != nil {
			return nil, err
		}
	}
	kinds := map[uuid.UUID]string{}
	for _, w := range j.WorkItems {
		kind, id := w.site()
		kinds[id] = kind
	}
	found := make(map[uuid.UUID]*foundPlace, len(kinds))
	order := slices.SortedFunc(maps.Keys(kinds), func(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) })
	for _, id := range order {
		p, err := t.findPlace(kinds[id], id, hold)
		if err == nil {
			found[id] = &p
		} else if !fault.Is(err, fault.NotFound) {
			return nil, err
		}
	}
	return found, nil
}

func (t *Tx) findPlace(kind string, id uuid.UUID, hold bool) (foundPlace, error) {
	load := t.Load
	if hold && kind == "room" {
		load = t.Hold
	}
	r, err := load(kind, id)
	if err != nil {
		return foundPlace{}, err
	}
	if kind == "room" {
		p, err := t.RoomPlace(id)
		return foundPlace{p, r.Ended}, err
	}
	p, err := t.SidePlace(id)
	if err == nil && hold {
		_, err = t.Hold("building", p.ID)
	}
	return foundPlace{p, r.Ended}, err
}

// sitesOf finds the places of a job on record.
func (t *Tx) sitesOf(j job, hold bool) (worksites, error) {
	sites := worksites{places: make([]Place, len(j.WorkItems))}
	found, err := t.findPlaces(j, hold)
	if err != nil {
		return sites, err
	}
	for i, w := range j.WorkItems {
		_, id := w.site()
		if found[id] == nil {
			return sites, notFound()
		}
		sites.places[i] = found[id].Place
	}
	return sites, sites.locate(t, j.PropertyID)
}

// locate finds the time zone and the jurisdictions of the property.
func (s *worksites) locate(t *Tx, property uuid.UUID) error {
	r, err := t.Load("property", property)
	if err != nil {
		return err
	}
	var body bodyOfPlace
	if err := r.Read(&body); err != nil {
		return err
	}
	s.jurisdictions = body.Jurisdictions
	s.zone, err = time.LoadLocation(body.TimeZone)
	return err
}

// verdict is what a job is under the renovation rule, by its most demanding work item.
type verdict struct {
	known         bool // there is some work
	outcome       renovation.Outcome
	determination law.Determination
	ofMove        law.Determination // what a move rests on: the same and, where work starts, who is certified for it
	steps         []renovation.Step
	hud           bool
}

// judgeJob judges each work item and takes the most demanding answer; ties go to the first. Items at one place are added
// up as jobs of one day, and to them the other jobs and small repairs there. Until the start is known, today stands for it.
func (t *Tx) judgeJob(j job, sites worksites, self uuid.UUID) (verdict, error) {
	on := j.start()
	if on.IsZero() {
		on = calendar.LocalDate(t.now, sites.zone)
	}
	return t.judgeOn(j, sites, self, on)
}

func (t *Tx) judgeOn(j job, sites worksites, self uuid.UUID, on calendar.Date) (verdict, error) {
	v := verdict{steps: []renovation.Step{}}
	around := map[uuid.UUID]surroundings{}
	works := make([]renovation.Work, len(j.WorkItems))
	for i, p := range sites.places {
		s, there := around[p.ID]
		if !there {
			var err error
			if s, err = t.surroundings(p, self, on); err != nil {
				return v, err
			}
			around[p.ID] = s
		}
		works[i] = j.work(i, p, s.covered, on)
	}
	all, err := t.rules()
	if err != nil {
		return v, err
	}
	for i, p := range sites.places {
		s := around[p.ID]
		beside := slices.Clone(s.others)
		for k := range works {
			if k != i && sites.places[k].ID == p.ID {
				beside = append(beside, works[k].AsOther())
			}
		}
		rules := all.Jobs.In(p.Jurisdictions)
		a, err := rules.Apply(works[i], beside)
		if err != nil {
			return v, err
		}
		v.hud = v.hud || a.HUD == renovation.HUDApplies
		v.add(rules.StepsBefore(works[i], a))
		if !v.known || a.Outcome > v.outcome {
			v.known, v.outcome = true, a.Outcome
			v.determination = joined(rules.Explain(works[i], beside, a), s.why)
			all.Localize(&v.determination, "applicability", p.Jurisdictions)
		}
	}
	return v, nil
}

// surroundings are what the work items at one place share: coverage, and the other jobs there.
type surroundings struct {
	covered home.Coverage
	why     law.Determination
	others  []renovation.Other
}

func (t *Tx) surroundings(p Place, self uuid.UUID, on calendar.Date) (s surroundings, err error) {
	if s.covered, s.why, err = t.covered(p, on); err != nil {
		return s, err
	}
	rows, err := t.disturbances(p.ID, on)
	for _, d := range rows {
		if d.SourceID != self {
			s.others = append(s.others, d.other())
		}
	}
	return s, err
}

// add puts in the steps that are not there yet.
func (v *verdict) add(steps []renovation.Step) {
	for _, s := range steps {
		if !slices.ContainsFunc(v.steps, func(had renovation.Step) bool { return had.Code == s.Code }) {
			v.steps = append(v.steps, s)
		}
	}
}

// joined puts the reasons for coverage before those of the job.
func joined(d, coverage law.Determination) law.Determination {
	d.Reasons = append(slices.Clone(coverage.Reasons), d.Reasons...)
	d.Used = append(slices.Clone(coverage.Used), d.Used...)
	d.Missing = append(slices.Clone(coverage.Missing), d.Missing...)
	d.Differences = append(slices.Clone(coverage.Differences), d.Differences...)
	return d
}

// write puts the verdict into a renovation's draft; a job without work has none.
func (v verdict) write(d *Draft) error {
	if !v.known {
		for _, name := range []string{"outcome", "determination", "must_happen_first"} {
			delete(d.Fields, name)
		}
		return nil
	}
	if err := d.Set("outcome", v.outcome.String()); err != nil {
		return err
	}
	if err := d.Set("determination", v.determination); err != nil {
		return err
	}
	return d.Set("must_happen_first", v.steps)
}

// work is one of the job's work items as the rule sees it.
func (j job) work(item int, p Place, covered home.Coverage, on calendar.Date) renovation.Work {
	w := j.WorkItems[item].work(p, covered, on)
	w.DoneBy, w.Assisted, w.Emergency, w.NoticeOnly = renovation.DoneByOf(j.DoneBy.Relation), law.TriOf(j.Assisted), j.Emergency != nil, j.Emergency.noticeOnly()
	return w
}

const selectOwnDisturbances = `
select item, place_id, exterior, on_date, area_value, area_unit, never_minor, emergency
from disturbance
where organization_id = $1
  and source_kind = 'renovation'
  and source_id = $2
order by item`

// spreadWork keeps the rows of what a job disturbs in step with it, and looks again at the other jobs at each place where
// they have changed.
func (t *Tx) spreadWork(r Record) error {
	var had []disturbance
	err := t.query(rowsOf(&had, func(row pgx.CollectableRow) (d disturbance, err error) {
		var date time.Time
		err = row.Scan(&d.Item, &d.Place, &d.Exterior, &date, &d.AreaValue, &d.AreaUnit, &d.NeverMinor, &d.Emergency)
		d.On = calendar.LocalDate(date, time.UTC)
		return d, err
	}), selectOwnDisturbances, t.organization(), r.ID)
	if err != nil {
		return err
	}
	has, places, err := t.disturbedBy(r)
	if err != nil || slices.Equal(had, has) {
		return err
	}
	t.disturb("renovation", r.ID, has)
	if err := t.lookAround(r.ID, had, places, false); err != nil {
		return err
	}
	return t.lookAround(r.ID, has, places, true)
}

// disturbedBy are the rows of what a job disturbs: none unless its start is known, and none once it is called off or ended.
func (t *Tx) disturbedBy(r Record) ([]disturbance, map[uuid.UUID]Place, error) {
	j, err := jobOf(r)
	if err != nil {
		return nil, nil, err
	}
	sites, err := t.sitesOf(j, false)
	if err != nil {
		return nil, nil, err
	}
	var rows []disturbance
	places := map[uuid.UUID]Place{}
	on := j.start()
	for i, p := range sites.places {
		places[p.ID] = p
		if on.IsZero() || j.State == renovation.CalledOff || r.Ended {
			continue
		}
		covered, _, err := t.covered(p, on)
		if err != nil {
			return nil, nil, err
		}
		rows = append(rows, j.WorkItems[i].disturbs(i, p, j.work(i, p, covered, on))...)
	}
	return rows, places, nil
}

// lookAround looks again at the other jobs that rows which came or went may have changed.
func (t *Tx) lookAround(id uuid.UUID, rows []disturbance, places map[uuid.UUID]Place, added bool) error {
	type spot struct {
		place uuid.UUID
		on    calendar.Date
	}
	seen := map[spot]bool{}
	for _, d := range rows {
		at := spot{d.Place, d.On}
		if seen[at] {
			continue
		}
		seen[at] = true
		p, there := places[d.Place]
		if !there {
			var err error
			if p, err = t.placeOf(d); err != nil {
				return err
			}
		}
		if err := t.rejudgeNeighbours(id, p, d.On, added); err != nil {
			return err
		}
	}
	return nil
}

func (t *Tx) placeOf(d disturbance) (Place, error) {
	if d.Exterior {
		return t.BuildingPlace(d.Place)
	}
	return t.RoomPlace(d.Place)
}
