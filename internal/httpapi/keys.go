package httpapi

import (
	"context"
	"encoding/json"
	"time"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
)

var (
	keyKind   = form.Kind{Name: "key", Path: "keys", Schema: "Key"}
	grantKind = form.Kind{Name: "grant", Path: "grants", Schema: "Grant"}
)

// GetOrganization reads the organization the request works in.
func (s *Server) GetOrganization(ctx context.Context, _ api.GetOrganizationRequestObject) (api.GetOrganizationResponseObject, error) {
	return s.get(ctx, form.Organization, requestOf(ctx).caller.Organization)
}

// PatchOrganization changes it.
func (s *Server) PatchOrganization(ctx context.Context, _ api.PatchOrganizationRequestObject) (api.PatchOrganizationResponseObject, error) {
	return s.patch(ctx, form.Organization, requestOf(ctx).caller.Organization)
}

// CreateOrganization opens another organization. Only a host's key may.
func (s *Server) CreateOrganization(ctx context.Context, told api.CreateOrganizationRequestObject) (api.CreateOrganizationResponseObject, error) {
	r := requestOf(ctx)
	if !r.caller.Has(credential.OrganizationsWrite) {
		return nil, fault.New(fault.Forbidden, "scope", "Opening an organization needs the scope organizations:write.").
			Fix("Ask whoever runs this service.")
	}
	outcome, key, secret, err := s.store.OpenOrganization(ctx, r.call(), told.Body.Name, postgres.Key{Name: "First owner's key",
		Role: credential.Owner, Scopes: []credential.Scope{credential.RestrictedRead, credential.RestrictedWrite}})
	if err != nil {
		return nil, err
	}
	shown, err := withSecret(key.Body, secret)
	if err != nil {
		return nil, err
	}
	return written(201, map[string]json.RawMessage{"organization": outcome.Record.Body, "key": shown})
}

// ListKeys lists the organization's keys, each with when it was last used.
func (s *Server) ListKeys(ctx context.Context, _ api.ListKeysRequestObject) (api.ListKeysResponseObject, error) {
	r := requestOf(ctx)
	listing, err := r.listing("key")
	if err != nil {
		return nil, err
	}
	page, err := s.store.List(ctx, r.call(), "key", listing)
	if err != nil {
		return nil, err
	}
	if err := s.addUses(ctx, page.Bodies); err != nil {
		return nil, err
	}
	return r.page(page, "/v1/keys"), nil
}

// GetKey reads a key, without its secret.
func (s *Server) GetKey(ctx context.Context, r api.GetKeyRequestObject) (api.GetKeyResponseObject, error) {
	a, err := s.get(ctx, keyKind, r.Id)
	if err != nil {
		return nil, err
	}
	bodies := [][]byte{a.body}
	err = s.addUses(ctx, bodies)
	a.body = bodies[0]
	return a, err
}

// addUses adds to keys when each was last used. That is no part of the record: it makes no version.
func (s *Server) addUses(ctx context.Context, bodies [][]byte) error {
	ids := make([]uuid.UUID, len(bodies))
	for i, body := range bodies {
		var k struct {
			ID uuid.UUID `json:"id"`
		}
		if err := json.Unmarshal(body, &k); err != nil {
			return err
		}
		ids[i] = k.ID
	}
	uses, err := s.store.KeyUses(ctx, requestOf(ctx).call(), ids)
	for i, id := range ids {
		if at, used := uses[id]; used && err == nil {
			bodies[i], err = withMember(bodies[i], "last_used_at", at)
		}
	}
	return err
}

// CreateKey makes a key. It has no scope that the key which makes it has not; a narrowed one makes none at all.
func (s *Server) CreateKey(ctx context.Context, told api.CreateKeyRequestObject) (api.CreateKeyResponseObject, error) {
	r := requestOf(ctx)
	k := postgres.Key{Name: told.Body.Name, Role: credential.Role(told.Body.Role), Scopes: []credential.Scope{},
		PropertyIDs: list(told.Body.PropertyIds), ExpiresAt: told.Body.ExpiresAt}
	var faults fault.Faults
	for _, scope := range list(told.Body.Scopes) {
		k.Scopes = append(k.Scopes, credential.Scope(scope))
		if !r.caller.Has(credential.Scope(scope)) {
			faults.Add("/scopes", "beyond_own", "This credential has not the scope %s itself, so it cannot give it.", scope)
		}
	}
	if len(k.Scopes) > 0 && (k.Role == credential.Crew || k.Role == credential.Sampler) {
		faults.Add("/scopes", "not_for_role", "A key with the role %s has no scopes: crews and samplers never see restricted facts.", k.Role)
	}
	s.checkProperties(ctx, &faults, k.PropertyIDs)
	inThePast(&faults, "/expires_at", k.ExpiresAt, s.now())
	if err := faults.Err(); err != nil {
		return nil, err
	}
	outcome, secret, err := s.store.CreateKey(ctx, r.call(), k)
	if err != nil {
		return nil, err
	}
	a, err := s.answer(ctx, keyKind, outcome, nil)
	if err != nil {
		return nil, err
	}
	a.body, err = withSecret(a.body, secret)
	return a, err
}

// RevokeKey stops a key from working.
func (s *Server) RevokeKey(ctx context.Context, r api.RevokeKeyRequestObject) (api.RevokeKeyResponseObject, error) {
	return s.revoke(ctx, keyKind, r.Id)
}

// ListGrants lists the grants given.
func (s *Server) ListGrants(ctx context.Context, _ api.ListGrantsRequestObject) (api.ListGrantsResponseObject, error) {
	return s.list(ctx, grantKind)
}

