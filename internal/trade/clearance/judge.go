package clearance

import (
	"fmt"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// SampleOutcome is what a sample shows against its limit.
type SampleOutcome string

// The outcomes of a sample.
const (
	Pass         SampleOutcome = "pass"
	Fail         SampleOutcome = "fail"
	Inconclusive SampleOutcome = "inconclusive" // it cannot show a pass, and does not show a failure: sample again
	NotJudged    SampleOutcome = "not_judged"   // a blank, a surface without a level, or a sample that does not count
)

// SampleVerdict is what one sample shows, and why.
type SampleVerdict struct {
	Label   string
	Place   string
	Surface Surface
	Outcome SampleOutcome
	Why     string // a sentence

	Loading  measure.Quantity // computed, in ug/ft2; "<" when only an upper bound is known; not known for a blank
	Limit    Limit            // the level for the surface
	Compared measure.Quantity // what the loading was compared with: the level, or for a composite of n the level divided by n/2

	// WouldFailFrom is the date from which the sample could no longer pass, under a level already in effect on the date of sampling and
	// not yet required; no date if there is none. NextLimit is that level.
	WouldFailFrom calendar.Date
	NextLimit     Limit

	// Decides tells whether the laboratory's limit over this area can show a pass at all; LaboratoryLimitMet, whether
	// that limit is as low as a recognised laboratory's must be. They are different questions. Unknown without a reporting limit.
	Decides            law.Tri
	LaboratoryLimitMet law.Tri

	Fault *SampleFault // why it does not count, if it does not
}

// SampleFault is something that was wrong with the sampling. The sample is kept and does not count.
type SampleFault struct {
	Label    string
	Code     string
	Detail   string // a sentence
	Citation law.Citation
}

// Codes of sample faults.
const (
	CompositeOfOne      = "composite_of_one"
	CompositeTooMany    = "composite_of_too_many"
	CompositeMixed      = "composite_of_mixed_surfaces"
	CompositeMiscounted = "composite_parts_miscounted"
	CompositeBarred     = "composite_barred"
	SampledTooEarly     = "sampled_too_early"
)

// Judge compares one sample with its limit. The error is [Sample.Check]'s.
//
// A sample fails at or above the level and passes below it; for a composite of n wipes the level is divided by n/2 (40 CFR
// 745.227(e)(8)(vii)). A result "less than" passes if its bound is not above the level, and is otherwise inconclusive (common practice):
// half the bound is never put in its place.
func Judge(s Sample, limits Limits) (SampleVerdict, error) {
	if err := s.Check(); err != nil {
		return SampleVerdict{}, err
	}
	v := SampleVerdict{Label: s.Label, Place: s.Place, Surface: s.Surface, Outcome: NotJudged}
	if s.Surface.IsBlank() {
		v.Why = fmt.Sprintf("A %s is judged apart and passes or fails no room.", s.Surface)
		return v, nil
	}
	loading, err := measure.LoadingOf(s.mass(), s.area())
	if err != nil {
		return SampleVerdict{}, err
	}
	v.Loading = loading
	level := limits.level(s.Surface)
	if v.Fault = compositeFault(s, limits); v.Fault != nil && !v.Fault.stillFails(loading, level, s.Parts) {
		v.Why = v.Fault.Detail
		return v, nil
	}
	if !level.Known() {
		v.withoutLevel(limits.On)
		return v, nil
	}
	v.Limit, v.Compared = level.Limit, compared(level.Limit, s.Parts)
	v.laboratory(s, level.Limit, limits.LaboratoryShare)
	v.Outcome = outcome(loading, v.Compared)
	v.Why = why(v, s)
	if v.Fault != nil {
		v.Why += " " + v.Fault.Detail + " It fails all the same."
	}
	v.disagree(s)
	v.lookAhead(s, level.Coming)
	return v, nil
}

// stillFails reports whether a composite that cannot show a pass shows a failure all the same: one that the place bars, or of too
// few or too many wipes. What fails is cleaned again, whatever is wrong with the sampling.
func (f *SampleFault) stillFails(loading measure.Quantity, level Level, parts int) bool {
	return f.Code != CompositeMixed && f.Code != CompositeMiscounted && level.Known() && outcome(loading, compared(level.Limit, parts)) == Fail
}

// compared is what a sample's loading is compared with.
func compared(limit Limit, parts int) measure.Quantity {
	level := limit.Value.In(measure.MicrogramPerSquareFoot)
	if parts > 1 {
		level = level.Mul(measure.Frac(2, int64(parts)))
	}
	return measure.Of(level, measure.MicrogramPerSquareFoot)
}

func outcome(loading, compared measure.Quantity) SampleOutcome {
	c := loading.Cmp(compared)
	switch {
	case loading.Qualifier == measure.LessThan && c <= 0, c < 0 && loading.Qualifier == measure.Exactly:
		return Pass
	case loading.Qualifier == measure.LessThan:
		return Inconclusive
	}
	return Fail
}

// withoutLevel leaves an outdoor surface out of the judgement. Indoors, a date before any level shows nothing either way.
func (v *SampleVerdict) withoutLevel(on calendar.Date) {
	if v.Surface.IsOutdoor() {
		v.Why = fmt.Sprintf("No level for this surface (%s) is set by the programmes and places named; outdoors the federal clearance is visual.", v.Surface)
		return
	}
	v.Outcome = Inconclusive
	v.Why = fmt.Sprintf("No level for this surface (%s) that was required on %s is on record.", v.Surface, on)
}

// laboratory answers the two questions about the laboratory's limit.
func (v *SampleVerdict) laboratory(s Sample, level, share Limit) {
	limit, known := s.reportingLimit()
	if !known {
		return
	}
	bound := limit.In(measure.Microgram).Quo(s.area().In(measure.SquareFoot))
	v.Decides = tri(bound.Cmp(v.Compared.Number()) <= 0)
	if share.Known() {
		most := level.Value.In(measure.MicrogramPerSquareFoot).Mul(share.Value.In(measure.One))
		v.LaboratoryLimitMet = tri(bound.Cmp(most) <= 0)
	}
}

func tri(yes bool) law.Tri {
	if yes {
		return law.Yes
	}
	return law.No
}

// disagree withholds a pass where the laboratory's own loading says otherwise: one of the two rests on a wrong area or mass (common
// practice).
func (v *SampleVerdict) disagree(s Sample) {
	if v.Outcome == Pass && s.Reported.Known() && outcome(s.Reported, v.Compared) == Fail {
		v.Outcome = Inconclusive
		v.Why = fmt.Sprintf("Mass over area is %s, which would pass, and the laboratory reports %s, which would not: have the area and mass checked.",
			v.Loading.Show(), s.Reported.Show())
	}
}

// lookAhead finds the first level, in effect and not yet required, under which the sample could not pass.
func (v *SampleVerdict) lookAhead(s Sample, coming []Limit) {
	if v.Outcome != Pass {
		return
	}
	for _, limit := range coming {
		threshold := compared(limit, s.Parts)
		if o := outcome(v.Loading, threshold); o != Pass {
			v.WouldFailFrom, v.NextLimit = limit.Required, limit
			verb := "would fail"
			if o == Inconclusive {
				verb = "could not be shown to pass"
			}
			v.Why += fmt.Sprintf(" From %s it %s: the limit is then %s.", limit.Required, verb, threshold.Show())
			return
		}
	}
}

// compositeFault says why a composite does not count.
func compositeFault(s Sample, limits Limits) *SampleFault {
	if !s.IsComposite() {
		return nil
	}
	fault := func(code, format string, args ...any) *SampleFault {
		return &SampleFault{Label: s.Label, Code: code, Detail: fmt.Sprintf(format, args...), Citation: limits.Composite}
	}
	if limits.Barred != nil {
		f := fault(CompositeBarred, "Clearance here is by single wipes; a composite does not count.")
		f.Citation = *limits.Barred
		return f
	}
	parts := max(s.Parts, 1)
	for _, surface := range s.Surfaces {
		if surface != s.Surface {
			return fault(CompositeMixed, "A composite is of one kind of surface; this one mixes %s and %s, and does not count.", s.Surface, surface)
		}
	}
	switch {
	case len(s.Surfaces) > 0 && len(s.Surfaces) != parts:
		return fault(CompositeMiscounted, "The composite is said to have %d wipes and lists %d; it does not count.", parts, len(s.Surfaces))
	case parts < limits.LeastParts:
		return fault(CompositeOfOne, "A composite has at least %d wipes; this one has %d, and does not count.", limits.LeastParts, parts)
	case limits.MostParts > 0 && parts > limits.MostParts:
		return fault(CompositeTooMany, "A composite has at most %d wipes; this one has %d, and does not count.", limits.MostParts, parts)
	}
	return nil
}

// why is the sentence for a comparison. Where rounding for show would hide which side of the limit a loading is on, it says so.
func why(v SampleVerdict, s Sample) string {
	limit := v.Compared.Show()
	if s.Parts > 1 {
		limit = fmt.Sprintf("%s (%s for a single wipe, divided by half of the %d wipes)", limit, v.Limit.Value.Show(), s.Parts)
	}
	just := ""
	if c := v.Loading.Cmp(v.Compared); c != 0 && v.Loading.Number().Show() == v.Compared.Number().Show() {
		just = "just "
	}
	switch {
	case v.Outcome == Pass && v.Loading.Qualifier == measure.LessThan:
		return fmt.Sprintf("%s is not above the limit of %s, so the true value is below it.", v.Loading.Show(), limit)
	case v.Outcome == Pass:
		return fmt.Sprintf("%s is %sbelow the limit of %s.", v.Loading.Show(), just, limit)
	case v.Outcome == Inconclusive:
		return fmt.Sprintf("%s cannot be shown to be below the limit of %s: sample again with a bigger area, or a laboratory that reports less.",
			v.Loading.Show(), limit)
	case v.Loading.Cmp(v.Compared) == 0:
		return fmt.Sprintf("%s is the limit of %s, and must be below it.", v.Loading.Show(), limit)
	}
	return fmt.Sprintf("%s is %sabove the limit of %s.", v.Loading.Show(), just, limit)
}
