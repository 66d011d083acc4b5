package httpapi_test

import (
	"flag"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"pgregory.net/rapid"

	"sillbook/api"
	"sillbook/internal/contracttest"
)

// The model test: random lives of jobs, each step held against the model. Every tenth of the lives that rapid draws is lived,
// all of them where -rapid.checks asks for a number of them.
func TestJobsLiveAsTheModelSays(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	w := world{service: s, client: s.Owner()}
	h := newHome(w.client, "Alder Court")
	w.building = h.building
	w.facility = w.client.Post("/v1/facilities", `{"name":"North transfer station","kind":"transfer_station"}`).Is(201).ID()
	drawn, every := 0, 10
	if atLength() {
		every = 1
	}
	rapid.Check(t, func(t *rapid.T) {
		on, steps := rapid.SampledFrom([]int{0, 1, 2, 3, 4, 5, 5, 6}).Draw(t, "on its way"), rapid.IntRange(15, 40).Draw(t, "steps")
		if drawn++; drawn%every != 1%every {
			return
		}
		was := every
		every = 1 // for as long as it fails
		l := w.born(t)
		for i := range on + steps {
			if i < on {
				l.step("go on")
			} else {
				l.step(rapid.SampledFrom(turns).Draw(t, "what"))
			}
			l.hold()
		}
		every = was
	})
}

// atLength reports whether the tests that try what is random are asked to try more than they do every time.
func atLength() (asked bool) {
	flag.Visit(func(f *flag.Flag) {
		asked = asked || f.Name == "rapid.checks" || f.Name == "rapid.seed" || f.Name == "rapid.failfile"
	})
	return asked
}

// world is what the lives share.
type world struct {
	service            *contracttest.Service
	client             *contracttest.Client
	building, facility string
}

// life is one job and its model.
type life struct {
	world
	*model
	t     *rapid.T
	job   string
	unit  string
	bags  []string
	kinds map[string]object // of observations, as told
	n     int
}

func (l *life) now() time.Time { return l.service.Clock().Now() }
func (l *life) today() string  { return localDay(l.now()) }
func (l *life) ago(d time.Duration) string {
	return l.now().Add(-d).Format(time.RFC3339)
}

// is demands one of some statuses.
func (l *life) is(a contracttest.Answer, statuses ...int) contracttest.Answer {
	if !slices.Contains(statuses, a.Status) {
		l.t.Fatalf("not one of %v but %d: %s", statuses, a.Status, a.Body)
	}
	return a
}

func (l *life) post(path string, body object) contracttest.Answer {
	return l.is(l.client.Post("/v1/"+path, body), 201)
}

func (w world) born(t *rapid.T) *life {
	l := &life{world: w, t: t, kinds: map[string]object{}, model: &model{state: "drafted", observations: map[string]modelObservation{}}}
	l.planned = daysBefore(l.today(), -rapid.IntRange(0, 2).Draw(t, "planned in"))
	l.unit = l.post("units", object{"building_id": w.building, "name": "1", "kind": "dwelling", "rented": "yes"}).ID()
	l.post("occupancies", object{"unit_id": l.unit, "from": "2025-09-01", "children_under_six": object{"present": 1}})
	room := l.post("rooms", object{"unit_id": l.unit, "name": "Kitchen", "kind": "room"}).ID()
	l.job = l.post("renovations", object{"title": "Walls", "planned_start": l.planned, "work_items": []object{work(room, "20")}}).ID()
	return l
}

// turns are the kinds of steps, the more likely ones more often.
var turns = []string{"go on", "go on", "go on", "go on", "go on", "go on", "move", "move", "override", "notice", "void a notice", "protect", "verify", "clear", "observe", "observe",
	"observe", "correct", "seal", "deliver", "finding", "finding", "finding", "a day"}

var modelStates = []string{"drafted", "ready", "under_way", "cleaning", "checking", "closed", "called_off"}

