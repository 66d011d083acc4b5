package httpapi_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/api"
)

// A recorded clearance is held against its place and its examiner where they are told, and against neither where they are not.
func TestRecordedClearanceIsHeldAgainstItsPlace(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	hall := object{"name": "Hall", "worked_in": "yes", "sill": "no", "trough": "no", "floor": "floor_bare"}
	site := object{"work": "renovation", "extent": "worksite", "contained": "yes", "rooms": []object{hall}}
	outside := with(floor("O-1", "2"), "place", "Landing", "outside_containment", true)

	bare := w.record(w.lap(floor("F-1", "2")))
	require.Equal(t, api.ClearanceOutcomePassed, *bare.Outcome, "nothing was told of the place, and nothing is held against it")
	require.Nil(t, bare.NotSampled)

	lacks := w.record(with(w.lap(floor("F-1", "2")), "site", site))
	require.Equal(t, api.ClearanceOutcomeInconclusive, *lacks.Outcome, "40 CFR 745.227(e)(8)(v): a floor outside the containment")
	require.Equal(t, []string{"a floor outside the containment, within 5 ft of it"}, *lacks.NotSampled)
	require.Equal(t, "Hall", lacks.Site.Rooms[0].Name, "the place is kept as told")

	enough := w.record(with(w.lap(floor("F-1", "2"), outside), "site", site))
	require.Equal(t, api.ClearanceOutcomePassed, *enough.Outcome)

	w.c.Post("/v1/clearances", with(w.lap(floor("F-1", "2")), "site", with(site, "rooms", []object{}))).Problem(422, "implausible")
}

func TestRecordedClearanceIsHeldAgainstItsExaminer(t *testing.T) {
	t.Parallel()
	w := newWorksite(t, "checking")
	examiner := object{"name": "S. Example", "discipline": "risk_assessor", "independent": "no"}
	by := func(e object, programme string) api.Clearance {
		return w.record(with(w.lap(floor("F-1", "2")), "examiner", e, "programme", programme))
	}
	require.Equal(t, api.ClearanceOutcomeInconclusive, *by(examiner, "hud").Outcome, "24 CFR 35.1340(f): not by the firm that did the work")
	require.Equal(t, api.ClearanceOutcomePassed, *by(with(examiner, "independent", "yes"), "hud").Outcome)
	require.Equal(t, api.ClearanceOutcomePassed, *by(with(examiner, "relation", "own_staff"), "hud").Outcome, "qualified in-house staff may")
	require.Equal(t, api.ClearanceOutcomePassed, *by(examiner, "epa").Outcome, "outside assisted housing federal law asks for no independence")
	technician := by(object{"name": "S. Example", "discipline": "dust_sampling_technician"}, "epa")
	require.Equal(t, api.ClearanceOutcomePassed, *technician.Outcome, "40 CFR 745.85(c)")
	missing := map[string]bool{}
	for _, m := range technician.Determination.Missing {
		missing[m.Fact] = true
	}
	require.True(t, missing["examiner.certified"], "what is not known of the examiner is named")
}
