package httpapi_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
	cases "sillbook/testdata/law"
	"sillbook/testdata/overlays"
)

// TestLawCases asks every case of testdata/law as a caller would.
func TestLawCases(t *testing.T) {
	t.Parallel()
	s := contracttest.New(t)
	enterPublishedOverlays(t, s)
	rules := map[string]law.Rule{}
	for _, r := range trade.Catalogue() {
		rules[r.Name] = r
	}
	tried := map[string]bool{}
	files, err := cases.Read()
	require.NoError(t, err)
	for _, f := range files {
		for _, c := range f.Cases {
			for _, rule := range c.Rules {
				require.Contains(t, rules, rule, "%s: %s names a rule that is not in the catalogue", f.Name, c.Name)
				tried[rule] = true
			}
			t.Run(f.Calculation+"/"+c.Name, func(t *testing.T) {
				askCase(t, s, c, f.Calculation)
			})
		}
	}
	for name := range rules {
		require.True(t, tried[name], "the rule %s has no case in testdata/law", name)
	}
}

// enterPublishedOverlays enters the examples of local law, so that cases can name their places.
func enterPublishedOverlays(t *testing.T, s *contracttest.Service) {
	t.Helper()
	names, err := fs.Glob(overlays.Files, "*.yaml")
	require.NoError(t, err)
	require.Len(t, names, 9)
	for _, name := range names {
		text, err := overlays.Files.ReadFile(name)
		require.NoError(t, err)
		body, err := yaml.YAMLToJSON(text)
		require.NoError(t, err)
		s.Owner().Post("/v1/overlays", string(body)).Is(201)
	}
}

func askCase(t *testing.T, s *contracttest.Service, c cases.Case, calculation string) {
	t.Helper()
	require.NotEmpty(t, c.Rules, "a case names the rules that it tries")
	require.NotEmpty(t, c.Source, "a case names its source")
	require.Contains(t, cases.Kinds, c.Kind)
	a := s.Owner().Post("/v1/calculations/"+calculation, c.Given)
	if c.Problem != nil {
		require.Nil(t, c.Expect)
		require.Equal(t, c.Problem.Status, a.Status, "%s", a.Body)
		p := a.Problem(c.Problem.Status, c.Problem.Code)
		i := slices.Index(contracttest.Pointers(p), c.Problem.Pointer)
		require.GreaterOrEqual(t, i, 0, "no fault at %s: %s", c.Problem.Pointer, a.Body)
		if c.Problem.Fault != "" {
			require.Contains(t, string(a.Body), `"code":"`+c.Problem.Fault+`"`)
		}
		return
	}
	require.True(t, c.Expect != nil || c.Counts != nil, "a case expects something")
	require.Equal(t, 200, a.Status, "%s", a.Body)
	var got any
	require.NoError(t, json.Unmarshal(a.Body, &got))
	want := asJSON(t, c.Expect)
	if miss := differs("", want, got); miss != "" {
		require.Fail(t, miss, "%s", a.Body)
	}
	for pointer, n := range c.Counts {
		list, is := valueAt(got, pointer).([]any)
		require.True(t, is, "%s is no list: %s", pointer, a.Body)
		require.Len(t, list, n, pointer)
	}
	quotesRules(t, got, calculation)
}

// quotesRules demands that every reason of an answer belongs to a rule in the catalogue.
func quotesRules(t *testing.T, answer any, calculation string) {
	t.Helper()
	switch answer := answer.(type) {
	case map[string]any:
		if reason, is := answer["rule"].(string); is {
			known := slices.ContainsFunc(trade.Catalogue(), func(r law.Rule) bool { return r.Quoted(reason) })
			require.True(t, known, "the reason %s of %s belongs to no rule in the catalogue", reason, calculation)
		}
		for _, inner := range answer {
			quotesRules(t, inner, calculation)
		}
	case []any:
		for _, inner := range answer {
			quotesRules(t, inner, calculation)
		}
	}
}

func asJSON(t *testing.T, value any) any {
	t.Helper()
	text, err := json.Marshal(value)
	require.NoError(t, err)
	var back any
	require.NoError(t, json.Unmarshal(text, &back))
	return back
}

// differs says where an answer is not what a case expects, or nothing: the fields that are expected, and of a list those
// items, in that order.
func differs(where string, want, got any) string {
	switch want := want.(type) {
	case map[string]any:
		have, is := got.(map[string]any)
		if !is {
			return fmt.Sprintf("%s should be an object, and is %v", where, got)
		}
		for name, inner := range want {
			if inner == nil {
				if have[name] != nil {
					return fmt.Sprintf("%s/%s should be absent, and is %v", where, name, have[name])
				}
				continue
			}
			if miss := differs(where+"/"+name, inner, have[name]); miss != "" {
				return miss
			}
		}
	case []any:
		have, is := got.([]any)
		if !is {
			return fmt.Sprintf("%s should be a list, and is %v", where, got)
		}
		i := 0
		for n, inner := range want {
			from := i
			for i < len(have) && differs("", inner, have[i]) != "" {
				i++
			}
			if i == len(have) {
				return fmt.Sprintf("%s/%d: nothing from item %d on is like %v", where, n, from, inner)
			}
			i++
		}
	default:
		if want != got {
			return fmt.Sprintf("%s should be %v, and is %v", where, want, got)
		}
	}
	return ""
}

// valueAt follows a JSON pointer.
func valueAt(value any, pointer string) any {
	for _, part := range strings.Split(pointer, "/")[1:] {
		switch inner := value.(type) {
		case map[string]any:
			value = inner[part]
		case []any:
			i, err := strconv.Atoi(part)
			if err != nil || i >= len(inner) {
				return nil
			}
			value = inner[i]
		default:
			return nil
		}
	}
	return value
}
