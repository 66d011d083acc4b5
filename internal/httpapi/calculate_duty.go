package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// CalculateStanding answers how a unit stands.
func (s *Server) CalculateStanding(ctx context.Context, _ api.CalculateStandingRequestObject) (api.CalculateStandingResponseObject, error) {
	return s.calculate(ctx, "standing")
}

func standing(r *trade.Rules, b api.StandingFacts) (any, error) {
	return answered(r.Standings.In(list(b.Jurisdictions)).Judge(form.StandingFacts(b)))
}

// CalculateDuties answers what is owed by when.
func (s *Server) CalculateDuties(ctx context.Context, _ api.CalculateDutiesRequestObject) (api.CalculateDutiesResponseObject, error) {
	return s.calculate(ctx, "duties")
}

func duties(r *trade.Rules, b api.DutiesFacts) (any, error) {
	facts, err := form.DutiesFacts(b)
	if err != nil {
		return nil, err
	}
	return answered(r.Duties.Of(facts))
}
