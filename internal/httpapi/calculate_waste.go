package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// CalculateWasteClass answers what waste is and where it may go.
func (s *Server) CalculateWasteClass(ctx context.Context, _ api.CalculateWasteClassRequestObject) (api.CalculateWasteClassResponseObject, error) {
	return s.calculate(ctx, "waste-class")
}

func wasteClass(r *trade.Rules, b api.WasteClassFacts) (any, error) {
	facts, err := form.WasteClassFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Wastes.In(list(b.Jurisdictions)).Classify(facts)
}
