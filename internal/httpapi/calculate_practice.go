package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// CalculatePractices answers whether a method may be used.
func (s *Server) CalculatePractices(ctx context.Context, _ api.CalculatePracticesRequestObject) (api.CalculatePracticesResponseObject, error) {
	return s.calculate(ctx, "practices")
}

func practices(r *trade.Rules, b api.PracticesFacts) (any, error) {
	facts, err := form.PracticesFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Practices.In(list(b.Jurisdictions)).Judge(facts)
}
