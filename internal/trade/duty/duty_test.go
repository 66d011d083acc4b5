package duty_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/assistance"
	"sillbook/internal/trade/bloodlead"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/crew"
	"sillbook/internal/trade/duty"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

func dutyRules(t require.TestingT) duty.Rules {
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := duty.NewRules(book)
	require.NoError(t, err)
	return r
}

// of are the duties of facts that fit together.
func of(t require.TestingT, r duty.Rules, f duty.Facts) []duty.Duty {
	a, err := r.Of(f)
	require.NoError(t, err, "%+v", f)
	return a.Duties
}

func drawJob(t *rapid.T, label string, h duty.Home) duty.Job {
	j := duty.Job{Label: label, Covered: tris.Draw(t, "covered"), AboveDeMinimis: tris.Draw(t, "above"), Indoors: tris.Draw(t, "indoors"), HazardReduction: tris.Draw(t, "reduction"),
		Abatement: rapid.Bool().Draw(t, "abatement"), Emergency: rapid.IntRange(0, 3).Draw(t, "emergency") == 0, PlannedStart: aDay(t, "planned")}
	if h.Covered == law.No && j.Covered == law.Yes {
		j.Covered = law.No
	}
	for range rapid.IntRange(0, 2).Draw(t, "notices") {
		j.Notices = append(j.Notices, renovation.Proved(rapid.SampledFrom([]renovation.Recipient{renovation.Owner, renovation.AdultOccupant, renovation.AffectedUnits}).Draw(t, "to"), renovation.Handed, spring.AddDays(rapid.IntRange(-60, 10).Draw(t, "given"))))
	}
	if rapid.Bool().Draw(t, "begun") {
		j.StartedOn = spring.AddDays(rapid.IntRange(-40, 0).Draw(t, "started"))
		later := func(name string) calendar.Date {
			if rapid.Bool().Draw(t, name+" is told") {
				return j.StartedOn.AddDays(rapid.IntRange(0, 30).Draw(t, name))
			}
			return 0
		}
		j.EndedOn, j.CleanedOn, j.VerifiedOn, j.ClearedOn, j.WasteOffOn = later("ended"), later("cleaned"), later("verified"), later("cleared"), later("waste off")
		j.Days = []duty.WorkDay{{On: j.StartedOn.AddDays(1), Cleaned: tris.Draw(t, "day cleaned")}, {On: j.StartedOn, Cleaned: tris.Draw(t, "first day cleaned")}}
	}
	return j
}

func drawFacts(t *rapid.T) duty.Facts {
	f := duty.Facts{AsOf: spring, Soon: duty.AsUsual, Home: duty.Home{Label: "Unit", Covered: tris.Draw(t, "home covered"), Assisted: tris.Draw(t, "assisted"), OwnerThere: tris.Draw(t, "owner there"),
		Occupied: tris.Draw(t, "occupied"), Kind: rapid.SampledFrom([]home.UnitKind{home.Dwelling, home.CommonArea, home.ChildOccupiedFacility}).Draw(t, "kind")}}
	for i := range rapid.IntRange(0, 2).Draw(t, "jobs") {
		f.Jobs = append(f.Jobs, drawJob(t, fmt.Sprint("job ", i), f.Home))
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "evaluations") {
		f.Evaluations = append(f.Evaluations, duty.Evaluation{Label: fmt.Sprint("evaluation ", i), ReceivedOn: spring.AddDays(-rapid.IntRange(0, 40).Draw(t, "received")), Found: tris.Draw(t, "found")})
	}
	if rapid.Bool().Draw(t, "dealing") {
		f.Dealings = []duty.Dealing{{Label: "Lease", DisclosureFacts: home.DisclosureFacts{Dealing: home.Lease, ContractOn: aDay(t, "contract"), PamphletOn: spring.AddDays(-rapid.IntRange(0, 20).Draw(t, "pamphlet"))}}}
	}
	if rapid.Bool().Draw(t, "holder") {
		firm := crew.Certificate{Discipline: crew.Firm, Basis: crew.Initial, Issuer: crew.EPA, IssuedOn: spring.AddDays(-rapid.IntRange(1, 2500).Draw(t, "issued"))}
		firm.Changes = []crew.Amendment{{ChangedOn: spring.AddDays(-rapid.IntRange(0, 200).Draw(t, "changed"))}}
		f.Holders = []crew.Holder{{Name: "Firm", Certificates: []crew.Certificate{firm}}}
	}
	if rapid.Bool().Draw(t, "maintenance") {
		u := duty.Upkeep{UpkeepFacts: assistance.UpkeepFacts{ReducedOn: spring.AddDays(-rapid.IntRange(1, 1000).Draw(t, "reduced")), LeadRemains: tris.Draw(t, "left")}}
		if rapid.Bool().Draw(t, "seen") {
			u.VisualOn = spring.AddDays(-rapid.IntRange(0, 500).Draw(t, "visual"))
		}
		for range rapid.IntRange(0, 2).Draw(t, "reports") {
			u.Reports = append(u.Reports, assistance.Report{On: spring.AddDays(-rapid.IntRange(0, 50).Draw(t, "report"))})
		}
		f.Upkeep = &u
	}
	return f
}

