package clearance

import (
	"fmt"

	"sillbook/internal/fault"
	"sillbook/internal/trade/measure"
)

// Sample is one dust wipe, or one composite of several, as taken and as the laboratory reports it.
type Sample struct {
	Label      string   // on the chain of custody; unique in a clearance
	Place      string   // the room or place, in words or by its ID
	Represents []string // other places that it stands for
	Surface    Surface
	Outside    bool // taken outside the containment

	Area          measure.Quantity // the area wiped, of all parts together; or else
	Length, Width measure.Quantity // the sides of the template

	Mass           measure.Quantity // lead on the wipe; "<" when the laboratory found less than it can report
	ReportingLimit measure.Quantity // the least mass that the laboratory reports, if told
	Reported       measure.Quantity // the loading as the laboratory worked it out, if told

	Parts    int       // wipes in the sample; 0 and 1 are a single wipe
	Surfaces []Surface // of a composite, the surface of each part if told
}

// IsComposite reports whether the sample is more than one wipe, or is said to be.
func (s Sample) IsComposite() bool { return s.Parts > 1 || len(s.Surfaces) > 0 }

// Check is an Implausible fault with everything about the sample that cannot be. What can be and should not (a composite of
// six) is no matter for it: it was taken, is recorded, and does not count.
func (s Sample) Check() error {
	var f fault.Faults
	if !s.Surface.Known() {
		f.Add("/surface", "unknown_surface", "%q is not a surface of a wipe.", string(s.Surface))
	}
	if s.Parts < 0 {
		f.Add("/parts", "negative", "The number of wipes cannot be negative.")
	}
	s.checkArea(&f)
	s.checkLaboratory(&f)
	return f.Err()
}

func (s Sample) checkArea(f *fault.Faults) {
	sides := s.Length.Known() || s.Width.Known()
	switch {
	case s.Surface.IsBlank() && !s.Area.Known() && !sides:
	case s.Area.Known() && sides:
		f.Add("/area", "area_told_twice", "Give the area, or the length and width, not both.")
	case s.Area.Known():
		exact(f, "/area", s.Area)
	case !sides:
		f.Add("/area", "area_missing", "Give the area wiped, or its length and width: without it there is no loading to compare.")
	default:
		s.checkSide(f, "/length", s.Length)
		s.checkSide(f, "/width", s.Width)
	}
}

func (s Sample) checkSide(f *fault.Faults, pointer string, side measure.Quantity) {
	if !side.Known() {
		f.Add(pointer, "side_missing", "Length and width go together; one of them is missing.")
		return
	}
	exact(f, pointer, side)
}

func (s Sample) checkLaboratory(f *fault.Faults) {
	switch {
	case !s.Mass.Known():
		f.Add("/mass", "mass_missing", "Give the mass of lead on the wipe as the laboratory reports it.")
	case s.Mass.Qualifier == measure.LessThan:
		f.Merge("/mass", s.Mass.Positive()) // nothing is less than none
	default:
		f.Merge("/mass", s.Mass.NonNegative())
	}
	if s.ReportingLimit.Known() {
		exact(f, "/reporting_limit", s.ReportingLimit)
	}
	if s.Reported.Known() {
		f.Merge("/reported", s.Reported.NonNegative())
	}
}

// exact asks for more than zero, and no "less than".
func exact(f *fault.Faults, pointer string, q measure.Quantity) {
	f.Merge(pointer, q.Positive())
	if q.Qualifier != measure.Exactly {
		f.Add(pointer+"/qualifier", "qualifier_not_read", "Only a laboratory's results are qualified; leave it out.")
	}
}

// area is the area wiped, exactly.
func (s Sample) area() measure.Quantity {
	if s.Area.Known() {
		return s.Area
	}
	return measure.Of(s.Length.In(measure.Foot).Mul(s.Width.In(measure.Foot)), measure.SquareFoot)
}

// mass is what the laboratory's result shows. Below the reporting limit it shows only that there is less than that limit,
// whether or not the laboratory wrote "<".
func (s Sample) mass() measure.Quantity {
	if s.ReportingLimit.Known() && s.Mass.Cmp(s.ReportingLimit) < 0 {
		bound := s.ReportingLimit
		bound.Qualifier = measure.LessThan
		return bound
	}
	return s.Mass
}

// reportingLimit is the mass at and above which the laboratory reports: as told, or as a "less than" result shows.
func (s Sample) reportingLimit() (measure.Quantity, bool) {
	if mass := s.mass(); mass.Qualifier == measure.LessThan {
		return mass, true
	}
	return s.ReportingLimit, s.ReportingLimit.Known()
}

// names says which sample, where, for a sentence.
func (s Sample) names() string {
	if s.Place == "" {
		return fmt.Sprintf("sample %s (%s)", s.Label, s.Surface)
	}
	return fmt.Sprintf("sample %s (%s, %s)", s.Label, s.Place, s.Surface)
}
