package practice_test

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
)

func exposures(t require.TestingT) practice.Exposures {
	book, err := law.Embedded()
	require.NoError(t, err)
	e, err := practice.NewExposures(book)
	require.NoError(t, err)
	return e
}

func quantity(n measure.Number, u measure.Unit) measure.Quantity { return measure.Of(n, u) }

func assess(t require.TestingT, e practice.Exposures, f practice.ExposureFacts) practice.ExposureAnswer {
	a, err := e.Assess(f)
	require.NoError(t, err)
	return a
}

func TestABloodLevelIsRepeatedNowhere(t *testing.T) {
	t.Parallel()
	level, err := measure.New("57.193", measure.Exactly, "ug/dL", measure.Concentration)
	require.NoError(t, err)
	a := assess(t, exposures(t), practice.ExposureFacts{AsOf: spring, Spells: []practice.Spell{{Task: practice.ManualScraping, Hours: quantity(measure.Int(8), measure.Hour)}},
		Medical: practice.MedicalFacts{Days: practice.DaysUnknown, Tests: []practice.BloodTest{{On: spring, Level: level}}}})
	require.True(t, a.Medical.Confidential)
	text, err := json.Marshal(a)
	require.NoError(t, err)
	require.NotContains(t, string(text), "57.1")
	for _, c := range a.Determining.Counterfactuals {
		for _, change := range c.Changes {
			require.NotContains(t, change.Fact, "medical")
		}
	}
}

func TestEveryMethodIsATaskAndTheGuardedMachineCollectsItsDust(t *testing.T) {
	t.Parallel()
	e := exposures(t)
	for method, class := range map[practice.Method]string{practice.WetScraping: "above_limit", practice.DryScraping: "above_limit", practice.HeatGun: "above_limit",
		practice.MachineWithShroud: "above_limit", practice.MachineWithoutShroud: "high", practice.OpenFlame: "highest", practice.AbrasiveBlastingHEPA: "highest", practice.Unknown: "highest"} {
		a := assess(t, e, practice.ExposureFacts{AsOf: spring, Spells: []practice.Spell{{Method: method, Hours: quantity(measure.Int(1), measure.Hour)}}})
		require.Equal(t, class, a.Presumed.Class, method)
	}
	for _, m := range practice.Methods() {
		require.Equal(t, m == practice.Unknown, practice.TaskOf(m) == practice.TaskUnknown, m)
	}
}

var (
	outcomes = []string{"below_action_level", "action_level", "respirator_worn", "respirator_needed"}
	tasks    = []practice.Task{practice.ManualDemolition, practice.ManualScraping, practice.ManualSanding, practice.HeatGunWork, practice.PowerToolCleaning,
		practice.SprayPainting, practice.LeadMortar, practice.LeadBurning, practice.RivetBusting, practice.AbrasiveCleanup, practice.EnclosureMoving,
		practice.Blasting, practice.Welding, practice.Cutting, practice.TorchBurning, practice.OtherTask, practice.TaskUnknown}
	worn = []practice.Respirator{practice.NoRespirator, practice.HalfMask, practice.FullFacepiece, practice.PoweredLoose, practice.PoweredFullFacepiece, practice.SelfContained}
)

// strength orders answers by how much they ask for.
type strength struct {
	outcome, factor, rarest int
	owed                    []string
}

func strengthOf(a practice.ExposureAnswer) strength {
	s := strength{outcome: slices.Index(outcomes, a.Outcome), factor: a.LeastFactor}
	for _, o := range a.Owed {
		if o.Code != "showers" { // owed for measured exposure alone
			s.owed = append(s.owed, o.Code)
		}
	}
	if len(a.Respirators) > 0 && a.LeastFactor == 0 {
		s.factor = 1 << 20 // none is enough
	}
	s.rarest = map[string]int{"ended": 0, "every": 100 - a.Monitoring.Every, "assess": 100}[a.Monitoring.State]
	return s
}

func (s strength) atLeast(t require.TestingT, o strength, f any) {
	require.GreaterOrEqual(t, s.outcome, o.outcome, "%+v", f)
	require.GreaterOrEqual(t, s.factor, o.factor, "%+v", f)
	require.GreaterOrEqual(t, s.rarest, o.rarest, "%+v", f)
	require.Subset(t, s.owed, o.owed, "%+v", f)
}

