package demo

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/api/client"
)

// sharing lets the agency see some of the landlord's homes, and no more (chapter 4).
func (s *story) sharing() {
	s.chapter(4, "What the agency sees, and what it does not", s.clock.day(0))
	var shared []uuid.UUID
	var names []string
	for _, p := range s.homes.Properties {
		if p.AgencyMaySee {
			shared, names = append(shared, s.book.properties[p.ID]), append(names, p.Name)
		}
	}
	made(s.owner.CreateGrantWithResponse(s.ctx, &api.CreateGrantParams{IdempotencyKey: once("grant")}, api.GrantCreate{
		Name: "Assisted homes", GranteeOrganizationId: s.agencyID, Access: api.GrantAccessRead, PropertyIds: &shared, Restricted: new(false)}))
	s.say("%s lets %s read what is recorded of %s and %s. Nothing else, and no restricted fact.", s.homes.Landlord, s.homes.Agency, names[0], names[1])
	agency := caller(s.address, s.agencyKey, &s.landlordID)
	s.onlyThose(agency, shared)
	s.notTheRestrictedFact(agency)
	s.accesses()
}

// onlyThose reads the homes that the agency sees, and tries one that it does not.
func (s *story) onlyThose(agency *client.ClientWithResponses, shared []uuid.UUID) {
	s.ask("%s: which homes may we see?", s.homes.Agency)
	seen, of := map[uuid.UUID]int{}, 0
	for cursor := (*string)(nil); ; {
		list := read(agency.ListUnitsWithResponse(s.ctx, &api.ListUnitsParams{Limit: new(int32(200)), Cursor: cursor}))
		for _, u := range list.Items {
			seen[u.PropertyId]++
			of++
		}
		if cursor = list.Next; cursor == nil {
			break
		}
	}
	must(len(seen) == len(shared), "the agency sees the homes of %d properties", len(shared))
	for _, id := range shared {
		must(seen[id] > 0, "the agency sees the homes of %s", s.book.names[id])
	}
	s.answer("%d of the landlord's %d units:", of, len(s.book.units))
	for _, id := range shared {
		s.row(seen[id], s.book.names[id])
	}
	other := s.book.unit("CC-1-1A")
	s.ask("%s: and %s of %s?", s.homes.Agency, other.name, s.book.names[other.property])
	p := refused(agency.GetUnitWithResponse(s.ctx, other.id, &api.GetUnitParams{}))
	must(p.Status == 404, "a home outside the grant is not found")
	s.answer("%d. %s A home that one may not see looks like one that does not exist.", p.Status, p.Detail)
}

// notTheRestrictedFact reads a household of which a restricted fact is told, and a job in its home.
func (s *story) notTheRestrictedFact(agency *client.ClientWithResponses) {
	home := s.book.unit("JR-B-3D")
	job := s.secondJob(home)
	s.ask("The landlord's owner, who may read restricted facts: who lives in %s?", home.name)
	stays := read(s.owner.ListOccupanciesWithResponse(s.ctx, &api.ListOccupanciesParams{UnitId: &home.id}))
	must(len(stays.Items) == 1 && stays.Items[0].PregnantResidents != nil && *stays.Items[0].PregnantResidents == 1, "the owner sees the restricted fact")
	s.answer("One household. Pregnant residents: %d. Children under six: %d. (This read is recorded.)", *stays.Items[0].PregnantResidents, *stays.Items[0].ChildrenUnderSix.Present)

	s.ask("%s: who lives in %s?", s.homes.Agency, home.name)
	result, err := agency.ListOccupanciesWithResponse(s.ctx, &api.ListOccupanciesParams{UnitId: &home.id})
	seen := read(result, err)
	must(len(seen.Items) == 1 && !bytes.Contains(result.GetBody(), []byte("pregnant")), "the agency sees the household and not the restricted fact")
	s.answer("One household. Children under six: %d. Of anything restricted, not even that there is something.", *seen.Items[0].ChildrenUnderSix.Present)

	s.ask("A bedroom door there is to be stripped, 18 ft2, beginning on %s. Crew 2: may the job be ready?", short(s.clock.day(-20)))
	p := s.refusedMove(s.crew, job, api.RenovationStateReady)
	i := slices.IndexFunc(*p.Blockers, func(b api.Blocker) bool { return b.Code == "restricted_requirement" })
	must(i >= 0, "the crew is told that a restricted requirement applies")
	s.answer("No. %d things stand in the way, among them, and in no other words:", len(*p.Blockers))
	s.blocked((*p.Blockers)[i : i+1])
	list := read(agency.ListBlockersWithResponse(s.ctx, job, &api.ListBlockersParams{To: new(api.ListBlockersParamsToReady)}))
	must(slices.ContainsFunc(list.Blockers, func(b api.Blocker) bool { return b.Detail == (*p.Blockers)[i].Detail }), "the agency is told the same words")
	s.and("The agency is told the same words. Why, and of whom, neither learns; the work is protected all the same.")
}

// secondJob drafts a job in the home of which a restricted fact is told.
func (s *story) secondJob(home *unitOf) uuid.UUID {
	return made(s.manager.CreateRenovationWithResponse(s.ctx, &api.CreateRenovationParams{IdempotencyKey: once("job-door")}, api.RenovationCreate{
		Title: "Strip the bedroom door, " + home.name, PlannedStart: new(s.clock.day(-20)), Assisted: new(api.TriNo),
		DoneBy:    &api.Doer{Relation: new(api.DoneByLandlordEmployee)},
		WorkItems: []api.WorkItem{{RoomId: new(home.rooms["Bedroom"]), Component: "door", Method: api.MethodWetScraping, Area: &api.Measure{Value: "18", Unit: "ft2"}}}})).Id
}

// accesses reads the landlord's access log.
func (s *story) accesses() {
	s.ask("The landlord's owner: who has read our records under a grant, or read a restricted fact?")
	type reading struct {
		operation, who string
		restricted     bool
	}
	counts, order := map[reading]int{}, []reading{}
	for cursor := (*string)(nil); ; {
		page := read(s.owner.ListAccessesWithResponse(s.ctx, &api.ListAccessesParams{Limit: new(int32(500)), Cursor: cursor}))
		for _, a := range page.Items {
			r := reading{operation: a.Operation, who: s.homes.Landlord, restricted: a.Restricted}
			if a.Actor.OrganizationId != nil && *a.Actor.OrganizationId == s.agencyID {
				r.who = s.homes.Agency
				must(a.Actor.GrantId != nil && !a.Restricted, "the agency's reads name the grant, and none shows a restricted fact")
			}
			if counts[r]++; counts[r] == 1 {
				order = append(order, r)
			}
		}
		if cursor = page.Next; cursor == nil {
			break
		}
	}
	must(slices.ContainsFunc(order, func(r reading) bool { return r.who == s.homes.Agency && r.operation == "ListOccupancies" }), "the agency's reads are in the log")
	must(slices.ContainsFunc(order, func(r reading) bool { return r.who == s.homes.Landlord && r.restricted }), "the owner's read of a restricted fact is in the log")
	s.answer("Every one of these reads, with its time and key:")
	for _, r := range order {
		what := "no restricted fact"
		if r.restricted {
			what = "restricted facts"
		}
		s.row(counts[r], fmt.Sprintf("%-26s %-16s %s", r.who, r.operation, what))
	}
}
