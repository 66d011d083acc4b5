package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// CalculateCoverage answers whether a home is covered.
func (s *Server) CalculateCoverage(ctx context.Context, _ api.CalculateCoverageRequestObject) (api.CalculateCoverageResponseObject, error) {
	return s.calculate(ctx, "coverage")
}

func coverage(r *trade.Rules, b api.CoverageFacts) (any, error) {
	facts, err := form.CoverageFacts(b)
	if err != nil {
		return nil, err
	}
	answer, err := r.Homes.Cover(facts)
	if err != nil {
		return nil, err
	}
	return r.Homes.Explain(facts, answer), nil
}
