package law_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/trade/law"
)

type switches struct{ a, b, c, d bool }

func flip(fact string, set func(*switches)) law.Alternative[switches] {
	return law.Alternative[switches]{Fact: fact, Value: "yes", Set: set}
}

var four = []law.Alternative[switches]{flip("a", func(s *switches) { s.a = true }), flip("b", func(s *switches) { s.b = true }),
	flip("c", func(s *switches) { s.c = true }), flip("d", func(s *switches) { s.d = true })}

func TestCounterfactualsAreTheSmallestSetsThatChangeTheOutcome(t *testing.T) {
	t.Parallel()
	outcome := func(s switches) string { return fmt.Sprint(s.a || s.b && s.c || s.b && s.d || s.a && s.c) }
	sets, complete := law.Counterfactuals(switches{}, four, outcome)
	require.True(t, complete)
	var facts []string
	for _, set := range sets {
		names := ""
		for _, c := range set.Changes {
			require.Equal(t, "fact", c.Kind)
			names += c.Fact
		}
		require.Equal(t, "true", set.Outcome)
		facts = append(facts, names)
	}
	require.Equal(t, []string{"a", "bc", "bd"}, facts, "no set holds a smaller one")
}

func TestCounterfactualsNeverNeedMoreThanThreeChanges(t *testing.T) {
	t.Parallel()
	sets, complete := law.Counterfactuals(switches{}, four, func(s switches) string { return fmt.Sprint(s.a && s.b && s.c && s.d) })
	require.Empty(t, sets)
	require.NotNil(t, sets)
	require.True(t, complete)
	sets, _ = law.Counterfactuals(switches{}, four, func(s switches) string { return fmt.Sprint(s.a && s.b && s.c) })
	require.Len(t, sets, 1)
	require.Len(t, sets[0].Changes, 3)
}

func TestOneFactHasOneValueInASet(t *testing.T) {
	t.Parallel()
	type facts struct{ n int }
	add := func(n int) law.Alternative[facts] {
		return law.Alternative[facts]{Fact: "n", Value: fmt.Sprint(n), Action: true, Set: func(f *facts) { f.n += n }}
	}
	sets, complete := law.Counterfactuals(facts{}, []law.Alternative[facts]{add(1), add(2)}, func(f facts) string { return fmt.Sprint(f.n == 3) })
	require.Empty(t, sets, "1 and 2 are values of one fact and are not added")
	require.True(t, complete)
}

func TestASearchThatIsCutSaysSo(t *testing.T) {
	t.Parallel()
	var many []law.Alternative[map[string]bool]
	for i := range 40 {
		name := fmt.Sprint(i)
		many = append(many, law.Alternative[map[string]bool]{Fact: name, Value: "yes", Set: func(m *map[string]bool) {
			with := map[string]bool{name: true}
			for k := range *m {
				with[k] = true
			}
			*m = with
		}})
	}
	sets, complete := law.Counterfactuals(map[string]bool{}, many, func(m map[string]bool) string { return fmt.Sprint(len(m) > 0) })
	require.Len(t, sets, 20)
	require.False(t, complete, "40 sets of one are more than are shown")
	sets, complete = law.Counterfactuals(map[string]bool{}, many, func(map[string]bool) string { return "never" })
	require.Empty(t, sets)
	require.False(t, complete, "10,700 sets are more than are tried")
}

func TestEverySetFoundChangesTheOutcomeAndNoneOfItsChangesCanBeLeftOut(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		truth := rapid.SliceOfN(rapid.Bool(), 16, 16).Draw(t, "truth")
		at := func(s switches) int {
			n := 0
			for i, on := range []bool{s.a, s.b, s.c, s.d} {
				if on {
					n |= 1 << i
				}
			}
			return n
		}
		outcome := func(s switches) string { return fmt.Sprint(truth[at(s)]) }
		sets, complete := law.Counterfactuals(switches{}, four, outcome)
		require.True(t, complete)
		with := func(changes []law.Change) switches {
			var s switches
			for _, c := range changes {
				for _, a := range four {
					if a.Fact == c.Fact {
						a.Set(&s)
					}
				}
			}
			return s
		}
		for _, set := range sets {
			require.NotEqual(t, outcome(switches{}), outcome(with(set.Changes)))
			for i := range set.Changes {
				rest := append(append([]law.Change{}, set.Changes[:i]...), set.Changes[i+1:]...)
				require.Equal(t, outcome(switches{}), outcome(with(rest)))
			}
		}
	})
}
