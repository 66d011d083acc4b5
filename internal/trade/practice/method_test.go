package practice_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/trade/practice"
)

func TestStanceOfEachMethod(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		method     practice.Method
		epa, hud   practice.Stance
		neverMinor bool
		source     string
	}{
		{practice.OpenFlame, practice.Prohibited, practice.Prohibited, true, "40 CFR 745.85(a)(3)(i); 24 CFR 35.140"},
		{practice.MachineWithoutShroud, practice.Prohibited, practice.Prohibited, true, "40 CFR 745.85(a)(3)(ii)"},
		{practice.MachineWithShroud, practice.Restricted, practice.Restricted, true, "40 CFR 745.85(a)(3)(ii); 745.83 (derived): restricted is never minor"},
		{practice.AbrasiveBlasting, practice.Prohibited, practice.Prohibited, true, "40 CFR 745.85(a)(3)(ii)"},
		{practice.AbrasiveBlastingHEPA, practice.Restricted, practice.Restricted, true, "40 CFR 745.85(a)(3)(ii)"},
		{practice.HeatGun, practice.Restricted, practice.Restricted, true, "40 CFR 745.85(a)(3)(iii): below 1,100 F only"},
		{practice.DryScraping, practice.Allowed, practice.Restricted, false, "24 CFR 35.140; not in EPA's list"},
		{practice.DrySanding, practice.Allowed, practice.Restricted, false, "24 CFR 35.140; not in EPA's list"},
		{practice.SolventStripper, practice.Allowed, practice.Restricted, false, "24 CFR 35.140: poorly ventilated space"},
		{practice.WetScraping, practice.Allowed, practice.Allowed, false, "neither list"},
		{practice.Unknown, practice.Restricted, practice.Restricted, true, "unknown facts get the protective answer"},
		{practice.Method("sorcery"), practice.Restricted, practice.Restricted, true, "unknown facts get the protective answer"},
	} {
		t.Run(string(c.method)+" "+c.source, func(t *testing.T) {
			t.Parallel()
			rule := practice.RuleOf(c.method)
			require.Equal(t, c.epa, rule.EPA)
			require.Equal(t, c.hud, rule.HUD)
			require.Equal(t, c.neverMinor, rule.NeverMinor())
		})
	}
}

func TestEveryRestrictionNamesItsGuardAndClause(t *testing.T) {
	t.Parallel()
	for _, m := range practice.Methods() {
		rule := practice.RuleOf(m)
		if rule.EPA != practice.Allowed || rule.HUD != practice.Allowed {
			require.NotEmpty(t, rule.Guard, m)
			require.NotEmpty(t, rule.Cite.Clause, m)
		}
	}
}
