package httpapi_test

import (
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// Who reaches an attachment is who reaches what it hangs on.

// plantedTitle is a title that nothing else has.
const plantedTitle = "Clinic letter of 37"

// titles are those that a list shows.
func titles(c *contracttest.Client, query string) (list []string) {
	var page api.AttachmentList
	c.Get("/v1/attachments" + query).Is(200).Into(&page)
	for _, a := range page.Items {
		list = append(list, a.Title)
	}
	return list
}

func TestAttachmentBelongsToThePropertyOfWhateverItHangsOn(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	v := populate(t, s)
	elsewhere := newHome(owner, "Birch Court")
	near := s.Client(s.Key(postgres.Key{Name: "Near", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.MustParse(v["property"])}, Scopes: everyScope}))
	far := s.Client(s.Key(postgres.Key{Name: "Far", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.MustParse(elsewhere.property)}, Scopes: everyScope}))
	doc, err := contract()
	require.NoError(t, err)
	kinds := doc.Components.Schemas["AttachmentSubject"].Value.Enum
	require.Greater(t, len(kinds), 10)
	for _, kind := range kinds {
		kind := kind.(string)
		path := told(kind, v[kind], "other", "title", kind)
		var a api.Attachment
		attach(near, "text/plain", path, []byte(kind)).Is(201).Into(&a)
		if kind == "certificate" { // of the organization at large
			require.Empty(t, a.PropertyIds)
			far.Get("/v1/attachments/" + a.Id.String()).Is(200)
			continue
		}
		require.Equal(t, v["property"], a.PropertyIds[0].String(), kind)
		require.Equal(t, kind == "occupancy", a.Restricted, kind)
		p := attach(far, "text/plain", path, []byte(kind)).Problem(422, "implausible")
		require.Equal(t, []string{"subject_id"}, contracttest.Pointers(p))
		for _, below := range []string{"", "?version=1", "/content"} {
			near.Get("/v1/attachments/" + a.Id.String() + below).Is(200)
			far.Get("/v1/attachments/"+a.Id.String()+below).Problem(404, "not_found")
		}
		require.Equal(t, []string{kind}, titles(near, "?subject_kind="+kind+"&kind=other&count=exact"))
	}
	require.Equal(t, []string{"certificate"}, titles(far, "?include_ended=true&count=exact"))
	require.Len(t, titles(near, ""), len(kinds)+1, "those, and the one that was there")
}

// A trip takes on containers of another property when it arrives: what hangs on it is then out of reach for those who do not reach
// that property.
func TestAttachmentOfATripGoesWithTheTrip(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	other := wasteJobOf(t, j.service, "Birch Court")
	mine, theirs := j.sealed("B-1"), other.sealed("B-2")
	trip := j.Post("/v1/trips", j.trip(10, mine)).Is(201).ID()
	made := attach(j.Client, "text/plain", told("trip", trip, "receipt"), []byte("receipt")).Is(201).ID()
	near := j.service.Client(j.service.Key(postgres.Key{Name: "Near", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.MustParse(j.home.property)}}))
	near.Get("/v1/attachments/" + made).Is(200)
	require.Len(t, titles(near, ""), 1)
	j.Post("/v1/trips/"+trip+"/arrival", arrival(12, mine, theirs)).Is(200)
	near.Get("/v1/trips/"+trip).Problem(404, "not_found")
	near.Get("/v1/attachments/"+made).Problem(404, "not_found")
	near.Get("/v1/attachments/"+made+"/content").Problem(404, "not_found")
	require.Empty(t, titles(near, ""))
	j.Get("/v1/attachments/" + made).Is(200)
}

// S8 for attachments: what hangs on an occupancy is there for nobody without the scope.
func TestS8AttachmentOfAnOccupancyIsThereForNobodyWithoutTheScope(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	stay := owner.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01"}).Is(201).ID()
	path := told("occupancy", stay, "other", "title", plantedTitle)
	made := attach(owner.With("Idempotency-Key", "a1"), "text/plain", path, []byte(plantedTitle)).Is(201)
	require.Equal(t, true, made.JSON()["restricted"])
	open := attach(owner, "text/plain", told("unit", h.unit, "other"), []byte("x")).Is(201).ID()
	follow(t, owner, 9)

	for _, role := range everyRole {
		c := s.Client(s.Key(postgres.Key{Name: string(role), Role: role}))
		for _, below := range []string{"", "?version=1", "/content", "/content?original=true"} {
			require.Contains(t, []int{403, 404}, c.Get("/v1/attachments/"+made.ID()+below).Status)
		}
		require.Equal(t, []string{"Kitchen sills"}, titles(c, "?include_ended=true&count=exact"))
		require.Empty(t, titles(c, "?subject_id="+stay+"&count=exact"))
		for _, elsewhere := range []string{"/v1/changes", "/v1/changes?subject_kind=attachment", "/v1/changes?subject_id=" + made.ID(), "/v1/access-log", "/v1/occupancies/" + stay, "/v1/findings"} {
			a := c.Get(elsewhere)
			require.NotContains(t, string(a.Body), plantedTitle)
			require.NotContains(t, string(a.Body), made.JSON()["sha256"])
		}
		if role == credential.Owner || role == credential.Manager {
			attach(c, "text/plain", path, []byte("x")).Problem(403, "restricted")
			c.With("If-Match", `"1"`).Post("/v1/attachments/"+made.ID()+"/end", `{"how":"void","reason":"x"}`).Problem(404, "not_found")
		}
	}
	require.NotContains(t, s.Log.String(), plantedTitle)
	before := len(accesses(owner))
	owner.Get("/v1/attachments/" + made.ID()).Is(200)
	kept := owner.Get("/v1/attachments/" + made.ID() + "/content").Is(200)
	require.Equal(t, "no-store", kept.Header.Get("Cache-Control"), "no cache keeps what is restricted")
	owner.Get("/v1/attachments?subject_id=" + stay).Is(200)
	owner.Get("/v1/attachments/" + open + "/content").Is(200)
	owner.Get("/v1/attachments").Is(200)
	var noted []string
	for _, a := range accesses(owner)[before:] {
		require.True(t, a.Restricted)
		require.Equal(t, "attachment", a.SubjectKind)
		subject := "-"
		if a.SubjectId != nil {
			subject = a.SubjectId.String()
		}
		noted = append(noted, a.Operation+" "+subject)
	}
	id := made.ID()
	require.Equal(t, []string{"GetAttachment " + id, "GetAttachmentContent " + id, "ListAttachments " + id, "ListAttachments -"}, noted)
}

