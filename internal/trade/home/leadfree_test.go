package home_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/measure"
)

func componentRules(t require.TestingT) home.ComponentRules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := home.NewComponentRules(book)
	require.NoError(t, err)
	return r
}

func drawFinding(t *rapid.T) home.PaintFinding {
	f := home.PaintFinding{Route: rapid.SampledFrom([]home.Route{home.ByInspection, home.ByTestKit, home.ByPaintChip}).Draw(t, "route"), On: calendar.Of(2026, 2, 1),
		Result: rapid.SampledFrom([]home.Result{home.ResultUnknown, home.Negative, home.Negative, home.Negative, home.Positive, home.Inconclusive}).Draw(t, "result")}
	mostly := rapid.SampledFrom([]law.Tri{law.Yes, law.Yes, law.Yes, law.Unknown, law.No})
	f.Certified, f.Written, f.Held = mostly.Draw(t, "certified"), mostly.Draw(t, "written"), mostly.Draw(t, "held")
	f.Recognised, f.Followed = mostly.Draw(t, "recognised"), mostly.Draw(t, "followed")
	return f
}

func drawComponents(t *rapid.T) home.LeadFreeFacts {
	f := home.LeadFreeFacts{AsOf: calendar.Of(2026, 3, 2)}
	for i := range rapid.IntRange(1, 4).Draw(t, "components") {
		c := home.TestedComponent{Label: fmt.Sprint("C", i), Whole: rapid.SampledFrom([]string{"", "stair"}).Draw(t, "whole"), Repainted: tri.Draw(t, "repainted")}
		for range rapid.IntRange(0, 2).Draw(t, "findings") {
			c.Findings = append(c.Findings, drawFinding(t))
		}
		f.Components = append(f.Components, c)
	}
	return f
}

// 40 CFR 745.82(a): forgetting a condition, or finding lead, never shows a component to be free.
func TestForgettingAndLeadNeverShowAComponentFree(t *testing.T) {
	t.Parallel()
	r := componentRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawComponents(t)
		before, err := r.LeadFree(f)
		require.NoError(t, err)
		i := rapid.IntRange(0, len(f.Components)-1).Draw(t, "which")
		c := &f.Components[i]
		if rapid.Bool().Draw(t, "lead") || len(c.Findings) == 0 {
			c.Findings = append(c.Findings, home.PaintFinding{Route: home.ByTestKit, On: f.AsOf, Result: home.Positive})
		} else {
			finding := &c.Findings[0]
			switch rapid.IntRange(0, 4).Draw(t, "forgotten") {
			case 0:
				finding.Certified = law.Unknown
			case 1:
				finding.Recognised, finding.Held = law.Unknown, law.Unknown
			case 2:
				if finding.Result == home.Negative {
					finding.Result = home.ResultUnknown
				}
			case 3:
				c.Repainted = law.Unknown
			case 4:
				finding.Followed, finding.Written = law.Unknown, law.Unknown
			}
		}
		after, err := r.LeadFree(f)
		require.NoError(t, err)
		for j, s := range after.Components {
			if s.Outcome == home.LeadFree {
				require.Equal(t, home.LeadFree, before.Components[j].Outcome)
			}
		}
	})
}

// A higher level never shows more.
func TestHigherLevelNeverShowsAComponentFree(t *testing.T) {
	t.Parallel()
	r := componentRules(t)
	order := map[string]int{home.LeadFree: 0, home.NotShown: 1, home.LeadBasedPaint: 2}
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.IntRange(0, 12000).Draw(t, "ppm")
		high := low + rapid.IntRange(0, 3000).Draw(t, "more")
		qualifier := rapid.SampledFrom([]measure.Qualifier{measure.Exactly, measure.LessThan}).Draw(t, "qualifier")
		outcome := func(ppm int) string {
			level, err := measure.New(fmt.Sprint(ppm), qualifier, "ppm", measure.Fraction)
			require.NoError(t, err)
			a, err := r.LeadFree(home.LeadFreeFacts{AsOf: calendar.Of(2026, 3, 2), Components: []home.TestedComponent{{Label: "C", Findings: []home.PaintFinding{
				{Route: home.ByPaintChip, On: calendar.Of(2026, 2, 1), Certified: law.Yes, Recognised: law.Yes, Level: level, Result: home.ResultUnknown}}}}})
			require.NoError(t, err)
			return a.Components[0].Outcome
		}
		require.LessOrEqual(t, order[outcome(low)], order[outcome(high)])
	})
}

func TestChangesOfFindingsAreNotWrittenIntoThem(t *testing.T) {
	t.Parallel()
	f := home.LeadFreeFacts{AsOf: calendar.Of(2026, 3, 2), Components: []home.TestedComponent{
		{Label: "C", Findings: []home.PaintFinding{{Route: home.ByInspection, On: calendar.Of(2026, 2, 1), Result: home.Negative, Certified: law.Yes, Written: law.Yes, Held: law.No}}}}}
	a, err := componentRules(t).LeadFree(f)
	require.NoError(t, err)
	require.Len(t, a.Why.Counterfactuals, 2)
	require.Len(t, f.Components[0].Findings, 1)
	require.Equal(t, law.No, f.Components[0].Findings[0].Held)
}
