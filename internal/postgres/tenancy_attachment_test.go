package postgres_test

import (
	"context"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/postgres"
)

// What the methods about attachments do when another organization calls them.
func init() {
	crossings["Attach"] = func(t *testing.T, s *postgres.Store, call postgres.Call, _ book, made map[string]uuid.UUID) {
		for _, kind := range inOrder {
			told := postgres.Attachment{SubjectKind: kind, SubjectID: made[kind], Kind: "other", Title: "x", ContentType: "text/plain"}
			_, err := s.Attach(t.Context(), call, told, func(context.Context) error {
				require.FailNow(t, "bytes were kept for another organization's record", kind)
				return nil
			})
			require.True(t, fault.Is(err, fault.Implausible), "%s: %v", kind, err)
			if kind != "attachment" {
				require.Equal(t, "no_such_reference", fault.As(err).Fields[0].Code, kind)
			}
		}
	}
}
