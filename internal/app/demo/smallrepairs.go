package demo

import (
	"fmt"
	"slices"

	"sillbook/api"
)

// smallRepairs tells a month of small repairs, one of which is not small (chapter 2). The first of two jobs in one
// kitchen is told three weeks before the others, on the day it was done.
func (s *story) smallRepairs() {
	kitchen := s.book.unit(s.repairs.Kitchen.Unit)
	room := kitchen.rooms[s.repairs.Kitchen.Room]
	s.clock.moveTo(49, 16, 0)
	first := made(s.crew.CreateSmallRepairWithResponse(s.ctx, &api.CreateSmallRepairParams{IdempotencyKey: once("repair-first")},
		s.repair(s.repairs.First, placed{id: room}, 49, "WO-0998")))
	must(*first.Outcome == api.RepairOutcomeMinor, "4 ft2 in a room is minor")
	s.firstRepair = first.Id

	s.clock.moveTo(28, 9, 0)
	s.chapter(2, "Two hundred small repairs in one request", s.clock.day(28))
	s.ask("Three weeks earlier, on %s: a painter has scraped %s ft2 of wall in the kitchen of %s. What is that?", short(first.DoneOn), first.Area.Value, kitchen.name)
	s.answer("Minor. %s of %s may still be disturbed in that kitchen before a job there stops being minor; the running total falls again on %s.", shown(&first.Total.Left), shown(&first.Total.Limit), short(*first.Total.Until))

	batch := s.month(placed{id: room, unit: kitchen.external, name: s.repairs.Kitchen.Room})
	result := read(s.manager.CreateSmallRepairsWithResponse(s.ctx, &api.CreateSmallRepairsParams{IdempotencyKey: once("repairs-month")}, batch))
	s.ask("Here are the %d small repairs of the last %d days, in one request. Was any of them not small?", len(batch.Items), s.repairs.Days)
	must(int(result.Created) == s.repairs.Count && result.Refused == 0, "all %d are recorded", s.repairs.Count)
	must(result.CoveredRenovations == 1, "one of them is not small")
	s.answer("%d recorded, %d refused. What they are:", result.Created, result.Refused)
	counts := map[api.RepairOutcome]int{}
	for _, item := range result.Items {
		counts[*item.Record.Outcome]++
	}
	for _, outcome := range []api.RepairOutcome{api.RepairOutcomeMinor, api.RepairOutcomeNoPaintDisturbed, api.RepairOutcomeNotCovered, api.RepairOutcomeCoveredRenovation} {
		s.row(counts[outcome], outcomeWords[outcome])
	}
	s.sentAgain(batch)
	s.notSmall(result, batch)
	s.bothSaySo(result)
	s.allowance(kitchen)
}

// outcomeWords say what a repair turned out to be.
var outcomeWords = map[api.RepairOutcome]string{
	api.RepairOutcomeMinor:             "minor repair and maintenance",
	api.RepairOutcomeNoPaintDisturbed:  "no paint disturbed",
	api.RepairOutcomeNotCovered:        "in a home that is not covered",
	api.RepairOutcomeCoveredRenovation: "a covered renovation",
}

// repair is one small repair, so many days before today.
func (s *story) repair(w work, room placed, before int, order string) api.SmallRepairCreate {
	return api.SmallRepairCreate{RoomId: &room.id, Component: w.Component, Method: w.Method, Area: &api.Measure{Value: w.Area, Unit: w.Unit},
		DoneOn: s.clock.day(before), DoneBy: new(api.DoneByLandlordEmployee), Assisted: new(api.TriNo), ExternalIds: &[]api.ExternalID{{System: "work orders", Value: order}}}
}

// month is the batch: one kind of repair after another, in one room after another, and among them the second job in the
// kitchen.
func (s *story) month(kitchen placed) api.SmallRepairBatch {
	batch := api.SmallRepairBatch{Mode: api.BatchModePartial}
	rooms := slices.DeleteFunc(slices.Clone(s.book.rooms), func(r placed) bool { return r.id == kitchen.id })
	step := len(rooms) / s.repairs.Count // so that no room comes twice, and every property comes
	for i := range s.repairs.Count {
		order := fmt.Sprintf("WO-%d", 1001+i)
		if i == s.repairs.Count/2 {
			batch.Items = append(batch.Items, s.repair(s.repairs.Second, kitchen, 28, order))
			continue
		}
		batch.Items = append(batch.Items, s.repair(s.repairs.Kinds[i%len(s.repairs.Kinds)], rooms[i*step], 28+i*s.repairs.Days/s.repairs.Count, order))
	}
	return batch
}

