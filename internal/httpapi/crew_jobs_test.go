package httpapi_test

import (
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// yard is a covered job in an empty hall, planned from 27 to 29 April 2026 and told ready, with the shop whose firm and people
// do it.
type yard struct {
	desk
	shop            shop
	service         *contracttest.Service
	home            home
	firm, renovator string
}

// newYard has a certified firm, and a renovator issued the certificate on a day.
func newYard(t *testing.T, issued string, more ...any) yard {
	t.Helper()
	y := yard{service: contracttest.New(t)}
	y.shop = shop{y.service.Owner()}
	y.home = newHome(y.shop.Client, "Alder Court")
	y.firm = y.shop.firm("Fernhill Repairs")
	y.shop.firmCertificate(y.firm, "2024-01-10")
	y.renovator = y.shop.person("R. Example", y.firm)
	if issued != "" {
		y.shop.certificate(y.renovator, "renovator", issued, "hands_on", "yes")
	}
	hall := y.shop.Post("/v1/rooms", object{"building_id": y.home.building, "name": "Hall", "kind": "hall"}).Is(201).ID()
	told := with(job(work(hall, "20")), "firm_id", y.firm, "crew", []object{{"person_id": y.renovator, "part": "certified_renovator"}})
	y.desk = newDesk(t, y.shop.Client, with(told, more...))
	y.notice("2026-04-20").Is(201)
	y.move("ready").Is(200)
	return y
}

// checked brings the job to the day after its start and to being checked.
func (y yard) checked() yard {
	days(y.service, 7)
	y.move("under_way").Is(200)
	days(y.service, 1)
	y.move("cleaning").Is(200)
	y.move("checking").Is(200)
	return y
}

func (y yard) verifiedBy(person, on string, more ...any) (v api.Verification) {
	y.Post("/v1/verifications", with(object{"renovation_id": y.job, "verified_on": on, "verified_by": "As told", "person_id": person, "visual_passed": true,
		"all_passed": true, "wet_cloths": 4, "dry_cloths": 0}, more...)).Is(201).Into(&v)
	return v
}

func (y yard) clearedBy(person string, more ...any) (c api.Clearance) {
	told := object{"renovation_id": y.job, "cleaned_at": "2026-04-28T11:00:00Z", "sampled_at": "2026-04-28T15:00:00Z", "visual_passed": true,
		"laboratory": object{"name": "Example Laboratory", "recognised": "yes"}, "person_id": person, "samples": []object{floor("F-1", "1")}}
	y.Post("/v1/clearances", with(told, more...)).Is(201).Into(&c)
	return c
}

func (y yard) findings() (list []api.Finding) {
	var page api.FindingList
	y.Get("/v1/findings?renovation_id=" + y.job).Is(200).Into(&page)
	return page.Items
}

func (y yard) affected(certificate string) (a api.AffectedJobs) {
	y.Get("/v1/certificates/" + certificate + "/affected-jobs").Is(200).Into(&a)
	return a
}

// The certificate of the one renovator lapsed yesterday: it was issued five years ago less a day (40 CFR 745.90(a)(4)). The job
// does not start; another renovator starts it; who lapsed verifies all the same, which is kept and does not count.
func TestCertificateThatLapsedYesterdayFromStartToClosing(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2021-04-26")
	lapsed := y.Get("/v1/certificates?person_id=" + y.renovator).Is(200).JSON()["items"].([]any)[0].(map[string]any)["id"].(string)
	soon := y.affected(lapsed)
	require.Len(t, soon.Items, 1, "the job lies ahead, and its first day after the lapse is known")
	require.Equal(t, []string{"work", "2026-04-27", "2026-04-29", "2026-04-27"}, []string{string(soon.Items[0].What), soon.Items[0].From.String(), soon.Items[0].To.String(), soon.Items[0].On.String()})
	days(y.service, 7)
	y.stuck("under_way", "not_certified")
	p := y.move("under_way").Problem(409, "blocked")
	blocker := (*p.Blockers)[0]
	require.Equal(t, "R. Example is not a certified renovator on 2026-04-27: the last day of what is on record was 2026-04-26.", blocker.Detail)
	require.Contains(t, blocker.Clear, "R. Example")
	require.Contains(t, *blocker.Citation, "40 CFR 745.89(d)")

	second := y.shop.person("W. Sample", y.firm)
	y.shop.certificate(second, "renovator", "2025-03-03", "hands_on", "yes")
	y.Patch("/v1/renovations/"+y.job, "*", object{"crew": []object{{"person_id": second, "part": "certified_renovator"}, {"person_id": y.renovator, "part": "worker"}}}).Is(200)
	require.Empty(t, y.affected(lapsed).Items, "a worker needs no certificate")
	y.move("under_way").Is(200)
	made := (*y.read().Moves)[1]
	require.Contains(t, toText(*made.Determination), "W. Sample is a certified renovator on 2026-04-27.")
	require.Contains(t, toText(*made.Determination), "Fernhill Repairs is a certified firm on 2026-04-27.")
	for _, missing := range made.Determination.Missing {
		require.NotContains(t, []string{"crew", "firm_id"}, missing.Fact)
	}
	y.move("cleaning").Is(200)
	y.move("checking").Is(200)

	v := y.verifiedBy(y.renovator, "2026-04-27")
	require.False(t, *v.Counts)
	require.EqualValues(t, "passed", *v.Outcome, "what was told stands")
	require.Equal(t, "expired", v.Certification.Outcome)
	require.Equal(t, api.RenovationStateChecking, *y.read().State)
	found := y.findings()
	require.Len(t, found, 1)
	require.Equal(t, (*v.FindingIds)[0], found[0].Id)
	require.Equal(t, []any{"not_certified", "verification", v.Id, true}, []any{found[0].Code, found[0].SubjectKind, found[0].SubjectId, found[0].Blocks})
	require.Equal(t, "R. Example was not a certified renovator on 2026-04-27: the last day of what is on record was 2026-04-26. A pass in the cleaning verification of 2026-04-27 does not count.", found[0].Detail)
	y.stuck("closed", "proof_does_not_count", "open_finding")
	lapse := y.affected(lapsed)
	require.Len(t, lapse.Items, 1)
	require.Equal(t, v.Id, *lapse.Items[0].VerificationId)

	require.True(t, *y.verifiedBy(second, "2026-04-27").Counts)
	y.stuck("closed", "open_finding")
	y.signOff()
	y.move("closed").Is(200)
}

func TestRenewalOnRecordClearsTheBlocker(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2021-04-26")
	days(y.service, 7)
	y.stuck("under_way", "not_certified")
	y.shop.certificate(y.renovator, "renovator", "2026-04-24", "basis", "refresher", "hands_on", "yes")
	y.move("under_way").Is(200)
}

func TestFirmAndRenovatorMustBeCertifiedWhereTheJobIs(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2024-04-26")
	y.Patch("/v1/properties/"+y.home.property, "*", object{"jurisdictions": []string{"us-zz"}}).Is(200)
	days(y.service, 7)
	require.Empty(t, y.asked("?to=under_way"))
	y.Post("/v1/overlays", `{"jurisdiction":"us-zz","title":"Lead programme","values":[{"parameter":"own_renovation_programme","value":"1","effective":"2020-01-01","citation":"ZZ Code 1","source":"text"}]}`).Is(201)
	y.stuck("under_way", "not_certified", "not_certified")
	y.shop.firmCertificate(y.firm, "2024-05-01", "issuer", "us-zz")
	y.stuck("under_way", "not_certified")
}

// Where nobody is on record the job goes on as before; what its start rests on says what was not looked at.
func TestNobodyOnRecordIsMissingAndDoesNotBlock(t *testing.T) {
	t.Parallel()
	y := newYard(t, "", "firm_id", nil, "crew", nil)
	days(y.service, 7)
	y.move("under_way").Is(200)
	var facts []string
	for _, m := range (*y.read().Moves)[1].Determination.Missing {
		facts = append(facts, m.Fact)
	}
	require.Subset(t, facts, []string{"firm_id", "crew"})
	require.NotContains(t, toText(*y.read().Determination), "No firm on record", "what the job is does not turn on it")
	y.move("cleaning").Is(200)
	y.move("checking").Is(200)
	require.NotContains(t, y.verify("2026-04-27", true).Is(201).JSON(), "counts")
	y.move("closed").Is(200)
}

// 40 CFR 745.82(b): certification is lifted to the extent necessary, the cleaning verification never.
func TestEmergencyLiftsCertificationForTheWorkOnly(t *testing.T) {
	t.Parallel()
	y := newYard(t, "", "emergency", object{"event": "A burst pipe"}).checked()
	require.Contains(t, toText(*(*y.read().Moves)[1].Determination), "lifted, only to the extent necessary")
	require.Empty(t, y.findings())
	require.False(t, *y.verifiedBy(y.renovator, "2026-04-28").Counts)
	require.Len(t, y.findings(), 1)
}

func TestFailureCountsWhoeverFoundIt(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2024-04-26").checked()
	other := y.shop.person("W. Sample", y.firm)
	require.True(t, *y.verifiedBy(y.renovator, "2026-04-28").Counts)
	v := y.verifiedBy(other, "2026-04-28", "all_passed", false)
	require.False(t, *v.Counts)
	require.Equal(t, api.RenovationStateCleaning, *y.read().State, "dust that was seen is there")
	y.move("checking").Is(200)
	y.stuck("closed", "not_verified", "open_finding")
}

// 40 CFR 745.85(c), 745.90(a)(3): a dust sampling technician, an inspector or a risk assessor samples.
func TestClearanceCountsWhenSomebodyWhoMaySampleDidIt(t *testing.T) {
	t.Parallel()
	for _, k := range []struct {
		name, discipline, issued string
		more                     []any
		counts                   bool
	}{
		{"a dust sampling technician", "dust_sampling_technician", "2024-04-26", nil, true},
		{"an inspector", "inspector", "2024-04-26", []any{"exam", "course_test"}, true},
		{"a risk assessor", "risk_assessor", "2025-04-26", nil, true},
		{"a risk assessor whose certificate lapsed the day before", "risk_assessor", "2023-04-27", []any{"exam", "course_test"}, false},
		{"a renovator", "renovator", "2024-04-26", nil, false},
		{"nobody certified", "", "", nil, false},
	} {
		t.Run(k.name, func(t *testing.T) {
			t.Parallel()
			y := newYard(t, "2024-04-26", "clearance_required", true).checked()
			sampler := y.shop.person("S. Example", "")
			if k.discipline != "" {
				y.shop.certificate(sampler, k.discipline, k.issued, k.more...)
			}
			c := y.clearedBy(sampler)
			require.Equal(t, k.counts, *c.Counts)
			require.Equal(t, api.ClearanceOutcomePassed, *c.Outcome)
			if k.counts {
				require.Empty(t, *c.FindingIds)
				y.move("closed").Is(200)
				return
			}
			require.Len(t, *c.FindingIds, 1)
			require.Contains(t, y.findings()[0].Detail, "S. Example was not a certified dust sampling technician or certified inspector or certified risk assessor on 2026-04-28")
			y.stuck("closed", "proof_does_not_count", "open_finding")
		})
	}
}

// A certificate may come to the book after the work that it covers, and turn out to be in error: what was done is looked at again.
func TestCertificateToldLateMakesWhatWasDoneCountAndOneInErrorUndoesIt(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2024-04-26", "clearance_required", true).checked()
	sampler := y.shop.person("S. Example", "")
	c := y.clearedBy(sampler)
	require.Equal(t, []any{false, "not_shown"}, []any{*c.Counts, c.Certification.Outcome})
	again := func() (c2 api.Clearance) {
		y.Get("/v1/clearances/" + c.Id.String()).Is(200).Into(&c2)
		return c2
	}
	manager := shop{y.service.Client(y.service.Key(postgres.Key{Name: "Manager elsewhere", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.New()}}))}
	late := manager.certificate(sampler, "dust_sampling_technician", "2024-04-26")
	require.Equal(t, []any{true, "valid", int32(2)}, []any{*again().Counts, again().Certification.Outcome, again().Version})
	require.Equal(t, c.Outcome, again().Outcome)
	require.Equal(t, c.Determination, again().Determination, "the verdict on the wipes is another matter")
	y.stuck("closed", "open_finding")
	y.signOff()
	y.move("closed").Is(200)
	require.Equal(t, "closed", *y.read().Headline)

	y.Patch("/v1/certificates/"+late, "*", object{"number": "ZZ-S-4"}).Is(200)
	require.EqualValues(t, 2, again().Version, "nothing differs")
	y.With("If-Match", "*").Post("/v1/certificates/"+late+"/end", `{"how":"void","reason":"It is somebody else's."}`).Is(200)
	require.Equal(t, []any{false, "not_shown", int32(3)}, []any{*again().Counts, again().Certification.Outcome, again().Version})
	require.Len(t, *again().FindingIds, 2)
	require.Equal(t, "closed, with open finding", *y.read().Headline, "a move once made stands")
	other := y.shop.person("W. Sample", "")
	inspector := y.shop.certificate(other, "inspector", "2025-04-26")
	require.EqualValues(t, 3, again().Version)
	y.Patch("/v1/certificates/"+inspector, "*", object{"person_id": sampler}).Is(200)
	require.EqualValues(t, 4, again().Version, "it was recorded under somebody else's name")
	y.Patch("/v1/certificates/"+inspector, "*", object{"person_id": other}).Is(200)
	require.EqualValues(t, 5, again().Version)
	require.Len(t, *again().FindingIds, 2, "the finding about it is open already")
	y.shop.certificate(sampler, "risk_assessor", "2025-04-26")
	require.EqualValues(t, 6, again().Version)
	require.True(t, *again().Counts)
}

