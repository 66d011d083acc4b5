package assistance_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

var everyProgramme = []assistance.Programme{assistance.FederalSale, assistance.FederalProjectAid, assistance.HUDSingleFamilySale, assistance.MortgageInsurance, assistance.ProjectBased,
	assistance.HUDMultifamily, assistance.Rehabilitating, assistance.Services, assistance.PublicHousing, assistance.TenantBased}

var outcomeOrder = []assistance.ProgrammesOutcome{assistance.ExemptFromRule, assistance.NothingRequired, assistance.MaintenanceOnly, assistance.EvaluationOnly, assistance.SafeWork,
	assistance.Stabilisation, assistance.ControlsOfHazards, assistance.AbateHazards, assistance.AbateAll}

func drawAid(t *rapid.T) assistance.Money {
	if rapid.Bool().Draw(t, "known") {
		return assistance.Money{Dollars: measure.Int(int64(rapid.IntRange(1, 40000).Draw(t, "dollars"))), Known: true}
	}
	return assistance.Money{}
}

func drawProgrammes(t *rapid.T) assistance.ProgrammesFacts {
	on := calendar.Of(2026, 3, 2)
	day := func(name string) calendar.Date {
		if rapid.Bool().Draw(t, name+" told") {
			return on.AddDays(-rapid.IntRange(0, 500).Draw(t, name))
		}
		return 0
	}
	f := assistance.ProgrammesFacts{AsOf: on, BuildYear: rapid.IntRange(1940, 1979).Draw(t, "year"), Certainty: rapid.SampledFrom([]home.Certainty{home.Recorded, home.Recorded, home.Estimated}).Draw(t, "certainty"),
		Exempt: rapid.SampledFrom([]law.Tri{law.No, law.No, law.Unknown, law.Yes}).Draw(t, "exempt"), Units: rapid.IntRange(0, 8).Draw(t, "units"), Occupied: tri.Draw(t, "occupied"),
		ChildUnderSix: tri.Draw(t, "child"), Presumed: rapid.Bool().Draw(t, "presumed"), PamphletGiven: tri.Draw(t, "pamphlet"), EvaluatedOn: day("evaluated"), DeteriorationOn: day("deteriorated")}
	if f.ChildUnderSix != law.No {
		f.ChildMovedIn = day("moved in")
	}
	for _, p := range everyProgramme {
		if rapid.IntRange(0, 3).Draw(t, string(p)) == 0 {
			f.Programmes = append(f.Programmes, drawProgramme(t, p))
		}
	}
	return f
}

func drawProgramme(t *rapid.T, p assistance.Programme) assistance.ProgrammeFacts {
	return assistance.ProgrammeFacts{Programme: p, PerUnitYear: drawAid(t), PerProjectYear: drawAid(t), PerUnit: drawAid(t), Major: tri.Draw(t, "major"),
		LeftToBuyer: tri.Draw(t, "buyer"), Continuing: tri.Draw(t, "continuing"), On: calendar.Of(2026, 3, 2).AddDays(rapid.IntRange(-100, 100).Draw(t, "on"))}
}

// 24 CFR 35.155(b): a further programme never asks for less, nor for anything later.
func TestFurtherProgrammeNeverAsksForLess(t *testing.T) {
	t.Parallel()
	r := rules(t).Programmes
	rapid.Check(t, func(t *rapid.T) {
		f := drawProgrammes(t)
		before, err := r.Require(f)
		require.NoError(t, err)
		missing := slices.DeleteFunc(slices.Clone(everyProgramme), func(p assistance.Programme) bool {
			return slices.ContainsFunc(f.Programmes, func(told assistance.ProgrammeFacts) bool { return told.Programme == p })
		})
		if len(missing) == 0 {
			return
		}
		f.Programmes = append(slices.Clone(f.Programmes), drawProgramme(t, rapid.SampledFrom(missing).Draw(t, "further")))
		after, err := r.Require(f)
		require.NoError(t, err)
		require.GreaterOrEqual(t, slices.Index(outcomeOrder, after.Outcome), slices.Index(outcomeOrder, before.Outcome))
		for _, q := range before.Together {
			for _, still := range after.Together {
				if still.Code == q.Code && !q.Due.IsZero() && !still.Due.IsZero() {
					require.False(t, still.Due.After(q.Due), "%s: %s is after %s", q.Code, still.Due, q.Due)
				}
			}
		}
	})
}

// Each requirement of each programme is met by what is asked for together: itself, or one of its kind that protects more.
func TestWhatIsAskedTogetherCoversEachProgramme(t *testing.T) {
	t.Parallel()
	r := rules(t).Programmes
	stronger := map[string][]string{
		"visual_assessment": {"presumption", "risk_assessment", "lead_inspection", "inspection_and_risk_assessment"}, "risk_assessment": {"lead_inspection", "inspection_and_risk_assessment"},
		"presumption": {"lead_inspection", "inspection_and_risk_assessment"}, "paint_stabilisation": {"standard_treatments", "interim_controls", "abate_hazards", "abate_all_lead_paint"},
		"interim_controls": {"abate_hazards", "abate_all_lead_paint"}, "standard_treatments": {"abate_hazards", "abate_all_lead_paint"}, "abate_hazards": {"abate_all_lead_paint"}, "clear_worksite": {"clear_unit"},
	}
	rapid.Check(t, func(t *rapid.T) {
		a, err := r.Require(drawProgrammes(t))
		require.NoError(t, err)
		for _, p := range a.Programmes {
			for _, q := range p.Requirements {
				require.True(t, slices.ContainsFunc(a.Together, func(have assistance.Requirement) bool {
					return have.Code == q.Code || slices.Contains(stronger[q.Code], have.Code)
				}), "%s of %s is not covered", q.Code, p.Programme)
			}
		}
		codes := map[string]bool{}
		for _, q := range a.Together {
			require.False(t, codes[q.Code], "%s stands there twice", q.Code)
			codes[q.Code] = true
		}
	})
}

func TestUnknownFactOfAProgrammeIsNeverLessProtective(t *testing.T) {
	t.Parallel()
	r := rules(t).Programmes
	rapid.Check(t, func(t *rapid.T) {
		f := drawProgrammes(t)
		known, err := r.Require(f)
		require.NoError(t, err)
		f.Programmes = slices.Clone(f.Programmes)
		each := func(forget func(*assistance.ProgrammeFacts)) {
			for i := range f.Programmes {
				forget(&f.Programmes[i])
			}
		}
		switch rapid.IntRange(0, 6).Draw(t, "forgotten") {
		case 0:
			f.BuildYear, f.Certainty = 0, home.YearUnknown
		case 1:
			f.Exempt = law.Unknown
		case 2:
			f.Units = 0
		case 3:
			f.ChildUnderSix = law.Unknown
		case 4:
			each(func(p *assistance.ProgrammeFacts) {
				p.PerUnit, p.PerUnitYear, p.PerProjectYear = assistance.Money{}, assistance.Money{}, assistance.Money{}
			})
		case 5:
			each(func(p *assistance.ProgrammeFacts) { p.Major = law.Unknown })
		case 6:
			each(func(p *assistance.ProgrammeFacts) { p.Continuing, p.LeftToBuyer = law.Unknown, law.Unknown })
		}
		unknown, err := r.Require(f)
		require.NoError(t, err)
		require.GreaterOrEqual(t, slices.Index(outcomeOrder, unknown.Outcome), slices.Index(outcomeOrder, known.Outcome))
	})
}