// sentAgain sends the same two hundred once more, as another request.
func (s *story) sentAgain(batch api.SmallRepairBatch) {
	s.ask("The rent system sends the same %d once more, by mistake.", len(batch.Items))
	again := read(s.manager.CreateSmallRepairsWithResponse(s.ctx, &api.CreateSmallRepairsParams{}, batch))
	must(again.Created == 0 && int(again.Unchanged) == len(batch.Items), "nothing is recorded twice")
	s.answer("%d recorded, %d on record already, by their work order numbers.", again.Created, again.Unchanged)
}

// notSmall is the one of the two hundred that is not small, and why.
func (s *story) notSmall(result api.SmallRepairBatchResult, batch api.SmallRepairBatch) {
	i := slices.IndexFunc(result.Items, func(item api.SmallRepairItem) bool {
		return *item.Record.Outcome == api.RepairOutcomeCoveredRenovation
	})
	must(i == s.repairs.Count/2, "the one that is not small is the second job in the kitchen")
	repair := result.Items[i].Record
	s.ask("Which one is a covered renovation, and why?")
	s.answer("%s: %s of %s in the same kitchen, on %s.", (*batch.Items[i].ExternalIds)[0].Value, repair.Area.Value+" "+repair.Area.Unit, repair.Component, short(repair.DoneOn))
	s.because(*repair.Determination)
	must(repair.MustHappenFirst != nil && len(*repair.MustHappenFirst) > 0, "it says what must happen first")
	s.and("The answer also lists the %d things that the law asks for before and during such work; chapter 3 shows them.", len(*repair.MustHappenFirst))
}

// bothSaySo reads the first job again, and the findings.
func (s *story) bothSaySo(result api.SmallRepairBatchResult) {
	first := read(s.owner.GetSmallRepairWithResponse(s.ctx, s.firstRepair, &api.GetSmallRepairParams{}))
	must(*first.Outcome == api.RepairOutcomeCoveredRenovation, "the first job is now part of a covered renovation too")
	s.ask("And the 4 ft2 of three weeks earlier, which were minor?")
	together := slices.IndexFunc(first.Determination.Reasons, func(r api.Reason) bool { return r.Rule == "over_minor_repair_together" })
	must(together >= 0, "the first job says that it is one with the second")
	s.answer("Now they are a covered renovation too. %s", first.Determination.Reasons[together].Text)
	s.ask("What was not done for them?")
	second := result.Items[s.repairs.Count/2].Record
	var findings []api.Finding
	for _, repair := range []api.SmallRepair{first, *second} {
		must(repair.FindingIds != nil && len(*repair.FindingIds) == 1, "a finding is open on both")
		f := read(s.owner.GetFindingWithResponse(s.ctx, (*repair.FindingIds)[0], &api.GetFindingParams{}))
		must(f.State == api.FindingStateOpen && f.SubjectId == repair.Id, "the finding is open, and about the repair")
		findings = append(findings, f)
	}
	must(findings[0].Detail == findings[1].Detail, "the same was not done for both")
	s.answer("A finding is open on each of the two, the job of %s and that of %s: %s", short(first.DoneOn), short(second.DoneOn), findings[1].Detail)
}

// allowance asks what may still be done in the kitchen, and in the room beside it.
func (s *story) allowance(home *unitOf) {
	s.ask("How much paint may still be disturbed in that kitchen before a job there is no longer minor?")
	total := read(s.manager.GetRoomAllowanceWithResponse(s.ctx, home.rooms[s.repairs.Kitchen.Room], &api.GetRoomAllowanceParams{}))
	must(total.Left.Value == "0" && total.Until != nil, "nothing is left in the kitchen")
	later := read(s.manager.GetRoomAllowanceWithResponse(s.ctx, home.rooms[s.repairs.Kitchen.Room], &api.GetRoomAllowanceParams{On: total.Until}))
	must(later.Left.Value == "3.00", "3 ft2 are left when the first job is 30 days old")
	s.answer("Nothing: %s were disturbed within 30 days, and the limit is %s. From %s it is %s again.", shown(&total.Total), shown(&total.Limit), date(*total.Until), shown(&later.Left))
	other := read(s.manager.GetRoomAllowanceWithResponse(s.ctx, home.rooms["Living room"], &api.GetRoomAllowanceParams{}))
	s.and("In the living room beside it %s of %s is left: each room counts for itself [%s].", shown(&other.Left), shown(&other.Limit), cited(*other.Citation))
}
