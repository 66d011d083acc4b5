package postgres

import (
	"context"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/credential"
	"sillbook/internal/fault"
)

// Key is the written form of a key, without its secret.
type Key struct {
	Name        string             `json:"name"`
	Role        credential.Role    `json:"role"`
	Scopes      []credential.Scope `json:"scopes"`
	PropertyIDs []uuid.UUID        `json:"property_ids,omitzero"` // nil: all; empty: none
	ExpiresAt   *time.Time         `json:"expires_at,omitempty"`
	RevokedAt   *time.Time         `json:"revoked_at,omitempty"`
}

// Grant is the written form of a grant.
type Grant struct {
	Name                  string      `json:"name"`
	GranteeOrganizationID uuid.UUID   `json:"grantee_organization_id"`
	GranteeKeyID          *uuid.UUID  `json:"grantee_key_id,omitempty"`
	Access                string      `json:"access"`
	PropertyIDs           []uuid.UUID `json:"property_ids,omitzero"` // nil: all; empty: none
	Kinds                 []string    `json:"kinds,omitzero"`        // nil: all; empty: none
	Restricted            bool        `json:"restricted"`
	From                  *time.Time  `json:"from,omitempty"`
	To                    *time.Time  `json:"to,omitempty"`
	RevokedAt             *time.Time  `json:"revoked_at,omitempty"`
}

const insertSecret = `
insert into key_secret (organization_id, key_id, hash)
values ($1, $2, $3)`

// InsertKey makes a key in the transaction's organization; the text is shown once.
func (t *Tx) InsertKey(k Key) (record Record, text string, err error) {
	var d Draft
	if d, err = draftOf(k); err != nil {
		return Record{}, "", err
	}
	d.ID = newID()
	if record, err = t.Insert("key", "created", d); err != nil {
		return Record{}, "", err
	}
	text, kept := credential.New(t.organization(), record.ID)
	t.later(insertSecret, t.organization(), record.ID, kept.Hash[:])
	return record, text, nil
}

// OpenOrganization makes an organization and its first owner's key. call.Caller says who does it; its organization is
// replaced by the new one.
func (s *Store) OpenOrganization(ctx context.Context, call Call, name string, k Key) (outcome Outcome, key Record, text string, err error) {
	home := call.Caller
	call.Caller = credential.Caller{Organization: newID(), Home: home.Home, Key: home.Key}
	outcome, err = s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		d, err := draftOf(struct {
			Name string `json:"name"`
		}{name})
		if err != nil {
			return Outcome{}, err
		}
		d.ID = t.organization()
		record, err := t.Insert("organization", "created", d)
		if err != nil {
			return Outcome{}, err
		}
		key, text, err = t.InsertKey(k)
		return Outcome{Status: 201, Record: record}, err
	})
	return outcome, key, text, err
}

// CreateKey makes a key. The secret is in text; a replayed creation has none.
func (s *Store) CreateKey(ctx context.Context, call Call, k Key) (outcome Outcome, text string, err error) {
	outcome, err = s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		var record Record
		if record, text, err = t.InsertKey(k); err != nil {
			return Outcome{}, err
		}
		return Outcome{Status: 201, Record: record}, nil
	})
	return outcome, text, err
}

// CreateGrant lets another organization in.
func (s *Store) CreateGrant(ctx context.Context, call Call, g Grant) (Outcome, error) {
	d, err := draftOf(g)
	if err != nil {
		return Outcome{}, err
	}
	return s.Create(ctx, call, "grant", d)
}

// Revoke stops a key or a grant from working. Doing it again changes nothing.
func (s *Store) Revoke(ctx context.Context, call Call, kind string, id uuid.UUID) (Outcome, error) {
	return s.Write(ctx, call, func(t *Tx) (Outcome, error) {
		before, err := t.Hold(kind, id)
		if err != nil {
			return Outcome{}, err
		}
		fields, err := before.Fields()
		if err != nil {
			return Outcome{}, err
		}
		if !isNull(fields["revoked_at"]) {
			return Outcome{Status: 200, Record: before}, nil
		}
		d := Draft{Fields: fields.Told()}
		if err := d.Set("revoked_at", t.now); err != nil {
			return Outcome{}, err
		}
		after, err := t.Replace(before, "revoked", d)
		return Outcome{Status: 200, Record: after}, err
	})
}

const selectKey = `
select k.version, k.body, s.hash
from api_key k
join key_secret s on s.organization_id = k.organization_id and s.key_id = k.id
where k.organization_id = $1
  and k.id = $2`

const selectGrants = `
select organization_id, id, version, body
from access_grant
where grantee_organization_id = $1
  and organization_id = $2
order by id desc`

// Authenticate checks a presented key, and the grant that lets it work in another organization when wanted names one.
// Whatever is wrong with a key, the answer is the same.
func (s *Store) Authenticate(ctx context.Context, p credential.Presented, wanted uuid.UUID) (credential.Caller, error) {
	var key Record
	var hash []byte
	var grants []Record
	call := Call{Caller: credential.Caller{Organization: p.Organization}}
	err := s.read(ctx, call, func(t *Tx) error {
		if wanted != uuid.Nil && wanted != p.Organization {
			if err := t.query(rowsOf(&grants, scanGrant), selectGrants, p.Organization, wanted); err != nil {
				return err
			}
		}
		return t.last(func(rows pgx.Rows) error {
			for rows.Next() {
				if err := rows.Scan(&key.Version, &key.Body, &hash); err != nil {
					return err
				}
			}
			return rows.Err()
		}, selectKey, p.Organization, p.Key)
	})
	if err != nil {
		return credential.Caller{}, err
	}
	if !p.Matches(hash) {
		return credential.Caller{}, credential.Refused()
	}
	key.Kind, key.ID = "key", p.Key
	caller, err := s.home(p, key)
	if err != nil || wanted == uuid.Nil || wanted == p.Organization {
		return caller, err
	}
	return s.away(caller, grants)
}

