package httpapi_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
)

// emergency is a covered job of today, told to be an emergency.
func emergency(t *testing.T, s *contracttest.Service, told object) desk {
	t.Helper()
	c := s.Owner()
	h := newHome(c, "Alder Court")
	return newDesk(t, c, with(job(work(h.room, "20")), "emergency", told, "planned_start", "2026-04-20", "planned_end", nil))
}

func (d desk) followed(not ...object) contracttest.Answer {
	return d.Patch("/v1/renovations/"+d.job, "*", object{"emergency": object{"not_followed": not}})
}

func TestEmergencyIsClosedWhenItsRecordSaysWhatWasNotFollowed(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	d := emergency(t, s, object{"event": "A burst pipe"})
	for _, to := range []string{"ready", "under_way", "cleaning", "checking"} {
		d.move(to).Is(200)
	}
	d.verify("2026-04-20", true).Is(201)
	d.stuck("closed", "emergency_record_missing")
	signs := object{"provision": "signs", "why": "Water was coming through the ceiling."}
	d.followed([]object{}...).Is(200)
	p := d.move("closed").Problem(409, "blocked")
	require.Equal(t, "No valid notice was given before the work, and the record of the emergency does not say so.", p.Detail)
	d.followed(signs).Is(200)
	d.stuck("closed", "emergency_record_missing")
	d.followed(signs, object{"provision": "notice", "why": "There was no time."}).Is(200)
	d.move("closed").Is(200)
	require.Equal(t, "There was no time.", *(*d.read().Emergency.NotFollowed)[1].Why)
}

func TestEmergencyNeverLiftsSomeProvisionsAndAHazardResponseTheNoticeOnly(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	h := newHome(c, "Alder Court")
	for _, k := range []struct {
		name      string
		emergency object
		at        []string
		says      string
	}{
		{"cleaning (40 CFR 745.82(b))", object{"event": "Fire", "not_followed": []object{{"provision": "cleaning", "why": "No time"}}}, []string{"/emergency/not_followed/0/provision"}, "40 CFR 745.82(b)"},
		{"verification and records", object{"event": "Fire", "not_followed": []object{{"provision": "signs", "why": "No time"}, {"provision": "verification", "why": "x"}, {"provision": "records", "why": "x"}}},
			[]string{"/emergency/not_followed/1/provision", "/emergency/not_followed/2/provision"}, "A certified renovator verifies the cleaning as always."},
		{"practices (derived)", object{"event": "Fire", "not_followed": []object{{"provision": "practices", "why": "x"}}}, []string{"/emergency/not_followed/0/provision"}, "Prohibited practices stay prohibited"},
		{"no reason (745.86(b)(6))", object{"event": "Fire", "not_followed": []object{{"provision": "signs"}}}, []string{"/emergency/not_followed/0/why"}, "Say why"},
		{"told twice", object{"event": "Fire", "not_followed": []object{{"provision": "signs", "why": "x"}, {"provision": "signs", "why": "y"}}}, []string{"/emergency/not_followed/1/provision"}, "twice"},
		{"no event", object{"kind": "sudden_event"}, []string{"/emergency/event"}, "Say what happened."},
		{"a hazard response lifts the notice only (40 CFR 745.83)", object{"kind": "hazard_response", "not_followed": []object{{"provision": "notice"}, {"provision": "containment"}}},
			[]string{"/emergency/not_followed/1/provision"}, "only the notice is lifted"},
		{"and its ground is not said", object{"kind": "hazard_response", "event": "Somebody's case", "not_followed": []object{{"provision": "notice", "why": "Somebody's case"}}},
			[]string{"/emergency/event", "/emergency/not_followed/0/why"}, "restricted"},
	} {
		t.Run(k.name, func(t *testing.T) { // one after the other: nothing may be stored
			p := c.Post("/v1/renovations", with(job(work(h.room, "20")), "emergency", k.emergency)).Problem(422, "implausible")
			require.Equal(t, k.at, contracttest.Pointers(p))
			require.Contains(t, (*p.Errors)[0].Detail, k.says)
			c.Post("/v1/small-repairs", with(repair(h.room, "2026-04-19", "3"), "emergency", k.emergency)).Is(422)
		})
	}
	require.Empty(t, c.Get("/v1/renovations").Is(200).JSON()["items"])
}

func TestHazardResponseStartsWithoutANoticeAndWithAllElse(t *testing.T) {
	t.Parallel()
	d := emergency(t, contracttest.New(t), object{"kind": "hazard_response"})
	var steps []string
	for _, step := range *d.read().MustHappenFirst {
		steps = append(steps, string(step.Code))
		if step.Code == "record_emergency" {
			require.Contains(t, step.Text, "nothing else is lifted")
		}
	}
	require.NotContains(t, steps, "pamphlet")
	require.Subset(t, steps, []string{"signs", "containment", "waste", "certified_renovator", "record_emergency"})
	for _, to := range []string{"ready", "under_way", "cleaning", "checking"} {
		d.move(to).Is(200)
	}
	d.verify("2026-04-20", true).Is(201)
	d.stuck("closed", "emergency_record_missing")
	d.followed(object{"provision": "notice"}).Is(200)
	d.move("closed").Is(200)
}

func TestEmergencyThatWasNoneAfterAllOpensAFinding(t *testing.T) {
	t.Parallel()
	d := emergency(t, contracttest.New(t), object{"event": "A burst pipe"})
	d.move("ready").Is(200)
	d.move("under_way").Is(200)
	d.Patch("/v1/renovations/"+d.job, "*", object{"emergency": nil}).Is(200)
	found := d.findings("")
	require.Len(t, found, 1)
	require.Equal(t, "no_emergency", found[0].Code)
	require.Contains(t, found[0].Detail, "The owner has not validly been given the pamphlet.")
	require.Equal(t, api.RenovationStateUnderWay, *d.read().State, "a move once made stands")
	d.Patch("/v1/renovations/"+d.job, "*", object{"title": "Walls"}).Is(200)
	require.Len(t, d.findings(""), 1)
}
