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

// asked are the blockers of a move that nobody has asked for yet.
func (d desk) asked(query string) []string {
	d.t.Helper()
	var list api.BlockerList
	d.Get("/v1/renovations/" + d.job + "/blockers" + query).Is(200).Into(&list)
	return codesOf(list.Blockers)
}

func TestWhoMustBeToldAndKeptOutFollowsWhoIsThere(t *testing.T) {
	t.Parallel()
	for _, k := range []struct {
		name, source string
		unit         object
		stays        []object
		blockers     []string
	}{
		{"nobody on record", "40 CFR 745.84(a): what is not known owes a notice", nil, nil, []string{"no_valid_notice", "no_valid_notice"}},
		{"the owner lives there", "40 CFR 745.84(a)(1)", object{"owner_occupied": "yes", "rented": "no"}, nil, []string{"no_valid_notice"}},
		{"everybody on record has moved out", "40 CFR 745.84(a)(2): there is no occupant to tell", nil,
			[]object{{"from": "2025-09-01", "to": "2026-03-31", "children_under_six": object{"present": 1}}}, []string{"no_valid_notice"}},
		{"children not told", "common practice: what is not known counts as yes", nil, []object{{"from": "2025-09-01"}}, []string{"no_valid_notice", "no_valid_notice", "occupant_protection"}},
		{"a child visits", "common practice", nil, []object{{"from": "2025-09-01", "children_under_six": object{"visiting": 1}}}, []string{"no_valid_notice", "no_valid_notice", "occupant_protection"}},
		{"told that there are none", "40 CFR 745.85(a)(1)", nil, []object{{"from": "2025-09-01", "children_under_six": object{"present": 0}}}, []string{"no_valid_notice", "no_valid_notice"}},
		{"a child moves in while work lasts", "common practice", nil, []object{{"from": "2026-04-28", "children_under_six": object{"present": 1}}}, []string{"no_valid_notice", "no_valid_notice", "occupant_protection"}},
		{"a day care", "40 CFR 745.84(c)", object{"kind": "child_occupied_facility", "rented": nil}, nil, []string{"no_valid_notice", "no_valid_notice"}},
	} {
		t.Run(k.name+": "+k.source, func(t *testing.T) {
			t.Parallel()
			c := contracttest.New(t).Owner()
			h := newHome(c, "Alder Court")
			if k.unit != nil {
				c.Patch("/v1/units/"+h.unit, "*", k.unit).Is(200)
			}
			for _, stay := range k.stays {
				c.Post("/v1/occupancies", with(stay, "unit_id", h.unit)).Is(201)
			}
			d := newDesk(t, c, job(work(h.room, "20")))
			require.Equal(t, k.blockers, d.asked(""))
		})
	}
}

func TestEmergencyOwesNoPamphletAndStillItsCleaning(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, with(job(work(h.room, "20")), "emergency", object{"event": "A burst pipe"}, "planned_start", "2026-04-20", "planned_end", nil))
	require.Empty(t, d.asked(""), "40 CFR 745.82(b)")
	d.move("ready").Is(200)
	d.move("under_way").Is(200)
	require.NotContains(t, d.notice("2026-04-20").Is(201).JSON(), "finding_ids", "a notice after the start of an emergency is not late")
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.stuck("closed", "not_verified", "emergency_record_missing")
}

func TestClearanceThatIsRequiredIsNotReplacedByVerification(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := underWay(t, s)
	d.Patch("/v1/renovations/"+d.job, "*", object{"clearance_required": true}).Is(200)
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.verify("2026-04-27", true).Is(201)
	d.stuck("closed", "no_clearance")
	lap := func(mass string) {
		d.Post("/v1/clearances", object{"renovation_id": d.job, "cleaned_at": "2026-04-27T11:00:00Z", "sampled_at": "2026-04-27T15:00:00Z", "visual_passed": true,
			"laboratory": object{"name": "Example Laboratory", "recognised": "yes"}, "examiner": object{"name": "S. Example", "discipline": "dust_sampling_technician"},
			"samples": []object{floor("F-1", mass)}}).Is(201)
	}
	lap("50")
	require.Equal(t, api.RenovationStateCleaning, *d.read().State)
	d.move("checking").Is(200)
	d.stuck("closed", "clearance_failed")
	lap("1")
	require.Empty(t, d.asked("?to=closed"))
	d.move("closed").Is(200)
}

