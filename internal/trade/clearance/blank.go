package clearance

import (
	"fmt"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// BlankSuspect is the code of a blank with more lead than a blank may have, or one that cannot be shown to have no more.
const BlankSuspect = "blank_suspect"

// blankLimit is the most lead that a blank may have; a spike has lead on purpose.
func (l *Limits) blankLimit(s Surface) Limit {
	switch s {
	case FieldBlank:
		return l.FieldBlank
	case MediaBlank:
		return l.MediaBlank
	}
	return Limit{}
}

// checkBlanks makes the wipes of a visit suspect where a blank that went with them has too much lead: what passed, or was not shown either
// way, is sampled again. What failed is cleaned again all the same: the protective answer.
func (v *Verdict) checkBlanks(f Facts, limits Limits) {
	field, wipes, suspect := false, false, false
	for i, s := range f.Samples {
		wipes = wipes || !s.Surface.IsBlank()
		field = field || s.Surface == FieldBlank
		most := limits.blankLimit(s.Surface)
		if mass := s.mass(); most.Known() && mass.Cmp(most.Value) > 0 {
			v.suspect(i, s, mass, most)
			suspect = true
		}
	}
	if suspect {
		v.resampleAll(f)
	}
	if wipes && !field && limits.FieldBlank.Known() {
		v.Untold = append(v.Untold, law.Missing{Fact: "samples", Why: "No field blank is among the wipes.",
			WouldChange: fmt.Sprintf("With more than %s on one, the wipes would be suspect.", limits.FieldBlank.Value.Show())})
	}
}

func (v *Verdict) suspect(i int, s Sample, mass measure.Quantity, most Limit) {
	detail := fmt.Sprintf("The %s has %s of lead, more than %s: the wipes of its batch are suspect.", s.Surface, mass.Show(), most.Value.Show())
	if mass.Qualifier == measure.LessThan {
		detail = fmt.Sprintf("The %s shows only %s of lead and cannot be shown to have no more than %s: the wipes of its batch are suspect.", s.Surface, mass.Show(), most.Value.Show())
	}
	fault := SampleFault{Label: s.Label, Code: BlankSuspect, Detail: detail, Citation: most.Citation}
	v.Samples[i].Fault, v.Samples[i].Why = &fault, detail
	v.Faults = append(v.Faults, fault)
	v.Reasons = append(v.Reasons, law.Reason{Rule: "blank_suspect", Text: detail, Fact: "samples." + s.Label, Value: mass.Show(), Citation: most.Citation})
	v.blocked = true
}

// resampleAll sends every wipe that has not failed, and is not to be sampled again already, to be sampled again.
func (v *Verdict) resampleAll(f Facts) {
	again := map[string]bool{}
	for _, p := range v.Resample {
		again[p.Label] = true
	}
	for i, s := range f.Samples {
		if v.Samples[i].Outcome == Pass && !again[s.Label] {
			v.Resample = append(v.Resample, Place{Label: s.Label, Place: s.Place, Surface: s.Surface, Represents: s.Represents})
		}
	}
}
