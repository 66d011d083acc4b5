package fault_test

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
)

// Each kind answers with the status that RFC 9110 (428 and 429: RFC 6585) gives to what it means.
func TestKindHasTheStatusOfItsMeaning(t *testing.T) {
	t.Parallel()
	statuses := map[fault.Kind]int{
		fault.Internal: http.StatusInternalServerError, fault.Malformed: http.StatusBadRequest,
		fault.Unauthenticated: http.StatusUnauthorized, fault.Forbidden: http.StatusForbidden, fault.NotFound: http.StatusNotFound,
		fault.MethodNotAllowed: http.StatusMethodNotAllowed, fault.NotAcceptable: http.StatusNotAcceptable,
		fault.Conflict: http.StatusConflict, fault.Stale: http.StatusPreconditionFailed, fault.TooLarge: http.StatusRequestEntityTooLarge,
		fault.UnsupportedMedia: http.StatusUnsupportedMediaType, fault.Implausible: http.StatusUnprocessableEntity,
		fault.PreconditionRequired: http.StatusPreconditionRequired, fault.TooMany: http.StatusTooManyRequests,
		fault.Unavailable: http.StatusServiceUnavailable,
	}
	require.Len(t, statuses, int(fault.Unavailable)+1, "a kind is missing here")
	for kind, status := range statuses {
		require.Equal(t, status, kind.Status())
	}
}

// The log has the cause; what is shown to callers is in the other fields and never has it.
func TestCauseIsForTheLogOnly(t *testing.T) {
	t.Parallel()
	err := fault.New(fault.Unavailable, "unavailable", "The book cannot be reached.").Because(context.DeadlineExceeded)

	require.ErrorIs(t, err, context.DeadlineExceeded)
	require.Equal(t, "unavailable: The book cannot be reached.: context deadline exceeded", err.Error())
	require.NotContains(t, err.Detail, "deadline")
}

func TestLogNamesThePlaceOfEachField(t *testing.T) {
	t.Parallel()
	err := fault.New(fault.Implausible, "implausible", "It cannot be.").At("/area/value", "negative", "It is below %d.", 0)
	err.Fields = append(err.Fields, fault.Field{Parameter: "on", Detail: "No date."}, fault.Field{Header: "If-Match", Detail: "No version."})

	require.Equal(t, "implausible: It cannot be.; /area/value: It is below 0.; on: No date.; If-Match: No version.", err.Error())
}

func TestAsFindsTheErrorInTheChain(t *testing.T) {
	t.Parallel()
	stale := fault.New(fault.Stale, "stale", "Someone changed it.")
	wrapped := fmt.Errorf("patching a unit: %w", stale)

	require.Same(t, stale, fault.As(wrapped))
	require.True(t, fault.Is(wrapped, fault.Stale))
	require.False(t, fault.Is(wrapped, fault.Conflict))
	require.False(t, fault.Is(nil, fault.Internal))
}

// A driver's error may hold SQL, addresses and values; nothing of it may be shown.
func TestAsHidesWhatIsNotOurs(t *testing.T) {
	t.Parallel()
	foreign := errors.New("dial tcp 10.1.2.3:5432: password for sillbook_app")
	err := fault.As(foreign)

	require.Equal(t, fault.Internal, err.Kind)
	require.NotContains(t, err.Detail, "10.1.2.3")
	require.Empty(t, err.Fields)
	require.NotEmpty(t, err.Fixes)
	for _, fix := range err.Fixes {
		require.NotContains(t, fix, "10.1.2.3")
	}
	require.ErrorIs(t, err, foreign)
	require.False(t, fault.Is(foreign, fault.Internal), "only an Error has a kind")
}

func TestFaultsTellAllAtOnce(t *testing.T) {
	t.Parallel()
	var faults fault.Faults
	require.NoError(t, faults.Err(), "nothing was noted")

	faults.Add("/to", "contradiction", "The stay ends before it begins.")
	one := fault.As(faults.Err())
	require.Equal(t, fault.Implausible, one.Kind)
	require.Equal(t, "The stay ends before it begins.", one.Detail, "a single fault is the sentence")

	faults.Parameter("on", "in_the_future", "%s has not come yet.", "2031-01-01")
	two := fault.As(faults.Err())
	require.NotEqual(t, one.Detail, two.Detail)
	require.Equal(t, []fault.Field{
		{Pointer: "/to", Code: "contradiction", Detail: "The stay ends before it begins."},
		{Parameter: "on", Code: "in_the_future", Detail: "2031-01-01 has not come yet."},
	}, two.Fields)
	require.NotEmpty(t, two.Fixes)
}

func TestMergePutsThePlaceInFront(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		err  error
		want []fault.Field
	}{
		{"nothing wrong notes nothing", nil, nil},
		{"fields keep their place under the prefix", fault.New(fault.Implausible, "x", "X.").At("/value", "negative", "Below zero."),
			[]fault.Field{{Pointer: "/samples/3/area/value", Code: "negative", Detail: "Below zero."}}},
		{"an error without fields is about the place itself", fault.New(fault.Implausible, "no_such_zone", "No such zone."),
			[]fault.Field{{Pointer: "/samples/3/area", Code: "no_such_zone", Detail: "No such zone."}}},
		{"another error gives its text", errors.New("what 100% is it?"),
			[]fault.Field{{Pointer: "/samples/3/area", Code: "invalid", Detail: "what 100% is it?"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var faults fault.Faults
			faults.Merge("/samples/3/area", c.err)
			if c.want == nil {
				require.NoError(t, faults.Err())
				return
			}
			require.Equal(t, c.want, fault.As(faults.Err()).Fields)
		})
	}
}

// Merging one error in two places must not make them share a place.
func TestMergeLeavesTheErrorAsItWas(t *testing.T) {
	t.Parallel()
	shared := fault.New(fault.Implausible, "x", "X.").At("/value", "negative", "Below zero.")
	var faults fault.Faults
	faults.Merge("/area", shared)
	faults.Merge("/length", shared)

	fields := fault.As(faults.Err()).Fields
	require.Equal(t, "/area/value", fields[0].Pointer)
	require.Equal(t, "/length/value", fields[1].Pointer)
	require.Equal(t, "/value", shared.Fields[0].Pointer)
}
