package form

import (
	"strconv"

	"sillbook/api"
	"sillbook/internal/fault"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

// Work reads the facts of the stateless question whether a job is a covered renovation.
func Work(a api.ApplicabilityFacts) (renovation.Work, []renovation.Other, error) {
	var faults fault.Faults
	w := workTold(a.Component, a.Method, a.PaintDisturbed, a.WindowReplaced, a.PaintedSurfaceDemolished)
	w.On, w.HomeCovered, w.Exterior, w.Emergency = Day(a.On), Tri(a.HomeCovered), is(a.Exterior, true), is(a.Emergency, true)
	w.LeadFree, w.Assisted, w.Rented, w.Abatement, w.OptedOut = Tri(a.LeadFree), Tri(a.Assisted), Tri(a.Rented), is(a.Abatement, true), Tri(a.OptedOut)
	if a.DoneBy != nil {
		w.DoneBy = renovation.DoneByOf(string(*a.DoneBy))
	}
	checkWork(&faults, "", a.Area, a.Share, w)
	w.Area, w.AreaKnown = amount(a.Area, measure.Area, measure.SquareFoot)
	w.Share, w.ShareKnown = amount(a.Share, measure.Fraction, measure.Percent)
	var others []renovation.Other
	for i, o := range list(a.OtherJobs) {
		others = append(others, otherJob(&faults, "/other_jobs/"+strconv.Itoa(i), o))
	}
	return w, others, faults.Err()
}

// otherJob reads another job at the same place. A method that is not told is none that changes anything.
func otherJob(f *fault.Faults, at string, o api.OtherJob) renovation.Other {
	job := renovation.Other{On: Day(o.On), Emergency: is(o.Emergency, true), NeverMinor: is(o.WindowReplaced, true) || is(o.PaintedSurfaceDemolished, true)}
	if o.Method != nil {
		job.NeverMinor = job.NeverMinor || practice.Method(*o.Method) == practice.Demolished || practice.RuleOf(practice.Method(*o.Method)).NeverMinor()
	}
	notNegative(f, at+"/area", o.Area, measure.Area)
	job.Area, job.Known = amount(o.Area, measure.Area, measure.SquareFoot)
	return job
}

// VerificationFacts reads the facts of a cleaning verification. What does not fit together, its rules say.
func VerificationFacts(v api.VerificationFacts) (renovation.VerificationFacts, error) {
	var faults fault.Faults
	f := renovation.VerificationFacts{On: Day(v.On), Outdoors: is(v.Outdoors, true), Clearance: is(v.ClearanceInstead, true), Renovator: Tri(v.ByCertifiedRenovator)}
	for i, told := range v.Items {
		at := "/items/" + strconv.Itoa(i)
		item := renovation.ToVerify{Name: told.Name, Surface: renovation.Wiped(told.Surface), Sections: whole(told.Sections)}
		positive(&faults, at+"/area", told.Area, measure.Area)
		item.Area, item.AreaKnown = amount(told.Area, measure.Area, measure.SquareFoot)
		f.Items = append(f.Items, item)
	}
	for _, e := range list(v.Events) {
		f.Events = append(f.Events, renovation.Event{At: e.At, What: renovation.What(e.What), Item: text(e.Item), Section: whole(e.Section), Passed: is(e.Passed, true),
			Cloth: renovation.Cloth(text(e.Cloth)), Face: renovation.Face(text(e.Face)), Match: renovation.Match(text(e.Result)), Dry: Tri(e.SurfaceDry)})
	}
	return f, faults.Err()
}

// whole reads an optional count; none is 0.
func whole(n *int32) int {
	if n == nil {
		return 0
	}
	return int(*n)
}

// text reads an optional word; none is empty.
func text[T ~string](told *T) string {
	if told == nil {
		return ""
	}
	return string(*told)
}

// OccupantProtectionFacts reads the facts of the question whether occupants must leave.
func OccupantProtectionFacts(p api.OccupantProtectionFacts) (renovation.ProtectionFacts, error) {
	var faults fault.Faults
	f := renovation.ProtectionFacts{On: Day(p.On), Covered: Tri(p.Covered), Assisted: Tri(p.Assisted), AboveDeMinimis: Tri(p.AboveDeMinimis), Occupied: Tri(p.Occupied),
		Indoors: Tri(p.Indoors), LeadDisturbed: Tri(p.LeadDisturbed), Sealed: Tri(p.OpeningsSealed), SafeEntry: Tri(p.SafeEntry), Days: whole(p.Days), Contained: Tri(p.Contained),
		OtherHazard: Tri(p.OtherHazard), CleanedDaily: Tri(p.CleanedDaily), Sleeping: Tri(p.AccessToSleepingAreas), Bathroom: Tri(p.AccessToBathroom), Kitchen: Tri(p.AccessToKitchen),
		Protected: Tri(p.ProtectedOccupants), Restricted: is(p.RestrictedOccupant, true)}
	positive(&faults, "/one_period_hours", p.OnePeriodHours, measure.Duration)
	f.Hours, f.HoursKnown = amount(p.OnePeriodHours, measure.Duration, measure.Hour)
	return f, faults.Err()
}

// EmergencyFacts reads the facts of the question what an emergency lifts.
func EmergencyFacts(e api.EmergencyFacts) (renovation.EmergencyFacts, error) {
	var faults fault.Faults
	f := renovation.EmergencyFacts{On: Day(e.On), Sudden: Tri(e.Sudden), Hazard: Tri(e.HazardIfNotDealtWith), Damage: Tri(e.ThreatensDamage), Restricted: is(e.RestrictedCircumstance, true)}
	seen := map[api.RuleProvision]bool{}
	for i, n := range list(e.NotFollowed) {
		if seen[n.Provision] {
			faults.Add("/not_followed/"+strconv.Itoa(i)+"/provision", "duplicate", "The provision is told twice; tell it once.")
		}
		seen[n.Provision] = true
		f.NotFollowed = append(f.NotFollowed, renovation.NotFollowed{Provision: string(n.Provision), Necessary: Tri(n.Necessary)})
	}
	return f, faults.Err()
}

// NoticeFacts reads the facts of the question when a notice may be given.
func NoticeFacts(n api.NoticeFacts) renovation.NoticeFacts {
	f := renovation.NoticeFacts{Recipient: renovation.Recipient(n.Recipient), How: renovation.How(n.How), Start: Day(n.Start), End: DayOf(n.End), Given: DayOf(n.GivenOn),
		Changed: DayOf(n.ChangedStart), Emergency: is(n.Emergency, true)}
	f.Place, f.PlaceKnown = placeOf(n.Place)
	return f
}

// placeOf reads what a unit is; a dwelling where that is not told.
func placeOf(k *api.UnitKind) (home.UnitKind, bool) {
	if k == nil {
		return home.Dwelling, false
	}
	return map[api.UnitKind]home.UnitKind{api.UnitKindCommonArea: home.CommonArea, api.UnitKindChildOccupiedFacility: home.ChildOccupiedFacility}[*k], true
}

// RecordKeepingFacts reads the facts of the question what is kept of a job.
func RecordKeepingFacts(k api.RecordKeepingFacts) renovation.RecordFacts {
	f := renovation.RecordFacts{Completed: Day(k.CompletedOn), Invoiced: DayOf(k.FinalInvoiceOn), Covered: Tri(k.Covered), Assisted: Tri(k.Assisted), Abatement: is(k.Abatement, true),
		Emergency: is(k.Emergency, true), OwnerThere: Tri(k.OwnerThere), LeadFree: renovation.LeadFreeBy(text(k.LeadFreeBy)), Mailed: Tri(k.Mailed), Attempted: Tri(k.AttemptedDelivery),
		Clearance: Tri(k.DustClearance), Workers: Tri(k.WorkersExposed), Maintenance: Tri(k.OngoingMaintenance), Ended: DayOf(k.MaintenanceEndedOn), Disclosed: DayOf(k.DisclosedOn)}
	f.Place, _ = placeOf(k.Place)
	return f
}
