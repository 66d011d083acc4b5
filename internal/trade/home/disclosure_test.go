package home

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/calendar"
	"sillbook/internal/trade/law"
)

// A fact that is forgotten never takes a duty away.
func TestForgettingAFactNeverTakesADisclosureAway(t *testing.T) {
	t.Parallel()
	book, err := law.Embedded()
	require.NoError(t, err)
	r, err := NewDisclosureRules(book)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		tri := func(name string) law.Tri { return law.Tri(rapid.IntRange(0, 2).Draw(t, name)) }
		f := DisclosureFacts{AsOf: calendar.Of(2026, time.March, 2), Dealing: Lease, Covered: tri("covered"), FoundFree: tri("free"),
			LeaseDays: rapid.IntRange(0, 400).Draw(t, "days"), Renewable: tri("renewable"), Renewal: tri("renewal"), NothingNew: tri("new")}
		if rapid.Bool().Draw(t, "sale") {
			f = DisclosureFacts{AsOf: f.AsOf, Dealing: Sale, Covered: f.Covered, Foreclosure: tri("foreclosure")}
		}
		known, err := r.Judge(f)
		require.NoError(t, err)
		forget := []func(){func() { f.Covered = law.Unknown }, func() { f.FoundFree = law.Unknown }, func() { f.LeaseDays = 0 }, func() { f.Renewable = law.Unknown },
			func() { f.Renewal = law.Unknown }, func() { f.NothingNew = law.Unknown }, func() { f.Foreclosure = law.Unknown }}
		rapid.SampledFrom(forget).Draw(t, "forget")()
		less, err := r.Judge(f)
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(less.Duties), len(known.Duties))
		if less.Outcome == DisclosureExempt {
			require.Equal(t, DisclosureExempt, known.Outcome)
		}
	})
}
