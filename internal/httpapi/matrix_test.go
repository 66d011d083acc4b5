package httpapi_test

import (
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/httpapi"
	"sillbook/internal/pgtest"
	"sillbook/internal/postgres"
)

// S1, the matrix of access: every operation of the contract crossed with every way of not being allowed. The rows come
// from the contract, so that a new operation is in it from its first day.

var everyScope = []credential.Scope{credential.RestrictedRead, credential.RestrictedWrite}

func TestS1NoValidCredentialReachesAnything(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	soon := contracttest.Now.Add(time.Minute)
	expired := s.Key(postgres.Key{Name: "Brief", Role: credential.Owner, ExpiresAt: &soon})
	made := s.Owner().Post("/v1/keys", `{"name":"Night job","role":"owner"}`).Is(201)
	revoked := made.JSON()["secret"].(string)
	s.Owner().Post("/v1/keys/"+made.ID()+"/revoke", nil).Is(200)
	s.Clock().Move(time.Minute)
	parts := strings.Split(s.OwnerKey, "_")
	_, stranger := s.Open("Another")
	foreign := strings.Split(stranger, "_")
	v := made.ID()
	for name, credentials := range map[string]struct{ key, code string }{
		"none":                         {"", "no_credential"},
		"not in the form of a key":     {"letmein", "bad_credential"},
		"a secret too long":            {s.OwnerKey + "zzz", "bad_credential"},
		"another secret":               {strings.Join([]string{parts[0], parts[1], parts[2], foreign[3]}, "_"), "credential_refused"},
		"another organization's place": {strings.Join([]string{parts[0], foreign[1], parts[2], parts[3]}, "_"), "credential_refused"},
		"expired":                      {expired, "credential_refused"},
		"revoked":                      {revoked, "credential_refused"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := s.Client(credentials.key)
			for _, o := range operations(t) {
				o.call(t, c, victims{o.kind: v, "renovation": v, "property": v, "building": v}).Problem(401, credentials.code)
			}
		})
	}
}

func TestS1RoleThatTheContractDoesNotListIsRefused(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := victims{}
	for _, kind := range kindOfField {
		v[kind] = uuid.NewString()
	}
	for _, role := range everyRole {
		c := s.Client(s.Key(postgres.Key{Name: string(role), Role: role, Scopes: everyScope}))
		for _, o := range operations(t) {
			if !slices.Contains(o.roles, role) {
				o.call(t, c, o.orAny(v)).Problem(403, "role")
			}
		}
	}
}

// A role is not enough where the contract lists a scope, whatever other scopes come with it; and caches are told to keep nothing
// of what is restricted, be it an answer or a refusal.
func TestS1ScopeThatTheContractListsIsNeeded(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	guarded := 0
	for _, o := range operations(t) {
		for _, scope := range o.scopes {
			guarded++
			others := slices.DeleteFunc(slices.Clone(everyScope), func(one credential.Scope) bool { return one == scope })
			for _, role := range o.roles {
				without := o.call(t, s.Client(s.Key(postgres.Key{Name: string(role), Role: role, Scopes: others})), v)
				without.Problem(403, "restricted")
				with := o.call(t, s.Client(s.Key(postgres.Key{Name: string(role), Role: role, Scopes: everyScope})), v)
				require.Less(t, with.Status, 400, "%s", with.Body)
				for _, a := range []contracttest.Answer{without, with} {
					require.Equal(t, "no-store", a.Header.Get("Cache-Control"), "%s, %d", o.OperationID, a.Status)
				}
			}
		}
	}
	require.Positive(t, guarded)
}

// orAny makes sure that there is something for the path, where it does not matter what.
func (o operation) orAny(v victims) victims {
	if v[o.kind] == "" {
		v[o.kind] = uuid.NewString()
	}
	return v
}

