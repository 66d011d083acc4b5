package httpapi_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

func TestKeyIsShownOnceAndStopsWhenRevokedOrExpired(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	make := owner.With("Idempotency-Key", "k1")
	made := make.Post("/v1/keys", `{"name":"Night job","role":"manager"}`).Is(201)
	secret := made.JSON()["secret"].(string)
	require.Regexp(t, `^sb_[0-9A-Za-z]+_[0-9A-Za-z]+_[0-9A-Za-z]{40,43}$`, secret)
	require.NotContains(t, string(owner.Get("/v1/keys/"+made.ID()).Is(200).Body), secret)
	replayed := make.Post("/v1/keys", `{"name":"Night job","role":"manager"}`).Is(201)
	require.NotContains(t, string(replayed.Body), secret)
	require.Equal(t, true, replayed.JSON()["secret_shown"])
	require.NotContains(t, s.Log.String(), secret)

	manager := s.Client(secret)
	manager.Get("/v1/properties").Is(200)
	manager.Get("/v1/keys").Problem(403, "role")
	owner.Post("/v1/keys/"+made.ID()+"/revoke", nil).Is(200)
	owner.Post("/v1/keys/"+made.ID()+"/revoke", nil).Is(200)
	manager.Get("/v1/properties").Problem(401, "credential_refused")
	s.Client(secret[:len(secret)-1]+"x").Get("/v1/properties").Problem(401, "credential_refused")

	soon := contracttest.Now.Add(time.Hour)
	brief := s.Client(s.Key(postgres.Key{Name: "Brief", Role: credential.Reader, ExpiresAt: &soon}))
	brief.Get("/v1/properties").Is(200)
	s.Clock().Move(time.Hour)
	brief.Get("/v1/properties").Problem(401, "credential_refused")
	p := owner.Post("/v1/keys", `{"name":"Crew","role":"crew","scopes":["restricted:read"]}`).Problem(422, "implausible")
	require.Equal(t, []string{"/scopes"}, contracttest.Pointers(p), "crews never see restricted facts")
	owner.Post("/v1/keys", map[string]any{"name": "Late", "role": "reader", "expires_at": contracttest.Now}).Problem(422, "implausible")
}

func TestKeyNarrowedToAPropertySeesNothingElse(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	a, b := newHome(owner, "Alder Court"), newHome(owner, "Birch Court")
	narrowed := s.Client(s.Key(postgres.Key{Name: "Crew at Alder", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.MustParse(a.property)}}))

	narrowed.Get("/v1/units/" + a.unit).Is(200)
	narrowed.Get("/v1/units/"+b.unit).Problem(404, "not_found")
	narrowed.Get("/v1/units/"+b.unit+"?version=1").Problem(404, "not_found")
	narrowed.Patch("/v1/units/"+b.unit, `"1"`, `{"name":"X"}`).Problem(404, "not_found")
	for _, path := range []string{"/v1/properties", "/v1/buildings", "/v1/units", "/v1/rooms"} {
		require.Len(t, narrowed.Get(path).Is(200).JSON()["items"], 1, path)
	}
	require.Empty(t, narrowed.Get("/v1/units?property_id=" + b.property).Is(200).JSON()["items"])
	p := narrowed.Post("/v1/units", map[string]any{"building_id": b.building, "name": "9", "kind": "dwelling"}).Problem(422, "implausible")
	require.Equal(t, []string{"/building_id"}, contracttest.Pointers(p), "another's building reads as one that is not there")
	narrowed.Post("/v1/properties", property("New")).Problem(403, "outside_reach")
	facility := owner.Post("/v1/facilities", `{"name":"North Valley","kind":"transfer_station"}`).Is(201).ID()
	narrowed.Get("/v1/facilities/" + facility).Is(200)
	narrowed.Post("/v1/facilities", `{"name":"South Valley","kind":"transfer_station"}`).Is(201)
	narrowed.Patch("/v1/facilities/"+facility, `"1"`, `{"name":"Mine"}`).Problem(403, "narrowed")
	narrowed.Get("/v1/keys").Problem(403, "role")
}

// A key that reaches one property must not make, or unmake, one that reaches all of them.
func TestNarrowedOwnerHandsNothingOn(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	a := newHome(s.Owner(), "Alder Court")
	made := s.Owner().Post("/v1/keys", map[string]any{"name": "Owner at Alder", "role": "owner", "property_ids": []string{a.property}}).Is(201)
	narrowed := s.Client(made.JSON()["secret"].(string))
	narrowed.Get("/v1/units/" + a.unit).Is(200)
	agency, _ := s.Open("Agency")
	narrowed.Post("/v1/grants", map[string]any{"name": "All", "grantee_organization_id": agency, "access": "contribute"}).Problem(403, "narrowed")
	narrowed.Post("/v1/keys", map[string]any{"name": "All", "role": "owner"}).Problem(403, "narrowed")
	narrowed.Post("/v1/keys/"+made.ID()+"/revoke", nil).Problem(403, "narrowed")
	narrowed.Get("/v1/access-log").Problem(403, "narrowed")
	narrowed.Patch("/v1/organization", `"1"`, `{"name":"Mine"}`).Problem(403, "narrowed")
}

