package httpapi_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
	"sillbook/internal/credential"
	"sillbook/internal/postgres"
)

// writers are the operations that take an Idempotency-Key and have a handler.
func writers(t *testing.T) (list []operation) {
	t.Helper()
	for _, o := range operations(t) {
		if o.Parameters.GetByInAndName("header", "Idempotency-Key") != nil {
			list = append(list, o)
		}
	}
	require.NotEmpty(t, list)
	return list
}

// ownersCall is what the store knows of a request by the owner's key.
func ownersCall(t *testing.T, s *contracttest.Service, o operation) postgres.Call {
	t.Helper()
	p, err := credential.Parse("Bearer " + s.OwnerKey)
	require.NoError(t, err)
	return postgres.Call{Operation: o.OperationID, RequestID: "test", IdempotencyKey: "night-1", Fingerprint: []byte("another request"),
		Caller: credential.Caller{Organization: s.Organization, Home: s.Organization, Key: p.Key, Role: credential.Owner}}
}

func TestEveryWriteRefusesAKeyThatCameWithAnotherRequest(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	for _, o := range writers(t) {
		_, err := s.Store.Write(t.Context(), ownersCall(t, s, o), func(*postgres.Tx) (postgres.Outcome, error) {
			return postgres.Outcome{Status: 200}, nil
		})
		require.NoError(t, err)
		p := o.call(t, s.Owner().With("Idempotency-Key", "night-1"), v).Problem(422, "idempotency_key_reused")
		require.Equal(t, []string{"Idempotency-Key"}, contracttest.Pointers(p), o.OperationID)
	}
}

func TestEveryWriteSaysThatItsKeyIsStillRunning(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	undone := errors.New("undone")
	for _, o := range writers(t) {
		_, err := s.Store.Write(t.Context(), ownersCall(t, s, o), func(*postgres.Tx) (postgres.Outcome, error) {
			a := o.call(t, s.Owner().With("Idempotency-Key", "night-1"), v)
			a.Problem(409, "still_running")
			require.NotEmpty(t, a.Header.Get("Retry-After"))
			return postgres.Outcome{}, undone
		})
		require.ErrorIs(t, err, undone)
	}
}

func TestEveryChangeOfAStaleVersionIsRefused(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	v := populate(t, s)
	for _, o := range writers(t) {
		if o.Parameters.GetByInAndName("header", "If-Match") == nil {
			continue
		}
		s.Owner().With("If-Match", `"99"`).Do(o.method, o.target(t, v), o.body(t, v)).Problem(412, "stale")
	}
}

// A read of something that is not there says no more than that.
func TestEveryReadOfNothingIsNotFound(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	nothing := victims{}
	for _, kind := range kindOfField {
		nothing[kind] = "01930000-0000-7000-8000-000000000099"
	}
	for _, kind := range []string{"occupancy", "overlay", "observation", "small_repair", "notice", "protection", "verification", "clearance", "trip", "finding", "attachment", "key", "grant", "certificate"} {
		nothing[kind] = nothing["unit"]
	}
	for _, o := range operations(t) {
		if o.aimsAt() {
			o.call(t, s.Owner(), nothing).Problem(404, "not_found")
		}
	}
}
