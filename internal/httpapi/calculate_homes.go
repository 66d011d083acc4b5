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
	d := r.Homes.Explain(facts, answer)
	r.Homes.Otherwise(&d, facts)
	return d, nil
}

// CalculateFacilityVisits answers whether a log of visits makes a place a child-occupied facility.
func (s *Server) CalculateFacilityVisits(ctx context.Context, _ api.CalculateFacilityVisitsRequestObject) (api.CalculateFacilityVisitsResponseObject, error) {
	return s.calculate(ctx, "facility-visits")
}

func facilityVisits(r *trade.Rules, b api.FacilityVisitsFacts) (any, error) {
	facts, err := form.VisitFacts(b)
	if err != nil {
		return nil, err
	}
	return answered(r.Visits.In(list(b.Jurisdictions)).Facility(facts))
}

// CalculateLeadFreeComponents answers which components are shown to be free of lead-based paint.
func (s *Server) CalculateLeadFreeComponents(ctx context.Context, _ api.CalculateLeadFreeComponentsRequestObject) (api.CalculateLeadFreeComponentsResponseObject, error) {
	return s.calculate(ctx, "lead-free-components")
}

func leadFreeComponents(r *trade.Rules, b api.LeadFreeComponentsFacts) (any, error) {
	facts, err := form.LeadFreeFacts(b)
	if err != nil {
		return nil, err
	}
	return answered(r.Components.In(list(b.Jurisdictions)).LeadFree(facts))
}

// CalculateHazards answers which lead hazards an assessment found.
func (s *Server) CalculateHazards(ctx context.Context, _ api.CalculateHazardsRequestObject) (api.CalculateHazardsResponseObject, error) {
	return s.calculate(ctx, "hazards")
}

func hazards(r *trade.Rules, b api.HazardsFacts) (any, error) {
	facts, err := form.HazardFacts(b)
	if err != nil {
		return nil, err
	}
	return answered(r.Hazards.In(list(b.Jurisdictions)).Hazards(facts))
}

// answered passes on a pure function's answer, or its error alone.
func answered[A any](answer A, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	return answer, nil
}