// Who worked for the job's firm then is not made independent by a certificate.
func TestCertificateToldLateDoesNotMakeIndependent(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2024-04-26", "assisted", "yes").checked()
	sampler := y.shop.person("S. Example", y.firm)
	c := y.clearedBy(sampler)
	require.Len(t, *c.FindingIds, 2)
	y.Patch("/v1/people/"+sampler, "*", object{"firm_id": nil}).Is(200)
	y.shop.certificate(sampler, "dust_sampling_technician", "2024-04-26")
	var again api.Clearance
	y.Get("/v1/clearances/" + c.Id.String()).Is(200).Into(&again)
	require.False(t, *again.Counts)
	require.Equal(t, "valid", again.Certification.Outcome)
	require.Contains(t, toText(*again.Authority), "The firm that did the work may not clear it")
	require.Len(t, y.findings(), 2)
}

// 24 CFR 35.1340(f).
func TestWhoClearsIsIndependentOfTheWork(t *testing.T) {
	t.Parallel()
	for _, k := range []struct {
		name            string
		employed        bool
		part            string
		assisted        string
		inHouse, counts bool
	}{
		{"somebody of no firm on record", false, "", "yes", false, true},
		{"employed by the firm that does the job", true, "", "yes", false, false},
		{"the same where it is not told whether the home is assisted", true, "", "unknown", false, false},
		{"the same where the home is not assisted", true, "", "no", false, true},
		{"a qualified employee designated for it", true, "", "yes", true, true},
		{"designated, and on the crew", true, "worker", "yes", true, false},
		{"of no firm, and on the crew", false, "worker", "yes", false, false},
		{"named on the crew as its sampler", true, "sampler", "yes", true, true},
	} {
		t.Run(k.name, func(t *testing.T) {
			t.Parallel()
			y := newYard(t, "2024-04-26", "assisted", k.assisted)
			employer := ""
			if k.employed {
				employer = y.firm
			}
			sampler := y.shop.person("S. Example", employer)
			y.shop.certificate(sampler, "dust_sampling_technician", "2024-04-26")
			if k.part != "" {
				y.Patch("/v1/renovations/"+y.job, "*", object{"crew": []object{{"person_id": y.renovator, "part": "certified_renovator"}, {"person_id": sampler, "part": k.part}}}).Is(200)
			}
			y.checked()
			c := y.clearedBy(sampler, "in_house", k.inHouse)
			require.Equal(t, k.counts, *c.Counts)
			if k.counts {
				require.Empty(t, y.findings())
				return
			}
			require.Equal(t, "independence_broken", y.findings()[0].Code)
			require.Equal(t, "24 CFR 35.1340(f)", y.findings()[0].Citation.Clause)
			y.stuck("closed", "proof_does_not_count", "open_finding")
		})
	}
}

