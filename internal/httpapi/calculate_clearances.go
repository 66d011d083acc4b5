package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
	"sillbook/internal/trade/clearance"
)

// CalculateClearance judges wipes as a recorded clearance would be, and keeps nothing.
func (s *Server) CalculateClearance(ctx context.Context, _ api.CalculateClearanceRequestObject) (api.CalculateClearanceResponseObject, error) {
	return s.calculate(ctx, "clearance")
}

func clearanceOf(r *trade.Rules, b api.ClearanceFacts) (any, error) {
	facts, on, jurisdictions, programmes, err := form.ClearanceFacts(b)
	if err != nil {
		return nil, err
	}
	limits := r.Clearances.On(on, jurisdictions, programmes)
	verdict, err := clearance.Decide(facts, limits)
	if err != nil {
		return nil, err
	}
	d := verdict.Determination(facts, limits, r.Law.RuleSet())
	clearance.Otherwise(&d, facts, limits)
	return form.Judged(b.Samples, verdict, d), nil
}

// CalculateClearanceAuthority answers who may clear.
func (s *Server) CalculateClearanceAuthority(ctx context.Context, _ api.CalculateClearanceAuthorityRequestObject) (api.CalculateClearanceAuthorityResponseObject, error) {
	return s.calculate(ctx, "clearance-authority")
}

func clearanceAuthority(r *trade.Rules, b api.ClearanceAuthorityFacts) (any, error) {
	return r.Clearances.Authorities.Judge(form.ClearanceAuthorityFacts(b))
}

// CalculateClearanceLimits answers which dust levels hold on a date.
func (s *Server) CalculateClearanceLimits(ctx context.Context, _ api.CalculateClearanceLimitsRequestObject) (api.CalculateClearanceLimitsResponseObject, error) {
	return s.calculate(ctx, "clearance-limits")
}

func clearanceLimits(r *trade.Rules, b api.ClearanceLimitsFacts) (any, error) {
	return r.Clearances.Levels(form.ClearanceLimitsFacts(b))
}

// CalculateDraw draws units or rooms.
func (s *Server) CalculateDraw(ctx context.Context, _ api.CalculateDrawRequestObject) (api.CalculateDrawResponseObject, error) {
	return s.calculate(ctx, "draws")
}

func draws(r *trade.Rules, b api.DrawFacts) (any, error) {
	return r.Clearances.Draw(form.DrawFacts(b))
}

// CalculateUnitCounts answers how many similar units to sample.
func (s *Server) CalculateUnitCounts(ctx context.Context, _ api.CalculateUnitCountsRequestObject) (api.CalculateUnitCountsResponseObject, error) {
	return s.calculate(ctx, "unit-counts")
}

func unitCounts(r *trade.Rules, b api.UnitCountFacts) (any, error) {
	facts, err := form.UnitCountFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Clearances.Counts.In(list(b.Jurisdictions)).Count(facts)
}

// CalculateSamplingPlan answers where dust wipes are taken.
func (s *Server) CalculateSamplingPlan(ctx context.Context, _ api.CalculateSamplingPlanRequestObject) (api.CalculateSamplingPlanResponseObject, error) {
	return s.calculate(ctx, "sampling-plan")
}

func samplingPlan(r *trade.Rules, b api.SamplingPlanFacts) (any, error) {
	facts, err := form.SamplingPlanFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Clearances.Plans.Plan(facts)
}
