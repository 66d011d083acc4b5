package httpapi

import (
	"context"

	"sillbook/api"
	"sillbook/internal/form"
	"sillbook/internal/trade"
)

// ListOverlays answers the operation of that name.
func (s *Server) ListOverlays(ctx context.Context, _ api.ListOverlaysRequestObject) (api.ListOverlaysResponseObject, error) {
	return s.list(ctx, s.overlays)
}

// CreateOverlay answers the operation of that name.
func (s *Server) CreateOverlay(ctx context.Context, _ api.CreateOverlayRequestObject) (api.CreateOverlayResponseObject, error) {
	return s.create(ctx, s.overlays)
}

// GetOverlay answers the operation of that name.
func (s *Server) GetOverlay(ctx context.Context, r api.GetOverlayRequestObject) (api.GetOverlayResponseObject, error) {
	return s.get(ctx, s.overlays, r.Id)
}

// PatchOverlay answers the operation of that name.
func (s *Server) PatchOverlay(ctx context.Context, r api.PatchOverlayRequestObject) (api.PatchOverlayResponseObject, error) {
	return s.patch(ctx, s.overlays, r.Id)
}

// PutOverlayByExternalId answers the operation of that name.
func (s *Server) PutOverlayByExternalId(ctx context.Context, r api.PutOverlayByExternalIdRequestObject) (api.PutOverlayByExternalIdResponseObject, error) {
	return s.put(ctx, s.overlays, r.System, r.Value)
}

// EndOverlay answers the operation of that name. What was decided under the overlay stands.
func (s *Server) EndOverlay(ctx context.Context, r api.EndOverlayRequestObject) (api.EndOverlayResponseObject, error) {
	return s.end(ctx, s.overlays, r.Id)
}

// GetOverlayEffects lays an overlay beside federal law.
func (s *Server) GetOverlayEffects(ctx context.Context, r api.GetOverlayEffectsRequestObject) (api.GetOverlayEffectsResponseObject, error) {
	_, body, err := s.store.Get(ctx, requestOf(ctx).call(), s.overlays.Name, r.Id, 0)
	if err != nil {
		return nil, err
	}
	effects, err := form.OverlayEffects(s.law, body)
	if err != nil {
		return nil, err
	}
	return written(200, effects)
}

// CalculateLocalRequirements answers what local rules ask because of an event.
func (s *Server) CalculateLocalRequirements(ctx context.Context, _ api.CalculateLocalRequirementsRequestObject) (api.CalculateLocalRequirementsResponseObject, error) {
	return s.calculate(ctx, "local-requirements")
}

func localRequirements(r *trade.Rules, b api.LocalEventFacts) (any, error) {
	event, err := form.LocalEvent(b)
	if err != nil {
		return nil, err
	}
	return r.Law.LocalDuties(event), nil
}
