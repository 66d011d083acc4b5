package form

import (
	"strconv"

	"sillbook/api"
	"sillbook/internal/fault"
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
