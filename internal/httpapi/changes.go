package httpapi

import (
	"context"
	"encoding/json"
	"time"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/internal/postgres"
)

// change is an entry of the log as it is written: its record are the stored bytes.
type change struct {
	Position       int64           `json:"position"`
	ID             uuid.UUID       `json:"id"`
	RecordedAt     time.Time       `json:"recorded_at"`
	SubjectKind    string          `json:"subject_kind"`
	SubjectID      uuid.UUID       `json:"subject_id"`
	SubjectVersion int             `json:"subject_version"`
	Action         string          `json:"action"`
	Actor          api.Actor       `json:"actor"`
	RequestID      string          `json:"request_id,omitempty"`
	RuleSet        string          `json:"rule_set"`
	Record         json.RawMessage `json:"record"`
}

// ListChanges reads the log behind a position.
func (s *Server) ListChanges(ctx context.Context, told api.ListChangesRequestObject) (api.ListChangesResponseObject, error) {
	r, p := requestOf(ctx), told.Params
	filter := postgres.ChangeFilter{}
	if p.SubjectId != nil {
		filter.Subject = *p.SubjectId
	}
	if p.SubjectKind != nil {
		filter.Kind = *p.SubjectKind
	}
	var after int64
	if p.After != nil {
		after = *p.After
	}
	rows, next, err := s.store.Changes(ctx, r.call(), after, r.limit(), filter)
	if err != nil {
		return nil, err
	}
	items := make([]change, len(rows))
	for i, c := range rows {
		items[i] = change{Position: c.Position, ID: c.ID, RecordedAt: c.RecordedAt.UTC(), SubjectKind: c.Record.Kind, SubjectID: c.Record.ID,
			SubjectVersion: c.Record.Version, Action: c.Action, RequestID: c.RequestID, RuleSet: c.RuleSet, Record: c.Body,
			Actor: api.Actor{Kind: api.ActorKind(c.ActorKind), Id: c.Actor, OrganizationId: c.Organization, GrantId: c.Grant}}
	}
	return written(200, struct {
		Items []change `json:"items"`
		Next  int64    `json:"next_after"`
	}{items, next})
}
