package httpapi_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// wasteJob is one job with a facility to take its waste to. Everything happens on 16 April 2026, local time of the property.
type wasteJob struct {
	*contracttest.Client
	t          testing.TB
	service    *contracttest.Service
	home       home
	renovation string
	facility   string
}

func newWasteJob(t testing.TB) wasteJob {
	t.Helper()
	return wasteJobOf(t, contracttest.New(t), "Alder Court")
}

func wasteJobOf(t testing.TB, s *contracttest.Service, name string) wasteJob {
	t.Helper()
	j := wasteJob{Client: s.Owner(), t: t, service: s}
	j.home = newHome(j.Client, name)
	j.facility = j.Post("/v1/facilities", `{"name":"North transfer station","kind":"transfer_station"}`).Is(201).ID()
	j.renovation = j.Post("/v1/renovations", fields{"title": "Sills", "work_items": []fields{}, "property_id": j.home.property}).Is(201).ID()
	return j
}

func (j wasteJob) call() postgres.Call {
	return postgres.Call{Caller: credential.Caller{Organization: j.service.Organization, Home: j.service.Organization}, Operation: "test", RequestID: "test"}
}

// at is an hour of that day in New York.
func at(hour int) string { return fmt.Sprintf("2026-04-16T%02d:00:00-04:00", hour) }

type fields = map[string]any

func (j wasteJob) bag(label string, more fields) fields {
	told := fields{"renovation_id": j.renovation, "label": label, "kind": "bag", "sealed_at": at(8), "stored_in": "Locked shed"}
	for name, value := range more {
		told[name] = value
	}
	return told
}

func (j wasteJob) sealed(label string) string {
	j.t.Helper()
	return j.Post("/v1/containers", j.bag(label, nil)).Is(201).ID()
}

func (j wasteJob) trip(departed int, containers ...string) fields {
	return fields{"facility_id": j.facility, "vehicle": "Van 3", "cargo_area": "closed_cargo_area", "departed_at": at(departed), "container_ids": containers}
}

func arrival(hour int, received ...string) fields {
	if received == nil {
		received = []string{}
	}
	return fields{"arrived_at": at(hour), "received": received, "vehicle_vacuumed_on": "2026-04-16"}
}

func having(told fields, name string, value any) fields { told[name] = value; return told }

func (j wasteJob) container(id string) api.Container {
	j.t.Helper()
	var c api.Container
	j.Get("/v1/containers/" + id).Is(200).Into(&c)
	return c
}

// place is where a container is: "stored", "in_transit?" while unaccounted for.
func (j wasteJob) place(id string) string {
	j.t.Helper()
	p := j.container(id).Position
	if p.Unaccounted != nil && *p.Unaccounted {
		return string(p.Where) + "?"
	}
	return string(p.Where)
}

func (j wasteJob) balance() api.WasteBalance {
	j.t.Helper()
	var b, property api.WasteBalance
	j.Get("/v1/renovations/" + j.renovation + "/waste-balance").Is(200).Into(&b)
	j.Get("/v1/properties/" + j.home.property + "/waste-balance").Is(200).Into(&property)
	require.Equal(j.t, b, property)
	require.Equal(j.t, b.Sealed, b.Stored+b.InTransit+b.Delivered+b.Lost)
	require.Len(j.t, b.NotDelivered, int(b.Stored+b.InTransit))
	return b
}

func (j wasteJob) findings() []api.Finding {
	j.t.Helper()
	var list api.FindingList
	j.Get("/v1/findings?renovation_id=" + j.renovation).Is(200).Into(&list)
	return list.Items
}

func (j wasteJob) codes() (codes []string) {
	j.t.Helper()
	for _, f := range j.findings() {
		codes = append(codes, f.Code)
	}
	slices.Sort(codes)
	return codes
}

func (j wasteJob) undelivered() (labels []string) {
	j.t.Helper()
	_, err := j.service.Store.Write(j.t.Context(), j.call(), func(tx *postgres.Tx) (o postgres.Outcome, err error) {
		labels, err = tx.UndeliveredContainers(uuid.MustParse(j.renovation))
		return o, err
	})
	require.NoError(j.t, err)
	return labels
}

