package clearance

import (
	"fmt"

	"sillbook/internal/trade/law"
)

// randomSampling is the clause on clearance by random sampling of units.
var randomSampling = law.Cite("40 CFR 745.227(e)(9)", law.Text)

// explain gives the reasons for a count.
func (c Counts) explain(f CountFacts, a Count, n counted) law.Determination {
	d := law.NewDetermination("unit_counts", f.AsOf, c.book.RuleSet())
	d.Outcome = a.outcome()
	d.Use("purpose", string(f.Purpose))
	d.Use("similar", fmt.Sprintf("%d %s", f.Similar, f.Of))
	if f.BuildYear != 0 {
		d.Use("build_year", fmt.Sprint(f.BuildYear))
	}
	d.Use("crews_know_the_draw", yesNo(f.KnownDraw))
	switch {
	case f.Similar < n.atLeast:
		d.Because(string(f.Purpose)+"_of_all", "similar", fmt.Sprint(f.Similar), n.bound.Cite(),
			fmt.Sprintf("Of fewer than %d similar %s no random sample is taken: every one of the %d is done.", n.atLeast, f.Of, f.Similar))
	case f.KnownDraw:
		d.Because("draw_known_to_crews", "crews_know_the_draw", "yes", randomSampling,
			fmt.Sprintf("A random sample counts only where crews do not know which %s are drawn until they are done: every one of the %d is done.", f.Of, f.Similar))
	default:
		c.explainSample(&d, f, a)
	}
	if f.BuildYear == 0 && f.Purpose != ForClearance {
		d.Miss("build_year", "Which column of the table holds turns on when they were built; not known, the older one does.",
			"Built later, fewer may be enough.")
	}
	return d
}

func (c Counts) explainSample(d *law.Determination, f CountFacts, a Count) {
	table := fmt.Sprintf("The printed table asks for %d of %d %s", a.Table.Take, f.Similar, f.Of)
	exact := fmt.Sprintf("the exact count is %d (with %d the chance of missing every one of %d is %s)", a.Exact.Take, a.Exact.Take, a.Exact.Exceeding, a.Exact.Chance)
	cite, why := a.Table.Citation, table+", and "+exact+"."
	switch a.Governs {
	case "table":
		why += " The table's is larger and governs."
	case "exact":
		why += " The exact count is larger and governs: the printed one does not reach " + a.Exact.Confidence + "."
		cite = a.Exact.Citation
	}
	if a.Exact.Alone < a.Exact.Take {
		why += fmt.Sprintf(" For %d alone %d would do; a smaller number needs %d, and more are never sampled less.", f.Similar, a.Exact.Alone, a.Exact.Take)
	}
	d.Because(string(f.Purpose)+"_sample", "similar", fmt.Sprint(f.Similar), cite, why)
	if a.Governs != "both" {
		d.Differences = append(d.Differences, table+", the exact statistics for "+fmt.Sprint(a.Exact.Take)+"; the larger is taken.")
	}
	if f.Purpose == ForClearance {
		d.Because("similarly_built_and_maintained", "similar", fmt.Sprint(f.Similar), randomSampling,
			"It holds for units that were similarly built and maintained, as long as crews do not know which of them are drawn.")
	}
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}
