package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// CalculateHousingRuleExemption answers whether the housing rule leaves a home or a piece of work out.
func (s *Server) CalculateHousingRuleExemption(ctx context.Context, _ api.CalculateHousingRuleExemptionRequestObject) (api.CalculateHousingRuleExemptionResponseObject, error) {
	return s.calculate(ctx, "housing-rule-exemption")
}

func housingRuleExemption(r *trade.Rules, b api.HousingRuleExemptionFacts) (any, error) {
	facts, err := form.ExemptionFacts(b)
	if err != nil {
		return nil, err
	}
	return answered(r.Assistance.Exemptions.In(list(b.Jurisdictions)).Exempt(facts))
}

// CalculateAssistanceTier answers which tier a rehabilitation is in, and what follows.
func (s *Server) CalculateAssistanceTier(ctx context.Context, _ api.CalculateAssistanceTierRequestObject) (api.CalculateAssistanceTierResponseObject, error) {
	return s.calculate(ctx, "assistance-tier")
}

func assistanceTier(r *trade.Rules, b api.AssistanceTierFacts) (any, error) {
	facts, err := form.TierFacts(b)
	if err != nil {
		return nil, err
	}
	return answered(r.Assistance.Tiers.In(list(b.Jurisdictions)).Tier(facts))
}

// CalculateAssistanceRequirements answers what a home owes under its programmes.
func (s *Server) CalculateAssistanceRequirements(ctx context.Context, _ api.CalculateAssistanceRequirementsRequestObject) (api.CalculateAssistanceRequirementsResponseObject, error) {
	return s.calculate(ctx, "assistance-requirements")
}

func assistanceRequirements(r *trade.Rules, b api.AssistanceRequirementsFacts) (any, error) {
	facts, err := form.ProgrammesFacts(b)
	if err != nil {
		return nil, err
	}
	return answered(r.Assistance.Programmes.In(list(b.Jurisdictions)).Require(facts))
}