func TestABagThatDoesNotArriveIsFoundAndDeliveredAndTheBalanceCloses(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	a, b, c := j.sealed("2B-01"), j.sealed("2B-02"), j.sealed("2B-03")
	require.Equal(t, []string{"2B-01", "2B-02", "2B-03"}, j.undelivered())
	require.Contains(t, string(j.Get("/v1/renovations/"+j.renovation+"/blockers?to=closed").Is(200).Body), "Neither delivered nor accounted for: 2B-01, 2B-02, 2B-03.")

	first := j.Post("/v1/trips", j.trip(10, a, b, c)).Is(201)
	require.Equal(t, []any{j.home.property}, first.JSON()["property_ids"])
	require.EqualValues(t, 3, j.balance().InTransit)
	require.Equal(t, "Van 3", *j.container(a).Position.Detail)

	arrived := j.Post("/v1/trips/"+first.ID()+"/arrival", arrival(11, a, b)).Is(200)
	require.Equal(t, []any{c}, arrived.JSON()["short"])
	require.Equal(t, "in_transit?", j.place(c))
	require.Equal(t, []string{"2B-03"}, j.undelivered())
	short := j.balance()
	require.EqualValues(t, []int32{3, 0, 1, 2, 0, 1}, []int32{short.Sealed, short.Stored, short.InTransit, short.Delivered, short.Lost, short.Unaccounted})
	require.Equal(t, "North transfer station", *j.container(a).Position.Detail)
	require.Equal(t, first.ID(), j.container(a).Position.TripId.String())

	findings := j.findings()
	require.Len(t, findings, 1)
	missing := findings[0]
	require.Equal(t, "container_not_received", missing.Code)
	require.True(t, missing.Blocks)
	require.Equal(t, c, missing.SubjectId.String())
	require.Equal(t, "2026-04-20", missing.OpenedOn.String())
	require.Equal(t, []any{missing.Id.String()}, arrived.JSON()["finding_ids"])
	require.Equal(t, []uuid.UUID{missing.Id}, *j.container(c).FindingIds)
	j.Post("/v1/trips/"+first.ID()+"/arrival", arrival(11, a, b, c)).Problem(409, "already_arrived")

	found := fields{"what": "found", "at": at(12), "where": "Back of the shed"}
	event := j.Post("/v1/containers/"+c+"/events", found).Is(200)
	require.Equal(t, event.ETag(), j.Post("/v1/containers/"+c+"/events", found).Is(200).ETag(), "the same event again is no other event")
	require.Equal(t, "stored", j.place(c))
	var still api.Finding
	j.Get("/v1/findings/" + missing.Id.String()).Is(200).Into(&still)
	require.EqualValues(t, "open", still.State, "it is people who close it")
	require.Contains(t, still.Detail, "It was found and stored at 2026-04-16 12:00 EDT: Back of the shed.")

	second := j.Post("/v1/trips", j.trip(13, c)).Is(201).ID()
	j.Post("/v1/trips/"+second+"/arrival", arrival(14, c)).Is(200)
	closed := j.balance()
	require.EqualValues(t, []int32{3, 3}, []int32{closed.Sealed, closed.Delivered})
	require.Empty(t, j.undelivered())
	require.Len(t, j.findings(), 1, "no finding is opened twice")
	require.Equal(t, []any{c}, j.Get("/v1/trips/" + first.ID()).Is(200).JSON()["short"], "the first trip did come short")
}

