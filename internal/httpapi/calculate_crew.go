package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// CalculateCertificate answers whether somebody is certified.
func (s *Server) CalculateCertificate(ctx context.Context, _ api.CalculateCertificateRequestObject) (api.CalculateCertificateResponseObject, error) {
	return s.calculate(ctx, "certificate")
}

func certificate(r *trade.Rules, b api.CertificateFacts) (any, error) {
	return r.Crews.Certificates.Judge(form.CertificateFacts(b))
}

// CalculateBloodLeadCase answers what a child's elevated blood lead level asks for. Its facts and its answer are restricted.
func (s *Server) CalculateBloodLeadCase(ctx context.Context, _ api.CalculateBloodLeadCaseRequestObject) (api.CalculateBloodLeadCaseResponseObject, error) {
	return s.calculate(ctx, "blood-lead-case")
}

func bloodLeadCase(r *trade.Rules, b api.BloodLeadCaseFacts) (any, error) {
	facts, err := form.BloodLeadCaseFacts(b)
	if err != nil {
		return nil, err
	}
	return r.BloodLead.Judge(facts)
}

// CalculateCrewAuthority answers who may do what.
func (s *Server) CalculateCrewAuthority(ctx context.Context, _ api.CalculateCrewAuthorityRequestObject) (api.CalculateCrewAuthorityResponseObject, error) {
	return s.calculate(ctx, "crew-authority")
}

func crewAuthority(r *trade.Rules, b api.CrewAuthorityFacts) (any, error) {
	facts, err := form.CrewAuthorityFacts(b)
	if err != nil {
		return nil, err
	}
	return r.Crews.Authority.Judge(facts)
}
