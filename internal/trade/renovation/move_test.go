package renovation_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/home"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

func TestNoticeWindowBoundaries(t *testing.T) {
	t.Parallel()
	r := rules(t)
	start := calendar.Of(2026, 4, 13)
	for _, c := range []struct {
		name   string
		notice renovation.Notice
		counts bool
		source string
	}{
		{"handed over 61 days before", handed(start.AddDays(-61)), false, "40 CFR 745.84(a): no more than 60 days before (text)"},
		{"handed over 60 days before", handed(start.AddDays(-60)), true, "40 CFR 745.84(a) (text)"},
		{"handed over the day before", handed(start.AddDays(-1)), true, "40 CFR 745.84(d): signed prior to the start (text)"},
		{"handed over on the day of the start", handed(start), false, "40 CFR 745.84(d) (derived)"},
		{"mailed 7 days before", mailed(start.AddDays(-7)), true, "40 CFR 745.84(a)(1)(ii): at least 7 days (text)"},
		{"mailed 6 days before", mailed(start.AddDays(-6)), false, "40 CFR 745.84(a)(1)(ii) (text)"},
		{"mailed 60 days before", mailed(start.AddDays(-60)), true, "40 CFR 745.84(a) (derived)"},
		{"mailed 61 days before", mailed(start.AddDays(-61)), false, "40 CFR 745.84(a) (derived)"},
		{"handed over without proof", renovation.Notice{Recipient: renovation.Owner, How: renovation.Handed, Proof: renovation.NoProof, On: start.AddDays(-9)}, false, "40 CFR 745.84(a)(1)(i) (text)"},
		{"attempted delivery to an occupant, certified", attempted(renovation.AdultOccupant, true, start.AddDays(-9)), true, "40 CFR 745.84(a)(2)(i) (text)"},
		{"attempted delivery to an occupant, not certified", attempted(renovation.AdultOccupant, false, start.AddDays(-9)), false, "40 CFR 745.84(a)(2)(i) (text)"},
		{"attempted delivery to the owner", attempted(renovation.Owner, true, start.AddDays(-9)), false, "40 CFR 745.84(a)(2)(i): for the occupant only (text)"},
	} {
		t.Run(c.name+": "+c.source, func(t *testing.T) {
			t.Parallel()
			a, err := r.JudgeNotice(c.notice, start)
			require.NoError(t, err)
			require.Equal(t, c.counts, a.Counts, a.Why)
			require.NotEmpty(t, a.Why)
		})
	}
	a, err := r.JudgeNotice(handed(start), 0)
	require.NoError(t, err)
	require.False(t, a.Counts, "without a start nothing counts yet")
}

func handed(on calendar.Date) renovation.Notice {
	return renovation.Notice{Recipient: renovation.Owner, How: renovation.Handed, Proof: renovation.Acknowledgement, On: on}
}

func mailed(on calendar.Date) renovation.Notice {
	return renovation.Notice{Recipient: renovation.Owner, How: renovation.Mailed, Proof: renovation.CertificateOfMailing, On: on}
}

func attempted(to renovation.Recipient, certified bool, on calendar.Date) renovation.Notice {
	return renovation.Notice{Recipient: to, How: renovation.AttemptedDelivery, Proof: renovation.AttemptCertification, On: on, Attempt: certified}
}

func TestUnmetPamphletsAreNamed(t *testing.T) {
	t.Parallel()
	r := rules(t)
	start := calendar.Of(2026, 4, 13)
	duties := []renovation.Duty{{Recipient: renovation.Owner}, {Recipient: renovation.AdultOccupant, Unit: "u1", UnitName: "2B"}}
	occupant := handed(start.AddDays(-5))
	occupant.Recipient = renovation.AdultOccupant
	unmet, window, err := r.Unmet(duties, []renovation.Told{{Notice: handed(start.AddDays(-5))}, {Notice: occupant, Unit: "u2"}}, start)
	require.NoError(t, err)
	require.Equal(t, duties[1:], unmet, "a notice to another unit does not count")
	require.Equal(t, "2026-04-12", window.To.String())
	unmet, _, err = r.Unmet(duties, []renovation.Told{{Notice: handed(start.AddDays(-5))}, {Notice: occupant, Unit: "u1"}}, start)
	require.NoError(t, err)
	require.Empty(t, unmet)
}

