package httpapi_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
)

const millbrook = `{"jurisdiction":"us-zz-millbrook","title":"Millbrook lead ordinance","external_ids":[{"system":"codes","value":"millbrook"}],
	"values":[{"parameter":"clearance_dust_floor","value":"3","unit":"ug/ft2","effective":"2020-07-01","citation":"Millbrook Code 7.4","source":"text"},
		{"parameter":"minor_repair_interior","value":"9","unit":"ft2","effective":"2020-07-01","citation":"Millbrook Code 7.5","source":"text"}],
	"requirements":[{"code":"start_notice","title":"Notice of the start","text":"Tell the building office before the work.","trigger":"renovation_start",
		"condition":"job.area > 20.0 || job.window_replaced == \"yes\"","due":{"before_at_least":{"days":7}},"effective":"2020-07-01","citation":"Millbrook Code 7.9","source":"text"}]}`

const floorOfFour = `{"sampled_on":"2026-04-15","visual_passed":true,"minutes_after_cleaning":90,"jurisdictions":["us-zz-millbrook"],
	"samples":[{"label":"F-1","surface":"floor_bare","area":{"value":"1","unit":"ft2"},"mass":{"value":"4","unit":"ug"}}]}`

func TestOverlayTightensWhatItTightensAndNothingElse(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	before := c.Post("/v1/calculations/clearance", floorOfFour).Is(200).JSON()
	require.Equal(t, "passed", before["outcome"], "40 CFR 745.227(e)(8)(viii), secondary: below 5")
	require.Contains(t, toText(before["determination"]), "No rules of us-zz-millbrook are on record here")

	id := c.Post("/v1/overlays", millbrook).Is(201).ID()
	after := c.Post("/v1/calculations/clearance", floorOfFour).Is(200).JSON()
	require.Equal(t, "failed", after["outcome"], "Millbrook's level is 3")
	require.Contains(t, toText(after), "Millbrook Code 7.4")
	require.NotContains(t, toText(after), "No rules of us-zz-millbrook")

	minor := c.Post("/v1/calculations/applicability", `{"on":"2026-03-20","home_covered":"yes","area":{"value":"7","unit":"ft2"},"method":"wet_scraping","done_by":"hired_firm","jurisdictions":["us-zz-millbrook"]}`).Is(200).JSON()
	require.Equal(t, "covered_renovation", minor["outcome"], "nine square feet are weaker than the federal six, which govern")
	require.Contains(t, toText(minor), "the federal minimum governs")
	require.Contains(t, toText(minor), "Millbrook Code 7.5")

	effects := c.Get("/v1/overlays/" + id + "/effects").Is(200).JSON()["effects"].([]any)
	require.Equal(t, "governs", effects[0].(map[string]any)["effect"])
	require.Equal(t, "minor_repair_interior", effects[len(effects)-1].(map[string]any)["parameter"])
	require.Equal(t, "federal_minimum_governs", effects[len(effects)-1].(map[string]any)["effect"])

	_, key := s.Open("Elsewhere")
	require.Equal(t, "passed", s.Client(key).Post("/v1/calculations/clearance", floorOfFour).Is(200).JSON()["outcome"], "another organization has not entered it")

	c.With("If-Match", `"1"`).Post("/v1/overlays/"+id+"/end", `{"how":"ended","reason":"Repealed."}`).Is(200)
	require.Equal(t, "passed", c.Post("/v1/calculations/clearance", floorOfFour).Is(200).JSON()["outcome"])
}

