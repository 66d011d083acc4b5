package httpapi_test

import (
	"fmt"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// shop records firms, people and certificates.
type shop struct{ *contracttest.Client }

func (s shop) firm(name string) string {
	return s.Post("/v1/firms", object{"name": name}).Is(201).ID()
}

func (s shop) person(name, firm string) string {
	told := object{"name": name}
	if firm != "" {
		told["firm_id"] = firm
	}
	return s.Post("/v1/people", told).Is(201).ID()
}

// certificate is EPA's, of a person; more changes it.
func (s shop) certificate(person, discipline, issued string, more ...any) string {
	return s.Post("/v1/certificates", certificateOf(person, discipline, issued, more...)).Is(201).ID()
}

func (s shop) firmCertificate(firm, issued string, more ...any) string {
	return s.Post("/v1/certificates", certificateOf("", "firm", issued, append([]any{"firm_id", firm}, more...)...)).Is(201).ID()
}

func certificateOf(person, discipline, issued string, more ...any) object {
	told := object{"discipline": discipline, "basis": "initial", "issuer": "epa", "issued_on": issued}
	if person != "" {
		told["person_id"] = person
	}
	return with(told, more...)
}

func TestCertificateThatCannotBeIsRefusedWithItsField(t *testing.T) {
	t.Parallel()
	s := shop{contracttest.New(t).Owner()}
	firm, person := s.firm("Fernhill Repairs"), s.person("R. Example", "")
	nobody := uuid.NewString()
	for _, k := range []struct {
		name     string
		told     object
		pointers []string
	}{
		{"issued tomorrow", certificateOf(person, "renovator", "2026-04-22"), []string{"/issued_on"}},
		{"ends before it was issued", certificateOf(person, "renovator", "2024-04-20", "expires_on", "2024-04-20"), []string{"/expires_on"}},
		{"put off to no date", certificateOf(person, "renovator", "2012-04-20", "extended", "yes"), []string{"/expires_on"}},
		{"of a firm and a person", certificateOf(person, "renovator", "2024-04-20", "firm_id", firm), []string{"/person_id"}},
		{"of nobody", certificateOf("", "renovator", "2024-04-20"), []string{"/person_id"}},
		{"a firm's on a person", certificateOf(person, "firm", "2024-04-20"), []string{"/firm_id"}},
		{"a person's on a firm", certificateOf("", "renovator", "2024-04-20", "firm_id", firm), []string{"/person_id"}},
		{"of a person who is not there", certificateOf(nobody, "renovator", "2024-04-20"), []string{"/person_id"}},
		{"of a firm that is not there", certificateOf("", "firm", "2024-04-20", "firm_id", nobody), []string{"/firm_id"}},
		{"a renovator certified again as firms are", certificateOf(person, "renovator", "2024-04-20", "basis", "recertification"), []string{"/basis"}},
		{"a firm that took a course", certificateOf("", "firm", "2024-04-20", "firm_id", firm, "course_minutes", 480), []string{"/discipline"}},
		{"a renovator with a test", certificateOf(person, "renovator", "2024-04-20", "exam", "course_test"), []string{"/exam"}},
		{"more hands-on training than course", certificateOf(person, "renovator", "2024-04-20", "course_minutes", 60, "hands_on_minutes", 90), []string{"/hands_on_minutes"}},
		{"before there were any", certificateOf(person, "renovator", "1999-04-20"), []string{"/issued_on"}},
		{"changed and amended in time to come", certificateOf("", "firm", "2024-04-20", "firm_id", firm, "changes", []object{{"changed_on": "2026-05-01", "amended_on": "2026-06-01"}}),
			[]string{"/changes/0/changed_on", "/changes/0/amended_on"}},
		{"all that is wrong at once", certificateOf("", "renovator", "2027-04-20", "exam", "course_test", "expires_on", "2026-01-01"),
			[]string{"/person_id", "/exam", "/expires_on", "/issued_on"}},
	} {
		p := s.Post("/v1/certificates", k.told).Problem(422, "implausible")
		require.ElementsMatch(t, k.pointers, contracttest.Pointers(p), k.name)
	}
	require.Empty(t, s.Get("/v1/certificates").Is(200).JSON()["items"], "nothing was stored")
}

func TestCertificateIsCorrectedAndListedByItsHolder(t *testing.T) {
	t.Parallel()
	s := shop{contracttest.New(t).Owner()}
	firm := s.firm("Fernhill Repairs")
	one, other := s.person("R. Example", firm), s.person("W. Sample", firm)
	id := s.certificate(one, "renovator", "2024-04-20", "number", "ZZ-R-17", "copy_kept", "yes", "external_ids", []object{{"system": "academy", "value": "17"}})
	s.certificate(one, "dust_sampling_technician", "2024-05-20")
	s.certificate(other, "renovator", "2024-05-20")
	s.firmCertificate(firm, "2023-01-10")
	count := func(query string) int { return len(s.Get("/v1/certificates" + query).Is(200).JSON()["items"].([]any)) }
	require.Equal(t, []int{4, 2, 1, 2, 1}, []int{count(""), count("?person_id=" + one), count("?firm_id=" + firm), count("?discipline=renovator"), count("?discipline=renovator&person_id=" + one)})
	require.Len(t, s.Get("/v1/people?firm_id=" + firm).Is(200).JSON()["items"], 2)

	p := s.Patch("/v1/certificates/"+id, `"1"`, object{"issued_on": "2026-05-20"}).Problem(422, "implausible")
	require.Equal(t, []string{"/issued_on"}, contracttest.Pointers(p))
	p = s.Patch("/v1/certificates/"+id, `"1"`, object{"person_id": nil}).Problem(422, "implausible")
	require.Equal(t, []string{"/person_id"}, contracttest.Pointers(p))
	require.Equal(t, `"2"`, s.Patch("/v1/certificates/"+id, `"1"`, object{"issued_on": "2024-04-21", "number": nil}).Is(200).ETag())
	require.Equal(t, `"2"`, s.Put("/v1/certificates/by-external-id/academy/17", object{"issued_on": "2024-04-21"}).Is(200).ETag(), "it says so already")
	read := s.Get("/v1/certificates/" + id).Is(200).JSON()
	require.Equal(t, "2024-04-21", read["issued_on"])
	require.NotContains(t, read, "number")

	s.With("If-Match", `"1"`).Post("/v1/people/"+other+"/end", `{"how":"ended","reason":"Works elsewhere."}`).Is(200)
	p = s.Post("/v1/certificates", certificateOf(other, "renovator", "2024-04-20")).Problem(422, "implausible")
	require.Equal(t, []string{"/person_id"}, contracttest.Pointers(p))
}

// 40 CFR 745.90(a)(4): five years; what is read is what is on record, by the rules that answer the calculation.
func TestCertificationIsReadFromWhatIsOnRecord(t *testing.T) {
	t.Parallel()
	service := contracttest.New(t)
	s := shop{service.Owner()}
	firm := s.firm("Fernhill Repairs")
	person := s.person("R. Example", firm)
	ask := func(path string) (a api.CertificateAnswer) {
		s.Get(path).Is(200).Into(&a)
		return a
	}
	path := "/v1/people/" + person + "/certification?discipline=renovator"
	none := ask(path)
	require.Equal(t, api.CertificateStandingNotShown, none.Outcome)
	require.Equal(t, "certificates", none.Determination.Missing[0].Fact)

	first := s.certificate(person, "renovator", "2021-04-19", "hands_on", "yes")
	s.certificate(person, "dust_sampling_technician", "2024-05-20")
	expired := ask(path)
	require.Equal(t, api.CertificateStandingExpired, expired.Outcome, "it was valid through 19 April, yesterday")
	require.Equal(t, "2026-04-19", expired.ValidTo.String())
	require.Equal(t, api.CertificateStandingValid, ask(path+"&on=2026-04-19").Outcome)
	require.Equal(t, api.CertificateStandingNotYetValid, ask(path+"&on=2021-04-18").Outcome)
	require.Equal(t, api.CertificateStandingValid, ask("/v1/people/"+person+"/certification?discipline=dust_sampling_technician").Outcome)
	for _, on := range []string{"0001-01-01", "9999-12-31"} {
		require.NotEqual(t, api.CertificateStandingValid, ask(path+"&on="+on).Outcome)
	}

	second := s.certificate(person, "renovator", "2026-04-10", "basis", "refresher", "hands_on", "yes")
	valid := ask(path)
	require.Equal(t, api.CertificateStandingValid, valid.Outcome)
	require.Equal(t, []string{first, second}, []string{valid.Certificates[0].CertificateId.String(), valid.Certificates[1].CertificateId.String()})
	require.Equal(t, "2031-04-10", valid.ValidTo.String())
	s.With("If-Match", `"1"`).Post("/v1/certificates/"+second+"/end", `{"how":"void","reason":"It is somebody else's."}`).Is(200)
	require.Equal(t, api.CertificateStandingExpired, ask(path).Outcome, "what was recorded in error counts for nothing")

	require.Equal(t, api.CertificateStandingNotShown, ask("/v1/firms/"+firm+"/certification").Outcome)
	s.firmCertificate(firm, "2023-01-10")
	require.Equal(t, api.CertificateStandingValid, ask("/v1/firms/"+firm+"/certification?on=2026-04-20&jurisdiction=us-zz,us-zz-millbrook").Outcome)

	s.Post("/v1/overlays", `{"jurisdiction":"us-zz","title":"Lead programme","values":[{"parameter":"own_renovation_programme","value":"1","effective":"2020-01-01","citation":"ZZ Code 1","source":"text"}]}`).Is(201)
	here := ask("/v1/firms/" + firm + "/certification?jurisdiction=us-zz,us-zz-millbrook")
	require.Equal(t, api.CertificateStandingNotValidHere, here.Outcome, "the state runs the programme, says its overlay")
	require.Contains(t, here.Determination.RuleSet, "+", "the rule set names the overlay")

	s.Get("/v1/people/"+firm+"/certification?discipline=renovator").Problem(404, "not_found")
	s.Get("/v1/firms/"+person+"/certification").Problem(404, "not_found")
	s.Get("/v1/people/"+person+"/certification?discipline=firm").Problem(400, "malformed")
	s.Get("/v1/people/"+person+"/certification").Problem(400, "malformed")
}

func TestCertificatesOfOneHolderInADisciplineAreBounded(t *testing.T) {
	t.Parallel()
	s := shop{contracttest.New(t).Owner()}
	person := s.person("R. Example", "")
	var last string
	for i := range 20 {
		last = s.certificate(person, "renovator", fmt.Sprintf("2024-01-%02d", i+1))
	}
	s.Post("/v1/certificates", certificateOf(person, "renovator", "2024-02-01")).Problem(409, "too_many_certificates")
	s.certificate(person, "inspector", "2024-02-01")
	s.Patch("/v1/certificates/"+last, `"1"`, object{"issued_on": "2024-02-02"}).Is(200)
	s.With("If-Match", `"2"`).Post("/v1/certificates/"+last+"/end", `{"how":"void","reason":"Recorded twice."}`).Is(200)
	s.certificate(person, "renovator", "2024-02-01")
}

// 40 CFR 745.89(b): a firm's application is due 90 days before the end; 745.90(a)(4): a refresher by the end.
func TestWhatIsDueForCertificatesComesEarliestFirst(t *testing.T) {
	t.Parallel()
	service := contracttest.New(t)
	s := shop{service.Owner()}
	firm := s.firm("Fernhill Repairs")
	one, other, gone := s.person("R. Example", firm), s.person("W. Sample", firm), s.person("G. Sample", "")
	s.firmCertificate(firm, "2021-07-30", "changes", []object{{"changed_on": "2026-03-01", "amended_on": "2026-03-20"}})
	s.certificate(one, "renovator", "2021-04-19")
	s.certificate(one, "dust_sampling_technician", "2021-06-01")
	s.certificate(other, "renovator", "2025-06-01")
	s.certificate(gone, "renovator", "2021-06-01")
	s.With("If-Match", `"1"`).Post("/v1/people/"+gone+"/end", `{"how":"ended","reason":"Works elsewhere."}`).Is(200)
	type due struct{ what, on, state, holder string }
	ask := func(query string) (list []due) {
		var answer api.CertificatesDue
		s.Get("/v1/certificates/due" + query).Is(200).Into(&answer)
		require.True(t, answer.Complete)
		for _, d := range answer.Items {
			require.Equal(t, d.FirmId == nil, d.PersonId != nil)
			list = append(list, due{string(d.What), d.Due.String(), string(d.State), d.Holder})
		}
		return list
	}
	all := []due{
		{"take_refresher", "2026-04-19", "overdue", "R. Example"},
		{"apply_to_be_certified_again", "2026-05-01", "open", "Fernhill Repairs"},
		{"take_refresher", "2026-06-01", "open", "R. Example"},
		{"take_refresher", "2030-06-01", "open", "W. Sample"},
	}
	require.Equal(t, all, ask(""))
	require.Equal(t, all[:2], ask("?before=2026-05-02"))
	require.Equal(t, all[:1], ask("?before=2026-05-01"))
	days(service, 20)
	require.Equal(t, due{"apply_to_be_certified_again", "2026-05-01", "late", "Fernhill Repairs"}, ask("?before=2026-05-02")[1], "it may still be decided in time")
	s.Get("/v1/certificates/due?before=soon").Problem(400, "malformed")
}

func TestPeopleBelongToTheOrganizationAtLarge(t *testing.T) {
	t.Parallel()
	service := contracttest.New(t)
	s := shop{service.Owner()}
	h := newHome(s.Client, "Alder Court")
	firm := s.firm("Fernhill Repairs")
	person := s.person("R. Example", firm)
	certificate := s.certificate(person, "renovator", "2024-04-20")
	narrowed := shop{service.Client(service.Key(postgres.Key{Name: "Manager", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.MustParse(h.property)}}))}
	narrowed.Get("/v1/people/" + person + "/certification?discipline=renovator").Is(200)
	narrowed.certificate(narrowed.person("W. Sample", firm), "renovator", "2024-04-20")
	narrowed.Patch("/v1/people/"+person, "*", object{"name": "Another"}).Problem(403, "narrowed")
	narrowed.With("If-Match", "*").Post("/v1/certificates/"+certificate+"/end", `{"how":"void","reason":"x"}`).Problem(403, "narrowed")
	for _, role := range []credential.Role{credential.Crew, credential.Sampler, credential.Reader} {
		c := service.Client(service.Key(postgres.Key{Name: string(role), Role: role}))
		c.Get("/v1/people/" + person).Is(200)
		c.Get("/v1/certificates/due").Is(200)
		c.Post("/v1/firms", object{"name": "Another"}).Problem(403, "role")
	}

	agencyID, key := service.Open("Agency")
	agency := service.Client(key).With("Sillbook-Organization", service.Organization.String())
	s.Post("/v1/grants", object{"name": "People only", "grantee_organization_id": agencyID, "access": "read", "kinds": []string{"person", "firm"}}).Is(201)
	agency.Get("/v1/people/" + person).Is(200)
	agency.Get("/v1/people/"+person+"/certification?discipline=renovator").Problem(403, "outside_grant")
	agency.Get("/v1/firms/"+firm+"/certification").Problem(403, "outside_grant")
	agency.Get("/v1/certificates/due").Problem(403, "outside_grant")
	officeID, key := service.Open("Office")
	office := service.Client(key).With("Sillbook-Organization", service.Organization.String())
	s.Post("/v1/grants", object{"name": "Certificates", "grantee_organization_id": officeID, "access": "read", "kinds": []string{"person", "firm", "certificate"}}).Is(201)
	for _, path := range []string{"/v1/people/" + person + "/certification?discipline=renovator", "/v1/firms/" + firm + "/certification", "/v1/certificates/due"} {
		before := underGrants(s.Client)
		office.Get(path).Is(200)
		require.Equal(t, before+1, underGrants(s.Client), "reading %s is recorded", path)
	}
	office.Get("/v1/certificates/"+certificate+"/affected-jobs").Problem(403, "outside_grant")
}