func scanGrant(row pgx.CollectableRow) (Record, error) {
	r, organization := Record{Kind: "grant"}, uuid.UUID{}
	err := row.Scan(&organization, &r.ID, &r.Version, &r.Body)
	r.Properties = []uuid.UUID{organization} // whose grant it is; used by away and received only
	return r, err
}

// home is the caller in the key's own organization.
func (s *Store) home(p credential.Presented, record Record) (credential.Caller, error) {
	var k Key
	if err := record.Read(&k); err != nil {
		return credential.Caller{}, err
	}
	now := s.now()
	if k.RevokedAt != nil || k.ExpiresAt != nil && !now.Before(*k.ExpiresAt) {
		return credential.Caller{}, credential.Refused()
	}
	caller := credential.Caller{Organization: p.Organization, Home: p.Organization, Key: p.Key,
		Role: k.Role, Scopes: k.Scopes, Properties: k.PropertyIDs}
	if k.ExpiresAt != nil {
		caller.Until = *k.ExpiresAt
	}
	return caller, nil
}

// away is the caller in the organization of the newest live grant that fits, one for this very key first.
func (s *Store) away(caller credential.Caller, grants []Record) (credential.Caller, error) {
	var best *Grant
	var from Record
	for _, record := range grants {
		var g Grant
		if err := record.Read(&g); err != nil {
			return credential.Caller{}, err
		}
		if !g.live(s.now()) || g.GranteeKeyID != nil && *g.GranteeKeyID != caller.Key {
			continue
		}
		if best == nil || best.GranteeKeyID == nil && g.GranteeKeyID != nil {
			best, from = &g, record
		}
	}
	if best == nil {
		return credential.Caller{}, fault.New(fault.Forbidden, "no_grant", "No live grant lets this credential work in that organization.").
			Fix("Leave Sillbook-Organization out, or ask the other organization's owner for a grant.")
	}
	return best.narrow(caller, from), nil
}

func (g Grant) live(now time.Time) bool {
	return g.RevokedAt == nil && (g.From == nil || !now.Before(*g.From)) && (g.To == nil || now.Before(*g.To))
}

// narrow gives the caller as the grant lets it in: never further than either the grant or the key reaches.
func (g Grant) narrow(caller credential.Caller, from Record) credential.Caller {
	away := credential.Caller{Organization: from.Properties[0], Home: caller.Home, Key: caller.Key, Grant: from.ID,
		Role: caller.Role, Kinds: g.Kinds, Properties: g.PropertyIDs, Until: caller.Until}
	if caller.Role == credential.Owner {
		away.Role = credential.Manager
	}
	if g.Access == "read" {
		away.Role = credential.Reader
	}
	for _, scope := range caller.Scopes {
		if g.Restricted && (scope == credential.RestrictedRead || scope == credential.RestrictedWrite && g.Access == "contribute") {
			away.Scopes = append(away.Scopes, scope)
		}
	}
	if caller.Properties != nil {
		both := []uuid.UUID{}
		for _, p := range caller.Properties {
			if g.PropertyIDs == nil || slices.Contains(g.PropertyIDs, p) {
				both = append(both, p)
			}
		}
		away.Properties = both
	}
	if g.To != nil && (away.Until.IsZero() || g.To.Before(away.Until)) {
		away.Until = *g.To
	}
	return away
}

const selectReceived = `
select organization_id, id, version, body
from access_grant
where grantee_organization_id = $1
  and id > $2
order by id
limit $3`

// GrantsReceived reads the live grants given to the caller's key or its organization, oldest first; next is uuid.Nil
// after the last.
func (s *Store) GrantsReceived(ctx context.Context, call Call, after uuid.UUID, limit int) (page Page, err error) {
	var records []Record
	call.Caller.Organization = call.Caller.Home
	err = s.read(ctx, call, func(t *Tx) error {
		return t.last(rowsOf(&records, scanGrant), selectReceived, t.organization(), after, limit+1)
	})
	if err != nil {
		return Page{}, err
	}
	page.Count = -1
	if len(records) > limit {
		records = records[:limit]
		page.Next = records[limit-1].ID
	}
	for _, record := range records {
		var g Grant
		if err := record.Read(&g); err != nil {
			return Page{}, err
		}
		if g.live(s.now()) && (g.GranteeKeyID == nil || *g.GranteeKeyID == call.Caller.Key) {
			page.Bodies = append(page.Bodies, record.Body)
		}
	}
	return page, nil
}

// Empty reports whether no organization has a key yet.
func (s *Store) Empty(ctx context.Context) (empty bool, err error) {
	err = s.worker.QueryRow(ctx, `select not exists (select from api_key)`).Scan(&empty)
	return empty, settle(err)
}
