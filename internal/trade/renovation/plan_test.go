package renovation_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
	"sillbook/internal/trade/practice"
	"sillbook/internal/trade/renovation"
)

func planner(t require.TestingT) renovation.Planner {
	book, err := embedded()
	require.NoError(t, err)
	jobs, err := renovation.NewRules(book)
	require.NoError(t, err)
	practices, err := practice.NewRules(book)
	require.NoError(t, err)
	limits, err := clearance.NewRules(book)
	require.NoError(t, err)
	return renovation.Planner{Jobs: jobs, Practices: practices, Sampling: limits.Plans}
}

func drawWork(t *rapid.T, name string, f renovation.PlanFacts, emergency bool, assisted law.Tri) renovation.PlannedWork {
	tri := func(what string) law.Tri {
		return rapid.SampledFrom([]law.Tri{law.Yes, law.No, law.Unknown}).Draw(t, name+" "+what)
	}
	w := renovation.Work{On: f.Start, HomeCovered: tri("covered"), Exterior: rapid.IntRange(0, 2).Draw(t, name+" exterior") == 0, Component: home.Wall, Method: rapid.SampledFrom(practice.Methods()).Draw(t, name+" method"),
		Area: measure.Int(rapid.Int64Range(1, 40).Draw(t, name+" area")), AreaKnown: rapid.Bool().Draw(t, name+" known"), DoneBy: renovation.HiredFirm, LeadFree: tri("lead free"), Assisted: assisted, Emergency: emergency,
		Shared: f.Kind == home.CommonArea}
	place := rapid.SampledFrom([]string{"kitchen", "hall"}).Draw(t, name+" place")
	if w.Exterior {
		place = "street side"
	}
	return renovation.PlannedWork{Place: place, Work: w}
}

func drawPlan(t *rapid.T) renovation.PlanFacts {
	f := renovation.PlanFacts{Start: calendar.Of(2026, 6, 1), Kind: rapid.SampledFrom([]home.UnitKind{home.Dwelling, home.CommonArea, home.ChildOccupiedFacility}).Draw(t, "kind"),
		Occupants: drawProtection(t), Site: drawContainment(t), Clearance: rapid.Bool().Draw(t, "clearance")}
	if rapid.Bool().Draw(t, "ends") {
		f.End = f.Start.AddDays(rapid.IntRange(0, 9).Draw(t, "days long"))
	}
	emergency, assisted := rapid.Bool().Draw(t, "emergency"), rapid.SampledFrom([]law.Tri{law.Yes, law.No, law.Unknown}).Draw(t, "assisted home")
	for i := range rapid.IntRange(1, 3).Draw(t, "works") {
		f.Works = append(f.Works, drawWork(t, fmt.Sprint("work ", i), f, emergency, assisted))
	}
	return f
}

func metBy(a renovation.PlanAnswer) []string {
	codes := []string{}
	for _, s := range a.Steps {
		codes = append(codes, s.Meets)
	}
	return codes
}

func TestPlanMeetsEverythingThatMustHappenFirstAndNamesItTheSame(t *testing.T) {
	t.Parallel()
	p := planner(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawPlan(t)
		a, err := p.Plan(f)
		require.NoError(t, err)
		met := metBy(a)
		asked := []string{""}
		for i, w := range f.Works {
			var beside []renovation.Other
			for k, o := range f.Works {
				if k != i && o.Place == w.Place {
					beside = append(beside, o.Work.AsOther())
				}
			}
			applied, err := p.Jobs.Apply(w.Work, beside)
			require.NoError(t, err)
			for _, s := range p.Jobs.StepsBefore(w.Work, applied) {
				require.Contains(t, met, s.Code, "%+v", w.Work)
				asked = append(asked, s.Code)
			}
		}
		require.Subset(t, asked, met, "and nothing that was not asked for")
		phases := []string{"scope", "people", "notices", "occupants", "ventilation", "signs", "containment", "workers", "methods", "leaving", "each_day", "final_cleaning", "checking", "afterwards", "waste", "papers"}
		last := 0
		for _, s := range a.Steps {
			require.NotContains(t, s.Text, "{")
			require.NotEmpty(t, s.Why, s.Code)
			require.NotEmpty(t, s.Citation.Clause, s.Code)
			at := slices.Index(phases, s.Phase)
			require.GreaterOrEqual(t, at, last, "the phases are in order: %s", s.Code)
			last = at
		}
	})
}

func TestAnotherPieceOfWorkNeverTakesARequirementAway(t *testing.T) {
	t.Parallel()
	p := planner(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawPlan(t)
		before, err := p.Plan(f)
		require.NoError(t, err)
		more := f
		more.Works = append(slices.Clone(f.Works), drawWork(t, "added", f, f.Works[0].Work.Emergency, f.Works[0].Work.Assisted))
		after, err := p.Plan(more)
		require.NoError(t, err)
		require.Subset(t, metBy(after), slices.DeleteFunc(metBy(before), func(code string) bool { return code == "" }))
	})
}

func TestPlanNeverSaysWhatIsRestricted(t *testing.T) {
	t.Parallel()
	p := planner(t)
	written := func(f renovation.PlanFacts) string {
		a, err := p.Plan(f)
		require.NoError(t, err)
		text, err := json.Marshal(a)
		require.NoError(t, err)
		return string(text)
	}
	rapid.Check(t, func(t *rapid.T) {
		f := drawPlan(t)
		f.Occupants.Restricted = true
		with := written(f)
		require.NotContains(t, with, "regnan")
		require.NotContains(t, with, "estricted_o")
		f.Occupants.Restricted = false
		if f.Occupants.Protected != law.No {
			require.Equal(t, written(f), with)
		}
	})
}