func TestS1GrantReachesNoFurtherThanItSays(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	landlord := s.Owner()
	v := populate(t, s)
	give := func(to uuid.UUID, change map[string]any) string {
		grant := map[string]any{"name": "Office", "grantee_organization_id": to, "access": "contribute"}
		for name, value := range change {
			grant[name] = value
		}
		return landlord.Post("/v1/grants", grant).Is(201).ID()
	}
	later, past := contracttest.Now.Add(time.Hour), contracttest.Now.Add(time.Minute)
	rows := []struct {
		name  string
		grant map[string]any // nil: none
		code  string
		takes func(operation) bool
	}{
		{"none given", nil, "no_grant", all},
		{"not begun", map[string]any{"from": later}, "no_grant", all},
		{"expired", map[string]any{"to": past}, "no_grant", all},
		{"revoked", map[string]any{}, "no_grant", all},
		{"for another key", map[string]any{"grantee_key_id": uuid.NewString()}, "no_grant", all},
		{"for facilities only", map[string]any{"kinds": []string{"facility"}}, "outside_grant", func(o operation) bool {
			return o.kind != "facility" && slices.Contains(o.roles, credential.Manager)
		}},
		{"for units only", map[string]any{"kinds": []string{"unit"}}, "outside_grant", func(o operation) bool {
			return o.kind == "facility"
		}},
		{"read only", map[string]any{"access": "read"}, "role", func(o operation) bool {
			return !slices.Contains(o.roles, credential.Reader)
		}},
		{"an owner's key is no owner elsewhere", map[string]any{}, "role", func(o operation) bool {
			return !slices.Contains(o.roles, credential.Manager)
		}},
	}
	clients := map[string]*contracttest.Client{}
	for _, row := range rows {
		agency, key := s.Open(row.name)
		clients[row.name] = s.Client(key).With("Sillbook-Organization", s.Organization.String())
		if row.grant == nil {
			continue
		}
		grant := give(agency, row.grant)
		if row.name == "revoked" {
			landlord.Post("/v1/grants/"+grant+"/revoke", nil).Is(200)
		}
	}
	s.Clock().Move(time.Minute)
	for _, row := range rows {
		reached := 0
		for _, o := range operations(t) {
			if row.takes(o) {
				o.call(t, clients[row.name], v).Problem(403, row.code)
				reached++
			}
		}
		require.Positive(t, reached, row.name)
	}
}

func all(operation) bool { return true }

// Those for whom the victims are not there: another organization, and keys and grants narrowed to another property.
func TestS1RecordsOutOfReachAreNotThere(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	elsewhere := newHome(s.Owner(), "Birch Court")
	narrow := []uuid.UUID{uuid.MustParse(elsewhere.property)}
	_, stranger := s.Open("Another")
	agency, agencyKey := s.Open("Agency")
	s.Owner().Post("/v1/grants", map[string]any{"name": "Office", "grantee_organization_id": agency, "access": "contribute",
		"property_ids": narrow}).Is(201)
	callers := map[string]func(operation) *contracttest.Client{
		"another organization": func(operation) *contracttest.Client { return s.Client(stranger) },
		"a grant for another property": func(operation) *contracttest.Client {
			return s.Client(agencyKey).With("Sillbook-Organization", s.Organization.String())
		},
	}
	keys := map[credential.Role]string{}
	for _, role := range everyRole {
		keys[role] = s.Key(postgres.Key{Name: string(role), Role: role, PropertyIDs: narrow, Scopes: everyScope})
		callers["a "+string(role)+"'s key for another property"] = func(o operation) *contracttest.Client {
			if !slices.Contains(o.roles, role) {
				return nil
			}
			return s.Client(keys[role])
		}
	}
	large := append([]string{"organization"}, atLarge...) // within reach of the organization's own narrowed keys
	for name, client := range callers {
		for _, o := range operations(t) {
			c := client(o)
			if c == nil {
				continue
			}
			if name != "another organization" && o.aimsAt() && slices.Contains(large, o.kind) {
				continue
			}
			a := o.call(t, c, v)
			require.Less(t, a.Status, 500, "%s by %s: %s", o.OperationID, name, a.Body)
			if o.aimsAt() && a.Status != 403 {
				a.Problem(404, "not_found")
			}
			for kind, id := range v {
				if name != "another organization" && slices.Contains(large, kind) || a.Status == 422 {
					continue // a refusal may repeat what was sent
				}
				require.NotContains(t, string(a.Body), id, "%s by %s shows a %s", o.OperationID, name, kind)
			}
			if a.Status == 422 {
				require.Contains(t, string(a.Body), "no_such_reference", "%s by %s: %s", o.OperationID, name, a.Body)
			}
		}
	}
	for path, kind := range map[string]string{"properties": "property", "buildings": "building", "units": "unit", "rooms": "room",
		"exterior-sides": "exterior_side", "occupancies": "occupancy", "findings": "finding"} {
		require.Equal(t, `"1"`, s.Owner().Get("/v1/"+path+"/"+v[kind]).Is(200).ETag(), "nobody changed the %s", kind)
	}
}

