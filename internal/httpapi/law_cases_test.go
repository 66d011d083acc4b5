package httpapi_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"

	"sillbook/internal/contracttest"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
	"sillbook/testdata/overlays"
)

// lawCase is one case of testdata/law: facts as a request sends them, and a part of the answer, with the source beside it.
type lawCase struct {
	Name    string         `yaml:"name"`
	Rules   []string       `yaml:"rules"`
	Source  string         `yaml:"source"`
	Kind    string         `yaml:"kind"`
	Given   map[string]any `yaml:"given"`
	Expect  map[string]any `yaml:"expect"`
	Counts  map[string]int `yaml:"counts"`
	Problem *lawProblem    `yaml:"problem"`
}

// lawProblem is the refusal that facts deserve.
type lawProblem struct {
	Status  int    `yaml:"status"`
	Code    string `yaml:"code"`
	Pointer string `yaml:"pointer"`
	Fault   string `yaml:"fault"`
}

type lawFile struct {
	Calculation string    `yaml:"calculation"`
	Cases       []lawCase `yaml:"cases"`
	file        string
}

// lawKinds say where an expected answer comes from: published with the numbers and the answer, read in the clause, worked out
// from it, read about elsewhere, from memory, or what the trade does without a source.
var lawKinds = []string{"published", "text", "derived", "secondary", "memory", "common_practice"}

func lawFiles(t *testing.T) []lawFile {
	t.Helper()
	names, err := filepath.Glob("../../testdata/law/*.yaml")
	require.NoError(t, err)
	var files []lawFile
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		f := lawFile{file: filepath.Base(name)}
		require.NoError(t, yaml.UnmarshalWithOptions(text, &f, yaml.Strict()), name)
		files = append(files, f)
	}
	return files
}

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
	for _, f := range lawFiles(t) {
		for _, c := range f.Cases {
			for _, rule := range c.Rules {
				require.Contains(t, rules, rule, "%s: %s names a rule that is not in the catalogue", f.file, c.Name)
				tried[rule] = true
			}
			t.Run(f.Calculation+"/"+c.Name, func(t *testing.T) {
				c.ask(t, s, f.Calculation, rules)
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

func (c lawCase) ask(t *testing.T, s *contracttest.Service, calculation string, rules map[string]law.Rule) {
	t.Helper()
	require.NotEmpty(t, c.Rules, "a case names the rules that it tries")
	require.NotEmpty(t, c.Source, "a case names its source")
	require.Contains(t, lawKinds, c.Kind)
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
	c.quotes(t, got, calculation, rules)
}

// quotes demands that every reason of an answer belongs to a rule in the catalogue.
func (c lawCase) quotes(t *testing.T, answer any, calculation string, rules map[string]law.Rule) {
	t.Helper()
	switch answer := answer.(type) {
	case map[string]any:
		if reason, is := answer["rule"].(string); is {
			known := slices.ContainsFunc(trade.Catalogue(), func(r law.Rule) bool { return r.Quoted(reason) })
			require.True(t, known, "the reason %s of %s belongs to no rule in the catalogue", reason, calculation)
		}
		for _, inner := range answer {
			c.quotes(t, inner, calculation, rules)
		}
	case []any:
		for _, inner := range answer {
			c.quotes(t, inner, calculation, rules)
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
