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

// RehearseRepair judges a small repair that is on record, from the facts as they are now, under each of some rules. The answers are
// the members that say what it is. Nothing is stored.
func (s *Store) RehearseRepair(ctx context.Context, call Call, id uuid.UUID, under ...*trade.Rules) (answers []Fields, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		record, err := t.Load("small_repair", id)
		if err != nil {
			return err
		}
		var f repairForm
		if err := record.Read(&f); err != nil {
			return err
		}
		place, err := t.placeOfWork(f.WorkForm)
		if err != nil {
			return err
		}
		for _, rules := range under {
			t.law = rules
			j, err := t.judgeRepair(id, f, place)
			if err != nil {
				return err
			}
			answers = append(answers, j.fields)
		}
		return nil
	})
	return answers, err
}