// A place may let nobody but inspectors and risk assessors clear a renovation; and what is told of the examiner counts where the
// records do not show how they stand to the work.
func TestClearanceByThePlacesOwnRuleAndByWhatIsTold(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2024-04-26", "assisted", "no")
	y.Patch("/v1/properties/"+y.home.property, "*", object{"jurisdictions": []string{"us-zz"}}).Is(200)
	y.checked()
	technician := y.shop.person("S. Example", "")
	y.shop.certificate(technician, "dust_sampling_technician", "2024-04-26")
	require.True(t, *y.clearedBy(technician).Counts)
	y.Post("/v1/overlays", `{"jurisdiction":"us-zz","title":"Lead programme","values":[{"parameter":"technician_clears_renovation","value":"0","effective":"2020-01-01","citation":"ZZ Code 2","source":"text"}]}`).Is(201)
	c := y.clearedBy(technician)
	require.False(t, *c.Counts)
	require.Equal(t, "may_not_clear", c.Authority.Outcome)
	require.Equal(t, []string{"may_not_clear", "ZZ Code 2"}, []string{y.findings()[0].Code, y.findings()[0].Citation.Clause})
	require.Contains(t, y.findings()[0].Detail, "S. Example cleared as a certified dust sampling technician.")
	y.shop.certificate(technician, "inspector", "2024-04-26")
	require.True(t, *y.clearedBy(technician).Counts, "they may as an inspector")

	y = newYard(t, "2024-04-26", "assisted", "yes").checked()
	told := func(independent string) api.Clearance {
		return y.clearedBy(y.shop.person("A. Example", ""), "examiner", object{"name": "A. Example", "discipline": "risk_assessor", "independent": independent})
	}
	codes := func(c api.Clearance) (list []string) {
		for _, f := range y.findings() {
			if f.SubjectId == c.Id {
				list = append(list, f.Code)
			}
		}
		return list
	}
	require.Equal(t, []string{"not_certified"}, codes(told("yes")))
	require.Equal(t, []string{"not_certified"}, codes(told("unknown")))
	require.Equal(t, []string{"not_certified", "independence_broken"}, codes(told("no")))
}

