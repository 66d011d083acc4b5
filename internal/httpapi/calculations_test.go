package httpapi_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/api"
	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

func TestCalculationsAnswerFromFactsAndStoreNothing(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Client(s.Key(postgres.Key{Name: "Reader", Role: credential.Reader}))
	var d api.Determination
	c.Post("/v1/calculations/coverage", `{"as_of":"2026-03-02","kind":"dwelling"}`).Is(200).Into(&d)
	require.Equal(t, "presumed_covered", d.Outcome)
	require.NotEmpty(t, d.Missing)
	c.Post("/v1/calculations/coverage", `{"as_of":"2026-03-02","kind":"dwelling","build_year":{"year":1978,"certainty":"recorded"}}`).Is(200).Into(&d)
	require.Equal(t, "not_covered", d.Outcome, `40 CFR 745.103, "target housing" (text)`)

	var a api.ApplicabilityAnswer
	c.Post("/v1/calculations/applicability", `{"on":"2026-03-20","home_covered":"yes","area":{"value":"3","unit":"ft2"},"method":"wet_scraping",
		"done_by":"landlord_employee","other_jobs":[{"on":"2026-03-01","area":{"value":"4","unit":"ft2"}}]}`).Is(200).Into(&a)
	require.Equal(t, api.WorkOutcomeCoveredRenovation, a.Outcome, "40 CFR 745.83 (derived)")
	require.Equal(t, "7.00", a.Total.Total.Value)
	require.NotEmpty(t, *a.MustHappenFirst)

	var n api.NoticeAnswer
	c.Post("/v1/calculations/notice-window", `{"start":"2026-04-13","how":"mailed","recipient":"owner","given_on":"2026-04-07"}`).Is(200).Into(&n)
	require.False(t, *n.Counts, "40 CFR 745.84(a)(1)(ii): mailed at least 7 days before (text)")
	require.Equal(t, "2026-04-06", n.ValidTo.String())
	c.Post("/v1/calculations/notice-window", `{"start":"2026-04-13","how":"handed","recipient":"owner"}`).Is(200).Into(&n)
	require.Equal(t, "2026-02-12", n.ValidFrom.String())

	for path, bad := range map[string][2]string{
		"/v1/calculations/coverage":      {`{"as_of":"1980-03-02","kind":"dwelling"}`, "/as_of"},
		"/v1/calculations/applicability": {`{"on":"2026-03-20","method":"wet_scraping","area":{"value":"-3","unit":"ft2"}}`, "/area/value"},
		"/v1/calculations/notice-window": {`{"start":"1980-04-13","how":"mailed","recipient":"owner"}`, "/start"},
	} {
		require.Equal(t, []string{bad[1]}, contracttest.Pointers(c.Post(path, bad[0]).Problem(422, "implausible")), path)
	}
}

func TestParametersAreShownWithTheirHistory(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	var all, one api.ParameterList
	c.Get("/v1/law/parameters").Is(200).Into(&all)
	require.Greater(t, len(all.Items), 10)
	c.Get("/v1/law/parameters?name=clearance_dust_floor").Is(200).Into(&one)
	require.Len(t, one.Items, 1)
	require.Equal(t, "ug/ft2", *one.Items[0].Unit)
	for _, p := range all.Items {
		for _, v := range p.Values {
			require.NotEmpty(t, v.Citation, p.Name)
			require.Contains(t, []string{"text", "secondary", "memory", "derived", "common_practice"}, v.Source, p.Name)
		}
	}
}

func TestPrintedTablesAreShownBesideTheParameters(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	var one api.ParameterList
	c.Get("/v1/law/parameters?name=inspection_unit_counts").Is(200).Into(&one)
	require.Empty(t, one.Items)
	require.Len(t, *one.Tables, 1)
	table := (*one.Tables)[0]
	require.Equal(t, []string{"before_1960", "from_1960"}, table.Columns)
	require.Equal(t, []string{"all", "all"}, table.Rows[0].Take)
	last := table.Rows[len(table.Rows)-1]
	require.Equal(t, []string{"5.8 %", "2.9 %"}, last.Take)
	require.Nil(t, last.To)
	require.Empty(t, table.Corrections)
}

func TestAssistedHomesHaveATestOfTheirOwn(t *testing.T) {
	t.Parallel()
	c := contracttest.New(t).Owner()
	ask := func(more string) (a api.ApplicabilityAnswer) {
		c.Post("/v1/calculations/applicability", `{"on":"2026-03-02","home_covered":"yes","component":"window sill","area":{"value":"1","unit":"ft2"},
			"method":"wet_scraping","done_by":"hired_firm"`+more+`}`).Is(200).Into(&a)
		return a
	}
	// 24 CFR 35.1350(d) (text): not more than 10 % of a small component, beside the areas.
	small, over := ask(`,"assisted":"yes","share":{"value":"10","unit":"%"}`), ask(`,"assisted":"yes","share":{"value":"10.1","unit":"%"}`)
	require.Equal(t, api.WorkOutcomeMinor, small.Outcome)
	require.Empty(t, *small.MustHappenFirst)
	require.Equal(t, api.WorkOutcomeMinor, over.Outcome)
	require.Equal(t, "hud_clearance", (*over.MustHappenFirst)[0].Code)
	require.NotEmpty(t, *over.Determination.Differences, "the two rules part here, and the answer says so")
	rented := ask(`,"rented":"yes"`)
	require.Equal(t, api.WorkOutcomeMinor, rented.Outcome)
	p := c.Post("/v1/calculations/applicability", `{"on":"2026-03-02","method":"wet_scraping","share":{"value":"101","unit":"%"}}`).Problem(422, "implausible")
	require.Equal(t, []string{"/share/value"}, contracttest.Pointers(p))
}