func TestContainersMustBeDeliveredOrAccountedForBeforeClosing(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := underWay(t, s)
	d.move("cleaning").Is(200)
	d.move("checking").Is(200)
	d.verify("2026-04-27", true).Is(201)
	// Containers are written straight into the book, each where it is.
	call := postgres.Call{Caller: credential.Caller{Organization: s.Organization, Home: s.Organization}, Operation: "test", RequestID: "test"}
	put := func(label, where string) uuid.UUID {
		var c postgres.Draft
		for name, value := range map[string]any{"renovation_id": d.job, "label": label, "position": object{"where": where}} {
			require.NoError(t, c.Set(name, value))
		}
		outcome, err := s.Store.Write(t.Context(), call, func(tx *postgres.Tx) (postgres.Outcome, error) {
			record, err := tx.Insert("container", "created", c)
			return postgres.Outcome{Status: 201, Record: record}, err
		})
		require.NoError(t, err)
		return outcome.Record.ID
	}
	put("B-1", "delivered")
	put("B-2", "lost")
	bag := put("B-3", "in_transit")
	p := d.move("closed").Problem(409, "blocked")
	require.Equal(t, []string{"containers_not_accounted"}, codesOf(*p.Blockers))
	require.Contains(t, p.Detail, "B-3")
	require.NotContains(t, p.Detail, "B-2")
	_, err := s.Store.End(t.Context(), call, "container", bag, nil, postgres.Ending{How: "void", Reason: "It was counted twice"})
	require.NoError(t, err)
	d.move("closed").Is(200)
}

func TestJobReclassifiedBeforeWorkNeedsNoFinding(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "5")))
	before := d.read()
	require.Equal(t, api.RepairOutcomeMinor, *before.Outcome)
	other := newDesk(t, c, job(work(h.room, "2")))
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *other.read().Outcome)
	after := d.read()
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *after.Outcome, "40 CFR 745.83: together 7 ft2 within 30 days")
	require.Equal(t, before.Version+1, after.Version)
	require.Zero(t, *after.OpenFindings)
	c.Patch("/v1/renovations/"+other.job, `"1"`, object{"planned_start": "2026-07-01", "planned_end": nil}).Is(200)
	require.Equal(t, api.RepairOutcomeMinor, *d.read().Outcome, "the other is more than 30 days away now")
}

func TestExteriorOfABuildingIsOnePlace(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	side := func(letter string) string {
		return c.Post("/v1/exterior-sides", object{"building_id": h.building, "name": "Side " + letter, "kind": "wall_side", "side": letter}).Is(201).ID()
	}
	outside := func(id, area string) object { return work(h.room, area, "room_id", nil, "exterior_side_id", id) }
	a, b := side("A"), side("B")
	d := newDesk(t, c, job(outside(a, "12"), outside(b, "8")))
	require.Equal(t, api.RepairOutcomeMinor, *d.read().Outcome, "40 CFR 745.83: 20 ft2 outside is minor")
	c.Patch("/v1/renovations/"+d.job, "*", object{"work_items": []object{outside(a, "12"), outside(b, "8.1")}}).Is(200)
	require.Equal(t, api.RepairOutcomeCoveredRenovation, *d.read().Outcome)
	require.Equal(t, []string{"no_valid_notice"}, d.asked(""), "40 CFR 745.84(a)(1): the owner")
}

func TestBlockersAreAskedForADayAndRefusedForOneBeforeTheLaw(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "20")))
	d.notice("2026-04-20").Is(201)
	d.notice("2026-04-20", "recipient", "adult_occupant", "unit_id", h.unit).Is(201)
	require.Equal(t, []string{"out_of_order", "no_valid_notice", "no_valid_notice"}, d.asked("?to=under_way&on=2026-04-20"), "a pamphlet of the same day is too late")
	require.Equal(t, []string{"out_of_order"}, d.asked("?to=under_way&on=2026-04-21"))
	require.Equal(t, []string{"out_of_order", "no_valid_notice", "no_valid_notice"}, d.asked("?to=under_way&on=2026-07-01"), "more than 60 days before")
	p := d.Get("/v1/renovations/"+d.job+"/blockers?to=under_way&on=1990-01-01").Problem(422, "implausible")
	require.Equal(t, []string{"on"}, contracttest.Pointers(p))
	d.Get("/v1/renovations/"+uuid.NewString()+"/blockers").Problem(404, "not_found")
}