// The same facts in three orders: as they happened, the later trip first, and events last.
func TestFactsToldLateGiveTheSamePositions(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	var forms []string
	for i, order := range [][]int{{0, 1, 2, 3}, {1, 2, 0, 3}, {3, 1, 0, 2}} {
		j := wasteJobOf(t, s, fmt.Sprint("Court ", i))
		a, b, c := j.sealed("1"), j.sealed("2"), j.sealed("3")
		tell := []func(){
			func() { j.Post("/v1/trips", having(j.trip(10, a, b, c), "arrival", arrival(11, a))).Is(201) },
			func() { j.Post("/v1/trips", having(j.trip(14, c), "arrival", arrival(15, c))).Is(201) },
			func() {
				j.Post("/v1/containers/"+c+"/events", fields{"what": "found", "at": at(12), "where": "Yard"}).Is(200)
			},
			func() {
				j.Post("/v1/containers/"+b+"/events", fields{"what": "lost", "at": at(13), "reason": "Fell off; reported by S. Example."}).Is(200)
			},
		}
		for _, n := range order {
			tell[n]()
		}
		text := ""
		for _, id := range []string{a, b, c} {
			p := j.container(id).Position
			text += fmt.Sprintln(p.Where, p.Since, *p.Detail)
		}
		b1 := j.balance()
		require.EqualValues(t, []int32{3, 2, 1}, []int32{b1.Sealed, b1.Delivered, b1.Lost})
		text += fmt.Sprint(j.codes(), b1.Sealed, b1.Delivered, b1.Lost)
		for _, f := range j.findings() {
			if strings.Contains(f.Detail, "Container 3 ") {
				require.Contains(t, f.Detail, "It was found and stored at 2026-04-16 12:00 EDT", "order %v", order)
			}
		}
		forms = append(forms, text)
	}
	require.Equal(t, forms[0], forms[1])
	require.Equal(t, forms[0], forms[2])
}

func TestWhatHappenedWithWasteAndShouldNotHaveIsStoredAndFound(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	late := func(told fields) fields { return having(told, "vehicle_vacuumed_on", "2026-04-17") }
	untold := func(told fields) fields { return having(told, "vehicle_vacuumed_on", nil) }
	for name, c := range map[string]struct {
		told   func(j wasteJob, a, b string) fields
		want   []string
		place  string // of the second bag
		blocks bool
		cites  string
	}{
		"nothing wrong": {func(j wasteJob, a, b string) fields { return having(j.trip(10, a, b), "arrival", arrival(11, a, b)) }, nil, "delivered", false, ""},
		"vacuuming not told": {func(j wasteJob, a, b string) fields {
			return having(j.trip(10, a, b), "arrival", untold(arrival(11, a, b)))
		}, nil, "delivered", false, ""},
		"received and never loaded": {func(j wasteJob, a, b string) fields {
			return having(j.trip(10, a), "arrival", arrival(11, a, b))
		}, []string{"container_never_loaded"}, "delivered", true, ""},
		"missing at the arrival": {func(j wasteJob, a, b string) fields {
			return having(j.trip(10, a, b), "arrival", arrival(11, a))
		}, []string{"container_not_received"}, "in_transit?", true, ""},
		"in the passenger area (containing waste: 40 CFR 745.85(a)(4))": {func(j wasteJob, a, b string) fields {
			return having(j.trip(10, a, b), "cargo_area", "passenger_area")
		}, []string{"waste_in_passenger_area"}, "in_transit", true, "40 CFR 745.85(a)(4)"},
		"vacuumed a day late (common practice)": {func(j wasteJob, a, b string) fields {
			return having(j.trip(10, a, b), "arrival", late(arrival(11, a, b)))
		}, []string{"vehicle_not_vacuumed"}, "delivered", false, "Trade practice"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			j := wasteJobOf(t, s, name)
			a, b := j.sealed("1"), j.sealed("2")
			trip := j.Post("/v1/trips", c.told(j, a, b)).Is(201).JSON()
			require.Equal(t, c.want, j.codes())
			require.Equal(t, c.place, j.place(b))
			require.Len(t, trip["finding_ids"], len(c.want))
			for _, f := range j.findings() {
				require.Equal(t, c.blocks, f.Blocks)
				require.EqualValues(t, "open", f.State)
				require.Equal(t, j.home.property, f.PropertyId.String())
				if c.cites == "" {
					require.Nil(t, f.Citation)
				} else {
					require.Equal(t, c.cites, f.Citation.Clause)
				}
			}
			j.balance()
		})
	}
}