// Narrowed to no property is not the same as not narrowed.
func TestEmptyListOfPropertiesReachesNone(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	a := newHome(s.Owner(), "Alder Court")
	made := s.Owner().Post("/v1/keys", `{"name":"Between jobs","role":"manager","property_ids":[]}`).Is(201)
	between := s.Client(made.JSON()["secret"].(string))
	between.Get("/v1/units/"+a.unit).Problem(404, "not_found")
	require.Empty(t, between.Get("/v1/properties").Is(200).JSON()["items"])
	require.Empty(t, made.JSON()["property_ids"])
	require.Contains(t, made.JSON(), "property_ids")
}

func TestAnotherOrganizationSeesNothing(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	h := newHome(s.Owner(), "Alder Court")
	_, key := s.Open("Another")
	other := s.Client(key)
	for _, path := range []string{"/v1/properties/" + h.property, "/v1/buildings/" + h.building, "/v1/units/" + h.unit, "/v1/rooms/" + h.room} {
		other.Get(path).Problem(404, "not_found")
	}
	require.Empty(t, other.Get("/v1/properties").Is(200).JSON()["items"])
	other.With("Sillbook-Organization", s.Organization.String()).Get("/v1/properties").Problem(403, "no_grant")
	other.With("Sillbook-Organization", "12").Get("/v1/properties").Problem(400, "malformed")
	other.Post("/v1/units", map[string]any{"building_id": h.building, "name": "9", "kind": "dwelling"}).Problem(422, "implausible")
}

func TestGrantLetsAnotherOrganizationInAndNoFurther(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	landlord := s.Owner()
	a, b := newHome(landlord, "Alder Court"), newHome(landlord, "Birch Court")
	agencyID, agencyKey := s.Open("Agency")
	home := s.Client(agencyKey)
	agency := home.With("Sillbook-Organization", s.Organization.String())
	agency.Get("/v1/units/"+a.unit).Problem(403, "no_grant")

	grant := landlord.Post("/v1/grants", map[string]any{"name": "County office", "grantee_organization_id": agencyID,
		"access": "read", "property_ids": []string{a.property}}).Is(201)
	s.Clock().Move(4 * time.Second)
	agency.Get("/v1/units/" + a.unit).Is(200)
	agency.Get("/v1/units/"+b.unit).Problem(404, "not_found")
	agency.Post("/v1/properties", property("New")).Problem(403, "role")
	agency.Get("/v1/keys").Problem(403, "role")
	require.Len(t, agency.Get("/v1/units").Is(200).JSON()["items"], 1)
	require.Empty(t, home.Get("/v1/units").Is(200).JSON()["items"], "at home the agency has its own records")
	received := home.Get("/v1/grants/received").Is(200)
	require.Contains(t, string(received.Body), grant.ID())

	var log api.AccessList
	landlord.Get("/v1/access-log").Is(200).Into(&log)
	require.NotEmpty(t, log.Items, "reads under a grant are recorded")
	require.Equal(t, grant.ID(), log.Items[0].Actor.GrantId.String())
	require.Equal(t, agencyID, *log.Items[0].Actor.OrganizationId)

	landlord.Post("/v1/grants/"+grant.ID()+"/revoke", nil).Is(200)
	agency.Get("/v1/units/"+a.unit).Problem(403, "no_grant")

	landlord.Post("/v1/grants", map[string]any{"name": "Helper", "grantee_organization_id": agencyID, "access": "contribute",
		"kinds": []string{"unit", "building", "property"}, "to": contracttest.Now.Add(time.Hour)}).Is(201)
	agency.Post("/v1/units", map[string]any{"building_id": b.building, "name": "9", "kind": "dwelling"}).Is(201)
	agency.Get("/v1/rooms").Problem(403, "outside_grant")
	s.Clock().Move(time.Hour)
	agency.Get("/v1/units").Problem(403, "no_grant")
	landlord.Post("/v1/grants", map[string]any{"name": "Self", "grantee_organization_id": s.Organization, "access": "read"}).Problem(422, "implausible")
}

func TestOnlyAHostOpensOrganizations(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	opened := s.Owner().Post("/v1/organizations", `{"name":"Fernhill Homes"}`).Is(201).JSON()
	key := opened["key"].(map[string]any)["secret"].(string)
	fresh := s.Client(key)
	require.Equal(t, "Fernhill Homes", fresh.Get("/v1/organization").Is(200).JSON()["name"])
	fresh.Post("/v1/organizations", `{"name":"Another"}`).Problem(403, "scope")
	renamed := fresh.Patch("/v1/organization", `"1"`, `{"name":"Fernhill Homes and Gardens"}`).Is(200)
	require.Equal(t, `"2"`, renamed.ETag())
	p := fresh.Post("/v1/keys", `{"name":"Host","role":"owner","scopes":["organizations:write"]}`).Problem(422, "implausible")
	require.Equal(t, []string{"/scopes"}, contracttest.Pointers(p), "a key gives no scope it has not")
}
