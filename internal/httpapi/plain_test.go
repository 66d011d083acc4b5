package httpapi

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/api"
)

func operations(t require.TestingT) map[string]*operation {
	doc, err := api.Load()
	require.NoError(t, err)
	parsed, err := readContract(doc)
	require.NoError(t, err)
	byID := map[string]*operation{}
	for _, op := range parsed.operations {
		byID[op.id] = op
	}
	return byID
}

// asked is a request to an operation as the frame sees it, with a value for each parameter of its path.
func asked(op *operation, query string, header http.Header, value func() string) (echo.Context, map[string]string) {
	path, params := op.route.Path, map[string]string{}
	var names, values []string
	for strings.Contains(path, "{") {
		before, rest, _ := strings.Cut(path, "{")
		name, after, _ := strings.Cut(rest, "}")
		told := value()
		path, params[name] = before+"x"+after, told
		names, values = append(names, name), append(values, told)
	}
	r := httptest.NewRequest(op.route.Method, path+query, http.NoBody)
	for name := range header {
		r.Header.Set(name, header.Get(name))
	}
	c := echo.New().NewContext(r, httptest.NewRecorder())
	c.SetParamNames(names...)
	c.SetParamValues(values...)
	return c, params
}

func TestReadByIdentifierIsPlain(t *testing.T) {
	t.Parallel()
	all := operations(t)
	fresh := func() string { return uuid.Must(uuid.NewV7()).String() }
	for _, id := range []string{"GetUnit", "GetProperty", "GetRenovation"} {
		c, _ := asked(all[id], "", nil, fresh)
		require.True(t, all[id].isPlain(c), id)
		c, _ = asked(all[id], "?version=1", nil, fresh)
		require.False(t, all[id].isPlain(c), "%s with a query goes to the validator", id)
		c, _ = asked(all[id], "", nil, func() string { return "not-an-identifier" })
		require.False(t, all[id].isPlain(c), "%s without an identifier goes to the validator", id)
	}
	for _, id := range []string{"CreateUnit", "PatchUnit", "PutUnitByExternalId"} {
		require.False(t, all[id].plain, "%s needs a body", id)
	}
}

// Whatever request is made, one that is let through as plain is one that the validator would let through.
func TestPlainRequestIsOneThatTheValidatorAccepts(t *testing.T) {
	t.Parallel()
	all := operations(t)
	var ids []string
	for id, op := range all {
		if op.plain {
			ids = append(ids, id)
		}
	}
	require.NotEmpty(t, ids)
	rapid.Check(t, func(t *rapid.T) {
		op := all[rapid.SampledFrom(ids).Draw(t, "operation")]
		whole := rapid.Custom(func(t *rapid.T) string {
			return uuid.UUID(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "bytes")).String()
		})
		version7 := rapid.Map(whole, func(text string) string { return text[:14] + "7" + text[15:19] + "a" + text[20:] })
		value := rapid.OneOf(version7, whole, rapid.Map(version7, strings.ToUpper), rapid.StringMatching(`\{?[0-9a-fA-F-]{34,38}\}?`),
			rapid.Map(version7, func(text string) string { return strings.Replace(text, "-", "0", 1) }))
		query := rapid.SampledFrom([]string{"", "", "?", "?version=0", "?other=1"}).Draw(t, "query")
		header := http.Header{}
		if rapid.Bool().Draw(t, "header") {
			header.Set(rapid.SampledFrom([]string{"If-Match", "Idempotency-Key", "X-Other"}).Draw(t, "name"), rapid.StringMatching(`[ -~]{0,50}`).Draw(t, "text"))
		}
		c, params := asked(op, query, header, func() string { return value.Draw(t, "value") })
		if op.isPlain(c) {
			require.NoError(t, op.validate(c.Request().Context(), c.Request(), params, nil))
		}
	})
}
