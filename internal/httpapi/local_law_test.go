package httpapi_test

import (
	"encoding/json"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
	cases "sillbook/testdata/law"
)

// protection ranks the outcomes of each calculation: one with a higher number protects more, or asks for more. Calculations
// whose outcomes do not compare are left out.
var protection = map[string]map[string]int{
	"applicability":          {"not_covered": 0, "no_paint_disturbed": 0, "not_for_compensation": 0, "lead_free": 0, "minor": 1, "covered_renovation": 2, "abatement": 2},
	"assistance-tier":        {"lowest": 0, "middle": 1, "highest": 2},
	"blood-lead-case":        {"no_case": 0, "not_confirmed": 0, "no_federal_deadlines": 0, "closed": 0, "open": 1, "overdue": 2},
	"certificate":            {"valid": 0, "expired": 1, "not_shown": 1, "not_valid_here": 1, "not_yet_valid": 1, "stopped": 1},
	"clearance":              {"passed": 0, "inconclusive": 1, "failed": 2},
	"clearance-authority":    {"may_clear": 0, "not_shown": 1, "may_not_clear": 1},
	"cleaning-verification":  {"verified": 0, "under_way": 1, "look_first": 1, "does_not_count": 1, "clearance_instead": 0},
	"coverage":               {"not_covered": 0, "presumed_covered": 1, "covered": 1},
	"crew-authority":         {"staffed": 0, "not_staffed": 1, "done_without_authority": 1},
	"disclosure":             {"exempt": 0, "made": 0, "made_late": 1, "owed": 1, "presumed_owed": 1},
	"emergency":              {"emergency": 0, "notice_lifted_only": 1, "not_an_emergency": 2},
	"exposure":               {"below_action_level": 0, "action_level": 1, "respirator_worn": 2, "respirator_needed": 3},
	"facility-visits":        {"not_child_occupied_facility": 0, "presumed_child_occupied_facility": 1, "child_occupied_facility": 1},
	"hazards":                {"none_found": 0, "hazards_presumed": 1, "hazards_found": 1},
	"housing-rule-exemption": {"exempt": 0, "exempt_in_part": 1, "presumed_not_exempt": 2, "not_exempt": 2},
	"lead-free-components":   {"all_lead_free": 0, "not_all_lead_free": 1},
	"notice-window":          {"window": 0, "counts": 0, "not_owed": 0, "does_not_count": 1, "no_valid_date": 2},
	"occupant-protection":    {"may_stay": 0, "not_asked": 0, "keep_out": 1, "relocate": 1},
	"practices":              {"allowed": 0, "restricted": 1, "prohibited": 2},
	"record-keeping":         {"nothing_to_keep": 0, "keep": 1},
	"reevaluation":           {"in_order": 0, "due": 1, "overdue": 2},
	"waste-class": {"household_waste": 0, "not_hazardous": 0, "very_small_quantity": 1, "small_quantity": 2, "large_quantity": 3,
		"over_the_cap": 3, "held_too_long": 3},
}

// A place's own values, whatever they say, never make an answer protect less: every case of testdata/law is asked again with
// random values of the numbers that its calculation reads, in the place where it happens.
func TestNoOverlayMakesAnAnswerLessProtective(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	enterPublishedOverlays(t, s)
	book, err := law.Embedded()
	require.NoError(t, err)
	reads := map[string][]string{}
	for _, r := range trade.Catalogue() {
		reads[r.Calculation] = append(reads[r.Calculation], r.Parameters...)
	}
	random := rand.New(rand.NewPCG(1, 17))
	files, err := cases.Read()
	require.NoError(t, err)
	asked := 0
	for _, f := range files {
		for i, c := range f.Cases {
			if c.Problem != nil || protection[f.Calculation] == nil || i%3 != 0 && len(f.Cases) > 60 {
				continue
			}
			given := map[string]any{"jurisdictions": []any{"us-zz"}}
			for name, value := range c.Given {
				given[name] = value
			}
			if told, is := c.Given["jurisdictions"].([]any); is {
				given["jurisdictions"] = append(append([]any{}, told...), "us-zz")
			}
			overlay := randomOverlay(random, book, reads[f.Calculation])
			body := map[string]any{"calculation": f.Calculation, "facts": given, "under": map[string]any{"overlays": []any{overlay}}}
			a := s.Owner().Post("/v1/calculations/rehearsal", body)
			require.Less(t, a.Status, 500, "%s: %s with %v\n%s", f.Calculation, c.Name, overlay, a.Body)
			if a.Status != 200 {
				continue // a calculation that takes no place, or a value under which the facts cannot be
			}
			asked++
			before, after := outcomeOf(t, a, "before"), outcomeOf(t, a, "after")
			rank := protection[f.Calculation]
			require.Contains(t, rank, before, "%s: %s", f.Calculation, c.Name)
			require.Contains(t, rank, after, f.Calculation)
			require.GreaterOrEqual(t, rank[after], rank[before], "%s: %s: %s became %s under\n%s", f.Calculation, c.Name, before, after, toJSON(t, overlay))
		}
	}
	require.Greater(t, asked, 150)
}

func outcomeOf(t *testing.T, a contracttest.Answer, side string) string {
	t.Helper()
	outcome, is := a.JSON()[side].(map[string]any)["outcome"].(string)
	require.True(t, is)
	return outcome
}

func toJSON(t *testing.T, value any) string {
	t.Helper()
	text, err := json.Marshal(value)
	require.NoError(t, err)
	return string(text)
}

// randomOverlay gives half of the numbers that a calculation reads another value, from the day on which federal law first had
// one: before it there is nothing to be less protective than.
func randomOverlay(random *rand.Rand, book *law.Book, parameters []string) map[string]any {
	values, done := []any{}, map[string]bool{}
	for _, p := range book.Parameters() {
		for _, name := range parameters {
			if p.Name != name || p.Stricter == "neither" || done[name] || random.IntN(2) == 0 {
				continue
			}
			done[name] = true
			v := map[string]any{"parameter": name, "value": anotherValue(random, p.Values[len(p.Values)-1].Value), "effective": p.Values[0].Effective, "citation": "invented", "source": "text"}
			if p.Unit != "" {
				v["unit"] = p.Unit
			}
			values = append(values, v)
		}
	}
	return map[string]any{"jurisdiction": "us-zz", "title": "Invented ordinance", "values": values}
}

// anotherValue is a value near another, or far from it. Whole numbers stay whole: they count something.
func anotherValue(random *rand.Rand, value string) string {
	var n float64
	if json.Unmarshal([]byte(value), &n) != nil {
		return value
	}
	if n == 0 || n == 1 { // yes or no, or the least count
		return toText(int(n) + random.IntN(2))
	}
	return toText(int64(max([]float64{n / 2, n - 1, n + 1, 2 * n, 10 * n}[random.IntN(5)], 1)))
}
