package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// CalculateReevaluation answers what maintenance and reevaluation a home owes.
func (s *Server) CalculateReevaluation(ctx context.Context, _ api.CalculateReevaluationRequestObject) (api.CalculateReevaluationResponseObject, error) {
	return s.calculate(ctx, "reevaluation")
}

func reevaluation(r *trade.Rules, b api.ReevaluationFacts) (any, error) {
	return answered(r.Assistance.Upkeep.In(list(b.Jurisdictions)).Judge(form.UpkeepFacts(b)))
}

// CalculateDisclosure answers what must be disclosed before a sale or lease.
func (s *Server) CalculateDisclosure(ctx context.Context, _ api.CalculateDisclosureRequestObject) (api.CalculateDisclosureResponseObject, error) {
	return s.calculate(ctx, "disclosure")
}

func disclosure(r *trade.Rules, b api.DisclosureFacts) (any, error) {
	return answered(r.Disclosures.In(list(b.Jurisdictions)).Judge(form.DisclosureFacts(b)))
}
