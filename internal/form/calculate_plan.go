package form

import (
	"slices"
	"strconv"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/renovation"
)

// JobPlanFacts reads all that is known of a job beforehand.
func JobPlanFacts(p api.JobPlanFacts) (renovation.PlanFacts, error) {
	var faults fault.Faults
	f := renovation.PlanFacts{Start: Day(p.Start), End: DayOf(p.End), InvoiceDate: DayOf(p.FinalInvoiceOn), OwnerThere: Tri(p.Home.OwnerThere), Clearance: is(p.ClearanceInstead, true), Isolated: Tri(p.Isolated)}
	f.Kind = map[api.UnitKind]home.UnitKind{api.UnitKindCommonArea: home.CommonArea, api.UnitKindChildOccupiedFacility: home.ChildOccupiedFacility}[p.Home.Kind]
	f.Site = renovation.ContainmentFacts{Dusty: is(p.DustyWork, true), BlocksEgress: Tri(p.BlocksEgress), Rooms: workRooms(&faults, list(p.Rooms)), Runs: exteriorRuns(&faults, list(p.Exterior)),
		Impossible: impossible(&faults, list(p.Impossible))}
	if p.Occupants != nil {
		f.Occupants = planOccupants(&faults, "/occupants", *p.Occupants)
	}
	for i, w := range p.Work {
		f.Works = append(f.Works, planWork(&faults, "/work/"+strconv.Itoa(i), w, p))
	}
	checkPlaces(&faults, f)
	if !f.End.IsZero() && f.End.Before(f.Start) {
		faults.Add("/end", "contradiction", "The work ends before it begins; send an end on or after %s.", f.Start)
	}
	return f, faults.Err()
}

// planWork reads one piece of work; home and doer are the job's.
func planWork(f *fault.Faults, at string, w api.PlanWork, p api.JobPlanFacts) renovation.PlannedWork {
	work := workTold(w.Component, w.Method, w.PaintDisturbed, w.WindowReplaced, w.PaintedSurfaceDemolished)
	work.On, work.Exterior, work.LeadFree = Day(p.Start), is(w.Exterior, true), Tri(w.LeadFree)
	work.HomeCovered, work.Rented, work.Assisted = Tri(p.Home.Covered), Tri(p.Home.Rented), Tri(p.Home.Assisted)
	work.Emergency, work.Abatement, work.Shared = is(p.Emergency, true), is(p.Abatement, true), p.Home.Kind == api.UnitKindCommonArea
	if p.DoneBy != nil {
		work.DoneBy = renovation.DoneByOf(string(*p.DoneBy))
	}
	checkWork(f, at, w.Area, w.Share, work)
	work.Area, work.AreaKnown = amount(w.Area, measure.Area, measure.SquareFoot)
	work.Share, work.ShareKnown = amount(w.Share, measure.Fraction, measure.Percent)
	planned := renovation.PlannedWork{Place: w.Place, Work: work}
	planned.Tools.Temperature, _ = Quantity(f, at+"/heat_gun_temperature", w.HeatGunTemperature, measure.Temperature)
	if w.HeatGunTemperature != nil && w.Method != api.MethodHeatGun {
		f.Add(at+"/heat_gun_temperature", "contradiction", "The method is no heat gun, so it has no temperature; correct method or leave it out.")
	}
	for i, o := range list(w.OtherJobs) {
		planned.Others = append(planned.Others, otherJob(f, at+"/other_jobs/"+strconv.Itoa(i), o))
	}
	return planned
}

func planOccupants(f *fault.Faults, at string, o api.PlanOccupants) renovation.ProtectionFacts {
	p := renovation.ProtectionFacts{Occupied: Tri(o.Occupied), Protected: Tri(o.ProtectedOccupants), Restricted: is(o.RestrictedOccupant, true), Sealed: Tri(o.OpeningsSealed), SafeEntry: Tri(o.SafeEntry),
		Contained: Tri(o.Contained), OtherHazard: Tri(o.OtherHazard), CleanedDaily: Tri(o.CleanedDaily), Sleeping: Tri(o.AccessToSleepingAreas), Bathroom: Tri(o.AccessToBathroom), Kitchen: Tri(o.AccessToKitchen)}
	positive(f, at+"/one_period_hours", o.OnePeriodHours, measure.Duration)
	p.Hours, p.HoursKnown = amount(o.OnePeriodHours, measure.Duration, measure.Hour)
	return p
}

// checkPlaces refuses a place that is indoors in one part of the request and outdoors in another, or told twice.
func checkPlaces(f *fault.Faults, p renovation.PlanFacts) {
	room := func(name string) bool {
		return slices.ContainsFunc(p.Site.Rooms, func(r renovation.WorkRoom) bool { return r.Name == name })
	}
	run := func(name string) bool {
		return slices.ContainsFunc(p.Site.Runs, func(r renovation.ExteriorRun) bool { return r.Name == name })
	}
	for i, w := range p.Works {
		at := "/work/" + strconv.Itoa(i) + "/exterior"
		switch {
		case w.Work.Exterior && room(w.Place) && !run(w.Place):
			f.Add(at, "contradiction", "%q is told among the rooms; correct exterior, or tell the place under exterior.", w.Place)
		case !w.Work.Exterior && run(w.Place) && !room(w.Place):
			f.Add(at, "contradiction", "%q is told among the stretches of the exterior; correct exterior, or tell the place under rooms.", w.Place)
		}
	}
	for i, r := range p.Site.Rooms {
		if slices.ContainsFunc(p.Site.Rooms[:i], func(o renovation.WorkRoom) bool { return o.Name == r.Name }) {
			f.Add("/rooms/"+strconv.Itoa(i)+"/name", "duplicate", "Two rooms are called %q; give each a name of its own.", r.Name)
		}
	}
}