func TestCrewNamesPeopleOnRecordOnceEach(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2024-04-26")
	gone, here := y.shop.person("G. Sample", ""), y.shop.person("W. Sample", "")
	y.With("If-Match", `"1"`).Post("/v1/people/"+gone+"/end", `{"how":"ended","reason":"Works elsewhere."}`).Is(200)
	for name, k := range map[string]struct {
		crew     []object
		pointers []string
	}{
		"somebody who is not there": {[]object{{"person_id": here, "part": "worker"}, {"person_id": uuid.NewString(), "part": "worker"}}, []string{"/crew/1/person_id"}},
		"a firm":                    {[]object{{"person_id": y.firm, "part": "worker"}}, []string{"/crew/0/person_id"}},
		"somebody who has gone":     {[]object{{"person_id": gone, "part": "worker"}}, []string{"/crew/0/person_id"}},
		"the same part twice":       {[]object{{"person_id": here, "part": "worker"}, {"person_id": here, "part": "worker"}}, []string{"/crew/1"}},
	} {
		p := y.Patch("/v1/renovations/"+y.job, "*", object{"crew": k.crew}).Problem(422, "implausible")
		require.Equal(t, k.pointers, contracttest.Pointers(p), name)
	}
	p := y.Post("/v1/renovations", with(job(work(uuid.NewString(), "20")), "crew", []object{{"person_id": uuid.NewString(), "part": "worker"}})).Problem(422, "implausible")
	require.ElementsMatch(t, []string{"/crew/0/person_id", "/work_items/0/room_id"}, contracttest.Pointers(p), "all that is wrong at once")
	y.Patch("/v1/renovations/"+y.job, "*", object{"crew": []object{{"person_id": here, "part": "worker"}, {"person_id": here, "part": "sampler"}}}).Is(200)
	y.With("If-Match", `"1"`).Post("/v1/people/"+here+"/end", `{"how":"ended","reason":"Works elsewhere."}`).Is(200)
	y.Patch("/v1/renovations/"+y.job, "*", object{"title": "Hall walls, named as before"}).Is(200)

	y.checked()
	other := y.shop.firm("Alder Painters")
	p = y.Patch("/v1/renovations/"+y.job, "*", object{"firm_id": other}).Problem(409, "job_under_way")
	require.Equal(t, []string{"/firm_id"}, contracttest.Pointers(p), "by whom the work is done is settled")
}