func TestWhatCannotHaveHappenedWithWasteIsRefusedAndNothingStored(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	a, b, away := j.sealed("A"), j.sealed("B"), j.sealed("Away")
	moving := j.Post("/v1/trips", j.trip(9, away)).Is(201).ID()
	done := j.sealed("Done")
	j.Post("/v1/trips", having(j.trip(9, done), "arrival", arrival(10, done))).Is(201)
	nobody := uuid.NewString()
	for name, c := range map[string]struct {
		path     string
		body     fields
		pointers []string
		code     string
	}{
		"sealed in the future":     {"/v1/containers", j.bag("C", fields{"sealed_at": "2026-04-20T12:00:01-04:00"}), []string{"/sealed_at"}, "in_the_future"},
		"weighing nothing":         {"/v1/containers", j.bag("C", fields{"weight": fields{"value": "0", "unit": "lb"}}), []string{"/weight/value"}, ""},
		"weight in a unit of area": {"/v1/containers", j.bag("C", fields{"weight": fields{"value": "2", "unit": "ft2"}}), []string{"/weight/unit"}, ""},
		"weighed without a weight": {"/v1/containers", j.bag("C", fields{"weighed": true}), []string{"/weight"}, "missing"},
		"a job that is not there":  {"/v1/containers", j.bag("C", fields{"renovation_id": nobody}), []string{"/renovation_id"}, "no_such_reference"},

		"departed in the future":                      {"/v1/trips", having(j.trip(10, a), "departed_at", "2026-04-20T16:00:01Z"), []string{"/departed_at"}, "in_the_future"},
		"arrived in the future":                       {"/v1/trips", having(j.trip(10, a), "arrival", having(arrival(11, a), "arrived_at", "2026-04-21T00:00:00Z")), []string{"/arrival/arrived_at"}, "in_the_future"},
		"arrived when it left":                        {"/v1/trips", having(j.trip(10, a), "arrival", arrival(10, a)), []string{"/arrival/arrived_at"}, "arrived_before_it_left"},
		"vacuumed before it unloaded":                 {"/v1/trips", having(j.trip(10, a), "arrival", having(arrival(11, a), "vehicle_vacuumed_on", "2026-04-15")), []string{"/arrival/vehicle_vacuumed_on"}, "contradiction"},
		"vacuumed tomorrow":                           {"/v1/trips", having(j.trip(10, a), "arrival", having(arrival(11, a), "vehicle_vacuumed_on", "2026-04-21")), []string{"/arrival/vehicle_vacuumed_on"}, "in_the_future"},
		"a container listed twice":                    {"/v1/trips", j.trip(10, a, b, a), []string{"/container_ids/2"}, "listed_twice"},
		"a container that is not there":               {"/v1/trips", j.trip(10, a, nobody), []string{"/container_ids/1"}, "no_such_reference"},
		"a facility that is not there":                {"/v1/trips", having(j.trip(10, a), "facility_id", nobody), []string{"/facility_id"}, "no_such_reference"},
		"loaded before it was sealed":                 {"/v1/trips", j.trip(7, a, b), []string{"/container_ids/0", "/container_ids/1"}, "before_sealed"},
		"a bag on two trips at one instant":           {"/v1/trips", j.trip(9, a, away), []string{"/container_ids/1"}, "in_two_places"},
		"a bag on an earlier trip that never arrived": {"/v1/trips", j.trip(8, away), []string{"/container_ids/0"}, "in_two_places"},
		"loaded after it was delivered":               {"/v1/trips", j.trip(11, b, done), []string{"/container_ids/1"}, "after_delivery"},
		"received while on another trip":              {"/v1/trips", having(j.trip(10, a), "arrival", arrival(11, a, away)), []string{"/arrival/received/1"}, "in_two_places"},

		"arrived before it left":                {"/v1/trips/" + moving + "/arrival", arrival(8, away), []string{"/arrived_at"}, "arrived_before_it_left"},
		"received what is not there":            {"/v1/trips/" + moving + "/arrival", arrival(11, away, nobody), []string{"/received/1"}, "no_such_reference"},
		"received twice":                        {"/v1/trips/" + moving + "/arrival", arrival(11, away, away), []string{"/received/1"}, "listed_twice"},
		"arrival in the future":                 {"/v1/trips/" + moving + "/arrival", having(arrival(11, away), "arrived_at", "2026-04-21T00:00:00Z"), []string{"/arrived_at"}, "in_the_future"},
		"vacuumed before the arrival":           {"/v1/trips/" + moving + "/arrival", having(arrival(11, away), "vehicle_vacuumed_on", "2026-04-15"), []string{"/vehicle_vacuumed_on"}, "contradiction"},
		"stored tomorrow":                       {"/v1/containers/" + a + "/events", fields{"what": "stored", "at": "2026-04-21T00:00:00Z", "where": "Yard"}, []string{"/at"}, "in_the_future"},
		"stored before it was sealed":           {"/v1/containers/" + a + "/events", fields{"what": "stored", "at": at(7), "where": "Yard"}, []string{"/at"}, "before_sealed"},
		"stored after it was delivered":         {"/v1/containers/" + done + "/events", fields{"what": "stored", "at": at(12), "where": "Yard"}, []string{"/at"}, "after_delivery"},
		"found nowhere":                         {"/v1/containers/" + a + "/events", fields{"what": "found", "at": at(12)}, []string{"/where"}, "missing"},
		"lost without a reason":                 {"/v1/containers/" + a + "/events", fields{"what": "lost", "at": at(12)}, []string{"/reason"}, "loss_without_reason"},
		"lost and yet somewhere":                {"/v1/containers/" + a + "/events", fields{"what": "lost", "at": at(12), "reason": "Stolen", "where": "Yard"}, []string{"/where"}, "contradiction"},
		"stored with the reason of a loss":      {"/v1/containers/" + a + "/events", fields{"what": "stored", "at": at(12), "reason": "Stolen", "where": "Yard"}, []string{"/reason"}, "contradiction"},
		"a container cannot end as a thing can": {"/v1/containers/" + a + "/end", fields{"how": "ended", "reason": "Gone"}, []string{"/how"}, "only_void"},
		"nor can a trip":                        {"/v1/trips/" + moving + "/end", fields{"how": "merged", "reason": "Same", "merged_into": moving}, []string{"/how"}, "only_void"},
	} {
		t.Run(name, func(t *testing.T) {
			p := j.With("If-Match", `"1"`).Post(c.path, c.body).Problem(422, "implausible")
			require.Equal(t, c.pointers, contracttest.Pointers(p))
			if c.code != "" {
				require.Equal(t, c.code, (*p.Errors)[0].Code)
			}
		})
	}
	b1 := j.balance()
	require.EqualValues(t, []int32{4, 2, 1, 1}, []int32{b1.Sealed, b1.Stored, b1.InTransit, b1.Delivered})
	require.Len(t, j.Get("/v1/trips").Is(200).JSON()["items"], 2)
	require.Empty(t, j.codes())
	require.EqualValues(t, 1, j.container(a).Version)
}