func (l *life) step(what string) {
	l.service.Clock().Move(10 * time.Minute)
	switch what {
	case "go on":
		l.goOn()
	case "move", "override":
		l.move(rapid.SampledFrom(modelStates).Draw(l.t, "to"), what == "override", rapid.Bool().Draw(l.t, "reason"))
	case "notice":
		l.notice(rapid.SampledFrom([]string{"owner", "adult_occupant"}).Draw(l.t, "recipient"))
	case "void a notice":
		l.voidNotice()
	case "protect":
		l.protect()
	case "verify":
		l.verify(rapid.Bool().Draw(l.t, "passed"))
	case "clear":
		l.clear(rapid.Bool().Draw(l.t, "passed"))
	case "observe":
		l.observe(rapid.SampledFrom([]string{"sign_posted", "sign_removed", "containment_built", "containment_breached", "containment_mended", "intact", "not_intact", "wet_scraping", "open_flame"}).Draw(l.t, "kind"),
			rapid.SampledFrom([]int{0, 0, 35, 95, 1500}).Draw(l.t, "minutes late"))
	case "correct":
		l.correct()
	case "seal":
		l.seal()
	case "deliver":
		l.deliver()
	case "finding":
		l.takeFindingOn()
	case "a day":
		days(l.service, 1)
	}
}

// goOn clears what stands in the way of the next move, one after the other, and asks for it.
func (l *life) goOn() {
	for to := modelAfter[l.state]; len(to) > 0; l.service.Clock().Move(10 * time.Minute) {
		stand := l.blockers(to[0], l.today(), false)
		if len(stand) == 0 {
			l.move(to[0], false, false)
			return
		}
		l.clearUp(stand[0])
	}
}

func (l *life) clearUp(blocker string) {
	switch blocker {
	case "no_valid_notice":
		for _, recipient := range []string{"owner", "adult_occupant"} {
			l.notice(recipient)
		}
		if l.state == "ready" {
			days(l.service, 1)
			return
		}
		l.plan(daysBefore(l.today(), -1))
	case "occupant_protection":
		if l.state == "drafted" && l.planned < l.today() {
			l.plan(daysBefore(l.today(), -1))
		}
		l.protect()
	case "not_verified", "proof_outdated":
		l.verify(true)
	case "clearance_failed":
		l.clear(true)
	case "containers_not_accounted":
		l.deliver()
	default:
		l.takeFindingOn()
	}
}

// plan plans another start, while the job is not under way.
func (l *life) plan(start string) {
	l.is(l.client.Patch("/v1/renovations/"+l.job, "*", object{"planned_start": start}), 200)
	l.planned = start
}

func (l *life) move(to string, override, reason bool) {
	body := object{"to": to}
	if reason {
		body["reason"] = "It was decided so."
	}
	if override {
		body["override"] = overriding
	}
	expected := l.blockers(to, l.today(), reason || override)
	a := l.is(l.client.Post("/v1/renovations/"+l.job+"/moves", body), 200, 409)
	if a.Status == 409 {
		var p api.Problem
		a.Into(&p)
		if !slices.Equal(expected, codesOf(*p.Blockers)) {
			l.t.Fatalf("%s to %s: refused for %v, by the model %v", l.state, to, codesOf(*p.Blockers), expected)
		}
		if override && expected[0] != "out_of_order" {
			l.t.Fatalf("the override of %v was refused", expected)
		}
		return
	}
	if len(expected) > 0 && (!override || expected[0] == "out_of_order") {
		l.t.Fatalf("%s to %s was made, and the model has %v in its way", l.state, to, expected)
	}
	l.model.move(to, l.today(), l.now(), len(expected) > 0)
}

func (l *life) notice(recipient string) {
	body := object{"renovation_id": l.job, "recipient": recipient, "how": "handed", "proof": "written_acknowledgement", "given_on": l.today()}
	if recipient != "owner" {
		body["unit_id"] = l.unit
	}
	n := modelNotice{id: l.post("notices", body).ID(), recipient: recipient, given: l.today()}
	if begun := l.last("under_way"); begun != "" && !n.counts(begun) && !l.told(recipient, begun) {
		l.find("late_notice", l.now())
	}
	l.notices = append(l.notices, n)
}

