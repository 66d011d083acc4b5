package demo

import (
	"fmt"
	"strings"
	"time"

	"sillbook/api"
)

// wipe is one dust wipe in the living room.
func wipe(j job, label, place string, surface api.Surface, length, width, mass string) api.SampleTold {
	in := func(v string) *api.Measure { return &api.Measure{Value: v, Unit: "in"} }
	told := api.SampleTold{Label: label, Place: &place, RoomId: new(j.home.rooms["Living room"]), Surface: surface, Length: in(length), Width: in(width),
		Mass: &api.Measure{Value: strings.TrimPrefix(mass, "<"), Unit: "ug"}, ReportingLimit: &api.Measure{Value: "1", Unit: "ug"}}
	if strings.HasPrefix(mass, "<") {
		told.Mass.Qualifier = new(api.Qualifier("<"))
	}
	return told
}

// lap tells one clearance: when it was cleaned, when the wipes were taken, and what the laboratory found.
func (s *story) lap(j job, number int, cleaned time.Time, samples ...api.SampleTold) api.Clearance {
	return made(s.sampler.CreateClearanceWithResponse(s.ctx, &api.CreateClearanceParams{IdempotencyKey: once("clearance-%d", number)}, api.ClearanceCreate{
		RenovationId: j.id, CleanedAt: &cleaned, SampledAt: cleaned.Add(90 * time.Minute), VisualPassed: true, Samples: samples,
		Examiner:   &api.Examiner{Name: "Sampler S-3", Discipline: api.ExaminerDisciplineRiskAssessor, Certificate: new("ZZ-A-0003"), Independent: new(api.TriYes)},
		Laboratory: &api.Laboratory{Name: "Pipkin Street Laboratory", Recognition: new("ZZ-L-0001"), Recognised: new(api.TriYes)},
		Report:     new(fmt.Sprintf("Report %d of JOB-77", number))}))
}

// firstLap fails on a window sill.
func (s *story) firstLap(j job) {
	cleaned := s.clock.at(12, 14, 30)
	s.clock.moveTo(10, 10, 0)
	c := s.lap(j, 1, cleaned,
		wipe(j, "W-1", "floor below the new window", api.SurfaceFloorBare, "12", "12", "2.6"),
		wipe(j, "W-2", "sill of the new window", api.SurfaceSill, "23 15/16", "2 7/8", "24"),
		wipe(j, "W-3", "trough of the other window", api.SurfaceTrough, "23 15/16", "3 1/2", "19"))
	s.notCleared = c.Id
	s.ask("%s. The laboratory reports the three wipes taken on %s. On the sill: 24 ug over 23 15/16 by 2 7/8 inches. Is the job clear?", day(s.clock, 10), short(*c.SampledOn))
	must(*c.Outcome == api.ClearanceOutcomeFailed && *c.Lap == 1, "the first clearance fails")
	sill := (*c.Verdicts)[1]
	must(sill.Outcome == api.SampleOutcomeFail && sill.Loading.Value == "50.2" && sill.Limit.Value == "40.0", "the sill has 50.2 ug/ft2 and fails 40")
	s.answer("No. Wipe by wipe:")
	s.verdicts(c)
	r := read(s.crew.GetRenovationWithResponse(s.ctx, j.id, &api.GetRenovationParams{}))
	must(*r.State == api.RenovationStateCleaning, "the job is sent back to cleaning")
	must(c.CleanAgain != nil && len(*c.CleanAgain) > 0, "the service says what to clean again")
	s.and("The service has sent the job back to %s. To be cleaned again:", *r.State)
	for _, place := range *c.CleanAgain {
		s.item("%s", place)
	}
}

// secondLap cleans again, and passes.
func (s *story) secondLap(j job) {
	s.clock.moveTo(9, 13, 0)
	s.move(s.crew, j.id, api.RenovationStateChecking)
	s.clock.moveTo(7, 10, 0)
	c := s.lap(j, 2, s.clock.at(9, 11, 0),
		wipe(j, "W-4", "floor below the new window", api.SurfaceFloorBare, "12", "12", "1.8"),
		wipe(j, "W-5", "sill of the new window", api.SurfaceSill, "23 15/16", "2 7/8", "5.5"),
		wipe(j, "W-6", "trough of the other window", api.SurfaceTrough, "23 15/16", "3 1/2", "12"))
	s.cleared = c.Id
	s.ask("%s. The crew has cleaned again, and new wipes were taken on %s. Is it clear now?", day(s.clock, 7), short(*c.SampledOn))
	must(*c.Outcome == api.ClearanceOutcomePassed && *c.Lap == 2, "the second lap passes")
	s.answer("Yes, on lap %d. Wipe by wipe:", *c.Lap)
	s.verdicts(c)
}

// verdicts writes a clearance wipe by wipe, aligned, and why one failed.
func (s *story) verdicts(c api.Clearance) {
	for i, v := range *c.Verdicts {
		s.plain("%s          %-4s %-28s %12s  limit %-12s %s", margin, v.Label, *c.Samples[i].Place, shown(v.Loading), shown(v.Limit), v.Outcome)
		if v.Outcome == api.SampleOutcomeFail {
			s.more("%s The limit took effect on %s and is required since %s. [%s]", v.Why, date(*v.LimitEffective), date(*v.LimitRequired), cited(*v.Citation))
		}
	}
	must(c.Faults == nil || len(*c.Faults) == 0, "nothing was wrong with the sampling")
}
