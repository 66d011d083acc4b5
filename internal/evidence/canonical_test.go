package evidence_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/evidence"
)

// RFC 8785, sections 3.2.2 to 3.2.4: the published input and output.
func TestCanonicalFormOfThePublishedExample(t *testing.T) {
	t.Parallel()
	got, err := evidence.Canonical([]byte(`{
		"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
		"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
		"literals": [null, true, false]
	}`))
	require.NoError(t, err)
	require.Equal(t, `{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`, string(got))
}

// RFC 8785, section 3.2.3: members in the order of their UTF-16 code units, in which an emoji comes before U+FB33.
func TestCanonicalFormSortsMembersByUTF16(t *testing.T) {
	t.Parallel()
	got, err := evidence.Canonical([]byte(`{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh",
		"1": "One", "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"}`))
	require.NoError(t, err)
	var values []string
	for part := range strings.SplitSeq(strings.Trim(string(got), "{}"), ",") {
		_, value, _ := strings.Cut(part, `":"`)
		values = append(values, strings.Trim(value, `"`))
	}
	require.Equal(t, []string{"Carriage Return", "One", "Control", "Latin Small Letter O With Diaeresis", "Euro Sign", "Emoji: Grinning Face",
		"Hebrew Letter Dalet With Dagesh"}, values)
}

func TestCanonicalRefusesWhatIsNotOneValue(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"nothing": ``, "cut short": `{"a":`, "two values": `{} {}`, "a member twice": `{"a":1,"a":2}`,
		"not UTF-8": "\"\xff\"", "half a surrogate pair": `"\ud800"`, "a word": `yes`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := evidence.Canonical([]byte(text))
			require.Error(t, err)
		})
	}
}

func TestCanonicalLeavesItsArgumentAlone(t *testing.T) {
	t.Parallel()
	text := []byte(`{"b":1,"a":2}`)
	_, err := evidence.Canonical(text)
	require.NoError(t, err)
	require.Equal(t, `{"b":1,"a":2}`, string(text))
}

// value draws a JSON value and writes it as text, members in a drawn order with white space between.
func value(t *rapid.T, depth int) (text, shuffled string) {
	kinds := []string{"null", "number", "string", "array", "object"}
	if depth == 0 {
		kinds = kinds[:3]
	}
	switch rapid.SampledFrom(kinds).Draw(t, "kind") {
	case "number":
		text = rapid.SampledFrom([]string{"0", "-1", "3.50", "1e3", "0.1", "9007199254740991", "2.5E-7"}).Draw(t, "number")
		return text, text
	case "string":
		quoted, err := json.Marshal(rapid.String().Draw(t, "string"))
		if err != nil {
			t.Fatal(err)
		}
		return string(quoted), string(quoted)
	case "array":
		var one, other []string
		for range rapid.IntRange(0, 3).Draw(t, "length") {
			a, b := value(t, depth-1)
			one, other = append(one, a), append(other, b)
		}
		return "[" + strings.Join(one, ",") + "]", "[ " + strings.Join(other, " , ") + " ]"
	case "object":
		var one, other []string
		for _, name := range rapid.SliceOfNDistinct(rapid.StringMatching(`[a-zé€😀]{1,4}`), 0, 4, rapid.ID).Draw(t, "names") {
			quoted, err := json.Marshal(name)
			if err != nil {
				t.Fatal(err)
			}
			a, b := value(t, depth-1)
			one, other = append(one, string(quoted)+":"+a), append(other, string(quoted)+"\n:\t"+b)
		}
		if len(other) > 0 {
			other = rapid.Permutation(other).Draw(t, "order")
		}
		return "{" + strings.Join(one, ",") + "}", "{\n" + strings.Join(other, ",\n") + "\n}"
	}
	return "null", "null"
}

// However a record's members are ordered and spaced, its canonical form is the same, is the same record, and is its own
// canonical form.
func TestCanonicalFormDoesNotDependOnOrderOrSpace(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text, shuffled := value(t, 3)
		one, err := evidence.Canonical([]byte(text))
		require.NoError(t, err)
		other, err := evidence.Canonical([]byte(shuffled))
		require.NoError(t, err)
		require.Equal(t, string(one), string(other))
		again, err := evidence.Canonical(one)
		require.NoError(t, err)
		require.Equal(t, string(one), string(again))
		require.JSONEq(t, text, string(one))
	})
}

func TestSaltsDifferAndCommitmentsWithThem(t *testing.T) {
	t.Parallel()
	a, b := evidence.Salt(), evidence.Salt()
	require.Len(t, a, 32)
	require.NotEqual(t, a, b)
	require.NotEqual(t, evidence.Commit(a, []byte("1")), evidence.Commit(b, []byte("1")))
	require.NotEqual(t, evidence.Commit(a, []byte("1")), evidence.Commit(a, []byte("2")))
	require.Equal(t, evidence.Commit(a, []byte("1")), evidence.Commit(a, []byte("1")))
}