func TestALabelIsItsContainersOwnWithinTheJob(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	first := j.Post("/v1/containers", j.bag("2B-01", nil)).Is(201)
	p := j.Post("/v1/containers", j.bag("2B-01", nil)).Problem(409, "label_taken")
	require.Equal(t, []string{"/label"}, contracttest.Pointers(p))
	require.Contains(t, p.Detail, first.ID())
	wasteJobOf(t, j.service, "Birch Court").sealed("2B-01")

	j.With("If-Match", `"7"`).Post("/v1/containers/"+first.ID()+"/end", `{"how":"void","reason":"Wrong job"}`).Problem(412, "stale")
	j.With("If-Match", first.ETag()).Post("/v1/containers/"+first.ID()+"/end", `{"how":"void","reason":"Wrong job"}`).Is(200)
	require.Zero(t, j.balance().Sealed)
	again := j.sealed("2B-01")
	require.Equal(t, []string{"2B-01"}, j.undelivered())
	p = j.Post("/v1/trips", j.trip(10, first.ID(), again)).Problem(422, "implausible")
	require.Equal(t, []string{"/container_ids/0"}, contracttest.Pointers(p))
	j.Post("/v1/containers/"+first.ID()+"/events", fields{"what": "stored", "at": at(9), "where": "Yard"}).Problem(409, "ended")
}

