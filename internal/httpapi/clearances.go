package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade/clearance"
	"sillbook/internal/trade/law"
)

// ListClearances answers the operation of that name.
func (s *Server) ListClearances(ctx context.Context, _ api.ListClearancesRequestObject) (api.ListClearancesResponseObject, error) {
	return s.list(ctx, form.Clearance)
}

// CreateClearance judges wipes and keeps them with their verdict.
func (s *Server) CreateClearance(ctx context.Context, told api.CreateClearanceRequestObject) (api.CreateClearanceResponseObject, error) {
	r := requestOf(ctx)
	sampling, err := form.Sampling(*told.Body, r.body, s.now())
	if err != nil {
		return nil, err
	}
	outcome, err := s.store.RecordClearance(ctx, r.call(), sampling, func(v clearance.Verdict, d law.Determination) any {
		return form.Judged(told.Body.Samples, v, d)
	})
	return s.answer(ctx, form.Clearance, outcome, err)
}

// GetClearance answers the operation of that name.
func (s *Server) GetClearance(ctx context.Context, r api.GetClearanceRequestObject) (api.GetClearanceResponseObject, error) {
	return s.get(ctx, form.Clearance, r.Id)
}

// EndClearance answers the operation of that name. What followed from the clearance stands.
func (s *Server) EndClearance(ctx context.Context, r api.EndClearanceRequestObject) (api.EndClearanceResponseObject, error) {
	return s.end(ctx, form.Clearance, r.Id)
}
