package overlay_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
	"sillbook/internal/overlay"
	"sillbook/internal/trade/law"
)

func TestConditionsReadTheFactsOfLocalRules(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		condition string
		facts     law.LocalFacts
		want      law.Tri
	}{
		"a number above":                             {`job.area > 2.0`, law.LocalFacts{"job.area": "2.01"}, law.Yes},
		"a number at it":                             {`job.area > 2.0`, law.LocalFacts{"job.area": "2"}, law.No},
		"a fraction":                                 {`job.area >= 0.25`, law.LocalFacts{"job.area": "36/144"}, law.Yes},
		"text":                                       {`home.rented == "yes" && job.method in ["replaced", "demolished"]`, law.LocalFacts{"home.rented": "yes", "job.method": "replaced"}, law.Yes},
		"a fact that is absent":                      {`job.area > 2.0`, nil, law.Unknown},
		"a fact that is told as unknown":             {`job.area > 2.0`, law.LocalFacts{"job.area": "unknown"}, law.Unknown},
		"what is known decides against":              {`job.area > 2.0 && home.rented == "yes"`, law.LocalFacts{"home.rented": "no"}, law.No},
		"what is known decides in favour":            {`job.area > 2.0 || home.rented == "yes"`, law.LocalFacts{"home.rented": "yes"}, law.Yes},
		"what is known leaves it to what is not":     {`job.area > 2.0 && home.rented == "yes"`, law.LocalFacts{"home.rented": "yes"}, law.Unknown},
		"a division by nothing cannot be worked out": {`1 / 0 == 1`, nil, law.Unknown},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			condition, err := overlay.Compile(c.condition)
			require.NoError(t, err)
			holds, err := condition.Holds(c.facts)
			if c.condition == `1 / 0 == 1` {
				require.Error(t, err)
			} else {
				require.NoError(t, err)
			}
			require.Equal(t, c.want, holds)
		})
	}
}

func TestConditionsThatCannotBeUsedAreRefused(t *testing.T) {
	t.Parallel()
	var nested strings.Builder
	const list = `["a","b","c","d","e","f","g","h","i","j","k","l"]`
	for _, v := range []string{"v", "w", "x", "y"} {
		nested.WriteString(list + ".all(" + v + ", ")
	}
	nested.WriteString(`v + w + x + y != ""))))`)
	for name, c := range map[string]struct{ condition, code string }{
		"not a condition":        {`job.area >`, "condition_not_understood"},
		"a fact that is not one": {`resident.pregnant == "yes"`, "condition_not_understood"},
		"text held to a number":  {`job.area > "two"`, "condition_not_understood"},
		"no truth value":         {`job.area + 1.0`, "condition_not_true_or_false"},
		"too long":               {`home.rented == "` + strings.Repeat("y", 2000) + `"`, "condition_too_long"},
		"too costly":             {nested.String(), "condition_too_costly"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := overlay.Compile(c.condition)
			require.True(t, fault.Is(err, fault.Implausible), "%v", err)
			f := fault.As(err)
			require.Equal(t, "/condition", f.Fields[0].Pointer)
			require.Equal(t, c.code, f.Fields[0].Code)
		})
	}
}

// A fact that becomes known turns an unknown answer into yes or no, and never changes an answer.
func TestKnowingMoreNeverChangesAnAnswer(t *testing.T) {
	t.Parallel()
	condition, err := overlay.Compile(`(job.area > 2.0 || job.window_replaced == "yes") && home.rented == "yes"`)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		all := law.LocalFacts{"job.area": rapid.SampledFrom([]string{"1", "2", "3"}).Draw(t, "area"),
			"job.window_replaced": rapid.SampledFrom([]string{"yes", "no"}).Draw(t, "window"), "home.rented": rapid.SampledFrom([]string{"yes", "no"}).Draw(t, "rented")}
		full, err := condition.Holds(all)
		require.NoError(t, err)
		require.NotEqual(t, law.Unknown, full)
		some := law.LocalFacts{}
		for name, value := range all {
			if rapid.Bool().Draw(t, name) {
				some[name] = value
			}
		}
		part, err := condition.Holds(some)
		require.NoError(t, err)
		if part != law.Unknown {
			require.Equal(t, full, part)
		}
	})
}