// A late fact that would have kept the work from starting opens a finding.
func TestFirmToldAfterTheStartAndNotCertifiedOpensAFinding(t *testing.T) {
	t.Parallel()
	y := newYard(t, "", "firm_id", nil, "crew", nil).checked()
	require.Empty(t, y.findings())
	bad := y.shop.firm("Alder Painters")
	y.shop.firmCertificate(bad, "2021-04-26")
	y.Patch("/v1/renovations/"+y.job, "*", object{"firm_id": bad}).Is(200)
	found := y.findings()
	require.Len(t, found, 1)
	require.Equal(t, []any{"not_certified", "firm", bad}, []any{found[0].Code, found[0].SubjectKind, found[0].SubjectId.String()})
	require.Contains(t, found[0].Detail, "Alder Painters was named for the job after its work had begun on 2026-04-27, and was not a certified firm on 2026-04-27")
	y.Patch("/v1/renovations/"+y.job, "*", object{"crew": []object{{"person_id": y.renovator, "part": "certified_renovator"}}}).Is(200)
	require.Len(t, y.findings(), 2)
	y.Patch("/v1/renovations/"+y.job, "*", object{"title": "Hall walls, told once more"}).Is(200)
	require.Len(t, y.findings(), 2, "what was told before opens nothing again")
}

