package bench

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/internal/pgtest"
)

func TestEveryRowIsMeasured(t *testing.T) {
	t.Parallel()
	var out, progress bytes.Buffer
	c := Config{Seed: 1, Units: 30, Clients: 2, Connections: 2, Rounds: 1, Length: 100 * time.Millisecond, Version: "test", Out: &out, Progress: &progress}
	require.NoError(t, c.check())
	require.NoError(t, c.measure(t.Context(), pgtest.Database(t).Super, "of the test", t.TempDir()))
	require.Contains(t, out.String(), "30 units in 4 organizations, seed 1")
	require.Regexp(t, `P1 +point read of a unit, requests/s +[\d,]+ +[\d,]+ +\d+\.\d\d \(`, out.String())
	require.Regexp(t, `99th percentile of latency +\d+\.\d\d ms +\d+\.\d\d ms`, out.String())
	require.Regexp(t, `P3 +coverage of a home, decisions/s on one core +[\d,]+`, out.String())
	require.Regexp(t, `P3 +applicability to a job, up to 5 others near it, decisions/s on one core +[\d,]+`, out.String())
	require.Regexp(t, `P3 +the same with three local conditions beside it, decisions/s on one core +[\d,]+`, out.String())
	require.Contains(t, progress.String(), "Round 1 of 1")
}

func TestRefusedConfigurationSaysWhy(t *testing.T) {
	t.Parallel()
	good := Config{Units: 4, Clients: 1, Connections: 1, Rounds: 1, Length: time.Second}
	require.NoError(t, good.check())
	for want, change := range map[string]func(*Config){
		"at least 4 units":   func(c *Config) { c.Units = 3 },
		"at least 1 each":    func(c *Config) { c.Clients = 0 },
		"shorter than 100ms": func(c *Config) { c.Length = time.Millisecond },
	} {
		c := good
		change(&c)
		require.ErrorContains(t, c.check(), want)
	}
}

func TestLoadEndsAtAnAnswerThatIsNot200(t *testing.T) {
	t.Parallel()
	server := httptest.NewServer(http.NotFoundHandler())
	t.Cleanup(server.Close)
	address := strings.TrimPrefix(server.URL, "http://")
	_, err := target{address, [][]byte{[]byte("GET / HTTP/1.1\r\nHost: here\r\n\r\n")}}.load(1, 100*time.Millisecond)
	require.ErrorContains(t, err, "404")
}

func TestServersThatAnswerDifferentlyAreNotCompared(t *testing.T) {
	t.Parallel()
	var targets []target
	for _, answer := range []string{"one", "two"} {
		server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.Write([]byte(answer)) }))
		t.Cleanup(server.Close)
		targets = append(targets, target{strings.TrimPrefix(server.URL, "http://"), [][]byte{[]byte("GET / HTTP/1.1\r\nHost: here\r\n\r\n")}})
	}
	require.ErrorContains(t, same(targets[0], targets[1]), "do not answer alike")
	require.NoError(t, same(targets[0], targets[0]))
}

func TestSpreadIsMedianLowestAndHighest(t *testing.T) {
	t.Parallel()
	same := func(f float64) float64 { return f }
	require.Equal(t, spread{2, 1, 9}, spreadOf([]float64{9, 1, 2}, same))
	require.Equal(t, spread{2.5, 1, 9}, spreadOf([]float64{9, 1, 2, 3}, same))
	require.Equal(t, "2.50 (1.00 to 9.00)", spread{2.5, 1, 9}.String())
}

func TestNumberHasCommas(t *testing.T) {
	t.Parallel()
	for f, want := range map[float64]string{0: "0", 999: "999", 1000: "1,000", 1234567.8: "1,234,568"} {
		require.Equal(t, want, number(f))
	}
}