func TestWhoIsOwedAPamphlet(t *testing.T) {
	t.Parallel()
	owner := renovation.Duty{Recipient: renovation.Owner}
	for _, c := range []struct {
		name, source string
		site         renovation.Site
		want         []renovation.Duty
	}{
		{"a rented dwelling", "40 CFR 745.84(a)(1), (2) (text)", renovation.Site{Unit: "u1", Name: "2B", OwnerThere: law.No, Occupied: law.Yes},
			[]renovation.Duty{owner, {Recipient: renovation.AdultOccupant, Unit: "u1", UnitName: "2B"}}},
		{"a dwelling in which the owner lives", "40 CFR 745.84(a)(2), if the owner does not occupy it (text)", renovation.Site{Unit: "u1", OwnerThere: law.Yes}, []renovation.Duty{owner}},
		{"a vacant dwelling", "40 CFR 745.84(a)(2) (derived)", renovation.Site{Unit: "u1", OwnerThere: law.No, Occupied: law.No}, []renovation.Duty{owner}},
		{"a dwelling of which neither is known", "derived, unknown facts get the protective answer", renovation.Site{Unit: "u1", Name: "2B"},
			[]renovation.Duty{owner, {Recipient: renovation.AdultOccupant, Unit: "u1", UnitName: "2B"}}},
		{"a facility run by somebody else", "40 CFR 745.84(c)(1) (text)", renovation.Site{Unit: "u1", Name: "Hall", Kind: home.ChildOccupiedFacility},
			[]renovation.Duty{owner, {Recipient: renovation.FacilityRepresentative, Unit: "u1", UnitName: "Hall"}}},
		{"a common area", "40 CFR 745.84(b)(1) (text)", renovation.Site{Unit: "u1", Kind: home.CommonArea}, []renovation.Duty{owner}},
	} {
		t.Run(c.name+": "+c.source, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, renovation.Duties([]renovation.Site{c.site}))
		})
	}
}

func codes(j renovation.Job, to renovation.State) []string {
	list := []string{}
	for _, b := range renovation.Blockers(j, to) {
		list = append(list, b.Code)
	}
	return list
}

func TestMovesAreMadeInOrderOrRefusedWithEveryBlocker(t *testing.T) {
	t.Parallel()
	start := calendar.Of(2026, 4, 13)
	covered := renovation.Job{State: renovation.Drafted, On: start, WorkItems: 1, Outcome: renovation.CoveredRenovation, Start: start}
	with := func(change func(*renovation.Job)) renovation.Job { j := covered; change(&j); return j }
	owed := []renovation.Duty{{Recipient: renovation.Owner}, {Recipient: renovation.AdultOccupant, Unit: "u1", UnitName: "2B"}}
	for _, c := range []struct {
		name string
		job  renovation.Job
		to   renovation.State
		want []string
	}{
		{"everything in place", covered, renovation.Ready, []string{}},
		{"skipping ahead", covered, renovation.Closed, []string{"out_of_order", "not_verified"}},
		{"nothing to do", with(func(j *renovation.Job) { j.WorkItems = 0 }), renovation.Ready, []string{"no_work_items"}},
		{"no planned start", with(func(j *renovation.Job) { j.Start = 0 }), renovation.Ready, []string{"no_planned_start"}},
		{"pamphlets owed: 40 CFR 745.84", with(func(j *renovation.Job) { j.Unmet = owed }), renovation.Ready, []string{"no_valid_notice", "no_valid_notice"}},
		{"an emergency owes no pamphlet: 40 CFR 745.82(b)", with(func(j *renovation.Job) { j.Unmet, j.Emergency = owed, true }), renovation.Ready, []string{}},
		{"minor work owes no pamphlet", with(func(j *renovation.Job) { j.Unmet, j.Outcome = owed, renovation.Minor }), renovation.Ready, []string{}},
		{"a child, nothing arranged", with(func(j *renovation.Job) { j.ChildUnits = []string{"2B"} }), renovation.Ready, []string{"occupant_protection"}},
		{"a restricted fact, nothing arranged", with(func(j *renovation.Job) { j.Restricted = true }), renovation.Ready, []string{"restricted_requirement"}},
		{"all at once", with(func(j *renovation.Job) { j.Unmet, j.ChildUnits, j.Restricted = owed, []string{"2B"}, true }), renovation.Ready,
			[]string{"no_valid_notice", "no_valid_notice", "occupant_protection", "restricted_requirement"}},
		{"a breach stops the work: 40 CFR 745.85(a)(2)", with(func(j *renovation.Job) {
			j.State, j.Stopped = renovation.UnderWay, []string{"The containment was breached."}
		}),
			renovation.Cleaning, []string{"work_stopped"}},
		{"stopped, and back to be cleaned", with(func(j *renovation.Job) {
			j.State, j.Stopped = renovation.Checking, []string{"The containment was breached."}
		}),
			renovation.Cleaning, []string{}},
		{"called off without a reason", with(func(j *renovation.Job) { j.NoReason = true }), renovation.CalledOff, []string{"no_reason"}},
		{"called off before it began", with(func(j *renovation.Job) { j.State = renovation.Ready }), renovation.CalledOff, []string{}},
		{"called off under way: 40 CFR 745.85(a)(5)", with(func(j *renovation.Job) { j.State = renovation.UnderWay }), renovation.CalledOff, []string{"work_has_begun"}},
		{"minor work called off under way", with(func(j *renovation.Job) { j.State, j.Outcome = renovation.UnderWay, renovation.Minor }), renovation.CalledOff, []string{}},
		{"children not told, nothing arranged", with(func(j *renovation.Job) { j.UntoldUnits = []string{"2B"} }), renovation.Ready, []string{"occupant_protection"}},
		{"verified: 40 CFR 745.85(b)", with(func(j *renovation.Job) { j.State, j.Verification = renovation.Checking, "passed" }), renovation.Closed, []string{}},
		{"verified where wipes are asked for: 40 CFR 745.85(c)", with(func(j *renovation.Job) { j.State, j.Verification, j.NeedsWipes = renovation.Checking, "passed", true }), renovation.Closed, []string{"no_clearance"}},
		{"cleared", with(func(j *renovation.Job) { j.State, j.Clearance, j.NeedsWipes = renovation.Checking, "passed", true }), renovation.Closed, []string{}},
		{"assisted and verified only: 24 CFR 35.1340", with(func(j *renovation.Job) { j.State, j.Verification, j.HUD = renovation.Checking, "passed", true }), renovation.Closed, []string{"no_clearance"}},
		{"verified, but clearance failed", with(func(j *renovation.Job) {
			j.State, j.Verification, j.Clearance = renovation.Checking, "passed", "failed"
		}), renovation.Closed, []string{"clearance_failed"}},
		{"clearance could not decide", with(func(j *renovation.Job) { j.State, j.Clearance = renovation.Checking, "inconclusive" }), renovation.Closed, []string{"clearance_inconclusive"}},
		{"bags left and findings open", with(func(j *renovation.Job) {
			j.State, j.Verification, j.Undelivered, j.Findings = renovation.Checking, "passed", []string{"2B-01"}, []string{"A bag did not arrive."}
		}), renovation.Closed, []string{"containers_not_accounted", "open_finding"}},
		{"verified before it was last cleaned: 40 CFR 745.85(b) (derived)", with(func(j *renovation.Job) { j.State, j.Outdated = renovation.Checking, true }), renovation.Closed, []string{"proof_outdated"}},
		{"after the end", with(func(j *renovation.Job) { j.State = renovation.Closed }), renovation.Cleaning, []string{"out_of_order"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, codes(c.job, c.to))
			for _, b := range renovation.Blockers(c.job, c.to) {
				require.NotEmpty(t, b.Clear, "every blocker says what would clear it")
			}
		})
	}
	restricted := renovation.Blockers(with(func(j *renovation.Job) { j.Restricted = true }), renovation.Ready)
	require.Equal(t, "A restricted requirement applies, due 2026-04-13.", restricted[0].Detail, "and nothing more")
}