func (l *life) voidNotice() {
	live := slices.IndexFunc(l.notices, func(n modelNotice) bool { return !n.void })
	if live < 0 {
		return
	}
	l.is(l.client.With("If-Match", "*").Post("/v1/notices/"+l.notices[live].id+"/end", `{"how":"void","reason":"Told of the wrong job"}`), 200)
	l.notices[live].void = true
}

func (l *life) protect() {
	l.post("protections", object{"renovation_id": l.job, "unit_id": l.unit, "how": "relocated", "from": l.today()})
	l.protections = append(l.protections, l.today())
}

func verdictOf(passed bool) string {
	if passed {
		return "passed"
	}
	return "failed"
}

func (l *life) verify(passed bool) {
	l.post("verifications", object{"renovation_id": l.job, "verified_on": l.today(), "verified_by": "R. Example", "visual_passed": true, "all_passed": passed, "wet_cloths": 4, "dry_cloths": 0})
	l.verification = proof{verdictOf(passed), l.today()}
	if !passed {
		l.failed("verification_failed_after_closing", l.today(), l.now())
	}
}

func (l *life) clear(passed bool) {
	a := l.post("clearances", object{"renovation_id": l.job, "cleaned_at": l.ago(3 * time.Hour), "sampled_at": l.ago(0), "visual_passed": true,
		"laboratory": object{"name": "Example Laboratory", "recognised": "yes"}, "examiner": object{"name": "S. Example", "discipline": "dust_sampling_technician"},
		"samples": []object{floor("F-1", map[bool]string{true: "1", false: "50"}[passed])}})
	if outcome := a.JSON()["outcome"]; outcome != verdictOf(passed) {
		l.t.Fatalf("the clearance is %v: %s", outcome, a.Body)
	}
	l.clearance = proof{verdictOf(passed), l.today()}
	if !passed {
		l.failed("clearance_failed_after_closing", l.today(), l.now())
	}
}

// observe tells what was seen now or a while ago. Nothing was seen at the very instant of anything else.
func (l *life) observe(kind string, late int) {
	l.n++
	at := l.now().Add(-time.Duration(late)*time.Minute - time.Duration(l.n)*time.Second)
	o := seen(kind, at.Format(time.RFC3339))
	switch {
	case kind == "intact" || kind == "not_intact":
		o["kind"], o["containment"] = "containment_checked", object{"intact": map[string]string{"intact": "yes", "not_intact": "no"}[kind]}
	case kind == "wet_scraping" || kind == "open_flame":
		o["kind"], o["method_used"] = "method_used", used(kind)
	}
	id := uuid.Must(uuid.NewV7()).String()
	l.is(l.client.Put("/v1/renovations/"+l.job+"/observations/"+id, o), 201)
	l.kinds[id] = o
	l.observations[id] = modelObservation{id: id, kind: kind, at: at}
	l.observed(l.now())
}

