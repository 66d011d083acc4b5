package demo

import (
	"fmt"
	"slices"

	"github.com/google/uuid"

	"sillbook/api"
)

// seal tells the job's bags as they are sealed.
func (s *story) seal(j job) {
	contents := [][]api.WasteContents{{api.WasteContentsComponents}, {api.WasteContentsDebris}, {api.WasteContentsSheeting}, {api.WasteContentsClothsAndMopHeads, api.WasteContentsProtectiveClothing}}
	s.clock.moveTo(13, 17, 0)
	for i, inside := range contents {
		c := made(s.crew.CreateContainerWithResponse(s.ctx, &api.CreateContainerParams{IdempotencyKey: once("bag-%d", i+1)}, api.ContainerCreate{
			RenovationId: j.id, Label: fmt.Sprintf("77-%02d", i+1), Kind: api.ContainerKindBag, Contents: &inside, SealedAt: s.clock.at(13, 15, 10*i),
			DoubleBagged: new(true), Weight: &api.Measure{Value: fmt.Sprint(9 + 2*i), Unit: "kg"}, Weighed: new(true), StoredIn: new("Locked shed behind " + j.home.name[:len(j.home.name)-3])}))
		s.bags = append(s.bags, c.Id)
	}
	s.ask("%s. Four bags are sealed, labelled 77-01 to 77-04, weighed and put in the locked shed. Where is the waste of this job?", day(s.clock, 13))
	s.answer("All of it is stored.")
	s.showBalance(j)
}

// waste follows the bags: closing is refused, a trip arrives one short, and it is put right.
func (s *story) waste(j job) {
	s.ask("May the job be closed?")
	p := s.refusedMove(s.manager, j.id, api.RenovationStateClosed)
	must(countCode(p, "containers_not_accounted") == 1, "the containers are not accounted for")
	s.answer("No:")
	s.blocked(*p.Blockers)
	finding := s.oneShort(j)
	s.deliverTheOther(j)
	s.putRight(j, finding)
	s.close(j)
}

// oneShort is a trip with four bags on its list, and three at its end.
func (s *story) oneShort(j job) api.Finding {
	s.clock.moveTo(6, 12, 0)
	place := made(s.manager.CreateFacilityWithResponse(s.ctx, &api.CreateFacilityParams{IdempotencyKey: once("facility")}, api.FacilityCreate{
		Name: "Millbrook Transfer Station", Kind: api.FacilityKindTransferStation, Address: new("1 Hobble Lane, Millbrook, ZZ")}))
	s.station = place.Id
	trip := s.trip(s.bags, 6, 9)
	arrived := read(s.crew.ArriveTripWithResponse(s.ctx, trip.Id, &api.ArriveTripParams{IdempotencyKey: once("arrival-1")}, api.Arrival{
		ArrivedAt: s.clock.at(6, 9, 40), Received: s.bags[:3], Receipt: new("Ticket 5501"), VehicleVacuumedOn: new(s.clock.day(6))}))
	must(arrived.Short != nil && slices.Equal(*arrived.Short, s.bags[3:]), "bag 77-04 is missing")
	must(arrived.FindingIds != nil && len(*arrived.FindingIds) == 1, "a finding is open")
	finding := read(s.manager.GetFindingWithResponse(s.ctx, (*arrived.FindingIds)[0], &api.GetFindingParams{}))
	s.ask("%s. The van left with four bags on its list; the transfer station took in three. What now?", day(s.clock, 6))
	s.answer("One bag short. A finding is open: %s", finding.Detail)
	s.showBalance(j)
	p := s.refusedMove(s.manager, j.id, api.RenovationStateClosed)
	must(countCode(p, "containers_not_accounted") == 1 && countCode(p, "open_finding") == 1, "the bag and the finding stand in the way")
	s.ask("May the job be closed?")
	s.answer("No:")
	s.blocked(*p.Blockers)
	return finding
}

func (s *story) trip(bags []uuid.UUID, before, hour int) api.Trip {
	return made(s.crew.CreateTripWithResponse(s.ctx, &api.CreateTripParams{IdempotencyKey: once("trip-%d", before)}, api.TripCreate{
		FacilityId: s.station, Vehicle: "Van 4", Driver: new("Driver D-2"), CargoArea: api.CargoAreaClosedCargoArea, DepartedAt: s.clock.at(before, hour, 0), ContainerIds: bags}))
}

