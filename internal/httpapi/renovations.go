package httpapi

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/credential"
	"sillbook/internal/fault"
	"sillbook/internal/form"
	"sillbook/internal/postgres"
	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/renovation"
)

// ListRenovations answers the operation of that name.
func (s *Server) ListRenovations(ctx context.Context, _ api.ListRenovationsRequestObject) (api.ListRenovationsResponseObject, error) {
	return s.list(ctx, form.Renovation)
}

// CreateRenovation answers the operation of that name.
func (s *Server) CreateRenovation(ctx context.Context, _ api.CreateRenovationRequestObject) (api.CreateRenovationResponseObject, error) {
	return s.create(ctx, form.Renovation)
}

// GetRenovation answers the operation of that name.
func (s *Server) GetRenovation(ctx context.Context, r api.GetRenovationRequestObject) (api.GetRenovationResponseObject, error) {
	return s.get(ctx, form.Renovation, r.Id)
}

// PatchRenovation answers the operation of that name.
func (s *Server) PatchRenovation(ctx context.Context, r api.PatchRenovationRequestObject) (api.PatchRenovationResponseObject, error) {
	return s.patch(ctx, form.Renovation, r.Id)
}

// PutRenovationByExternalId answers the operation of that name.
func (s *Server) PutRenovationByExternalId(ctx context.Context, r api.PutRenovationByExternalIdRequestObject) (api.PutRenovationByExternalIdResponseObject, error) {
	return s.put(ctx, form.Renovation, r.System, r.Value)
}

// EndRenovation answers the operation of that name.
func (s *Server) EndRenovation(ctx context.Context, r api.EndRenovationRequestObject) (api.EndRenovationResponseObject, error) {
	return s.end(ctx, form.Renovation, r.Id)
}

// MoveRenovation makes a move, or refuses it with everything that stands in its way.
func (s *Server) MoveRenovation(ctx context.Context, told api.MoveRenovationRequestObject) (api.MoveRenovationResponseObject, error) {
	r, b := requestOf(ctx), told.Body
	m := postgres.Move{To: renovation.State(b.To)}
	if b.Reason != nil {
		m.Reason = *b.Reason
	}
	if b.Override != nil {
		if r.caller.Role != credential.Owner || r.caller.Grant != uuid.Nil {
			return nil, fault.New(fault.Forbidden, "role", "Only an owner of the organization, with a key of its own, has a move made by an override.").
				At("/override", "role", "This credential is not an owner's own key.").
				Fix("Leave override out and clear what stands in the way, or ask an owner.")
		}
		m.Override = b.Override.Reason
	}
	if b.On != nil {
		var err error
		if m.On, err = calendar.ParseDate(b.On.String()); err != nil {
			return nil, err
		}
	}
	outcome, err := s.store.MoveRenovation(ctx, r.call(), told.Id, r.match, m)
	return s.answer(ctx, form.Renovation, outcome, err)
}

// ListBlockers says what stands in the way of a move, the next one unless another is asked about.
func (s *Server) ListBlockers(ctx context.Context, told api.ListBlockersRequestObject) (api.ListBlockersResponseObject, error) {
	r := requestOf(ctx)
	var m postgres.Move
	if told.Params.To != nil {
		m.To = renovation.State(*told.Params.To)
	}
	if told.Params.On != nil {
		var err error
		if m.On, err = calendar.ParseDate(told.Params.On.String()); err != nil {
			return nil, err
		}
	}
	to, blockers, err := s.store.Blockers(ctx, r.call(), told.Id, m)
	if err != nil {
		return nil, inQuery(err)
	}
	list := api.BlockerList{To: api.RenovationState(to), Blockers: make([]api.Blocker, len(blockers))}
	for i, b := range blockers {
		list.Blockers[i] = api.Blocker{Code: b.Code, Detail: b.Detail, Clear: b.Clear, Citation: some(b.Citation)}
	}
	return written(200, list)
}

// inQuery says that the fields at fault are parameters of the query and not members of a body.
func inQuery(err error) error {
	if !fault.Is(err, fault.Implausible) {
		return err
	}
	e := *fault.As(err)
	e.Fields = slices.Clone(e.Fields)
	for i, f := range e.Fields {
		e.Fields[i].Parameter, e.Fields[i].Pointer = strings.TrimPrefix(f.Pointer, "/"), ""
	}
	return &e
}

// ListNotices answers the operation of that name.
func (s *Server) ListNotices(ctx context.Context, _ api.ListNoticesRequestObject) (api.ListNoticesResponseObject, error) {
	return s.list(ctx, form.Notice)
}

// CreateNotice answers the operation of that name.
func (s *Server) CreateNotice(ctx context.Context, _ api.CreateNoticeRequestObject) (api.CreateNoticeResponseObject, error) {
	return s.create(ctx, form.Notice)
}

// GetNotice answers the operation of that name.
func (s *Server) GetNotice(ctx context.Context, r api.GetNoticeRequestObject) (api.GetNoticeResponseObject, error) {
	return s.get(ctx, form.Notice, r.Id)
}

// EndNotice answers the operation of that name.
func (s *Server) EndNotice(ctx context.Context, r api.EndNoticeRequestObject) (api.EndNoticeResponseObject, error) {
	return s.end(ctx, form.Notice, r.Id)
}

// ListProtections answers the operation of that name.
func (s *Server) ListProtections(ctx context.Context, _ api.ListProtectionsRequestObject) (api.ListProtectionsResponseObject, error) {
	return s.list(ctx, form.Protection)
}

// CreateProtection answers the operation of that name.
func (s *Server) CreateProtection(ctx context.Context, _ api.CreateProtectionRequestObject) (api.CreateProtectionResponseObject, error) {
	return s.create(ctx, form.Protection)
}

// GetProtection answers the operation of that name.
func (s *Server) GetProtection(ctx context.Context, r api.GetProtectionRequestObject) (api.GetProtectionResponseObject, error) {
	return s.get(ctx, form.Protection, r.Id)
}

// EndProtection answers the operation of that name.
func (s *Server) EndProtection(ctx context.Context, r api.EndProtectionRequestObject) (api.EndProtectionResponseObject, error) {
	return s.end(ctx, form.Protection, r.Id)
}

// ListVerifications answers the operation of that name.
func (s *Server) ListVerifications(ctx context.Context, _ api.ListVerificationsRequestObject) (api.ListVerificationsResponseObject, error) {
	return s.list(ctx, form.Verification)
}

// CreateVerification answers the operation of that name.
func (s *Server) CreateVerification(ctx context.Context, _ api.CreateVerificationRequestObject) (api.CreateVerificationResponseObject, error) {
	return s.create(ctx, form.Verification)
}

// GetVerification answers the operation of that name.
func (s *Server) GetVerification(ctx context.Context, r api.GetVerificationRequestObject) (api.GetVerificationResponseObject, error) {
	return s.get(ctx, form.Verification, r.Id)
}

// EndVerification answers the operation of that name.
func (s *Server) EndVerification(ctx context.Context, r api.EndVerificationRequestObject) (api.EndVerificationResponseObject, error) {
	return s.end(ctx, form.Verification, r.Id)
}
