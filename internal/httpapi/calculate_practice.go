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

// CalculateExposure answers what a worker's exposure calls for.
func (s *Server) CalculateExposure(ctx context.Context, _ api.CalculateExposureRequestObject) (api.CalculateExposureResponseObject, error) {
	return s.calculate(ctx, "exposure")
}

func exposure(r *trade.Rules, b api.ExposureFacts) (any, error) {
	facts, err := form.ExposureFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Exposures.In(list(b.Jurisdictions)).Assess(facts)
}
