package demo

import (
	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/api/client"
)

// job is the renovation of chapter 3 and its home.
type job struct {
	id   uuid.UUID
	home *unitOf
}

// renovation follows one job from its draft to its end (chapter 3).
func (s *story) renovation() {
	s.clock.moveTo(27, 9, 0)
	s.chapter(3, "One renovation, from its draft to its end", s.clock.day(27))
	j := s.draft()
	s.notReady(j)
	s.prepare(j)
	s.work(j)
	s.firstLap(j)
	s.secondLap(j)
	s.waste(j)
}

func (s *story) draft() job {
	home := s.book.unit("JR-A-2C")
	s.say(`%s, built in %d: the living room window is to be replaced and the trim around it scraped. A child under six lives
		there. A hired firm does the work, and its contract asks for dust wipes at the end.`, home.name, 1926)
	room := home.rooms["Living room"]
	r := made(s.manager.CreateRenovationWithResponse(s.ctx, &api.CreateRenovationParams{IdempotencyKey: once("job-window")}, api.RenovationCreate{
		Title: "Replace the living room window, " + home.name, ExternalIds: &[]api.ExternalID{{System: "work orders", Value: "JOB-77"}},
		PlannedStart: new(s.clock.day(14)), PlannedEnd: new(s.clock.day(12)), DoneFor: &s.homes.Landlord, Assisted: new(api.TriNo), ClearanceRequired: new(true),
		DoneBy: &api.Doer{Relation: new(api.DoneByHiredFirm), Name: new("Thistle & Tack, joiners"), FirmCertificate: new("ZZ-F-0042"),
			Renovator: new("Renovator R-7"), RenovatorCertificate: new("ZZ-R-0007")},
		WorkItems: []api.WorkItem{
			{RoomId: &room, Component: "window", Method: api.MethodReplaced, WindowReplaced: new(true), Area: &api.Measure{Value: "14", Unit: "ft2"}},
			{RoomId: &room, Component: "window trim", Method: api.MethodWetScraping, Area: &api.Measure{Value: "5 1/2", Unit: "ft2"}},
		}}))
	must(*r.Outcome == api.RepairOutcomeCoveredRenovation, "the job is a covered renovation")
	s.ask("The repairs office drafts the job, to begin on %s. What is it?", date(*r.PlannedStart))
	s.answer("A covered renovation:")
	for _, reason := range r.Determination.Reasons {
		s.item("%s [%s]", reason.Text, cited(reason.Citation))
	}
	must(r.MustHappenFirst != nil && len(*r.MustHappenFirst) > 5, "it says what must happen first")
	s.and("What the law asks for before and during the work:")
	for _, step := range *r.MustHappenFirst {
		s.item("%s [%s]", step.Text, cited(step.Citation))
	}
	return job{r.Id, home}
}

// notReady asks for the job to be ready, too early.
func (s *story) notReady(j job) {
	s.ask("%s. May it be ready?", day(s.clock, 27))
	p := s.refusedMove(s.manager, j.id, api.RenovationStateReady)
	must(countCode(p, "no_valid_notice") == 2 && countCode(p, "occupant_protection") == 1 && len(*p.Blockers) == 3,
		"the pamphlet for the owner and for the occupant and the child's protection are missing, and nothing else")
	s.answer("No. %d things stand in the way:", len(*p.Blockers))
	s.blocked(*p.Blockers)
}

// prepare gives the pamphlets and keeps the family out.
func (s *story) prepare(j job) {
	s.clock.moveTo(21, 11, 0)
	s.ask("%s. The crew hands the pamphlet to the owner and to an adult in the home, and both sign for it. The family will stay elsewhere during the work. Do the notices count?", day(s.clock, 21))
	for _, to := range []api.NoticeRecipient{api.NoticeRecipientOwner, api.NoticeRecipientAdultOccupant} {
		notice := api.NoticeCreate{RenovationId: j.id, Recipient: to, How: api.NoticeHowHanded, GivenOn: s.clock.day(21),
			Proof: api.NoticeProofWrittenAcknowledgement, ProofReference: new("JOB-77 folder, sheet " + string(to)), PamphletEdition: new("As published")}
		if to == api.NoticeRecipientAdultOccupant {
			notice.UnitId = &j.home.id
		}
		n := made(s.crew.CreateNoticeWithResponse(s.ctx, &api.CreateNoticeParams{IdempotencyKey: once("notice-%s", to)}, notice))
		must(n.Counts != nil && *n.Counts, "the notice counts")
		s.answer("Yes, to the %s: %s", words(string(to)), *n.Why)
	}
	made(s.crew.CreateProtectionWithResponse(s.ctx, &api.CreateProtectionParams{IdempotencyKey: once("protection")}, api.ProtectionCreate{
		RenovationId: j.id, UnitId: &j.home.id, How: api.ProtectionHowRelocated, From: s.clock.day(14), Note: new("The household stays elsewhere until the home is cleared.")}))
	s.ask("May it be ready now?")
	s.move(s.manager, j.id, api.RenovationStateReady)
	s.answer("Yes: ready.")
}

// work is the work itself, the bags sealed as it goes, and the cleaning.
func (s *story) work(j job) {
	s.clock.moveTo(14, 8, 0)
	s.ask("%s, the planned day. May work begin?", day(s.clock, 14))
	s.move(s.crew, j.id, api.RenovationStateUnderWay)
	s.answer("Yes: under way.")
	s.seal(j)
	s.clock.moveTo(12, 13, 0)
	s.ask("%s. The work is done. May the crew clean, and in the afternoon check?", day(s.clock, 12))
	s.move(s.crew, j.id, api.RenovationStateCleaning)
	s.clock.moveTo(12, 15, 0)
	s.move(s.crew, j.id, api.RenovationStateChecking)
	s.answer("Yes: cleaning, then checking.")
}

// move asks for a move that the story says is made.
func (s *story) move(as *client.ClientWithResponses, id uuid.UUID, to api.RenovationState) api.Renovation {
	r := read(as.MoveRenovationWithResponse(s.ctx, id, &api.MoveRenovationParams{}, api.MoveRequest{To: to}))
	must(*r.State == to, "the job moves to %s", words(string(to)))
	return r
}

// refusedMove asks for a move that the story says is refused.
func (s *story) refusedMove(as *client.ClientWithResponses, id uuid.UUID, to api.RenovationState) api.Problem {
	p := refused(as.MoveRenovationWithResponse(s.ctx, id, &api.MoveRenovationParams{}, api.MoveRequest{To: to}))
	must(p.Status == 409 && p.Blockers != nil, "the move to %s is refused with its blockers", words(string(to)))
	return p
}

func countCode(p api.Problem, code string) int {
	n := 0
	for _, b := range *p.Blockers {
		if b.Code == code {
			n++
		}
	}
	return n
}

// day is a day of the story as a sentence begins with it.
func day(c *clock, before int) string { return c.day(before).Format("Monday 2 January") }