func TestAVoidedTripLeavesItsContainersWhereTheyAreWithoutIt(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	a, b := j.sealed("A"), j.sealed("B")
	trip := j.Post("/v1/trips", having(j.trip(10, a, b), "arrival", arrival(11, a))).Is(201)
	on := j.Get("/v1/containers/" + a).ETag()
	j.With("If-Match", on).Post("/v1/containers/"+a+"/end", `{"how":"void","reason":"Not ours"}`).Problem(409, "on_a_trip")
	void := `{"how":"void","reason":"Another day"}`
	j.With("If-Match", `"9"`).Post("/v1/trips/"+trip.ID()+"/end", void).Problem(412, "stale")
	j.With("If-Match", trip.ETag()).Post("/v1/trips/"+trip.ID()+"/end", void).Is(200)
	require.Equal(t, []string{"stored", "stored"}, []string{j.place(a), j.place(b)})
	require.Equal(t, "Locked shed", *j.container(a).Position.Detail)
	require.Contains(t, j.findings()[0].Detail, "The trip was voided since")
	j.With("If-Match", `"2"`).Post("/v1/trips/"+trip.ID()+"/end", void).Problem(409, "ended")
	j.Post("/v1/trips/"+trip.ID()+"/arrival", arrival(12, b)).Problem(409, "ended")
	require.Empty(t, j.Get("/v1/trips").Is(200).JSON()["items"])

	j.Post("/v1/trips", having(j.trip(12, a, b), "arrival", arrival(13, a, b))).Is(201)
	require.EqualValues(t, 2, j.balance().Delivered)
	require.Len(t, j.findings(), 1)
}

func TestASettledFindingThatIsSignedOffIsNotOpenedAgain(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	a := j.sealed("A")
	trip := j.Post("/v1/trips", having(j.trip(10, a), "arrival", arrival(11))).Is(201).ID()
	finding := j.findings()[0].Id.String()
	for _, what := range []string{"corrected", "rechecked", "signed_off"} {
		j.Post("/v1/findings/"+finding+"/steps", fields{"what": what, "on": "2026-04-20", "by": "Crew lead", "note": "Looked for it."}).Is(200)
	}
	j.Post("/v1/containers/"+a+"/events", fields{"what": "found", "at": at(12), "where": "Yard"}).Is(200)
	require.Equal(t, []string{"container_not_received"}, j.codes())

	// Told last of all: it had been taken off the trip before the arrival, which makes the arrival complete.
	j.Post("/v1/containers/"+a+"/events", fields{"what": "stored", "at": "2026-04-16T10:30:00-04:00", "where": "Garage"}).Is(200)
	require.Empty(t, j.Get("/v1/trips/" + trip).Is(200).JSON()["short"])
	require.Equal(t, []string{"container_not_received"}, j.codes())
	require.EqualValues(t, "signed_off", j.findings()[0].State)
}

func TestAContainerToldOfAClosedJobIsFound(t *testing.T) {
	t.Parallel()
	j := newWasteJob(t)
	closed, err := postgres.DraftOf([]byte(`{"title":"Sills","work_items":[],"state":"closed","moves":[]}`))
	require.NoError(t, err)
	closed.Properties = []uuid.UUID{uuid.MustParse(j.home.property)}
	outcome, err := j.service.Store.Write(t.Context(), j.call(), func(tx *postgres.Tx) (postgres.Outcome, error) {
		record, err := tx.Insert("renovation", "created", closed)
		return postgres.Outcome{Status: 201, Record: record}, err
	})
	require.NoError(t, err)
	j.renovation = outcome.Record.ID.String()
	late := j.sealed("Late")
	require.Equal(t, []string{"container_after_closing"}, j.codes())
	require.True(t, j.findings()[0].Blocks)
	require.Equal(t, []uuid.UUID{j.findings()[0].Id}, *j.container(late).FindingIds)
	j.Post("/v1/trips", having(j.trip(10, late), "arrival", arrival(11, late))).Is(201)
	require.Equal(t, []string{"container_after_closing"}, j.codes())
	require.Contains(t, j.findings()[0].Detail, "It was received at 2026-04-16 11:00 EDT.")
}
