package httpapi_test

import (
	"maps"
	"regexp"
	"strconv"
	"sync"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

func TestEveryReadUnderAGrantIsRecorded(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	landlord := s.Owner()
	h := newHome(landlord, "Alder Court")
	stay := landlord.Post("/v1/occupancies", map[string]any{"unit_id": h.unit, "from": "2025-09-01", "pregnant_residents": 1}).Is(201).ID()
	agencyID, agencyKey := s.Open("Agency")
	agency := s.Client(agencyKey).With("Sillbook-Organization", s.Organization.String())
	landlord.Post("/v1/grants", map[string]any{"name": "County office", "grantee_organization_id": agencyID, "access": "read"}).Is(201)
	for _, path := range []string{"/v1/occupancies/" + stay, "/v1/occupancies/" + stay + "?version=1", "/v1/occupancies", "/v1/changes", "/v1/units/" + h.unit,
		"/v1/units/" + h.unit + "/coverage", "/v1/rooms/" + h.room + "/allowance", "/v1/buildings/" + h.building + "/exterior-allowance"} {
		before := underGrants(landlord)
		agency.Get(path).Is(200)
		require.Equal(t, before+1, underGrants(landlord), "reading %s is recorded", path)
	}
}

// underGrants counts the reads that the access log has of callers from elsewhere.
func underGrants(owner *contracttest.Client) (n int) {
	var log api.AccessList
	owner.Get("/v1/access-log?limit=500").Is(200).Into(&log)
	for _, read := range log.Items {
		if read.Actor.GrantId != nil {
			n++
		}
	}
	return n
}

func TestExternalIDOfARecordOutOfReachIsTakenByNobodyNamed(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	a, b := newHome(owner, "Alder Court"), newHome(owner, "Birch Court")
	narrowed := s.Client(s.Key(postgres.Key{Name: "Manager at Alder", Role: credential.Manager, PropertyIDs: []uuid.UUID{uuid.MustParse(a.property)}}))
	unit := map[string]any{"building_id": b.building, "name": "9", "kind": "dwelling", "external_ids": []map[string]any{{"system": "rentals", "value": "R1"}}}
	theirs := owner.Post("/v1/units", unit).Is(201).ID()
	unit["building_id"] = a.building
	require.NotContains(t, narrowed.Post("/v1/units", unit).Problem(409, "external_id_taken").Detail, theirs)
	require.Contains(t, owner.Post("/v1/units", unit).Problem(409, "external_id_taken").Detail, theirs, "who may see it is told which it is")
}

func TestFindingStepOfTomorrowAtThePropertyIsRefused(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	finding := c.Post("/v1/small-repairs", repair(h.room, "2026-04-10", "20")).Is(201).JSON()["finding_ids"].([]any)[0].(string)
	step := map[string]any{"what": "corrected", "on": "2026-04-21", "by": "Fernhill Repairs", "note": "Cleaned and verified."}
	p := c.Post("/v1/findings/"+finding+"/steps", step).Problem(422, "implausible")
	require.Equal(t, []string{"/on"}, contracttest.Pointers(p), "it is 20 April in New York")
	step["on"] = "2026-04-20"
	c.Post("/v1/findings/"+finding+"/steps", step).Is(200)
}

// Jobs and repairs that share rooms change each other. Whatever comes at once, each waits for its turn and none is turned
// away because two wait for each other.
func TestWorkAtSharedRoomsToldAtOnceIsAllTakenIn(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	h := newHome(owner, "Alder Court")
	rooms := []string{h.room}
	for i := range 3 {
		rooms = append(rooms, owner.Post("/v1/rooms", map[string]any{"unit_id": h.unit, "name": "Room " + strconv.Itoa(i), "kind": "room"}).Is(201).ID())
	}
	var jobs []string
	for range 3 {
		body := job(work(rooms[3], "1"), work(rooms[1], "1"), work(rooms[2], "1"), work(rooms[0], "1"))
		body["planned_start"] = "2026-04-21"
		jobs = append(jobs, owner.Post("/v1/renovations", body).Is(201).ID())
	}
	var senders sync.WaitGroup
	for i := range 12 {
		senders.Go(func() {
			items := []any{repair(rooms[i%4], "2026-04-1"+strconv.Itoa(i%9), "1.9"), repair(rooms[(i+3)%4], "2026-04-1"+strconv.Itoa(i%9), "1.9")}
			batch := owner.Post("/v1/small-repairs/batch", map[string]any{"mode": "atomic", "items": items}).Is(200)
			require.EqualValues(t, 2, batch.JSON()["created"])
		})
		senders.Go(func() {
			owner.Patch("/v1/renovations/"+jobs[i%2], "*", map[string]any{"planned_start": "2026-04-2" + strconv.Itoa(i%5), "planned_end": "2026-06-01"}).Is(200)
		})
		senders.Go(func() {
			a := owner.Post("/v1/renovations/"+jobs[2]+"/moves", map[string]any{"to": "called_off", "reason": "The tenant moves out first."})
			require.Contains(t, []int{200, 409}, a.Status, "%s", a.Body)
		})
	}
	senders.Wait()
}

var (
	anyID       = regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f-]{27}`)
	anyPosition = regexp.MustCompile(`"(position|next_after)":\d+`)
)

// Where nothing is left to be done about a restricted fact, no answer to anyone without the scope differs by it.
func TestS8AnswersAreTheSameWithAndWithoutARestrictedFact(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	owner := s.Owner()
	with := newScene(t, owner, map[string]any{"pregnant_residents": 3, "under_six_until": "2027-01"})
	without := newScene(t, owner, map[string]any{})
	for _, role := range []credential.Role{credential.Owner, credential.Manager, credential.Crew, credential.Sampler, credential.Reader} {
		c := s.Client(s.Key(postgres.Key{Name: string(role), Role: role}))
		require.Equal(t, without.seen(c), with.seen(c), role)
	}
}

// scene is a home with a household, a job that is ready and a small repair.
type scene struct {
	home
	stay, job string
}

func newScene(t *testing.T, owner *contracttest.Client, restricted map[string]any) scene {
	x := scene{home: newHome(owner, "Alder Court")}
	stay := map[string]any{"unit_id": x.unit, "from": "2025-09-01", "children_under_six": map[string]any{"present": 0}}
	maps.Copy(stay, restricted)
	x.stay = owner.Post("/v1/occupancies", stay).Is(201).ID()
	d := newDesk(t, owner, job(work(x.room, "20")))
	x.job = d.job
	d.notice("2026-04-20").Is(201)
	d.notice("2026-04-20", "recipient", "adult_occupant", "unit_id", x.unit).Is(201)
	owner.Post("/v1/protections", map[string]any{"renovation_id": x.job, "how": "relocated", "from": "2026-04-20"}).Is(201)
	owner.Post("/v1/small-repairs", repair(x.room, "2026-04-10", "1")).Is(201)
	d.move("ready").Is(200)
	d.saw("occupant_in_work_area", "2026-04-20T11:00:00-04:00", "people", map[string]any{"with_child": "yes"})
	return x
}

// seen is all that a caller is told of the scene, without what differs between any two scenes.
func (x scene) seen(c *contracttest.Client) (answers []string) {
	add := func(a contracttest.Answer) {
		text := anyID.ReplaceAllString(strconv.Itoa(a.Status)+a.Header.Get("ETag")+string(a.Body), "ID")
		answers = append(answers, anyPosition.ReplaceAllString(text, "POSITION"))
	}
	for _, path := range []string{"occupancies/" + x.stay, "occupancies/" + x.stay + "?version=1", "occupancies?count=exact&unit_id=" + x.unit,
		"renovations/" + x.job, "renovations/" + x.job + "/blockers",
		"renovations/" + x.job + "/observations", "renovations/" + x.job + "/observed", "units/" + x.unit + "/coverage", "rooms/" + x.room + "/allowance",
		"small-repairs?property_id=" + x.property, "findings?count=exact&property_id=" + x.property, "notices?property_id=" + x.property,
		"changes?subject_id=" + x.job, "access-log?limit=1"} {
		add(c.Get("/v1/" + path))
	}
	add(c.Patch("/v1/occupancies/"+x.stay, `"9"`, `{"pregnant_residents":0}`))
	return answers
}
