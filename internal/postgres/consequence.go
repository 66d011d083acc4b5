package postgres

import "github.com/google/uuid"

// What the book itself says and does beside what callers tell: members it computes before a record is written, and what
// follows once it stands. Each kind has at most one entry in either.

// complete computes what the book itself says of a record about to be created or, where before is not nil, changed.
func (t *Tx) complete(kind string, before *Record, d *Draft) error {
	if before == nil && d.ID == uuid.Nil {
		d.ID = newID()
	}
	switch kind {
	case "renovation":
		return t.completeRenovation(before, d)
	case "notice":
		return t.completeNotice(d)
	case "verification":
		return t.completeVerification(d)
	case "certificate":
		return t.completeCertificate(before, d)
	}
	return nil
}

// follow does what follows from a record that a caller created, changed or ended.
func (t *Tx) follow(r Record) error {
	switch r.Kind {
	case "renovation":
		return t.followRenovation(r)
	case "verification":
		return t.followVerification(r)
	case "certificate":
		return t.followCertificate(r)
	}
	return nil
}

// followRenovation keeps what a job disturbs in step with it, and what its observations come to.
func (t *Tx) followRenovation(r Record) error {
	if err := t.spreadCrew(r); err != nil {
		return err
	}
	if err := t.spreadWork(r); err != nil || r.Version == 1 || r.Ended {
		return err
	}
	return t.settleObserved(r)
}

// present adds to records as callers see them what is true only at the moment of reading. Earlier versions and the log do
// without it.
func (t *Tx) present(kind string, records []Record, bodies [][]byte) error {
	if kind == "renovation" {
		return t.headlines(records, bodies)
	}
	return nil
}

// stored reports whether every caller sees records of a kind just as they are stored.
func stored(kind string) bool {
	return len(tableOf(kind).restricted) == 0 && !tableOf(kind).hangs && kind != "renovation"
}
