package clearance

import (
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// mostWeighed is the most wipes for which what would change a verdict is looked for, and apart the most wipes that are named one by one.
const (
	mostWeighed = 300
	apart       = 3
)

// Otherwise adds what could be found out, or done, that would change a verdict: cleaning again and sampling below the limit, a bigger area where
// "less than" decides nothing, a recognised laboratory, a passed inspection, the wait, what was not sampled, or somebody who may clear.
func Otherwise(d *law.Determination, f Facts, limits Limits) {
	if len(f.Samples) > mostWeighed {
		complete := false
		d.Counterfactuals, d.Complete = []law.Counterfactual{}, &complete
		return
	}
	now, err := Decide(f, limits)
	if err != nil {
		return
	}
	law.Otherwise(d, f, now.alternatives(f, limits), func(f Facts) string {
		v, err := Decide(f, limits)
		if err != nil {
			return ""
		}
		return string(v.Outcome)
	})
}

func (v Verdict) alternatives(f Facts, limits Limits) []law.Alternative[Facts] {
	list := append(v.cleanings(f), v.resamplings(f, limits)...)
	if f.Visual != law.Yes {
		list = append(list, law.Alternative[Facts]{Fact: "visual_passed", Value: "yes", Action: f.Visual == law.No, Set: func(f *Facts) { f.Visual = law.Yes }})
	}
	if f.Recognised == law.No {
		list = append(list, law.Alternative[Facts]{Fact: "laboratory_recognised", Value: "yes", Action: true, Set: func(f *Facts) { f.Recognised = law.Yes }})
	}
	if wait := limits.Wait; wait.Known() && (!f.Waited.Known() || f.Waited.Cmp(wait.Value) < 0) {
		list = append(list, law.Alternative[Facts]{Fact: "minutes_after_cleaning", Value: wait.Value.In(measure.Minute).String() + " or more", Action: f.Waited.Known(),
			Set: func(f *Facts) { f.Waited = wait.Value }})
	}
	if len(v.NotSampled) > 0 || slices.ContainsFunc(v.Missing, func(m law.Missing) bool { return strings.HasPrefix(m.Fact, "site/") }) {
		list = append(list, law.Alternative[Facts]{Fact: "site", Value: "everything sampled that it lacks, and below the limits", Action: true, Set: func(f *Facts) { f.Site = nil }})
	}
	if f.Clearer != nil {
		list = append(list, law.Alternative[Facts]{Fact: "examiner", Value: "somebody who may clear", Action: true, Set: func(f *Facts) { f.Clearer = nil }})
	}
	return list
}

// cleanings are the failed wipes, cleaned again and found below their limits: each by itself, or all together where they are many.
func (v Verdict) cleanings(f Facts) (list []law.Alternative[Facts]) {
	var failed []int
	for i, s := range v.Samples {
		if s.Outcome == Fail {
			failed = append(failed, i)
		}
	}
	if len(failed) > apart {
		return []law.Alternative[Facts]{{Fact: "samples", Value: fmt.Sprintf("the %d that failed cleaned again and below their limits", len(failed)), Action: true,
			Set: func(f *Facts) { empty(f, failed) }}}
	}
	for _, i := range failed {
		list = append(list, law.Alternative[Facts]{Fact: "samples." + f.Samples[i].Label, Action: true,
			Value: "cleaned again and below " + v.Samples[i].Compared.Show(), Set: func(f *Facts) { empty(f, []int{i}) }})
	}
	return list
}

// resamplings are the wipes that show nothing either way, taken again: from an area with which the laboratory's "less than" decides, or so that
// they count.
func (v Verdict) resamplings(f Facts, limits Limits) (list []law.Alternative[Facts]) {
	var open []int
	for i, s := range v.Samples {
		if s.Outcome == Inconclusive || s.Fault != nil {
			open = append(open, i)
		}
	}
	if len(open) > apart {
		return []law.Alternative[Facts]{{Fact: "samples", Value: fmt.Sprintf("the %d that show nothing taken again and below their limits", len(open)), Action: true,
			Set: func(f *Facts) { empty(f, open) }}}
	}
	for _, i := range open {
		s, judged := f.Samples[i], v.Samples[i]
		if limit, known := s.reportingLimit(); known && judged.Outcome == Inconclusive && judged.Compared.Known() && !s.Reported.Known() {
			area := limit.In(measure.Microgram).Quo(judged.Compared.Number())
			list = append(list, law.Alternative[Facts]{Fact: "samples." + s.Label + ".area", Action: true, Value: squareInches(area) + " in2 or more",
				Set: func(f *Facts) { widen(f, i, area) }})
			continue
		}
		again := "taken again, so that it counts and is below the limit"
		if s.Surface.IsBlank() {
			again = "every wipe taken again, with a blank that is clean"
		}
		list = append(list, law.Alternative[Facts]{Fact: "samples." + s.Label, Action: true, Value: again,
			Set: func(f *Facts) { empty(f, []int{i}) }})
	}
	return list
}

// empty makes wipes ones that count and have no lead; blanks too.
func empty(f *Facts, which []int) {
	f.Samples = slices.Clone(f.Samples)
	for _, i := range which {
		s := &f.Samples[i]
		s.Mass, s.ReportingLimit, s.Reported = measure.Of(measure.Int(0), measure.Microgram), measure.Quantity{}, measure.Quantity{}
		s.Parts, s.Surfaces = 0, nil
	}
}

// widen makes a wipe one of a bigger area.
func widen(f *Facts, i int, area measure.Number) {
	f.Samples = slices.Clone(f.Samples)
	s := &f.Samples[i]
	s.Area, s.Length, s.Width = measure.Of(area, measure.SquareFoot), measure.Quantity{}, measure.Quantity{}
}

// squareInches is an area for people, rounded up to a tenth, so that what is shown is enough.
func squareInches(feet measure.Number) string {
	tenths := ceiling(measure.Convert(feet, measure.SquareFoot, measure.SquareInch).Mul(measure.Int(10)))
	return measure.Frac(int64(tenths), 10).String()
}
