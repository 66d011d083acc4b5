package httpapi_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
)

// Who runs the renovation programme somewhere is told by an overlay like any other local value.
func TestAnOverlaySaysWhoseCertificatesHoldSomewhere(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	c := s.Owner()
	enter := func(jurisdiction, own string) {
		c.Post("/v1/overlays", map[string]any{"jurisdiction": jurisdiction, "title": "Renovation programme", "citation": "Code 1", "values": []any{map[string]any{
			"parameter": "own_renovation_programme", "value": own, "effective": "2022-01-01", "citation": "Code 1", "source": "text"}}}).Is(201)
	}
	enter("us-zy", "1")
	enter("us-zx", "0")
	for _, row := range []struct{ place, issuer, day, outcome string }{
		{"us-zz", "epa", "2026-03-02", "valid"}, // not on record: either is accepted
		{"us-zz", "us-zz", "2026-03-02", "valid"},
		{"us-zy", "epa", "2026-03-02", "not_valid_here"},
		{"us-zy", "us-zy", "2026-03-02", "valid"},
		{"us-zy", "epa", "2021-12-31", "valid"}, // before the state took the programme over, as far as is on record
		{"us-zx", "epa", "2026-03-02", "valid"},
		{"us-zx", "us-zx", "2026-03-02", "not_valid_here"},
	} {
		a := c.Post("/v1/calculations/certificate", map[string]any{"as_of": row.day, "jurisdictions": []string{row.place}, "certificates": []any{
			map[string]any{"discipline": "renovator", "basis": "initial", "issuer": row.issuer, "issued_on": "2021-11-01"}}}).Is(200)
		require.Equal(t, row.outcome, a.JSON()["outcome"], "%+v", row)
	}
}
