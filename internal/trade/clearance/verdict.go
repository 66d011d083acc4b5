package clearance

import (
	"fmt"
	"slices"
	"strings"

	"sillbook/internal/fault"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

// Outcome is what a clearance shows for its worksite.
type Outcome string

// The outcomes.
const (
	Passed   Outcome = "passed"
	Failed   Outcome = "failed"
	NotShown Outcome = "inconclusive" // neither: something is missing, or does not count
)

// Facts are what is known of one clearance: one visual inspection and the wipes of one visit.
type Facts struct {
	Visual      law.Tri          // whether the visual inspection passed
	Waited      measure.Quantity // time from the end of the final cleaning to the sampling, negative if it went on after; may be not known
	OutdoorOnly bool             // all work was outdoors: clearance is visual, without wipes (40 CFR 745.227(e)(8)(v)(C))
	Recognised  law.Tri          // whether the laboratory is a recognised one (TSCA 405(b)); the wipes of one that is not show no pass
	Samples     []Sample

	Site    *Site           // the place that was to be sampled; nil: not told
	Clearer *AuthorityFacts // whoever examined and sampled; nil: not told
}

// Verdict is what a clearance shows for its worksite, and why.
type Verdict struct {
	Outcome    Outcome
	Samples    []SampleVerdict // in the order told
	CleanAgain []Place         // what failed and all it stands for; it is cleaned again and sampled again
	Resample   []Place         // what was not shown to pass and did not fail; it is sampled again
	Faults     []SampleFault   // what was wrong with the sampling
	Reasons    []law.Reason    // at least one
	Missing    []law.Missing
	NotSampled []string      // what the sampling lacks, as far as the place was told
	Untold     []law.Missing // facts that were not told and do not stand in the way of a pass

	blocked bool // something else than samples stands in the way of a pass
}

// Place is a surface somewhere, and the other places that its sample stands for.
type Place struct {
	Label      string // of the sample; empty for the whole worksite
	Place      string
	Surface    Surface
	Represents []string
}

// String says the place for people: "window sill, Kitchen (sample S-1), and all it stands for: Hall".
func (p Place) String() string {
	if p.Label == "" {
		return "the whole work area"
	}
	text := p.Surface.String()
	if p.Place != "" {
		text += ", " + p.Place
	}
	text += " (sample " + p.Label + ")"
	if len(p.Represents) > 0 {
		text += ", and all it stands for: " + strings.Join(p.Represents, ", ")
	}
	return text
}

// visual is the clause for the visual inspection, and Recognition the one for the laboratory.
var (
	visual      = law.Cite("40 CFR 745.227(e)(8)(i)", law.Text)
	Recognition = law.Cite("40 CFR 745.227(f); TSCA 405(b)", law.Text)

	levelsOfClearance = law.Cite("40 CFR 745.227(e)(8)(viii)", law.Text)
)

// Decide judges a worksite. It fails if the visual inspection or any sample fails; it passes if the visual inspection passed, there
// is a sample that counts and every sample passes (outdoors alone, the visual inspection is enough); otherwise nothing is shown,
// and nothing passes by the results of a laboratory that is not recognised.
// Each sample is judged by itself, never the mean (24 CFR 35.1340(d); the mean would be no stricter). The error names what cannot be,
// at "/samples/0/area/value" and the like.
func Decide(f Facts, limits Limits) (Verdict, error) {
	if err := f.check(limits); err != nil {
		return Verdict{}, err
	}
	var v Verdict
	counted := 0
	for _, s := range f.Samples {
		judged, err := Judge(s, limits)
		if err != nil {
			return Verdict{}, err
		}
		f.early(&judged, limits.Wait)
		v.take(s, judged, f.Recognised, &counted)
	}
	v.inspect(f.Visual)
	v.recognise(f.Recognised, counted)
	v.checkBlanks(f, limits)
	v.enough(f, limits)
	v.clearedBy(f, limits)
	v.lack(f, limits, counted)
	v.conclude(counted)
	return v, nil
}

func (f Facts) check(limits Limits) error {
	var faults fault.Faults
	if limits.On.IsZero() {
		faults.Add("/sampled_on", "date_missing", "Give the local date of sampling: the limits depend on it.")
	}
	for i, s := range f.Samples {
		faults.Merge(fmt.Sprintf("/samples/%d", i), s.Check())
	}
	faults.Merge("/samples", CheckLabels(f.Samples))
	if f.Site != nil {
		faults.Merge("/site", f.Site.plan(limits).check())
		if f.OutdoorOnly && f.Site.Extent != Outdoors {
			faults.Add("/site/extent", "contradiction", "All the work is said to be outdoors, and the place sampled is not; correct one of the two.")
		}
	}
	return faults.Err()
}

// CheckLabels refuses a label that was told before, at "/1/label" and the like: it would leave open which wipe a result is of.
func CheckLabels(samples []Sample) error {
	var faults fault.Faults
	seen := make(map[string]bool, len(samples))
	for i, s := range samples {
		if seen[s.Label] {
			faults.Add(fmt.Sprintf("/%d/label", i), "label_told_twice", "Another sample has the label %q.", s.Label)
		}
		seen[s.Label] = true
	}
	return faults.Err()
}

// early marks a sample that was taken before the dust had settled. It does not count, whatever it shows.
func (f Facts) early(v *SampleVerdict, wait Limit) {
	if v.Surface.IsBlank() || v.Fault != nil || !f.Waited.Known() || !wait.Known() || f.Waited.Cmp(wait.Value) >= 0 {
		return
	}
	taken := f.Waited.In(measure.Minute).String() + " min after the final cleaning"
	if f.Waited.Number().Sign() < 0 {
		taken = "before the final cleaning had ended"
	}
	v.Fault = &SampleFault{Label: v.Label, Code: SampledTooEarly, Citation: wait.Citation,
		Detail: fmt.Sprintf("It was taken %s, sooner than %s min after it, and does not count.", taken, wait.Value.In(measure.Minute))}
	if v.Outcome == Fail && f.Waited.Number().Sign() >= 0 { // what was wiped before the cleaning had ended says nothing of what it left
		v.Why += " " + v.Fault.Detail + " It fails all the same."
		return
	}
	v.Outcome, v.Why = NotJudged, v.Fault.Detail
	v.WouldFailFrom, v.NextLimit = 0, Limit{}
}

func (v *Verdict) take(s Sample, judged SampleVerdict, recognised law.Tri, counted *int) {
	v.Samples = append(v.Samples, judged)
	place := Place{Label: s.Label, Place: s.Place, Surface: s.Surface, Represents: s.Represents}
	switch {
	case judged.Fault != nil && judged.Outcome != Fail:
		v.Faults = append(v.Faults, *judged.Fault)
		v.Resample = append(v.Resample, place)
		v.because("sample_does_not_count", s, judged, judged.Fault.Citation)
	case judged.Outcome == Fail:
		if judged.Fault != nil {
			v.Faults = append(v.Faults, *judged.Fault)
		}
		v.CleanAgain = append(v.CleanAgain, place)
		v.because("sample_at_or_above_the_limit", s, judged, judged.Limit.Citation)
		*counted++
	case judged.Outcome == Inconclusive:
		v.Resample = append(v.Resample, place)
		cite := judged.Limit.Citation
		if !judged.Limit.Known() {
			cite = levelsOfClearance
		}
		v.because("sample_inconclusive", s, judged, cite)
		*counted++
	case judged.Outcome == Pass:
		*counted++
		if recognised == law.No {
			v.Resample = append(v.Resample, place)
		}
	}
}

func (v *Verdict) because(rule string, s Sample, judged SampleVerdict, citation law.Citation) {
	name := s.names()
	v.Reasons = append(v.Reasons, law.Reason{Rule: rule, Text: strings.ToUpper(name[:1]) + name[1:] + ": " + judged.Why,
		Fact: "samples." + s.Label, Value: judged.Loading.Show(), Citation: citation})
}

func (v *Verdict) inspect(passed law.Tri) {
	switch passed {
	case law.No:
		v.CleanAgain = append([]Place{{}}, v.CleanAgain...)
		v.Reasons = append(v.Reasons, law.Reason{Rule: "visual_failed", Fact: "visual_passed", Value: "no", Citation: visual,
			Text: "The visual inspection found deteriorated paint, dust or debris: put it right, clean the work area again, and inspect again before sampling."})
	case law.Unknown:
		v.Missing = append(v.Missing, law.Missing{Fact: "visual_passed", Why: "The result of the visual inspection is not known.",
			WouldChange: "Without a passed visual inspection there is no clearance."})
	}
}

// recognise says that a laboratory's results show no pass. What fails there is cleaned again all the same: the protective answer.
func (v *Verdict) recognise(recognised law.Tri, counted int) {
	if recognised == law.No && counted > 0 {
		v.Reasons = append(v.Reasons, law.Reason{Rule: "laboratory_not_recognised", Fact: "laboratory_recognised", Value: "no", Citation: Recognition,
			Text: "The laboratory is not a recognised one, so its results cannot show that the work area passes: sample again, and have a recognised laboratory measure."})
	}
}

// lack names what is missing for a pass.
func (v *Verdict) lack(f Facts, limits Limits, counted int) {
	if counted == 0 && !f.OutdoorOnly && (f.Site == nil || f.Site.Extent != Outdoors) {
		v.Missing = append(v.Missing, law.Missing{Fact: "samples", Why: "No dust wipe counts.",
			WouldChange: "Indoors a clearance needs dust wipes; with none it cannot pass."})
	}
	judged := slices.ContainsFunc(f.Samples, func(s Sample) bool { return !s.Surface.IsBlank() })
	if judged && !f.Waited.Known() && limits.Wait.Known() {
		v.Missing = append(v.Missing, law.Missing{Fact: "cleaned_at", Why: "When the final cleaning ended is not known.",
			WouldChange: fmt.Sprintf("Wipes taken sooner than %s after it do not count.", limits.Wait.Value.Show())})
	}
}

func (v *Verdict) conclude(counted int) {
	switch {
	case len(v.CleanAgain) > 0:
		v.Outcome = Failed
	case len(v.Missing) > 0 || len(v.Resample) > 0 || v.blocked:
		v.Outcome = NotShown
	default:
		v.Outcome = Passed
		v.Reasons = append(v.Reasons, law.Reason{Rule: "cleared", Fact: "samples", Value: fmt.Sprint(counted), Citation: law.Cite("40 CFR 745.227(e)(8)", law.Text),
			Text: fmt.Sprintf("The visual inspection passed, and every one of %d dust wipes that count is below its limit.", counted)})
	}
	if len(v.Reasons) == 0 {
		cite := visual
		if strings.HasPrefix(v.Missing[0].Fact, "site/") {
			cite = samplePlaces
		}
		v.Reasons = append(v.Reasons, law.Reason{Rule: "facts_missing", Text: v.Missing[0].Why, Fact: v.Missing[0].Fact, Citation: cite})
	}
}

// Determination is the verdict in the form in which it is kept: with the facts and the law it rests on.
func (v Verdict) Determination(f Facts, limits Limits, ruleSet string) law.Determination {
	d := law.NewDetermination("clearance", limits.On, ruleSet)
	d.Outcome = string(v.Outcome)
	d.Reasons = append(d.Reasons, v.Reasons...)
	d.Missing = append(append(d.Missing, v.Missing...), v.Untold...)
	d.Use("sampled_on", limits.On.String())
	if len(limits.Programmes) > 0 {
		d.Use("programme", strings.Join(limits.Programmes, ", "))
	}
	if len(limits.Jurisdictions) > 0 {
		d.Use("jurisdictions", strings.Join(limits.Jurisdictions, ", "))
	}
	if f.Visual != law.Unknown {
		d.Use("visual_passed", f.Visual.String())
	}
	if f.Waited.Known() {
		d.Use("cleaned_at", f.Waited.In(measure.Minute).String()+" min before sampling")
	}
	if f.OutdoorOnly {
		d.Use("outdoor_only", "yes")
	}
	if f.Recognised != law.Unknown {
		d.Use("laboratory_recognised", f.Recognised.String())
	}
	if f.Site != nil {
		d.Use("site", fmt.Sprintf("%s, %d rooms", f.Site.Extent, len(f.Site.Rooms)))
	}
	if f.Clearer != nil && f.Clearer.Discipline != "" {
		d.Use("examiner.discipline", f.Clearer.Discipline)
	}
	for _, s := range v.Samples {
		if s.Loading.Known() {
			d.Use("samples."+s.Label, fmt.Sprintf("%s, %s", s.Loading.Show(), s.Outcome))
		}
	}
	return d
}
