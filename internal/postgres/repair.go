package postgres

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

// repairForm is what is read out of a small repair's written form.
type repairForm struct {
	WorkForm
	DoneOn    calendar.Date `json:"done_on"`
	DoneBy    string        `json:"done_by"`
	Emergency *emergency    `json:"emergency"`
	Assisted  string        `json:"assisted"`
	Outcome   string        `json:"outcome"`
}

func (f repairForm) work(p Place, covered home.Coverage) renovation.Work {
	w := f.WorkForm.work(p, covered, f.DoneOn)
	w.DoneBy, w.Assisted, w.Emergency, w.NoticeOnly = renovation.DoneByOf(f.DoneBy), law.TriOf(f.Assisted), f.Emergency != nil, f.Emergency.noticeOnly()
	return w
}

// RecordRepair records one small repair and says what it is. Repairs and renovations at the same place that it changes are
// changed too, and findings name what was not done.
func (s *Store) RecordRepair(ctx context.Context, call Call, d Draft) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		record, _, err := t.RecordRepair(d)
		return Outcome{Status: 201, Record: record}, err
	})
}

// RecordRepair records one small repair in a transaction. fresh is false when it was on record already.
func (t *Tx) RecordRepair(d Draft) (record Record, fresh bool, err error) {
	if before, found, err := t.repairThere(d); err != nil || found {
		return before, false, err
	}
	var f repairForm
	if err := d.Fields.Into(&f); err != nil {
		return Record{}, false, err
	}
	if err := t.takeTurnOf(f.WorkForm); err != nil {
		return Record{}, false, err
	}
	place, err := t.placeOfWork(f.WorkForm)
	if err != nil {
		return Record{}, false, err
	}
	if today := place.Today(t.now); f.DoneOn.After(today) {
		var faults fault.Faults
		faults.Add("/done_on", "in_the_future", "%s has not come yet at the property, where it is %s; tell repairs when they are done.", f.DoneOn, today)
		return Record{}, false, faults.Err()
	}
	told := d.Fields
	j, err := t.judgeRepair(uuid.Nil, f, place)
	if err != nil {
		return Record{}, false, err
	}
	if d.ID == uuid.Nil {
		d.ID = newID()
	}
	d.Fields = told.With(j.fields)
	if j.outcome == renovation.CoveredRenovation {
		if err := t.findUnprepared(d.ID, place, d.Fields, j); err != nil {
			return Record{}, false, err
		}
	}
	if record, err = t.Insert("small_repair", "created", d); err != nil || len(j.disturbs) == 0 {
		return record, true, err
	}
	t.disturb("small_repair", record.ID, j.disturbs)
	return record, true, t.rejudgeNeighbours(record.ID, place, f.DoneOn, true)
}

// repairThere looks for the same repair under the caller's identifier or external id. The same content changes nothing;
// other content is a conflict.
func (t *Tx) repairThere(d Draft) (Record, bool, error) {
	id := d.ID
	if id == uuid.Nil {
		ids, err := externalIDs(d.Fields["external_ids"])
		if err != nil {
			return Record{}, false, err
		}
		for _, e := range ids {
			if id, err = t.Holder("small_repair", e.System, e.Value); err != nil || id != uuid.Nil {
				break
			}
		}
		if err != nil || id == uuid.Nil {
			return Record{}, false, err
		}
	}
	before, err := t.Load("small_repair", id)
	if fault.Is(err, fault.NotFound) {
		return Record{}, false, nil
	}
	if err != nil {
		return Record{}, false, err
	}
	old, err := before.Fields()
	if err != nil {
		return Record{}, false, err
	}
	told := Fields{}
	for name, value := range old {
		if !slices.Contains(head, name) && !slices.Contains(judged, name) {
			told[name] = value
		}
	}
	same, err := equal(told, d.Fields)
	if err == nil && !same {
		err = fault.New(fault.Conflict, "already_told", "Small repair %s is on record under this identifier with other content.", before.ID).
			Fix("Void the one on record with POST /v1/small-repairs/%s/end, and record the repair as it was under a new identifier.", before.ID)
	}
	return before, err == nil, err
}

// judged are the members of a small repair that the book computes.
var judged = []string{"property_id", "outcome", "total", "must_happen_first", "determination", "coverage", "finding_ids"}

// judgement is what a small repair turns out to be.
type judgement struct {
	outcome  renovation.Outcome
	disturbs []disturbance // what counts towards the running total of its place
	steps    []renovation.Step
	reason   string
	fields   Fields
}

