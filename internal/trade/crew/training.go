package crew

import (
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// shortness is what a course lacks.
type shortness uint8

const (
	longEnough shortness = iota
	lacksTime
	lacksHandsOn
)

// course are the parameters of a course's length: training hours, and training hours or minutes of hands-on training.
type course struct {
	hours, handsOn, handsOnMinutes law.Handle
}

func (r Certificates) course(c Certificate) course {
	switch {
	case c.Discipline == Renovator && c.Basis == Initial:
		return course{hours: r.renovatorHours, handsOn: r.renovatorHandsOn}
	case c.Discipline == Renovator:
		return course{hours: r.refresherHours}
	case c.Discipline == SamplingTechnician && c.Basis == Initial:
		return course{hours: r.samplerHours, handsOn: r.samplerHandsOn}
	case c.Discipline == SamplingTechnician:
		return course{handsOnMinutes: r.samplerRefresherHandsOn}
	}
	return course{}
}

// short says what a course lacks of the lengths of 40 CFR 745.225. A length that is not told is taken to be enough: only an
// accredited course gives a certificate.
func (r Certificates) short(c Certificate, jurisdictions []string) shortness {
	of := r.course(c)
	if least, ok := r.least(of.hours, c, jurisdictions); ok && c.CourseMinutes > 0 && measure.Int(int64(c.CourseMinutes)).Cmp(least) < 0 {
		return lacksTime
	}
	if c.HandsOnMinutes == 0 {
		return longEnough
	}
	if least, ok := r.least(of.handsOn, c, jurisdictions); ok && measure.Int(int64(c.HandsOnMinutes)).Cmp(least) < 0 {
		return lacksHandsOn
	}
	if of.handsOnMinutes != 0 {
		if v := r.value(of.handsOnMinutes, c.IssuedOn, jurisdictions); v != nil && measure.Int(int64(c.HandsOnMinutes)).Cmp(v.Number()) < 0 {
			return lacksHandsOn
		}
	}
	return longEnough
}

// least is a length of training hours in minutes: an hour of training is less than an hour of the clock.
func (r Certificates) least(hours law.Handle, c Certificate, jurisdictions []string) (measure.Number, bool) {
	if hours == 0 {
		return measure.Number{}, false
	}
	n, hour := r.value(hours, c.IssuedOn, jurisdictions), r.value(r.hour, c.IssuedOn, jurisdictions)
	if n == nil || hour == nil {
		return measure.Number{}, false
	}
	return n.Number().Mul(hour.Number()), true
}

// belowModel reports whether a dust sampling technician's refresher was shorter than EPA's model course, which counts all the
// same.
func (r Certificates) belowModel(c Certificate, jurisdictions []string) bool {
	if c.Discipline != SamplingTechnician || c.Basis != Refresher || c.CourseMinutes == 0 {
		return false
	}
	least, ok := r.least(r.samplerRefresherHours, c, jurisdictions)
	return ok && measure.Int(int64(c.CourseMinutes)).Cmp(least) < 0
}