// Without this the matrix could be refusals of something else: who is allowed is let in, and told something.
func TestS1WhoIsAllowedIsLetIn(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	for _, o := range operations(t) {
		c := s.Client(s.Key(postgres.Key{Name: "Somebody", Role: o.roles[len(o.roles)-1],
			Scopes: append([]credential.Scope{credential.OrganizationsWrite}, everyScope...)}))
		a := o.call(t, c, v)
		require.NotContains(t, []int{401, 403, 404}, a.Status, "%s: %s", o.OperationID, a.Body)
		require.Less(t, a.Status, 500, "%s: %s", o.OperationID, a.Body)
	}
}

// What the frame refuses, it refuses for every operation alike.
func TestFrameRefusesTheSameForEveryOperation(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := victims{}
	for _, kind := range kindOfField {
		v[kind] = uuid.NewString()
	}
	for _, o := range operations(t) {
		c := s.Owner()
		role := o.roles[0]
		if role != credential.Owner {
			c = s.Client(s.Key(postgres.Key{Name: string(role), Role: role}))
		}
		v := o.orAny(v)
		if o.takes() != "" {
			c = c.With("Content-Type", o.takes())
		}
		o.call(t, c.With("Accept", "text/html"), v).Problem(406, "not_acceptable")
		separator := "?"
		if strings.Contains(o.target(t, v), "?") {
			separator = "&"
		}
		if o.needsMatch() {
			c.Do(o.method, o.target(t, v), o.body(t, v)).Problem(428, "if_match_missing")
			c = c.With("If-Match", `"1"`)
		}
		c.Do(o.method, o.target(t, v)+separator+"colour=red", o.body(t, v)).Problem(400, "malformed")
		if o.takes() != "" {
			c.Do(o.method, o.target(t, v), io.LimitReader(spaces{}, contracttest.LargestAttachment+1)).Problem(413, "body_too_large")
			c.With("Content-Type", "text/html").Do(o.method, o.target(t, v), "a,b").Problem(415, "unsupported_media")
		} else if o.RequestBody != nil {
			limit := 1 << 20
			if strings.HasSuffix(o.path, "/batch") || slices.Contains([]string{"CreateClearance", "CalculateClearance", "RecordObservations"}, o.OperationID) {
				limit = 5 << 20
			}
			c.Do(o.method, o.target(t, v), strings.Repeat(" ", limit+1)).Problem(413, "body_too_large")
			c.With("Content-Type", "text/csv").Do(o.method, o.target(t, v), "a,b").Problem(415, "unsupported_media")
			c.Do(o.method, o.target(t, v), `{"name":`).Problem(400, "not_json")
		}
	}
}

// spaces are as many spaces as anybody reads.
type spaces struct{}

func (spaces) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

// A service that is over its limits, without its database, or broken says so in the same words everywhere.
func TestFrameSaysWhenItCannot(t *testing.T) {
	t.Parallel()
	v := victims{}
	for _, kind := range kindOfField {
		v[kind] = uuid.NewString()
	}
	t.Run("429 over the share of requests", func(t *testing.T) {
		t.Parallel()
		s := contracttest.NewWith(t, pgtest.Database(t), func(o *httpapi.Options) { o.Rate = 0.001 })
		s.Owner().Get("/v1/properties").Is(200)
		for _, o := range operations(t) {
			a := o.call(t, s.Owner(), o.orAny(victims{"renovation": uuid.NewString(), "property": uuid.NewString(), "building": uuid.NewString()}))
			a.Problem(429, "too_many_requests")
			require.NotEmpty(t, a.Header.Get("Retry-After"))
		}
	})
	t.Run("503 without the database", func(t *testing.T) {
		t.Parallel()
		s := contracttest.New(t)
		s.Store.Close()
		for _, o := range operations(t) {
			a := o.call(t, s.Owner(), o.orAny(victims{"renovation": uuid.NewString(), "property": uuid.NewString(), "building": uuid.NewString()}))
			a.Problem(503, "database_unavailable")
			require.NotEmpty(t, a.Header.Get("Retry-After"))
		}
	})
	t.Run("500 broken, and silent about how", func(t *testing.T) {
		t.Parallel()
		s := contracttest.NewWith(t, pgtest.Database(t), func(o *httpapi.Options) {
			o.Now = func() time.Time { panic(errors.New("the clock has stopped")) }
		})
		for _, o := range operations(t) {
			a := o.call(t, s.Owner(), o.orAny(victims{"renovation": uuid.NewString(), "property": uuid.NewString(), "building": uuid.NewString()}))
			a.Problem(500, "internal")
			require.NotContains(t, string(a.Body), "the clock")
		}
		require.Contains(t, s.Log.String(), "the clock has stopped", "the log has it")
	})
}
