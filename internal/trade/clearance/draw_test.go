package clearance

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
	"sillbook/internal/trade/calendar"
)

// The order of a draw is the same whatever the order of the names, and one more name moves no other.
func TestDrawIsTheSameForEveryone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(rapid.StringMatching(`[A-Za-z0-9]([A-Za-z0-9 -]{0,8}[A-Za-z0-9])?`), 2, 30, rapid.ID[string]).Draw(t, "names")
		require.NoError(t, CheckDraw(names, ""))
		seed, stratum := rapid.StringN(1, 20, -1).Draw(t, "seed"), rapid.StringN(1, 10, -1).Draw(t, "stratum")
		order := Draw(seed, stratum, names)
		require.Equal(t, order, Draw(seed, stratum, rapid.Permutation(names).Draw(t, "shuffled")))
		fewer := Draw(seed, stratum, names[1:])
		require.Equal(t, slices.DeleteFunc(slices.Clone(order), func(d Drawn) bool { return d.Name == names[0] }), fewer)
		require.True(t, slices.IsSortedFunc(order, func(a, b Drawn) int { return strings.Compare(a.Digest, b.Digest) }))
	})
}

// Each place of a name in the order is about as likely as any other: over many seeds no name of five is first much more often.
func TestDrawFavoursNone(t *testing.T) {
	t.Parallel()
	first := map[string]int{}
	names := []string{"1A", "1B", "2A", "2B", "3A"}
	for i := range 5000 {
		first[Draw(fmt.Sprint("seed ", i), "units", names)[0].Name]++
	}
	for _, name := range names {
		require.InDelta(t, 1000, first[name], 150, "five standard deviations")
	}
}

func TestNamesThatLeaveADrawOpenAreRefused(t *testing.T) {
	t.Parallel()
	err := CheckDraw([]string{"1A", "1A", "", " 1B", "1C\n1D", "1E"}, "/name")
	require.Error(t, err)
	require.True(t, fault.Is(err, fault.Implausible))
	var at []string
	for _, f := range fault.As(err).Fields {
		at = append(at, f.Pointer+" "+f.Code)
	}
	require.Equal(t, []string{"/1/name told_twice", "/2/name not_one_line", "/3/name not_one_line", "/4/name not_one_line"}, at)
}

// The answer takes the first of each group and leaves the rest in reserve.
func TestDrawTakesTheFirst(t *testing.T) {
	t.Parallel()
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(rapid.StringMatching(`[A-Z][0-9]{1,3}`), 1, 20, rapid.ID[string]).Draw(t, "names")
		take := rapid.IntRange(1, len(names)).Draw(t, "take")
		a, err := r.Draw(DrawFacts{AsOf: calendar.Of(2026, 3, 2), Seed: "a seed", Strata: []Stratum{{"units", take, names}}})
		require.NoError(t, err)
		order := a.Strata[0].Order
		require.Len(t, order, len(names))
		for i, d := range order {
			require.Equal(t, i < take, d.Taken)
			require.Equal(t, Draw("a seed", "units", names)[i].Name, d.Name)
		}
	})
}
