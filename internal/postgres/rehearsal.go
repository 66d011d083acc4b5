package postgres

import (
	"context"

	"github.com/google/uuid"

	"sillbook/internal/trade"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/law"
)

// RehearseClearance judges a sampling that is on record under other rules. Nothing is stored.
func (s *Store) RehearseClearance(ctx context.Context, call Call, id uuid.UUID, c Sampling, rules *trade.Rules) (v clearance.Verdict, d law.Determination, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		if _, err := t.Load("clearance", id); err != nil {
			return err
		}
		job, err := t.Load("renovation", c.Renovation)
		if err != nil {
			return err
		}
		site, err := t.siteOf(job)
		if err != nil {
			return err
		}
		t.law = rules
		judged, err := t.judgeClearance(site, c)
		v, d = judged.verdict, judged.why
		return err
	})
	return v, d, err
}

// Judged is an answer of the book under some rules: the members that say it, among them outcome and determination.
type Judged struct {
	Outcome string
	Members Fields
}

// RehearseRepair judges a small repair that is on record, from the facts as they are now, under each of some rules. Nothing is
// stored.
func (s *Store) RehearseRepair(ctx context.Context, call Call, id uuid.UUID, under ...*trade.Rules) ([]Judged, error) {
	return s.rehearse(ctx, call, under, func(t *Tx) (Judged, error) {
		record, err := t.Load("small_repair", id)
		if err != nil {
			return Judged{}, err
		}
		var f repairForm
		if err := record.Read(&f); err != nil {
			return Judged{}, err
		}
		place, err := t.placeOfWork(f.WorkForm)
		if err != nil {
			return Judged{}, err
		}
		j, err := t.judgeRepair(id, f, place)
		return Judged{j.outcome.String(), j.fields}, err
	})
}

// RehearseRenovation judges the work of a job that is on record likewise. A job without work has no answer.
func (s *Store) RehearseRenovation(ctx context.Context, call Call, id uuid.UUID, under ...*trade.Rules) ([]Judged, error) {
	return s.rehearse(ctx, call, under, func(t *Tx) (Judged, error) {
		record, err := t.Load("renovation", id)
		if err != nil {
			return Judged{}, err
		}
		j, err := jobOf(record)
		if err != nil {
			return Judged{}, err
		}
		sites, err := t.sitesOf(j, false)
		if err != nil {
			return Judged{}, err
		}
		v, err := t.judgeJob(j, sites, id)
		if err != nil || !v.known {
			return Judged{}, err
		}
		return judgedAs(v.outcome.String(), map[string]any{"must_happen_first": v.steps, "determination": v.determination})
	})
}

// RehearseUnit asks for the coverage of a unit likewise, today at the property.
func (s *Store) RehearseUnit(ctx context.Context, call Call, id uuid.UUID, under ...*trade.Rules) ([]Judged, error) {
	return s.rehearse(ctx, call, under, func(t *Tx) (Judged, error) {
		p, err := t.UnitPlace(id)
		if err != nil {
			return Judged{}, err
		}
		_, d, err := t.covered(p, p.Today(t.now))
		if err != nil {
			return Judged{}, err
		}
		return judgedAs(d.Outcome, map[string]any{"determination": d})
	})
}

func judgedAs(outcome string, members map[string]any) (Judged, error) {
	members["outcome"] = outcome
	var d Draft
	for name, value := range members {
		if err := d.Set(name, value); err != nil {
			return Judged{}, err
		}
	}
	return Judged{outcome, d.Fields}, nil
}

// rehearse judges under each of some rules, in one reading transaction.
func (s *Store) rehearse(ctx context.Context, call Call, under []*trade.Rules, judge func(*Tx) (Judged, error)) (answers []Judged, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		for _, t.law = range under {
			answer, err := judge(t)
			if err != nil {
				return err
			}
			answers = append(answers, answer)
		}
		return nil
	})
	return answers, err
}
