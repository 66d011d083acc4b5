package main

import (
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sillbook/internal/app"
	"sillbook/internal/pgtest"
)

// serving runs the service on the tests' database and opens an organization in it.
func serving(t *testing.T) (url, ownerKey string) {
	t.Helper()
	database := pgtest.Database(t).Super
	printed, err := run(t, key(), "first", "Fernhill Homes", "--database-url", database)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	ready, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- app.Run(ctx, app.Config{DatabaseURL: database, Attachments: app.NoAttachments, Listen: "127.0.0.1:0", Out: io.Discard, Started: func(address string) { ready <- address }})
	}()
	t.Cleanup(func() { cancel(); require.NoError(t, <-ended) })
	select {
	case address := <-ready:
		return "http://" + address, strings.TrimSpace(printed)
	case err := <-ended:
		ended <- err
		require.NoError(t, err)
	}
	return "", ""
}

func TestPublishedOverlaysAreEnteredByOneCommand(t *testing.T) {
	t.Parallel()
	url, ownerKey := serving(t)
	printed, err := run(t, overlay(), "--published", "--url", url, "--key", ownerKey)
	require.NoError(t, err)
	require.Equal(t, 9, strings.Count(printed, ": entered\n"), printed)
	printed, err = run(t, overlay(), "--published", "--url", url, "--key", ownerKey)
	require.NoError(t, err)
	require.Equal(t, 9, strings.Count(printed, ": on record, version 1\n"), "the same again changes nothing: %s", printed)

	floor := `{"sampled_on":"2022-03-01","visual_passed":true,"minutes_after_cleaning":90,"jurisdictions":["us-ny-new-york-city"],
		"samples":[{"label":"F-1","surface":"floor_bare","area":{"value":"1","unit":"ft2"},"mass":{"value":"7","unit":"ug"}}]}`
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, url+"/v1/calculations/clearance", strings.NewReader(floor))
	require.NoError(t, err)
	req.Header.Set("Authorization", "Bearer "+ownerKey)
	req.Header.Set("Content-Type", "application/json")
	answer, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	require.Contains(t, string(body), `"outcome":"failed"`, "89 FR 89416, summary (text): 5 in the city, where EPA had 10")
}

func TestOverlayCommandSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	url, ownerKey := serving(t)
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"nothing to enter": {nil, "name a file, or --published"},
		"no such file":     {[]string{filepath.Join(dir, "none.yaml")}, "no such file"},
		"not YAML":         {[]string{write("a.yaml", "a: [b")}, "a.yaml"},
		"no external id":   {[]string{write("b.yaml", "jurisdiction: us-zz\ntitle: T\n")}, "external_ids is missing"},
		"refused":          {[]string{write("c.yaml", "jurisdiction: us\ntitle: T\nexternal_ids: [{system: a, value: b}]\n")}, "/jurisdiction"},
	} {
		_, err := run(t, overlay(), append(c.args, "--url", url, "--key", ownerKey)...)
		require.ErrorContains(t, err, c.says, name)
	}
}
