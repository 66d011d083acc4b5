package httpapi_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
)

func look(at string, clean bool) object {
	return object{"at": "2026-04-27T" + at + ":00-04:00", "what": "looked", "passed": clean}
}

func wiped(at, item, cloth string, more ...any) object {
	return with(object{"at": "2026-04-27T" + at + ":00-04:00", "what": "wiped", "item": item, "cloth": cloth, "face": "new_cloth"}, more...)
}

// wet is a first wipe that matches, unless more is told.
func wet(at, item string, more ...any) object {
	return with(wiped(at, item, "wet", "result", "matches"), more...)
}

func cleanedAgain(at, item string) object {
	return object{"at": "2026-04-27T" + at + ":00-04:00", "what": "cleaned", "item": item}
}

// checked is a job in an empty hall that is being checked at noon of 27 April, local time.
func checked(t *testing.T) desk {
	t.Helper()
	d := underWay(t, contracttest.New(t))
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	return d
}

// detailed is a verification told wipe by wipe, of a hall floor of 80 ft2 and a sill.
func (d desk) detailed(events []object, more ...any) object {
	return with(object{"renovation_id": d.job, "verified_on": "2026-04-27", "verified_by": "R. Example", "visual_passed": true,
		"detail": object{"items": []object{{"name": "floor", "surface": "floor", "area": object{"value": "80", "unit": "ft2"}}, {"name": "sill", "surface": "window_sill"}}, "events": events}}, more...)
}

// thorough is a verification with everything in it: a look that found dust, a cloth that failed twice, and three wipes that do
// not count.
func thorough() []object {
	return []object{look("08:00", false), look("08:20", true),
		wet("08:25", "floor", "section", 1),
		wet("08:30", "floor", "section", 2, "result", "darker"),
		wet("08:32", "floor", "section", 2), // not cleaned in between
		cleanedAgain("08:35", "floor"),
		wet("08:40", "floor", "section", 2, "result", "darker"),
		wet("08:45", "floor", "section", 3, "face", "used_face"), // shows nothing
		wet("08:50", "floor", "section", 3, "result", "lighter"),
		wet("08:55", "sill"),
		wiped("09:00", "floor", "dry", "section", 2, "surface_dry", "yes"), // not waited
		wiped("10:00", "floor", "dry", "section", 2, "surface_dry", "yes")}
}

func TestVerificationToldWipeByWipeIsWorkedOut(t *testing.T) {
	t.Parallel()
	d := checked(t)
	var v api.Verification
	d.Post("/v1/verifications", d.detailed(thorough())).Is(201).Into(&v)
	require.Equal(t, api.VerificationResultPassed, *v.Outcome)
	require.True(t, v.AllPassed)
	require.EqualValues(t, 3, *v.Sections, "40 CFR 745.85(b)(1) (derived): 80 ft2 in sections of less than 40 are three")
	require.EqualValues(t, 1, *v.Sills)
	require.EqualValues(t, 6, v.WetCloths, "40 CFR 745.86(b)(6): every new wet cloth, be it wasted")
	require.EqualValues(t, 2, v.DryCloths)
	var codes []string
	for _, odd := range *v.DoesNotCount {
		codes = append(codes, odd.Code)
	}
	require.Equal(t, []string{"not_cleaned_between", "used_face", "not_waited"}, codes)
	require.Equal(t, "cleaning_verification", v.Determination.Question)
	require.Equal(t, "verified", v.Determination.Outcome)
	require.Len(t, v.Detail.Events, 12, "what was told is kept, what does not count with it")
	require.Len(t, *v.Standing, 2)
	d.move("closed").Is(200)
}

func TestVerificationThatIsNotFinishedPassesNothingAndSendsNothingBack(t *testing.T) {
	t.Parallel()
	d := checked(t)
	var v api.Verification
	d.Post("/v1/verifications", d.detailed(thorough()[:11])).Is(201).Into(&v)
	require.Equal(t, api.VerificationResultInconclusive, *v.Outcome)
	require.False(t, v.AllPassed)
	require.Contains(t, (*v.Standing)[0].Parts[1].Next, "whichever is longer")
	require.Equal(t, api.RenovationStateChecking, *d.read().State)
	d.stuck("closed", "not_verified")
	d.Post("/v1/verifications", d.detailed(thorough())).Is(201)
	d.move("closed").Is(200)
}

func TestFailedLookSendsBackToCleaning(t *testing.T) {
	t.Parallel()
	d := checked(t)
	d.Post("/v1/verifications", d.detailed(append(thorough(), look("11:00", false)), "visual_passed", false)).Is(201)
	require.Equal(t, api.RenovationStateCleaning, *d.read().State, "what is seen after the wipes sends everything back to the beginning")
}

func TestVerificationThatContradictsItsDetailIsRefused(t *testing.T) {
	t.Parallel()
	d := checked(t)
	for _, k := range []struct {
		name string
		told object
		at   []string
	}{
		{"counts", d.detailed(thorough(), "wet_cloths", 7, "dry_cloths", 1, "sections", 2, "sills", 0), []string{"/wet_cloths", "/dry_cloths", "/sections", "/sills"}},
		{"a pass that is none", d.detailed(thorough()[:11], "all_passed", true), []string{"/all_passed"}},
		{"a look that found nothing", d.detailed(thorough()[:1]), []string{"/visual_passed"}},
		{"no counts and no detail", d.detailed(nil, "detail", nil), []string{"/all_passed", "/wet_cloths", "/dry_cloths"}},
		{"another day", d.detailed(thorough(), "verified_on", "2026-04-26"), []string{"/verified_on"}},
		{"a day before the law", d.detailed([]object{}, "verified_on", "1990-01-01", "visual_passed", false), []string{"/verified_on"}},
		{"a wipe that has not come", d.detailed(append(thorough(), look("13:00", true))), []string{"/detail/events/12/at"}},
		{"a surface that is not there", d.detailed([]object{look("08:00", true), wet("08:10", "shelf")}), []string{"/detail/events/1/item"}},
		{"no area", d.detailed(nil, "detail", object{"items": []object{{"name": "floor", "surface": "floor", "area": object{"value": "0", "unit": "ft2"}}}, "events": []object{}}, "visual_passed", false),
			[]string{"/detail/items/0/area/value"}},
	} {
		t.Run(k.name, func(t *testing.T) { // one after the other: nothing may be stored
			require.Equal(t, k.at, contracttest.Pointers(d.Post("/v1/verifications", k.told).Problem(422, "implausible")))
		})
	}
	require.Empty(t, d.Get("/v1/verifications").Is(200).JSON()["items"])
	d.Post("/v1/verifications", d.detailed(thorough(), "wet_cloths", 6, "dry_cloths", 2, "all_passed", true, "sections", 3, "sills", 1)).Is(201)
}