func (t *Tx) judgeRepair(id uuid.UUID, f repairForm, p Place) (judgement, error) {
	covered, coverage, err := t.covered(p, f.DoneOn)
	if err != nil {
		return judgement{}, err
	}
	rows, err := t.disturbances(p.ID, f.DoneOn)
	if err != nil {
		return judgement{}, err
	}
	all, err := t.rules()
	if err != nil {
		return judgement{}, err
	}
	work, others, rules := f.work(p, covered), othersThan(id, 0, rows), all.Jobs.In(p.Jurisdictions)
	a, err := rules.Apply(work, others)
	if err != nil {
		return judgement{}, err
	}
	d := rules.Explain(work, others, a)
	all.Localize(&d, "applicability", p.Jurisdictions)
	j := judgement{outcome: a.Outcome, disturbs: f.disturbs(0, p, work), steps: rules.StepsBefore(work, a)}
	if len(d.Reasons) > 0 {
		j.reason = d.Reasons[0].Text
		for _, r := range d.Reasons {
			if strings.HasPrefix(r.Rule, "over_") {
				j.reason = r.Text
			}
		}
	}
	var draft Draft
	sets := map[string]any{"outcome": a.Outcome.String(), "must_happen_first": j.steps, "determination": d, "coverage": coverage}
	if a.Outcome >= renovation.Minor {
		total, err := t.totalForm(p, work.On, append(others, work.AsOther()), rows)
		if err != nil {
			return judgement{}, err
		}
		sets["total"] = total
	}
	for name, value := range sets {
		if err := draft.Set(name, value); err != nil {
			return judgement{}, err
		}
	}
	j.fields = draft.Fields
	return j, nil
}

// TotalForm is the running total of a place in its written form.
type TotalForm struct {
	On       calendar.Date `json:"on"`
	Total    computedForm  `json:"total"`
	Limit    computedForm  `json:"limit"`
	Left     computedForm  `json:"left"`
	Until    calendar.Date `json:"until,omitzero"`
	Jobs     []uuid.UUID   `json:"jobs"`
	Citation law.Citation  `json:"citation"`
}

type computedForm struct {
	Value    string `json:"value"`
	Unit     string `json:"unit"`
	Computed bool   `json:"computed"`
}

func squareFeet(n measure.Number) computedForm {
	return computedForm{Value: n.Show(), Unit: measure.SquareFoot.String(), Computed: true}
}

// totalForm is the running total at a place over some jobs, told by some rows.
func (t *Tx) totalForm(p Place, on calendar.Date, jobs []renovation.Other, rows []disturbance) (TotalForm, error) {
	rules, err := t.rules()
	if err != nil {
		return TotalForm{}, err
	}
	a, err := rules.Jobs.In(p.Jurisdictions).Allowance(p.Exterior, on, jobs)
	if err != nil {
		return TotalForm{}, err
	}
	form := TotalForm{On: on, Total: squareFeet(a.Total), Limit: squareFeet(a.Limit), Left: squareFeet(a.Left), Until: a.Until,
		Jobs: []uuid.UUID{}, Citation: a.Cite}
	for _, d := range rows {
		if !slices.Contains(form.Jobs, d.SourceID) {
			form.Jobs = append(form.Jobs, d.SourceID)
		}
	}
	return form, nil
}

// unprepared is the finding's code for covered work of which nothing shows that it was prepared as the rule asks.
const unprepared = "covered_work_without_preparation"

// findUnprepared opens a finding that names what was not done, unless one is open, and adds it to the repair's members.
func (t *Tx) findUnprepared(id uuid.UUID, p Place, fields Fields, j judgement) error {
	open, err := t.FindingOpen(id, unprepared)
	if err != nil || open != uuid.Nil {
		return err
	}
	var words []string
	for _, s := range j.steps {
		words = append(words, strings.ReplaceAll(s.Code, "_", " "))
	}
	finding, err := t.OpenFinding(Finding{Code: unprepared, SubjectKind: "small_repair", SubjectID: id,
		Detail:   fmt.Sprintf("This repair was part of a covered renovation. %s Nothing on record shows: %s.", j.reason, strings.Join(words, ", ")),
		OpenedOn: p.Today(t.now).String(), Citation: law.Cite("40 CFR 745.82(a), 745.84 to 745.90", law.Text)}, []uuid.UUID{p.Property})
	if err != nil {
		return err
	}
	var ids []uuid.UUID
	if !isNull(fields["finding_ids"]) {
		if err := json.Unmarshal(fields["finding_ids"], &ids); err != nil {
			return err
		}
	}
	return fields.set("finding_ids", append(ids, finding.ID))
}