func TestOverlayTightensWhatIsStored(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	c.Put("/v1/overlays/by-external-id/codes/millbrook", millbrookWith("minor_repair_interior", "2")).Is(201)
	c.Put("/v1/overlays/by-external-id/codes/millbrook", millbrookWith("minor_repair_interior", "2")).Is(200)
	property := c.Post("/v1/properties", `{"name":"Alder Court","time_zone":"America/New_York","jurisdictions":["us-zz-millbrook"],"address":{"street":"1 Alder Road","city":"Millbrook","region":"ZZ","postal_code":"00000"}}`).Is(201).ID()
	building := c.Post("/v1/buildings", object{"property_id": property, "name": "A", "build_year": object{"year": 1931, "source": "tax_record", "certainty": "recorded"}}).Is(201).ID()
	unit := c.Post("/v1/units", object{"building_id": building, "name": "1", "kind": "dwelling"}).Is(201).ID()
	room := c.Post("/v1/rooms", object{"unit_id": unit, "name": "Kitchen", "kind": "room"}).Is(201).ID()
	repair := c.Post("/v1/small-repairs", object{"room_id": room, "done_on": "2026-04-02", "component": "wall", "area": object{"value": "3", "unit": "ft2"},
		"method": "wet_scraping", "done_by": "landlord_employee"}).Is(201).JSON()
	require.Equal(t, "covered_renovation", repair["outcome"], "three square feet are more than Millbrook's two")
	require.Contains(t, toText(repair["determination"]), "+", "the rule set names the overlay")

	path := "/v1/small-repairs/" + repair["id"].(string) + "/rehearsal"
	r := c.Post(path, `{"under":{"without_overlays":true}}`).Is(200).JSON()
	require.Equal(t, true, r["changed"])
	require.Equal(t, "covered_renovation", r["before"].(map[string]any)["outcome"])
	require.Equal(t, "minor", r["after"].(map[string]any)["outcome"])
	require.Equal(t, "/outcome", r["differences"].([]any)[0].(map[string]any)["pointer"])
	require.Equal(t, repair["outcome"], c.Get("/v1/small-repairs/" + repair["id"].(string)).Is(200).JSON()["outcome"], "nothing was stored")

	job := c.Post("/v1/renovations", object{"property_id": property, "title": "Hall", "planned_start": "2026-08-03", "work_items": []object{{"room_id": room, "component": "wall",
		"area": object{"value": "3", "unit": "ft2"}, "method": "wet_scraping"}}, "done_by": object{"relation": "landlord_employee"}}).Is(201).JSON()
	require.Equal(t, "covered_renovation", job["outcome"])
	r = c.Post("/v1/renovations/"+job["id"].(string)+"/rehearsal", `{"under":{"without_overlays":true}}`).Is(200).JSON()
	require.Equal(t, []any{"covered_renovation", "minor"}, []any{r["before"].(map[string]any)["outcome"], r["after"].(map[string]any)["outcome"]})
	empty := c.Post("/v1/renovations", object{"property_id": property, "title": "Nothing yet", "work_items": []object{}}).Is(201).ID()
	require.Equal(t, false, c.Post("/v1/renovations/"+empty+"/rehearsal", `{"under":{"without_overlays":true}}`).Is(200).JSON()["changed"], "a job without work has no answer")
	r = c.Post("/v1/units/"+unit+"/rehearsal", `{"under":{"required_on":"2000-01-01"}}`).Is(200).JSON()
	require.Equal(t, "presumed_covered", r["after"].(map[string]any)["outcome"])
}

func TestLocalRequirementsOfAnEvent(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	c.Post("/v1/overlays", millbrook).Is(201)
	ask := func(facts string) map[string]any {
		return c.Post("/v1/calculations/local-requirements", `{"as_of":"2026-05-01","jurisdictions":["us-zz-millbrook"],"event":"renovation_start","on":"2026-06-01","facts":`+facts+`}`).Is(200).JSON()
	}
	a := ask(`[{"fact":"job.area","value":"30"}]`)["requirements"].([]any)[0].(map[string]any)
	require.Equal(t, "2026-05-25", a["due_by"])
	require.Equal(t, "yes", a["applies"])
	require.Equal(t, "presumed", ask(`[]`)["requirements"].([]any)[0].(map[string]any)["applies"], "unknown facts get the protective answer")
	require.Empty(t, ask(`[{"fact":"job.area","value":"20"},{"fact":"job.window_replaced","value":"no"}]`)["requirements"])
	for facts, pointer := range map[string]string{`[{"fact":"resident.pregnant","value":"yes"}]`: "/facts/0/value", `[{"fact":"job.area","value":"-1"}]`: "/facts/0/value",
		`[{"fact":"job.area","value":"1"},{"fact":"job.area","value":"2"}]`: "/facts/1/fact"} {
		p := c.Post("/v1/calculations/local-requirements", `{"as_of":"2026-05-01","jurisdictions":["us-zz-millbrook"],"event":"renovation_start","on":"2026-06-01","facts":`+facts+`}`).Problem(422, "implausible")
		require.Equal(t, []string{pointer}, contracttest.Pointers(p), facts)
	}
}

