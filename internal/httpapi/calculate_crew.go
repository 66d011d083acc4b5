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
