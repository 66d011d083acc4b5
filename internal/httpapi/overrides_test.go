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

// overriding are the members of a move by which an owner has it made.
var overriding = object{"reason": "The ceiling is about to come down."}

// override has a move made that is refused for exactly these blockers.
func (d desk) override(to string, codes ...string) api.MoveMade {
	d.t.Helper()
	d.stuck(to, codes...)
	var r api.Renovation
	d.move(to, "override", overriding).Is(200).Into(&r)
	made := (*r.Moves)[len(*r.Moves)-1]
	require.NotNil(d.t, made.Overridden)
	require.Equal(d.t, codes, codesOf(made.Overridden.Blockers))
	require.Equal(d.t, overriding["reason"], made.Overridden.Reason)
	require.Equal(d.t, "Owner", *made.Overridden.By)
	return made
}

func TestOverriddenMoveKeepsWhatStoodInItsWayForEver(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "20")))
	made := d.override("ready", "no_valid_notice", "no_valid_notice")
	for _, b := range made.Overridden.Blockers {
		require.NotEmpty(t, b.Clear)
		require.NotNil(t, b.Citation)
	}
	var found api.Finding
	c.Get("/v1/findings/" + made.Overridden.FindingId.String()).Is(200).Into(&found)
	require.Equal(t, "override", found.Code)
	require.True(t, found.Blocks)
	require.Nil(t, found.Stops, "work goes on")
	require.Contains(t, found.Detail, "The ceiling is about to come down.")
	require.Contains(t, found.Detail, "The owner has not validly been given the pamphlet.")

	d.stuck("under_way", "no_valid_notice", "no_valid_notice")
	d.override("under_way", "no_valid_notice", "no_valid_notice")
	d.move("cleaning").Is(200)
	d.move("checking", "override", overriding).Is(200)
	require.Nil(t, (*d.read().Moves)[3].Overridden, "nothing stood in the way, so that nothing was overridden")
	d.override("closed", "not_verified", "open_finding", "open_finding")

	r := d.read()
	require.EqualValues(t, 3, *r.Overrides)
	require.EqualValues(t, 3, *r.OpenFindings, "closing by an override signs nothing off")
	require.True(t, *r.ClosedWithOpenFinding)
	require.Equal(t, api.RenovationStateClosed, *r.State)
	closed := func(query string) (ids []string) {
		var page api.RenovationList
		c.Get("/v1/renovations?count=exact&closed_with_open_finding=" + query).Is(200).Into(&page)
		require.EqualValues(t, len(page.Items), page.Count.Value)
		for _, r := range page.Items {
			ids = append(ids, r.Id.String())
		}
		return ids
	}
	other := newDesk(t, c, job(work(h.room, "20"))).job
	require.Equal(t, []string{d.job}, closed("true"))
	require.Equal(t, []string{other}, closed("false&state=drafted"))
	d.signOff()
	require.Empty(t, closed("true"))
	r = d.read()
	require.False(t, *r.ClosedWithOpenFinding)
	require.Len(t, (*r.Moves)[4].Overridden.Blockers, 3)

	actions := map[string]int{}
	for _, change := range c.Get("/v1/changes?subject_id=" + d.job).Is(200).JSON()["items"].([]any) {
		actions[change.(map[string]any)["action"].(string)]++
	}
	require.Equal(t, 3, actions["overridden"], "the log says of each that it was overridden: %v", actions)
	var once api.Renovation
	c.Get("/v1/renovations/" + d.job + "?version=2").Is(200).Into(&once)
	require.Len(t, (*once.Moves)[0].Overridden.Blockers, 2, "and so does the history")
}

func TestNobodyButAnOwnerOverridesAndNobodyTheOrderOfMoves(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	h := newHome(c, "Alder Court")
	d := newDesk(t, c, job(work(h.room, "20")))
	agencyID, agencyKey := s.Open("Agency")
	c.Post("/v1/grants", object{"name": "County office", "grantee_organization_id": agencyID, "access": "contribute"}).Is(201)
	callers := map[string]*contracttest.Client{"grant": s.Client(agencyKey).With("Sillbook-Organization", s.Organization.String())}
	for _, role := range []credential.Role{credential.Manager, credential.Crew} {
		callers[string(role)] = s.Client(s.Key(postgres.Key{Name: string(role), Role: role}))
	}
	for name, caller := range callers {
		p := desk{caller, t, d.job}.move("ready", "override", overriding).Problem(403, "role")
		require.Equal(t, []string{"/override"}, contracttest.Pointers(p), name)
	}
	narrowed := s.Client(s.Key(postgres.Key{Name: "Owner", Role: credential.Owner, PropertyIDs: []uuid.UUID{uuid.New()}}))
	desk{narrowed, t, d.job}.move("ready", "override", overriding).Problem(404, "not_found")

	p := d.move("cleaning", "override", overriding).Problem(409, "blocked")
	require.Equal(t, []string{"out_of_order"}, codesOf(*p.Blockers))
	p = d.move("under_way", "override", overriding).Problem(409, "blocked")
	require.Equal(t, []string{"out_of_order", "no_valid_notice", "no_valid_notice"}, codesOf(*p.Blockers))
	for _, reason := range []any{"Too short", "", nil} {
		d.move("ready", "override", object{"reason": reason}).Problem(400, "malformed")
	}
	require.Empty(t, *d.read().Moves)
	require.EqualValues(t, 0, *d.read().Overrides)

	require.Equal(t, []string{"no_reason"}, d.asked("?to=called_off"))
	d.move("called_off", "override", overriding).Is(200)
	require.EqualValues(t, 0, *d.read().Overrides, "the override gives the reason that was missing")
}