func drawDay(t *rapid.T, known bool) practice.ExposureFacts {
	f := practice.ExposureFacts{AsOf: spring, Medical: practice.MedicalFacts{Days: practice.DaysUnknown}}
	for range rapid.IntRange(1, 3).Draw(t, "spells") {
		s := practice.Spell{Task: rapid.SampledFrom(tasks).Draw(t, "task"), DustCollection: rapid.SampledFrom([]law.Tri{law.Unknown, law.Yes, law.No}).Draw(t, "dust"),
			Hours: quantity(measure.Frac(rapid.Int64Range(1, 16).Draw(t, "half hours"), 2), measure.Hour), Respirator: rapid.SampledFrom(worn).Draw(t, "respirator")}
		if known || rapid.Bool().Draw(t, "measured") {
			s.Concentration = quantity(measure.Frac(rapid.OneOf(rapid.Int64Range(0, 1200), rapid.Int64Range(0, 60000)).Draw(t, "tenths of ug/m3"), 10), measure.MicrogramPerCubicMetre)
			s.Basis = practice.ByMonitoring
		}
		f.Spells = append(f.Spells, s)
	}
	return f
}

func TestMoreInTheAirAndLongerNeverAskForLess(t *testing.T) {
	t.Parallel()
	e := exposures(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawDay(t, false)
		more := f
		more.Spells = slices.Clone(f.Spells)
		for i := range more.Spells {
			s := &more.Spells[i]
			if s.Concentration.Known() {
				s.Concentration = quantity(s.Concentration.Number().Add(measure.Frac(rapid.Int64Range(0, 1000).Draw(t, "more"), 10)), measure.MicrogramPerCubicMetre)
			}
			s.Hours = quantity(s.Hours.Number().Mul(measure.Frac(rapid.Int64Range(100, 133).Draw(t, "longer"), 100)), measure.Hour)
			if rapid.Bool().Draw(t, "respirator off") {
				s.Respirator = practice.NoRespirator
			}
		}
		if _, err := e.Assess(more); err != nil {
			return // more than a day
		}
		strengthOf(assess(t, e, more)).atLeast(t, strengthOf(assess(t, e, f)), f)
	})
}

// A concentration within its task's class never asks for more than the presumption that it takes the place of.
func TestWhatIsNotKnownOfADayNeverAsksForLess(t *testing.T) {
	t.Parallel()
	e := exposures(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawDay(t, true)
		for i := range f.Spells { // three spells of at most 500 ug/m3 come to no more than one of them over the day
			s := &f.Spells[i]
			s.Concentration = quantity(s.Concentration.Number().Min(measure.Int(500)), measure.MicrogramPerCubicMetre)
			s.Hours = quantity(s.Hours.Number().Min(measure.Frac(8, 3)), measure.Hour)
		}
		less := f
		less.Spells = slices.Clone(f.Spells)
		for i := range less.Spells {
			s := &less.Spells[i]
			for _, forget := range []func(){
				func() { s.Concentration, s.Basis = measure.Quantity{}, practice.BasisUnknown }, func() { s.Basis = practice.BasisUnknown },
				func() { s.DustCollection = law.Unknown }, func() { s.Respirator = "" }, func() { s.Task = practice.TaskUnknown },
			} {
				if rapid.Bool().Draw(t, "forgotten") {
					forget()
				}
			}
		}
		strengthOf(assess(t, e, less)).atLeast(t, strengthOf(assess(t, e, f)), f)
	})
}

func TestMoreDaysNeverEndTheProgrammeAndHigherLevelsNeverMakeTestsRarer(t *testing.T) {
	t.Parallel()
	e := exposures(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawDay(t, true)
		f.Medical = practice.MedicalFacts{Days: rapid.IntRange(0, 60).Draw(t, "days"), ProgrammeFrom: spring.AddDays(-rapid.IntRange(0, 400).Draw(t, "since"))}
		more := f
		more.Medical.Tests = nil
		for i := range rapid.IntRange(0, 5).Draw(t, "tests") {
			on, level := spring.AddDays(-20*i), rapid.Int64Range(30, 60).Draw(t, "ug/dL")
			f.Medical.Tests = append(f.Medical.Tests, practice.BloodTest{On: on, Level: quantity(measure.Int(level), measure.MicrogramPerDecilitre)})
			level += rapid.Int64Range(0, 10).Draw(t, "higher")
			more.Medical.Tests = append(more.Medical.Tests, practice.BloodTest{On: on, Level: quantity(measure.Int(level), measure.MicrogramPerDecilitre)})
		}
		if rapid.Bool().Draw(t, "days not known") {
			more.Medical.Days = practice.DaysUnknown
		} else {
			more.Medical.Days += rapid.IntRange(0, 30).Draw(t, "more days")
		}
		low, high := assess(t, e, f).Medical, assess(t, e, more).Medical
		require.True(t, high.Programme || !low.Programme)
		require.True(t, high.Examination || !low.Examination)
		require.False(t, low.Removal == "removed" && high.Removal != "removed", "%+v", more)
		if low.TestEvery > 0 {
			require.NotZero(t, high.TestEvery)
			require.LessOrEqual(t, high.TestEvery, low.TestEvery)
		}
	})
}