// ListGrantsReceived lists the live grants others have given.
func (s *Server) ListGrantsReceived(ctx context.Context, _ api.ListGrantsReceivedRequestObject) (api.ListGrantsReceivedResponseObject, error) {
	r := requestOf(ctx)
	after, err := r.after()
	if err != nil {
		return nil, err
	}
	page, err := s.store.GrantsReceived(ctx, r.call(), after, r.limit())
	if err != nil {
		return nil, err
	}
	return r.page(page, "/v1/grants/received"), nil
}

// GetGrant reads a grant given.
func (s *Server) GetGrant(ctx context.Context, r api.GetGrantRequestObject) (api.GetGrantResponseObject, error) {
	return s.get(ctx, grantKind, r.Id)
}

// CreateGrant lets another organization in.
func (s *Server) CreateGrant(ctx context.Context, told api.CreateGrantRequestObject) (api.CreateGrantResponseObject, error) {
	r, b := requestOf(ctx), told.Body
	g := postgres.Grant{Name: b.Name, GranteeOrganizationID: b.GranteeOrganizationId, GranteeKeyID: b.GranteeKeyId,
		Access: string(b.Access), PropertyIDs: list(b.PropertyIds), Kinds: list(b.Kinds), From: b.From, To: b.To}
	if b.Restricted != nil {
		g.Restricted = *b.Restricted
	}
	var faults fault.Faults
	if g.GranteeOrganizationID == r.caller.Organization {
		faults.Add("/grantee_organization_id", "own_organization", "An organization needs no grant to itself; make a key instead.")
	}
	if g.Restricted && !r.caller.Has(credential.RestrictedRead) {
		faults.Add("/restricted", "beyond_own", "This credential has not the scope restricted:read itself, so it cannot give it.")
	}
	if g.From != nil && g.To != nil && !g.From.Before(*g.To) {
		faults.Add("/to", "contradiction", "The grant ends before it begins.")
	}
	for _, kind := range g.Kinds {
		if !postgres.IsKind(kind) {
			faults.Add("/kinds", "no_such_kind", "There is no kind of record called %q.", kind)
		}
	}
	inThePast(&faults, "/to", g.To, s.now())
	s.checkProperties(ctx, &faults, g.PropertyIDs)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	outcome, err := s.store.CreateGrant(ctx, r.call(), g)
	return s.answer(ctx, grantKind, outcome, err)
}

// RevokeGrant ends access under a grant.
func (s *Server) RevokeGrant(ctx context.Context, r api.RevokeGrantRequestObject) (api.RevokeGrantResponseObject, error) {
	return s.revoke(ctx, grantKind, r.Id)
}

func (s *Server) revoke(ctx context.Context, kind form.Kind, id uuid.UUID) (reply, error) {
	outcome, err := s.store.Revoke(ctx, requestOf(ctx).call(), kind.Name, id)
	if err == nil {
		s.credentials.forget()
	}
	return s.answer(ctx, kind, outcome, err)
}

// ListAccesses reads the access log.
func (s *Server) ListAccesses(ctx context.Context, _ api.ListAccessesRequestObject) (api.ListAccessesResponseObject, error) {
	r := requestOf(ctx)
	after, err := r.after()
	if err != nil {
		return nil, err
	}
	rows, err := s.store.Accesses(ctx, r.call(), after, r.limit()+1)
	if err != nil {
		return nil, err
	}
	answer := api.AccessList{Items: []api.Access{}}
	link := ""
	if len(rows) > r.limit() {
		rows = rows[:r.limit()]
		next := r.cursor(rows[len(rows)-1].ID)
		answer.Next, link = &next, `<`+r.nextPage("/v1/access-log", next)+`>; rel="next"`
	}
	for _, row := range rows {
		answer.Items = append(answer.Items, api.Access{Id: row.ID, At: row.At.UTC(), Operation: row.Operation, SubjectKind: row.SubjectKind,
			SubjectId: row.SubjectID, Restricted: row.Restricted, RequestId: &row.RequestID,
			Actor: api.Actor{Kind: api.ActorKindKey, Id: &row.Actor, OrganizationId: &row.Organization, GrantId: row.Grant}})
	}
	a, err := written(200, answer)
	a.link = link
	return a, err
}

// checkProperties demands that each property is there to be seen.
func (s *Server) checkProperties(ctx context.Context, f *fault.Faults, ids []uuid.UUID) {
	for _, id := range ids {
		if _, _, err := s.store.Get(ctx, requestOf(ctx).call(), "property", id, 0); err != nil {
			f.Add("/property_ids", "no_such_reference", "There is no property %s that this credential may see.", id)
		}
	}
}

func inThePast(f *fault.Faults, pointer string, t *time.Time, now time.Time) {
	if t != nil && !t.After(now) {
		f.Add(pointer, "in_the_past", "This instant has passed already.")
	}
}

// withSecret adds the secret to a key's written form; without one it says that the secret was shown before.
func withSecret(body []byte, secret string) ([]byte, error) {
	if secret == "" {
		return withMember(body, "secret_shown", true)
	}
	return withMember(body, "secret", secret)
}

// withMember adds a member to a written form.
func withMember(body []byte, name string, value any) ([]byte, error) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(body, &fields); err != nil {
		return nil, err
	}
	text, err := json.Marshal(value)
	if err != nil {
		return nil, err
	}
	fields[name] = text
	return json.Marshal(fields)
}

func list[T any](told *[]T) []T {
	if told == nil {
		return nil
	}
	return *told
}