// deliverTheOther finds the bag and takes it there.
func (s *story) deliverTheOther(j job) {
	s.clock.moveTo(5, 12, 0)
	s.ask("%s. The bag is found in the shed: it was never loaded. The next day it goes on a trip of its own.", day(s.clock, 5))
	c := read(s.crew.AddContainerEventWithResponse(s.ctx, s.bags[3], &api.AddContainerEventParams{IdempotencyKey: once("found")}, api.ContainerEvent{
		What: api.ContainerEventWhatFound, At: s.clock.at(5, 11, 30), Where: new("Locked shed, behind the ladder")}))
	must(c.Position != nil && c.Position.Where == api.ContainerPositionWhereStored, "the bag is stored again")
	s.answer("Bag %s: %s, %s.", c.Label, c.Position.Where, *c.Position.Detail)
	s.clock.moveTo(4, 12, 0)
	trip := s.trip(s.bags[3:], 4, 9)
	arrived := read(s.crew.ArriveTripWithResponse(s.ctx, trip.Id, &api.ArriveTripParams{IdempotencyKey: once("arrival-2")}, api.Arrival{
		ArrivedAt: s.clock.at(4, 9, 45), Received: s.bags[3:], Receipt: new("Ticket 5517"), VehicleVacuumedOn: new(s.clock.day(4))}))
	must(arrived.Short == nil || len(*arrived.Short) == 0, "nothing is short")
	s.and("%s: received, %s.", day(s.clock, 4), *arrived.Arrival.Receipt)
	s.showBalance(j)
}

// putRight takes the finding through its three steps.
func (s *story) putRight(j job, f api.Finding) {
	p := s.refusedMove(s.manager, j.id, api.RenovationStateClosed)
	must(countCode(p, "open_finding") == 1 && len(*p.Blockers) == 1, "only the finding stands in the way")
	s.ask("%s. May the job be closed?", day(s.clock, 4))
	s.answer("Not while the finding is open. It is corrected, checked again by somebody else, and signed off:")
	for i, step := range []api.FindingStep{
		{What: api.FindingStepWhatCorrected, On: s.clock.day(4), By: "Crew 2", Note: "Bag 77-04 delivered, ticket 5517. Bags are now counted at the van door."},
		{What: api.FindingStepWhatRechecked, On: s.clock.day(3), By: "Repairs office", Note: "Two tickets, four bags; the shed is empty."},
		{What: api.FindingStepWhatSignedOff, On: s.clock.day(3), By: "Owner", Note: "Accepted."},
	} {
		if i > 0 {
			s.clock.moveTo(3, 9+i, 0)
		}
		f = read(s.manager.AddFindingStepWithResponse(s.ctx, f.Id, &api.AddFindingStepParams{IdempotencyKey: once("step-%d", i)}, step))
		s.item("%s, %s, by %s: %s", words(string(f.State)), short(step.On), step.By, step.Note)
	}
	must(f.State == api.FindingStateSignedOff, "the finding is signed off")
}

// close ends the job.
func (s *story) close(j job) {
	s.ask("%s. May the job be closed now?", day(s.clock, 3))
	r := s.move(s.manager, j.id, api.RenovationStateClosed)
	must(*r.Headline == "closed" && *r.OpenFindings == 0, "the job is closed, with nothing open")
	s.answer("Yes: %s. Its moves:", *r.Headline)
	for _, m := range *r.Moves {
		s.plain("%s          %-11s  %s to %s", margin, short(m.On), words(string(m.From)), words(string(m.To)))
		if m.Note != nil {
			s.more("%s", *m.Note)
		}
	}
	b := s.showBalance(j)
	must(b.Sealed == 4 && b.Delivered == 4 && len(b.NotDelivered) == 0, "four bags were sealed and four delivered")
}

// showBalance writes where the job's containers are, and demands that none is nowhere.
func (s *story) showBalance(j job) api.WasteBalance {
	b := read(s.crew.GetRenovationBalanceWithResponse(s.ctx, j.id))
	must(b.Sealed == b.Stored+b.InTransit+b.Delivered+b.Lost, "no bag is nowhere")
	s.and("Bags: %d sealed = %d stored + %d on the way + %d delivered + %d lost. Not accounted for: %d.", b.Sealed, b.Stored, b.InTransit, b.Delivered, b.Lost, b.Unaccounted)
	return b
}