func TestAffectedJobsAreThoseOnDaysWithoutACertificate(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2021-04-27", "clearance_required", true) // valid through 27 April, the first day
	of := func(holder string) string {
		return y.Get("/v1/certificates?" + holder).Is(200).JSON()["items"].([]any)[0].(map[string]any)["id"].(string)
	}
	renovator, firm := of("person_id="+y.renovator), of("firm_id="+y.firm)
	sampler := y.shop.person("S. Example", "")
	samples := y.shop.certificate(sampler, "dust_sampling_technician", "2021-04-27")
	y.checked()
	c := y.clearedBy(sampler)
	require.False(t, *c.Counts)

	days := y.affected(renovator)
	require.Equal(t, "R. Example", days.Holder)
	require.Len(t, days.Items, 1)
	item := days.Items[0]
	require.Equal(t, []string{"2026-04-27", "2026-04-29", "2026-04-28"}, []string{item.From.String(), item.To.String(), item.On.String()})
	require.Equal(t, []string{y.job, y.home.property, "Kitchen walls", "checking", "expired"},
		[]string{item.RenovationId.String(), item.PropertyId.String(), item.Title, string(item.State), string(item.Standing)})
	require.Equal(t, "R. Example is not a certified renovator on 2026-04-28: the certificates on record had ended.", item.Why)
	require.Empty(t, y.affected(firm).Items)
	cleared := y.affected(samples)
	require.Len(t, cleared.Items, 1)
	require.Equal(t, c.Id, *cleared.Items[0].ClearanceId)
	y.shop.certificate(sampler, "inspector", "2025-04-27")
	require.Empty(t, y.affected(samples).Items, "as an inspector they may sample all the same (40 CFR 745.90(a)(3))")
	y.With("If-Match", `"1"`).Post("/v1/certificates/"+firm+"/end", `{"how":"void","reason":"It is another firm's."}`).Is(200)
	require.Len(t, y.affected(firm).Items, 1, "without it the firm was never certified")

	elsewhere := newHome(y.shop.Client, "Birch Court")
	reader := y.service.Client(y.service.Key(postgres.Key{Name: "Reader", Role: credential.Reader, PropertyIDs: []uuid.UUID{uuid.MustParse(elsewhere.property)}}))
	require.Empty(t, reader.Get("/v1/certificates/" + renovator + "/affected-jobs").Is(200).JSON()["items"], "jobs out of reach are not there")
	y.service.Client(y.service.Key(postgres.Key{Name: "Sampler", Role: credential.Sampler})).Get("/v1/certificates/"+renovator+"/affected-jobs").Problem(403, "role")
	_, stranger := y.service.Open("Another")
	y.service.Client(stranger).Get("/v1/certificates/"+renovator+"/affected-jobs").Problem(404, "not_found")

	y.move("cleaning").Is(200)
	y.Patch("/v1/renovations/"+y.job, "*", object{"crew": nil}).Is(200)
	require.Empty(t, y.affected(renovator).Items, "who is not on the job is not affected")
}

// What was told before anybody asked who had done it has no word of it, and counts.
func TestRecordsOfBeforeGoOnToCount(t *testing.T) {
	t.Parallel()
	y := newYard(t, "2024-04-26").checked()
	call := postgres.Call{Caller: credential.Caller{Organization: y.service.Organization, Home: y.service.Organization}, Operation: "test", RequestID: "test"}
	_, err := y.service.Store.Write(t.Context(), call, func(tx *postgres.Tx) (postgres.Outcome, error) {
		d, err := postgres.DraftOf([]byte(strings.NewReplacer("JOB", y.job).Replace(
			`{"renovation_id":"JOB","verified_on":"2026-04-28","verified_by":"R. Example","visual_passed":true,"all_passed":true,"wet_cloths":4,"dry_cloths":0,"outcome":"passed"}`)))
		if err != nil {
			return postgres.Outcome{}, err
		}
		record, err := tx.Insert("verification", "created", d)
		return postgres.Outcome{Status: 201, Record: record}, err
	})
	require.NoError(t, err)
	y.move("closed").Is(200)
}
