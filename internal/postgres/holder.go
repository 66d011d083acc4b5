package postgres

import (
	"context"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/law"
)

// CertificateOf reads a certificate's written form. A form that was checked when it was told can be read.
func CertificateOf(text []byte) (crew.Certificate, error) {
	var f certificateForm
	if err := json.Unmarshal(text, &f); err != nil {
		return crew.Certificate{}, err
	}
	c := crew.Certificate{Discipline: f.Discipline, Basis: f.Basis, Issuer: f.Issuer, IssuedOn: f.IssuedOn, ExpiresOn: f.ExpiresOn,
		Extended: law.TriOf(f.Extended), CopyLost: f.CopyLost, HandsOn: law.TriOf(f.HandsOn), CourseMinutes: f.CourseMinutes,
		HandsOnMinutes: f.HandsOnMinutes, EarlierCourse: law.TriOf(f.EarlierCourse), Exam: f.Exam, AppliedOn: f.AppliedOn,
		RefusedOn: f.RefusedOn, SupplementAskedOn: f.SupplementAskedOn, SupplementSentOn: f.SupplementSentOn}
	for _, change := range f.Changes {
		c.Changes = append(c.Changes, crew.Amendment{ChangedOn: change.ChangedOn, AmendedOn: change.AmendedOn})
	}
	return c, nil
}

type certificateForm struct {
	Discipline        crew.Discipline `json:"discipline"`
	Basis             crew.Basis      `json:"basis"`
	Issuer            string          `json:"issuer"`
	IssuedOn          calendar.Date   `json:"issued_on"`
	ExpiresOn         calendar.Date   `json:"expires_on"`
	Extended          string          `json:"extended"`
	CopyLost          bool            `json:"copy_lost"`
	HandsOn           string          `json:"hands_on"`
	CourseMinutes     int             `json:"course_minutes"`
	HandsOnMinutes    int             `json:"hands_on_minutes"`
	EarlierCourse     string          `json:"earlier_course"`
	Exam              crew.Exam       `json:"exam"`
	AppliedOn         calendar.Date   `json:"applied_on"`
	RefusedOn         calendar.Date   `json:"refused_on"`
	SupplementAskedOn calendar.Date   `json:"supplement_asked_on"`
	SupplementSentOn  calendar.Date   `json:"supplement_sent_on"`
	Changes           []struct {
		ChangedOn calendar.Date `json:"changed_on"`
		AmendedOn calendar.Date `json:"amended_on"`
	} `json:"changes"`
}

// holder is a firm or a person on record with all their live certificates, in the order in which they were recorded.
type holder struct {
	kind         string // firm or person
	id           uuid.UUID
	name         string
	employer     uuid.UUID // the firm a person works for, or uuid.Nil
	ended        bool
	certificates []crew.Certificate
}

const selectHolders = `
select 'firm', f.id, f.ended, convert_from(f.body, 'UTF8')::jsonb ->> 'name', null::uuid, c.id, c.body
from firm f
left join certificate c on c.organization_id = f.organization_id and c.firm_id = f.id and not c.ended
where f.organization_id = $1
  and f.id = any($2)
union all
select 'person', p.id, p.ended, convert_from(p.body, 'UTF8')::jsonb ->> 'name', p.firm_id, c.id, c.body
from person p
left join certificate c on c.organization_id = p.organization_id and c.person_id = p.id and not c.ended
where p.organization_id = $1
  and p.id = any($2)
order by 2, 6`

// holders finds firms and people; those that are not there are left out.
func (t *Tx) holders(ids ...uuid.UUID) (map[uuid.UUID]*holder, error) {
	found := map[uuid.UUID]*holder{}
	return found, t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			var h holder
			var employer, certificate *uuid.UUID
			var body []byte
			if err := rows.Scan(&h.kind, &h.id, &h.ended, &h.name, &employer, &certificate, &body); err != nil {
				return err
			}
			if found[h.id] == nil {
				found[h.id] = &h
			}
			if employer != nil {
				found[h.id].employer = *employer
			}
			if certificate == nil {
				continue
			}
			if err := found[h.id].add(*certificate, body); err != nil {
				return err
			}
		}
		return rows.Err()
	}, selectHolders, t.organization(), ids)
}

func (h *holder) add(certificate uuid.UUID, body []byte) error {
	c, err := CertificateOf(body)
	c.Record = certificate.String()
	h.certificates = append(h.certificates, c)
	return err
}

// holds says how a holder stands in the disciplines any one of which is enough.
func (t *Tx) holds(h *holder, enough []crew.Discipline, on calendar.Date, jurisdictions []string) (crew.Holding, error) {
	rules, err := t.rules()
	if err != nil {
		return crew.Holding{}, err
	}
	held, err := rules.Crews.Certificates.Holds(h.certificates, enough, on, jurisdictions)
	if err != nil {
		return held, err
	}
	rules.Localize(&held.Explained, "certificate", jurisdictions)
	return held, nil
}

// Certified asks whether a firm or a person on record is certified in a discipline on a day and in a place. Without a day it
// is today, in UTC: a certificate is of no place that has a time zone.
func (s *Store) Certified(ctx context.Context, call Call, kind string, id uuid.UUID, d crew.Discipline, on calendar.Date, jurisdictions []string) (a crew.CertificateAnswer, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		if on.IsZero() {
			on = t.today()
		}
		rules, err := t.rules()
		if err != nil {
			return err
		}
		if call.Caller.Grant != uuid.Nil {
			t.RecordAccess(kind, &id, false)
		}
		found, err := t.holders(id)
		if err != nil {
			return err
		}
		h := found[id]
		if h == nil || h.kind != kind {
			return notFound()
		}
		a, err = rules.Crews.Certificates.Judge(crew.CertificateFacts{AsOf: on, Jurisdictions: jurisdictions, Certificates: crew.Of(h.certificates, d)})
		rules.Localize(&a.Explained, "certificate", jurisdictions)
		return err
	})
	return a, err
}

// today is the date in UTC.
func (t *Tx) today() calendar.Date { return calendar.LocalDate(t.now, t.now.Location()) }

// mostCertificates is how many live certificates a holder has on record in one discipline. They hold for years: so many fill a
// working life.
const mostCertificates = 20

// completeCertificate keeps a holder's certificates to a number that one answer can speak of.
func (t *Tx) completeCertificate(before *Record, d *Draft) error {
	var told struct {
		FirmID     uuid.UUID       `json:"firm_id"`
		PersonID   uuid.UUID       `json:"person_id"`
		Discipline crew.Discipline `json:"discipline"`
	}
	if err := d.Fields.Into(&told); err != nil {
		return err
	}
	id := told.FirmID
	if id == uuid.Nil {
		id = told.PersonID
	}
	found, err := t.holders(id)
	if err != nil || found[id] == nil {
		return err // that there is none the check of references says
	}
	others := slices.DeleteFunc(crew.Of(found[id].certificates, told.Discipline), func(c crew.Certificate) bool { return before != nil && c.Record == before.ID.String() })
	if len(others) < mostCertificates {
		return nil
	}
	return fault.New(fault.Conflict, "too_many_certificates", "There are %d certificates of %s in this discipline on record already.", len(others), found[id].name).
		Fix("End those that were recorded twice or in error.")
}
