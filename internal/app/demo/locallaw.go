package demo

import (
	"time"

	"github.com/oapi-codegen/runtime/types"

	"sillbook/api"
)

// localLaw enters the town's own rules, and asks what other law would make of what has happened (chapter 5).
func (s *story) localLaw() {
	s.chapter(5, "The town's own rules, and the law of another day", s.clock.day(0))
	s.anotherDay()
	s.ordinance()
	s.startNotice()
}

// anotherDay judges the clearance that passed by the law of another day, and by an ordinance that is only proposed.
func (s *story) anotherDay() {
	s.ask("The last clearance of the job passed. Would it have passed if the town asked for floors below 1.5 ug/ft2?")
	proposed := s.millbrook("1.5")
	r := read(s.owner.RehearseClearanceWithResponse(s.ctx, s.cleared, api.RehearsalRequest{Under: api.RehearsalLaw{Overlays: &[]api.OverlayCreate{proposed}}}))
	must(*r.Before.Outcome == "passed" && *r.After.Outcome == "failed" && r.Changed, "the rehearsal fails what passed")
	s.answer("No: it %s then and would have %s. Nothing has changed on record: this was a rehearsal.", *r.Before.Outcome, *r.After.Outcome)
	s.ask("And the sill of 50.2 ug/ft2 that failed: by the law of 2025?")
	r = read(s.owner.RehearseClearanceWithResponse(s.ctx, s.notCleared, api.RehearsalRequest{Under: api.RehearsalLaw{RequiredOn: &types.Date{Time: time.Date(2025, time.June, 1, 0, 0, 0, 0, time.UTC)}}}))
	must(*r.After.Outcome == "passed", "50.2 is below 100, the level required until 11 January 2026")
	s.answer("It would have %s: until 11 January 2026 a sill had to be below 100 ug/ft2. Yesterday's job is judged by yesterday's limits, and today's by today's.", *r.After.Outcome)
}

// millbrook is the town's invented ordinance.
func (s *story) millbrook(floor string) api.OverlayCreate {
	since, clause := types.Date{Time: time.Date(2024, time.July, 1, 0, 0, 0, 0, time.UTC)}, "Millbrook Code ch. 7 (invented)"
	return api.OverlayCreate{Jurisdiction: "us-zz-millbrook", Title: "Millbrook lead ordinance",
		Values: &[]api.OverlayValue{
			{Parameter: "clearance_dust_floor", Value: floor, Unit: new("ug/ft2"), Effective: since, Citation: clause, Source: api.KnownHowText},
			{Parameter: "minor_repair_interior", Value: "9", Unit: new("ft2"), Effective: since, Citation: clause, Source: api.KnownHowText}},
		Requirements: &[]api.OverlayRequirement{{Code: "start_notice", Title: "Notice of the start", Text: "Tell the building office at least 7 days before a window is replaced.",
			Trigger: api.LocalTriggerRenovationStart, When: &[]api.OverlayClause{{Fact: "job.window_replaced", Operator: api.ClauseOperatorIs, Values: []string{"yes"}}},
			Due: &api.OverlayDue{BeforeAtLeast: &api.TimeSpan{Days: new(int32(7))}}, Effective: since, Citation: clause, Source: api.KnownHowText}}}
}

// ordinance enters the town's rules as published: one stricter than federal law, one weaker.
func (s *story) ordinance() {
	o := made(s.owner.CreateOverlayWithResponse(s.ctx, &api.CreateOverlayParams{IdempotencyKey: once("overlay")}, s.millbrook("3")))
	s.say("%s enters the ordinance as the town publishes it: floors below 3 ug/ft2, and minor repairs of up to 9 square feet.", s.homes.Landlord)
	effects := read(s.owner.GetOverlayEffectsWithResponse(s.ctx, o.Id))
	s.ask("What does it do beside federal law?")
	governs, weaker := api.OverlayEffect{}, api.OverlayEffect{}
	for _, e := range effects.Effects {
		switch e.Effect {
		case api.LocalEffectGoverns:
			governs = e
		case api.LocalEffectFederalMinimumGoverns:
			weaker = e
		}
	}
	must(governs.Parameter == "clearance_dust_floor" && weaker.Parameter == "minor_repair_interior", "the floors govern, the 9 square feet do not")
	s.answer("Floors: the town's %s ug/ft2 governs, where federal law has %s. Minor repairs: %s ft2 is weaker, so it is kept and has no effect; the federal minimum of %s governs. [%s]",
		governs.Value, *governs.Federal, weaker.Value, *weaker.Federal, cited(*weaker.Citation))
}

// startNotice asks what the town wants before work.
func (s *story) startNotice() {
	start := types.Date{Time: s.clock.day(-30).Time}
	a := read(s.crew.CalculateLocalRequirementsWithResponse(s.ctx, api.LocalEventFacts{AsOf: s.clock.day(0), Jurisdictions: []string{"us-zz-millbrook"},
		Event: api.LocalTriggerRenovationStart, On: start, Facts: &[]api.LocalFactTold{{Fact: "job.window_replaced", Value: "yes"}}}))
	s.ask("A window job is planned to start on %s. What does the town want?", date(start))
	must(len(a.Requirements) == 1 && a.Requirements[0].DueBy.Equal(start.AddDate(0, 0, -7)), "the notice is due 7 days before")
	s.answer("%s By %s. [%s]", a.Requirements[0].Text, date(a.Requirements[0].DueBy), cited(a.Requirements[0].Citation))

	facts := api.CoverageFacts{AsOf: s.clock.day(0), Kind: api.UnitKindDwelling, Bedrooms: new(int32(2)), HousingFor: new(api.HousingForGeneral),
		ChildUnderSix: new(api.TriNo), FoundLeadFree: new(api.TriNo)}
	d := read(s.crew.CalculateCoverageWithResponse(s.ctx, facts))
	s.ask("A home of unknown age: is it covered, and what would change that?")
	must(d.Outcome == "presumed_covered" && d.Counterfactuals != nil && len(*d.Counterfactuals) > 0, "a home of unknown age is presumed covered")
	s.answer("It is presumed to be. What would change that:")
	for _, c := range *d.Counterfactuals {
		s.item("%s: %s, and it is %s", words(c.Changes[0].Fact), c.Changes[0].Value, words(c.Outcome))
	}
}