// correct takes an observation back, or tells it again as it was.
func (l *life) correct() {
	if len(l.observations) == 0 {
		return
	}
	ids := []string{}
	for id := range l.observations {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	id := rapid.SampledFrom(ids).Draw(l.t, "corrected")
	seen := l.observations[id]
	seen.withdrawn = !seen.withdrawn
	o := with(l.kinds[id], "told_at", l.ago(0), "withdrawn", seen.withdrawn, "note", "It was the next house.")
	l.is(l.client.Put("/v1/renovations/"+l.job+"/observations/"+id, o), 200)
	l.observations[id] = seen
	l.observed(l.now())
}

// seal seals a bag, while the job is not at its end.
func (l *life) seal() {
	if l.state == "closed" {
		return
	}
	label := fmt.Sprint("B-", l.n, "-", l.undelivered, "-", len(l.bags), l.now().Unix())
	l.bags = append(l.bags, l.post("containers", object{"renovation_id": l.job, "label": label, "kind": "bag", "sealed_at": l.ago(0), "stored_in": "Shed"}).ID())
	l.undelivered++
}

func (l *life) deliver() {
	if l.undelivered == 0 {
		return
	}
	l.post("trips", object{"facility_id": l.facility, "vehicle": "Van 3", "cargo_area": "closed_cargo_area", "departed_at": l.ago(2 * time.Minute), "container_ids": l.bags,
		"arrival": object{"arrived_at": l.ago(time.Minute), "received": l.bags}})
	l.bags, l.undelivered = nil, 0
}

// takeFindingOn tells the next step of a finding, and sees that none can be left out.
func (l *life) takeFindingOn() {
	var list api.FindingList
	l.is(l.client.Get("/v1/findings?limit=500&renovation_id="+l.job), 200).Into(&list)
	open := slices.DeleteFunc(list.Items, func(f api.Finding) bool { return f.State == api.FindingStateSignedOff })
	if len(open) == 0 {
		return
	}
	f := open[rapid.IntRange(0, len(open)-1).Draw(l.t, "finding")]
	order := []string{"open", "corrected", "rechecked", "signed_off"}
	next := order[slices.Index(order, string(f.State))+1]
	tell := func(what string) contracttest.Answer {
		return l.client.Post("/v1/findings/"+f.Id.String()+"/steps", object{"what": what, "on": l.today(), "by": "M. Example", "note": "Seen to."})
	}
	if next != "signed_off" {
		l.is(tell("signed_off"), 409)
	}
	l.is(tell(next), 200)
	is := said(f)
	for _, m := range l.findings {
		if m.state != "void" && m.said() == is {
			m.state = next
			return
		}
	}
	l.t.Fatalf("the model has no finding %s in %v", is, l.standing())
}

// said writes a finding as the model does.
func said(f api.Finding) string {
	observation := ""
	if f.SubjectKind == "observation" {
		observation = f.SubjectId.String()
	}
	return fmt.Sprint(f.Code, " ", observation, " ", f.State, " ", f.Stops != nil && *f.Stops)
}

// hold compares all that can be seen of the job with the model.
func (l *life) hold() {
	var r api.Renovation
	l.is(l.client.Get("/v1/renovations/"+l.job), 200).Into(&r)
	moves := []string{}
	for _, m := range l.moves {
		moves = append(moves, m.from+" "+m.to+" "+m.on)
	}
	made := []string{}
	for _, m := range *r.Moves {
		made = append(made, string(m.From)+" "+string(m.To)+" "+m.On.String())
	}
	if string(*r.State) != l.state || !slices.Equal(made, moves) {
		l.t.Fatalf("the job is %s after %v, by the model %s after %v", *r.State, made, l.state, moves)
	}
	var findings api.FindingList
	l.is(l.client.Get("/v1/findings?limit=500&renovation_id="+l.job), 200).Into(&findings)
	is, open := []string{}, 0
	for _, f := range findings.Items {
		is = append(is, said(f))
		if f.State != api.FindingStateSignedOff {
			open++
		}
	}
	slices.Sort(is)
	if !slices.Equal(is, l.standing()) {
		l.t.Fatalf("the findings are\n%s\nby the model\n%s", strings.Join(is, "\n"), strings.Join(l.standing(), "\n"))
	}
	if int(*r.OpenFindings) != open || *r.ClosedWithOpenFinding != (open > 0 && l.state == "closed") {
		t := *r.ClosedWithOpenFinding
		l.t.Fatalf("%d findings are open, of which the job says %d, closed with one %t", open, *r.OpenFindings, t)
	}
	to := rapid.SampledFrom(modelStates).Draw(l.t, "asked")
	var list api.BlockerList
	l.is(l.client.Get("/v1/renovations/"+l.job+"/blockers?to="+to), 200).Into(&list)
	if expected := l.blockers(to, l.today(), false); !slices.Equal(codesOf(list.Blockers), expected) {
		l.t.Fatalf("%s to %s: blockers %v, by the model %v", l.state, to, codesOf(list.Blockers), expected)
	}
	var observations api.ObservationList
	l.is(l.client.Get("/v1/renovations/"+l.job+"/observations?limit=500"), 200).Into(&observations)
	for _, o := range observations.Items {
		if _, told := l.observations[o.Id.String()]; !told {
			l.t.Fatalf("nobody told %s", o.Id)
		}
	}
	if len(observations.Items) != len(l.observations) {
		l.t.Fatalf("%d observations of %d are there", len(observations.Items), len(l.observations))
	}
}