// rejudgeNeighbours looks again at the other jobs of a place that a job on a date may have changed: by being added, or by
// being taken away.
func (t *Tx) rejudgeNeighbours(id uuid.UUID, p Place, on calendar.Date, added bool) error {
	rows, err := t.disturbances(p.ID, on)
	if err != nil {
		return err
	}
	seen := []uuid.UUID{id}
	for _, d := range rows {
		if slices.Contains(seen, d.SourceID) {
			continue
		}
		seen = append(seen, d.SourceID)
		if d.SourceKind == "renovation" {
			err = t.rejudgeRenovation(d.SourceID)
		} else if may, unsure := t.mayTurn(d, p, rows, added); unsure != nil || may {
			err = errors.Join(unsure, t.rejudgeRepair(d.SourceID, p))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// mayTurn reports whether a repair's outcome may be another now. A job that is added only makes minor ones covered; one
// that is taken away only makes covered ones minor.
func (t *Tx) mayTurn(d disturbance, p Place, rows []disturbance, added bool) (bool, error) {
	if !added {
		return d.Outcome == renovation.CoveredRenovation.String(), nil
	}
	if d.Outcome != renovation.Minor.String() {
		return false, nil
	}
	jobs := othersThan(uuid.Nil, 0, rows)
	if slices.ContainsFunc(jobs, func(o renovation.Other) bool { return !o.Known || o.NeverMinor }) {
		return true, nil
	}
	a, err := t.store.rules.Jobs.In(p.Jurisdictions).Allowance(d.Exterior, d.On, jobs)
	return err == nil && a.Total.Cmp(a.Limit) > 0, err
}

// rejudgeRepair writes what a repair has become, where that has changed. The caller need not see it: the book follows the
// facts.
func (t *Tx) rejudgeRepair(id uuid.UUID, p Place) error {
	before, err := t.Hold("small_repair", id)
	if err != nil || before.Ended {
		return err
	}
	var f repairForm
	if err := before.Read(&f); err != nil {
		return err
	}
	j, err := t.judgeRepair(id, f, p)
	if err != nil || j.outcome.String() == f.Outcome {
		return err
	}
	fields, err := before.Fields()
	if err != nil {
		return err
	}
	now := fields.Told().With(j.fields)
	if j.outcome == renovation.CoveredRenovation {
		if err := t.findUnprepared(id, p, now, j); err != nil {
			return err
		}
	}
	_, err = t.Replace(before, "reclassified", Draft{Fields: now})
	return err
}

// EndRepair voids a repair that was told in error: it no longer counts, and its neighbours are looked at again.
func (s *Store) EndRepair(ctx context.Context, call Call, id uuid.UUID, match *string, ending Ending) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		before, err := t.HoldMatching("small_repair", id, match)
		if err != nil {
			return Outcome{}, err
		}
		var f repairForm
		if err := before.Read(&f); err != nil {
			return Outcome{}, err
		}
		after, err := t.End(before, ending)
		if err != nil {
			return Outcome{}, err
		}
		place, err := t.placeOfWork(f.WorkForm)
		if err != nil {
			return Outcome{}, err
		}
		t.disturb("small_repair", id, nil)
		return Outcome{Status: 200, Record: after}, t.rejudgeNeighbours(id, place, f.DoneOn, false)
	})
}

// Allowance says how much may still be disturbed in a room, or on the exterior of a building.
func (s *Store) Allowance(ctx context.Context, call Call, id uuid.UUID, exterior bool, on calendar.Date) (form TotalForm, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		find := t.RoomPlace
		if exterior {
			find = t.BuildingPlace
		}
		p, err := find(id)
		if err != nil {
			return err
		}
		if on.IsZero() {
			on = p.Today(t.now)
		}
		rows, err := t.disturbances(p.ID, on)
		if err != nil {
			return err
		}
		form, err = t.totalForm(p, on, othersThan(uuid.Nil, 0, rows), rows)
		if call.Caller.Grant != uuid.Nil {
			kind := "room"
			if exterior {
				kind = "building"
			}
			t.RecordAccess(kind, &id, false)
		}
		return err
	})
	return form, err
}

// Coverage says whether a unit is covered on a date; no date means today at the property.
func (s *Store) Coverage(ctx context.Context, call Call, unit uuid.UUID, on calendar.Date) (d law.Determination, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		p, err := t.UnitPlace(unit)
		if err != nil {
			return err
		}
		if on.IsZero() {
			on = p.Today(t.now)
		}
		if call.Caller.Grant != uuid.Nil {
			t.RecordAccess("unit", &unit, false)
		}
		_, d, err = t.covered(p, on)
		return err
	})
	return d, err
}