func accesses(owner *contracttest.Client) []api.Access {
	var log api.AccessList
	owner.Get("/v1/access-log?limit=500").Is(200).Into(&log)
	return log.Items
}

func TestScopeToRecordIsNotTheScopeToRead(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	stay := owner.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01"}).Is(201).ID()
	path := told("occupancy", stay, "other")
	only := func(name string, scope credential.Scope) *contracttest.Client {
		return s.Client(s.Key(postgres.Key{Name: name, Role: credential.Manager, Scopes: []credential.Scope{scope}}))
	}
	writer, reader := only("Writer", credential.RestrictedWrite), only("Reader", credential.RestrictedRead)
	made := attach(writer.With("Idempotency-Key", "a1"), "text/plain", path, []byte("x")).Is(201)
	require.Equal(t, made.ID(), attach(writer.With("Idempotency-Key", "a1"), "text/plain", path, []byte("x")).Is(201).ID())
	writer.Get("/v1/attachments/"+made.ID()).Problem(404, "not_found")
	reader.Get("/v1/attachments/" + made.ID() + "/content").Is(200)
	attach(reader, "text/plain", path, []byte("y")).Problem(403, "restricted")
	reader.With("If-Match", `"1"`).Post("/v1/attachments/"+made.ID()+"/end", `{"how":"void","reason":"x"}`).Problem(403, "restricted")
}

// A role that does not read a kind of record does not read what hangs on it: a sampler has no work records, a crew no households.
func TestRoleReachesWhatHangsOnWhatItReads(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	for _, kind := range []string{"unit", "renovation", "finding", "clearance", "occupancy"} {
		attach(s.Owner(), "text/plain", told(kind, v[kind], "receipt", "title", kind), []byte(kind)).Is(201)
	}
	for role, reads := range map[credential.Role][]string{
		credential.Owner: {"unit", "renovation", "finding", "clearance", "occupancy"}, credential.Manager: {"unit", "renovation", "finding", "clearance", "occupancy"},
		credential.Reader: {"unit", "renovation", "finding", "clearance", "occupancy"}, credential.Crew: {"unit", "renovation", "finding", "clearance"},
		credential.Sampler: {"unit", "clearance"},
	} {
		c := s.Client(s.Key(postgres.Key{Name: string(role), Role: role, Scopes: everyScope}))
		require.Equal(t, reads, titles(c, "?kind=receipt&count=exact"), role)
	}
	sampler := s.Client(s.Key(postgres.Key{Name: "Sampler", Role: credential.Sampler, Scopes: everyScope}))
	attach(sampler, "text/plain", told("renovation", v["renovation"], "other"), []byte("x")).Problem(403, "outside_grant")
	attach(sampler, "application/pdf", told("clearance", v["clearance"], "laboratory_report"), []byte(paper)).Is(201)
}

func TestGrantReachesWhatHangsOnTheKindsItCoversAndEachReadIsRecorded(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	landlord := s.Owner()
	v := populate(t, s)
	made := map[string]string{}
	for _, kind := range []string{"unit", "renovation", "occupancy"} {
		made[kind] = attach(landlord, "text/plain", told(kind, v[kind], "receipt", "title", kind), []byte(kind)).Is(201).ID()
	}
	agencyID, agencyKey := s.Open("Agency")
	agency := s.Client(agencyKey).With("Sillbook-Organization", s.Organization.String())
	landlord.Post("/v1/grants", map[string]any{"name": "County office", "grantee_organization_id": agencyID, "access": "contribute",
		"kinds": []string{"attachment", "unit"}}).Is(201)
	require.Equal(t, []string{"unit"}, titles(agency, "?kind=receipt"))
	agency.Get("/v1/attachments/"+made["renovation"]).Problem(404, "not_found")
	agency.Get("/v1/attachments/"+made["renovation"]+"/content").Problem(404, "not_found")
	attach(agency, "text/plain", told("renovation", v["renovation"], "other"), []byte("x")).Problem(403, "outside_grant")
	agency.Get("/v1/changes").Problem(403, "outside_grant")
	for _, path := range []string{"/v1/attachments/" + made["unit"], "/v1/attachments/" + made["unit"] + "?version=1", "/v1/attachments/" + made["unit"] + "/content", "/v1/attachments"} {
		before := underGrants(landlord)
		agency.Get(path).Is(200)
		require.Equal(t, before+1, underGrants(landlord), "reading %s is recorded", path)
	}
}
