package archtest

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/archtest/lawtable/table"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
	cases "sillbook/testdata/law"
)

func TestTableOfTheLawIsUpToDate(t *testing.T) {
	t.Parallel()
	wanted, err := table.Write()
	require.NoError(t, err)
	is, err := os.ReadFile(filepath.Join(root, table.Path))
	require.NoError(t, err)
	require.Equal(t, wanted, string(is), "run make coverage-of-law")
}

func TestEveryRuleAnswersACalculationAndHasACheck(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	files, err := cases.Read()
	require.NoError(t, err)
	checked := map[string]bool{}
	for _, f := range files {
		require.NotNil(t, doc.Paths.Value("/v1/calculations/"+f.Calculation), "%s is no calculation", f.Name)
		require.Equal(t, f.Calculation+".yaml", f.Name)
		for _, c := range f.Cases {
			for _, rule := range c.Rules {
				checked[rule] = true
			}
		}
	}
	for _, r := range trade.Catalogue() {
		require.NotNil(t, doc.Paths.Value("/v1/calculations/"+r.Calculation), "%s answers no calculation", r.Name)
		require.True(t, checked[r.Name], "%s has no check", r.Name)
	}
}

func TestEveryParameterIsReadByARule(t *testing.T) {
	t.Parallel()
	book, err := law.Embedded()
	require.NoError(t, err)
	read := map[string]bool{}
	for _, r := range trade.Catalogue() {
		for _, p := range r.Parameters {
			read[p] = true
		}
	}
	for _, p := range book.Parameters() {
		require.True(t, read[p.Name], "no rule of the catalogue reads %s", p.Name)
	}
}