// key is what a duty is, whatever its state.
func key(d duty.Duty) string { return d.Code + "|" + d.Subject + "|" + d.Detail }

func keys(list []duty.Duty) (all []string) {
	for _, d := range list {
		all = append(all, key(d))
	}
	return all
}

func TestTheOrderOfWhatIsToldDecidesNothing(t *testing.T) {
	t.Parallel()
	r := dutyRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawFacts(t)
		turned := f
		turned.Jobs, turned.Evaluations = slices.Clone(f.Jobs), slices.Clone(f.Evaluations)
		slices.Reverse(turned.Jobs)
		slices.Reverse(turned.Evaluations)
		for i := range turned.Jobs {
			turned.Jobs[i].Days, turned.Jobs[i].Notices = slices.Clone(turned.Jobs[i].Days), slices.Clone(turned.Jobs[i].Notices)
			slices.Reverse(turned.Jobs[i].Days)
			slices.Reverse(turned.Jobs[i].Notices)
		}
		if f.Upkeep != nil {
			u := *f.Upkeep
			u.Reports = slices.Clone(u.Reports)
			slices.Reverse(u.Reports)
			turned.Upkeep = &u
		}
		require.Equal(t, of(t, r, f), of(t, r, turned))
	})
}

func TestMoreThatHappenedNeverRemovesADuty(t *testing.T) {
	t.Parallel()
	r := dutyRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawFacts(t)
		more := f
		more.Jobs = append(slices.Clone(f.Jobs), drawJob(t, "another", f.Home))
		more.Evaluations = append(slices.Clone(f.Evaluations), duty.Evaluation{Label: "another report", ReceivedOn: spring, Found: tris.Draw(t, "found")})
		for i := range more.Jobs {
			j := &more.Jobs[i]
			if !j.StartedOn.IsZero() && rapid.Bool().Draw(t, "goes on") {
				j.CleanedOn, j.ClearedOn, j.SignsOn = spring, spring, spring
				j.EndedOn = max(j.EndedOn, j.StartedOn)
			}
		}
		require.Subset(t, keys(of(t, r, more)), keys(of(t, r, f)))
	})
}

func TestALaterDayNeverTurnsOverdueIntoOpen(t *testing.T) {
	t.Parallel()
	r := dutyRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawFacts(t)
		later := f
		later.AsOf = spring.AddDays(rapid.IntRange(0, 400).Draw(t, "later"))
		then := map[string][]duty.State{}
		for _, d := range of(t, r, later) {
			then[key(d)] = append(then[key(d)], d.State)
		}
		for _, d := range of(t, r, f) {
			require.Contains(t, then, key(d))
			if d.State == duty.Overdue {
				require.Subset(t, []duty.State{duty.Overdue, duty.Met}, then[key(d)], "%s", key(d))
			}
		}
	})
}

func TestWhatIsNotKnownNeverLeavesFewerDuties(t *testing.T) {
	t.Parallel()
	r := dutyRules(t)
	rapid.Check(t, func(t *rapid.T) {
		f := drawFacts(t)
		less := f
		less.Jobs, less.Evaluations = slices.Clone(f.Jobs), slices.Clone(f.Evaluations)
		forget := func(facts ...*law.Tri) {
			for _, fact := range facts {
				if rapid.Bool().Draw(t, "forgotten") {
					*fact = law.Unknown
				}
			}
		}
		forget(&less.Home.Covered, &less.Home.Assisted, &less.Home.OwnerThere, &less.Home.Occupied)
		for i := range less.Jobs {
			j := &less.Jobs[i]
			forget(&j.Covered, &j.AboveDeMinimis, &j.Indoors, &j.HazardReduction)
		}
		for i := range less.Evaluations {
			forget(&less.Evaluations[i].Found)
		}
		require.Subset(t, keys(of(t, r, less)), keys(of(t, r, f)))
	})
}

func TestDutiesOfACaseAreAllRestricted(t *testing.T) {
	t.Parallel()
	list := duty.OfCase("Case", []bloodlead.Deadline{
		{What: "tell_hud", From: spring, Due: spring.AddDays(7), State: "open", Text: "Tell HUD.", Rule: "telling"},
		{What: "reduce_hazards", From: spring, Due: spring.AddDays(-1), Presumed: true, State: "waiting", Text: "Reduce.", Rule: "hazard_reduction"},
		{What: "tell_residents", State: "not_needed", Text: "None had hazards.", Rule: "other_units"}}, spring, 14)
	require.Len(t, list, 3)
	states := map[string]duty.State{}
	for _, d := range list {
		require.True(t, d.Restricted)
		require.True(t, d.Owed().Restricted)
		states[d.Code] = d.State
	}
	require.Equal(t, map[string]duty.State{"tell_hud": duty.DueSoon, "reduce_hazards": duty.Open, "tell_residents": duty.Void}, states)
}