func TestMoreThatIsWrongNeverClearsABlocker(t *testing.T) {
	t.Parallel()
	states := []renovation.State{renovation.Drafted, renovation.Ready, renovation.UnderWay, renovation.Cleaning, renovation.Checking, renovation.Closed, renovation.CalledOff}
	wrongs := []func(*renovation.Job){
		func(j *renovation.Job) { j.WorkItems = 0 },
		func(j *renovation.Job) { j.Outcome = renovation.CoveredRenovation },
		func(j *renovation.Job) { j.HUD = true },
		func(j *renovation.Job) { j.Start = 0 },
		func(j *renovation.Job) { j.Emergency = false },
		func(j *renovation.Job) {
			j.Unmet = append(slices.Clone(j.Unmet), renovation.Duty{Recipient: renovation.Owner})
		},
		func(j *renovation.Job) { j.ChildUnits = append(slices.Clone(j.ChildUnits), "1A") },
		func(j *renovation.Job) { j.UntoldUnits = append(slices.Clone(j.UntoldUnits), "1A") },
		func(j *renovation.Job) { j.Restricted = true },
		func(j *renovation.Job) { j.NoReason = true },
		func(j *renovation.Job) { j.NeedsWipes = true },
		func(j *renovation.Job) { j.Clearance = "failed" },
		func(j *renovation.Job) { j.Verification = "" },
		func(j *renovation.Job) { j.Undelivered = []string{"1A-01", "1A-02"} },
		func(j *renovation.Job) { j.Findings = append(slices.Clone(j.Findings), "Something is open.") },
	}
	// the record of an emergency is owed by an emergency only: one that turns out to be none owes the rest instead
	count := func(j renovation.Job, to renovation.State) (n int) {
		for _, code := range codes(j, to) {
			if code != "emergency_record_missing" {
				n++
			}
		}
		return n
	}
	rapid.Check(t, func(t *rapid.T) {
		j := renovation.Job{State: rapid.SampledFrom(states).Draw(t, "state"), On: calendar.Of(2026, 4, 13), WorkItems: 1, Start: calendar.Of(2026, 4, 13),
			Outcome: renovation.Minor, Emergency: rapid.Bool().Draw(t, "emergency"), Verification: "passed"}
		to := rapid.SampledFrom(states).Draw(t, "to")
		blocked := count(j, to)
		for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(wrongs)-1), 1, 8).Draw(t, "wrongs") {
			wrongs[i](&j)
			now := count(j, to)
			require.GreaterOrEqual(t, now, blocked)
			blocked = now
		}
	})
}