func TestOverlaysThatCannotBeAreRefusedWithTheirField(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	for name, bad := range map[string]struct{ body, pointer string }{
		"a parameter that is not one": {millbrookWith("minor_repairs", "2"), "/values/0/parameter"},
		"federal law":                 {`{"jurisdiction":"us","title":"Federal"}`, "/jurisdiction"},
		"a condition on a fact that is not one": {`{"jurisdiction":"us-zz","title":"T","requirements":[{"code":"a","title":"a","text":"a","trigger":"sale","condition":"resident.pregnant",
			"effective":"2020-01-01","citation":"c","source":"text"}]}`, "/requirements/0/condition"},
		"weaker, and strict": {`{"jurisdiction":"us-zz","title":"T","strict":true,"values":[{"parameter":"minor_repair_interior","value":"9","unit":"ft2","effective":"2020-01-01","citation":"c","source":"text"}]}`, "/values/0/value"},
	} {
		p := c.Post("/v1/overlays", bad.body).Problem(422, "implausible")
		require.Equal(t, []string{bad.pointer}, contracttest.Pointers(p), name)
	}
	require.Empty(t, c.Get("/v1/overlays").Is(200).JSON()["items"])
}

func TestRehearsalAsksAgainUnderOtherLaw(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	sill := `{"calculation":"clearance","facts":{"sampled_on":"2025-06-02","visual_passed":true,"minutes_after_cleaning":90,
		"samples":[{"label":"S-1","surface":"sill","area":{"value":"36","unit":"in2"},"mass":{"value":"15","unit":"ug"}}]},"under":`
	r := c.Post("/v1/calculations/rehearsal", sill+`{"required_on":"2026-01-12"}}`).Is(200).JSON()
	require.Equal(t, "passed", r["before"].(map[string]any)["outcome"], "60 ug/ft2 is below 100, 86 FR 983")
	require.Equal(t, "failed", r["after"].(map[string]any)["outcome"], "and not below 40, 89 FR 89416 (secondary)")
	require.Equal(t, true, r["changed"])
	require.NotEmpty(t, r["differences"])

	r = c.Post("/v1/calculations/rehearsal", sill+`{"overlays":[`+millbrook+`]}}`).Is(200).JSON()
	require.Equal(t, false, r["changed"], "no place that the facts name has an overlay")

	sets := c.Get("/v1/law/rule-sets").Is(200).JSON()["items"].([]any)
	last := sets[len(sets)-1].(map[string]any)
	require.Equal(t, true, last["answers_now"])
	r = c.Post("/v1/calculations/rehearsal", sill+`{"rule_set":"`+last["rule_set"].(string)+`"}}`).Is(200).JSON()
	require.Empty(t, r["differences"])

	for under, pointer := range map[string]string{`{}`: "/under", `{"rule_set":"1-ffffffffffff"}`: "/under/rule_set", `{"rule_set":"1-ffffffffffff","known_on":"2026-01-01"}`: "/under/known_on",
		`{"overlays":[{"jurisdiction":"us","title":"Federal"}]}`: "/under/overlays/0/jurisdiction", `{"known_on":"1990-01-01"}`: "/facts/sampled_on"} {
		answer := c.Post("/v1/calculations/rehearsal", sill+under+`}`)
		if pointer == "/facts/sampled_on" {
			require.Equal(t, "inconclusive", answer.Is(200).JSON()["after"].(map[string]any)["outcome"], "the book knew no level then")
			continue
		}
		require.Equal(t, []string{pointer}, contracttest.Pointers(answer.Problem(422, "implausible")), under)
	}
	p := c.Post("/v1/calculations/rehearsal", `{"calculation":"clearance","facts":{"sampled_on":"2025-06-02","colour":"red"},"under":{"known_on":"2026-01-01"}}`).Problem(422, "implausible")
	require.NotEmpty(t, contracttest.Pointers(p))
	for _, pointer := range contracttest.Pointers(p) {
		require.Regexp(t, "^/facts", pointer)
	}
	p = c.Post("/v1/calculations/rehearsal", `{"calculation":"horoscope","facts":{},"under":{"known_on":"2026-01-01"}}`).Problem(422, "implausible")
	require.Equal(t, []string{"/calculation"}, contracttest.Pointers(p))
}

func millbrookWith(parameter, value string) string {
	return `{"jurisdiction":"us-zz-millbrook","title":"Millbrook lead ordinance","values":[{"parameter":"` + parameter + `","value":"` + value + `","unit":"ft2",
		"effective":"2020-07-01","citation":"Millbrook Code 7.5","source":"text"}]}`
}

// toText is a part of an answer as text.
func toText(value any) string { return fmt.Sprint(value) }
