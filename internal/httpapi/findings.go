package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
)

var findingKind = form.Kind{Name: "finding", Path: "findings", Schema: "Finding"}

// ListFindings lists what should not have happened.
func (s *Server) ListFindings(ctx context.Context, _ api.ListFindingsRequestObject) (api.ListFindingsResponseObject, error) {
	return s.list(ctx, findingKind)
}

// GetFinding reads a finding.
func (s *Server) GetFinding(ctx context.Context, r api.GetFindingRequestObject) (api.GetFindingResponseObject, error) {
	return s.get(ctx, findingKind, r.Id)
}

// AddFindingStep takes a finding one step towards closing.
func (s *Server) AddFindingStep(ctx context.Context, told api.AddFindingStepRequestObject) (api.AddFindingStepResponseObject, error) {
	r, b := requestOf(ctx), told.Body
	if b.What == api.FindingStepWhatSignedOff && r.caller.Role != credential.Owner && r.caller.Role != credential.Manager {
		return nil, fault.New(fault.Forbidden, "role", "Only an owner or a manager signs a finding off.").
			Fix("Tell the corrections and re-checks, and ask a manager to sign off.")
	}
	var faults fault.Faults
	form.NotTomorrow(&faults, "/on", b.On.Time, s.now())
	if err := faults.Err(); err != nil {
		return nil, err
	}
	outcome, err := s.store.AddFindingStep(ctx, r.call(), told.Id,
		postgres.FindingStep{What: string(b.What), On: b.On.String(), By: b.By, Note: b.Note})
	return s.answer(ctx, findingKind, outcome, err)
}
