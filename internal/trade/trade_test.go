package trade_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
)

func TestEveryRuleReadsWhatIsThere(t *testing.T) {
	t.Parallel()
	book, err := law.Embedded()
	require.NoError(t, err)
	rules, err := trade.New(book)
	require.NoError(t, err)
	require.Same(t, book, rules.Law)
	names, quoted := map[string]bool{}, map[string]string{}
	for _, r := range trade.Catalogue() {
		require.Regexp(t, `^[a-z][a-z0-9_]*$`, r.Name)
		require.False(t, names[r.Name], "there are two rules %s", r.Name)
		names[r.Name] = true
		for _, text := range []string{r.Title, r.Text, r.Calculation, r.Citation.Clause} {
			require.NotEmpty(t, text, r.Name)
		}
		require.NotEmpty(t, r.Inputs, r.Name)
		for _, p := range r.Parameters {
			_, err := book.Handle(p)
			require.NoError(t, err, r.Name)
		}
		for _, reason := range append([]string{r.Name}, r.Reasons...) {
			require.Empty(t, quoted[reason], "the reason %s belongs to %s and to %s", reason, quoted[reason], r.Name)
			quoted[reason] = r.Name
		}
	}
}
