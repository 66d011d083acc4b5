package renovation_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
	"sillbook/internal/trade/renovation"
)

func TestWhatIsNotKnownOfAnEmergencyLiftsNothingMore(t *testing.T) {
	t.Parallel()
	r := rules(t)
	weight := map[string]int{"lifted": 0, "lifted_as_far_as_needed": 1, "in_force": 2, "never_lifted": 2}
	tri := rapid.SampledFrom([]law.Tri{law.Yes, law.No, law.Unknown})
	rapid.Check(t, func(t *rapid.T) {
		f := renovation.EmergencyFacts{On: calendar.Of(2026, 4, 15), Sudden: tri.Draw(t, "sudden"), Hazard: tri.Draw(t, "hazard"), Damage: tri.Draw(t, "damage"), Restricted: rapid.Bool().Draw(t, "restricted")}
		told, err := r.Emergency(f)
		require.NoError(t, err)
		text, err := json.Marshal(told)
		require.NoError(t, err)
		require.NotContains(t, string(text), "blood")
		require.NotContains(t, string(text), "child")
		switch rapid.IntRange(0, 2).Draw(t, "forgotten") {
		case 0:
			f.Sudden = law.Unknown
		case 1:
			f.Hazard = law.Unknown
		case 2:
			f.Damage = law.Unknown
		}
		untold, err := r.Emergency(f)
		require.NoError(t, err)
		for i, p := range told.Provisions {
			require.GreaterOrEqual(t, weight[untold.Provisions[i].Status], weight[p.Status], p.Provision)
			if p.Provision == "cleaning" || p.Provision == "verification" || p.Provision == "records" || p.Provision == "practices" {
				require.Equal(t, 2, weight[p.Status], "40 CFR 745.82(b) (text)")
			}
		}
	})
}

// What a job's record may name as not followed is what the question of emergencies says is lifted.
func TestRecordOfAnEmergencyNamesWhatItLifts(t *testing.T) {
	t.Parallel()
	for kind, f := range map[renovation.EmergencyKind]renovation.EmergencyFacts{
		renovation.SuddenEvent:    {On: calendar.Of(2026, 4, 15), Sudden: law.Yes, Hazard: law.Yes},
		renovation.HazardResponse: {On: calendar.Of(2026, 4, 15), Restricted: true},
	} {
		a, err := rules(t).Emergency(f)
		require.NoError(t, err)
		require.Len(t, a.Provisions, 10)
		for _, p := range a.Provisions {
			is, stays := kind.Stays(p.Provision)
			require.Equal(t, p.Status, is.Status, "%s, %s", kind, p.Provision)
			require.Equal(t, p.Status == "never_lifted" || p.Status == "in_force", stays, "%s, %s", kind, p.Provision)
		}
	}
}
