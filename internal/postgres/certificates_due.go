package postgres

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
)

// CertificateDue is something to be done for a certificate on record, and whose it is.
type CertificateDue struct {
	crew.Due
	Discipline crew.Discipline `json:"discipline"`
	FirmID     *uuid.UUID      `json:"firm_id,omitempty"`
	PersonID   *uuid.UUID      `json:"person_id,omitempty"`
	Holder     string          `json:"holder"`
}

const selectHeldCertificates = `
select c.id, c.body, c.firm_id, c.person_id, c.discipline, convert_from(coalesce(f.body, p.body), 'UTF8')::jsonb ->> 'name'
from certificate c
left join firm f on f.organization_id = c.organization_id and f.id = c.firm_id
left join person p on p.organization_id = c.organization_id and p.id = c.person_id
where c.organization_id = $1
  and not c.ended
  and not coalesce(f.ended, p.ended)
order by c.id`

// heldIn is a holder's certificates in one discipline.
type heldIn struct {
	firm, person *uuid.UUID
	discipline   crew.Discipline
	holder
}

// CertificatesDue lists what is to be done today for the certificates of all live firms and people, and is not done: what is
// due before a date or, without one, all. The earliest comes first; what is due on one day is by holder.
func (s *Store) CertificatesDue(ctx context.Context, call Call, before calendar.Date) (due []CertificateDue, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		if call.Caller.Grant != uuid.Nil {
			t.RecordAccess("certificate", nil, false)
		}
		held, err := t.heldCertificates()
		if err != nil {
			return err
		}
		rules, err := t.rules()
		if err != nil {
			return err
		}
		due = nil
		for _, h := range held {
			a, err := rules.Crews.Certificates.Judge(crew.CertificateFacts{AsOf: t.today(), Certificates: h.certificates})
			if err != nil {
				return err
			}
			for _, d := range a.Due {
				if d.Undone() && (before.IsZero() || d.On.Before(before)) {
					due = append(due, CertificateDue{Due: d, Discipline: h.discipline, FirmID: h.firm, PersonID: h.person, Holder: h.name})
				}
			}
		}
		return nil
	})
	slices.SortStableFunc(due, func(a, b CertificateDue) int { return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.Holder, b.Holder)) })
	return due, err
}

// heldCertificates are the live certificates of the organization's live firms and people, by holder and discipline.
func (t *Tx) heldCertificates() ([]*heldIn, error) {
	type key struct {
		holder     uuid.UUID
		discipline crew.Discipline
	}
	held := map[key]*heldIn{}
	err := t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			var h heldIn
			var body []byte
			if err := rows.Scan(&h.id, &body, &h.firm, &h.person, &h.discipline, &h.name); err != nil {
				return err
			}
			of := key{discipline: h.discipline}
			if h.firm != nil {
				of.holder = *h.firm
			} else {
				of.holder = *h.person
			}
			certificate := h.id
			if held[of] == nil {
				held[of] = &h
			}
			if err := held[of].add(certificate, body); err != nil {
				return err
			}
		}
		return rows.Err()
	}, selectHeldCertificates, t.organization())
	list := slices.Collect(maps.Values(held))
	slices.SortFunc(list, func(a, b *heldIn) int { return cmp.Compare(a.certificates[0].Record, b.certificates[0].Record) })
	return list, err
}
