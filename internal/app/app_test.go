package app_test

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sillbook/internal/app"
	"sillbook/internal/pgtest"
)

// running is a service that a test started.
type running struct {
	address string
	out     *words
	stop    func() error
}

type words struct {
	mu sync.Mutex
	b  strings.Builder
}

func (w *words) Write(p []byte) (int, error) { w.mu.Lock(); defer w.mu.Unlock(); return w.b.Write(p) }
func (w *words) String() string              { w.mu.Lock(); defer w.mu.Unlock(); return w.b.String() }

func start(t *testing.T, c app.Config) running {
	t.Helper()
	r := running{out: &words{}}
	ready, ended := make(chan string, 1), make(chan error, 1)
	c.Listen, c.Out, c.Started = "127.0.0.1:0", r.out, func(address string) { ready <- address }
	ctx, cancel := context.WithCancel(context.Background())
	go func() { ended <- app.Run(ctx, c) }()
	var once sync.Once
	var result error
	r.stop = func() error { once.Do(func() { cancel(); result = <-ended }); return result }
	t.Cleanup(func() { _ = r.stop() })
	select {
	case r.address = <-ready:
	case err := <-ended:
		ended <- err
		require.NoError(t, err)
	case <-time.After(time.Minute):
		require.FailNow(t, "the service did not start")
	}
	return r
}

func get(t *testing.T, client *http.Client, url, key string) (int, string) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	require.NoError(t, err)
	if key != "" {
		req.Header.Set("Authorization", "Bearer "+key)
	}
	answer, err := client.Do(req)
	require.NoError(t, err)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	require.NoError(t, err)
	return answer.StatusCode, string(body)
}

var keyText = regexp.MustCompile(`sb_\w+_\w+_\w+`)

func TestFirstStartPrintsTheOwnersKeyOnceAndLaterStartsKeepTheBook(t *testing.T) {
	t.Parallel()
	config := app.Config{DataDir: t.TempDir()}
	first := start(t, config)
	key := keyText.FindString(first.out.String())
	require.NotEmpty(t, key, "a new book shows its owner's key: %s", first.out)
	status, _ := get(t, http.DefaultClient, "http://"+first.address+"/v1/organization", key)
	require.Equal(t, 200, status)
	for path, says := range map[string]string{"/livez": "live", "/readyz": "ready", "/version": "rule_set", "/metrics": "sillbook_changes_pending", "/openapi.yaml": "openapi: 3.0.3", "/openapi.json": `"3.0.3"`} {
		status, body := get(t, http.DefaultClient, "http://"+first.address+path, "")
		require.Equal(t, 200, status, path)
		require.Contains(t, body, says, path)
	}
	require.NoError(t, first.stop(), "a service that is told to stop ends well")

	second := start(t, config)
	require.Empty(t, keyText.FindString(second.out.String()), "the key is shown only once")
	status, _ = get(t, http.DefaultClient, "http://"+second.address+"/v1/organization", key)
	require.Equal(t, 200, status, "the book and its keys are still there")
}

func TestServiceOnADatabaseOfItsOwnSpeaksTLS(t *testing.T) {
	t.Parallel()
	cert, keyFile, pool := certificate(t)
	r := start(t, app.Config{DatabaseURL: pgtest.Database(t).Super, Attachments: app.NoAttachments, TLSCert: cert, TLSKey: keyFile})
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	defer client.CloseIdleConnections()
	status, _ := get(t, client, "https://"+r.address+"/readyz", "")
	require.Equal(t, 200, status)
	require.Empty(t, keyText.FindString(r.out.String()), "only a private book greets with a key")
	status, body := get(t, client, "https://"+r.address+"/v1/organization", "")
	require.Equal(t, 401, status)
	require.Contains(t, body, "no_credential")
}

func TestServiceSaysWhatKeepsItFromStarting(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		config app.Config
		says   string
	}{
		"no database there":   {app.Config{DatabaseURL: "postgres://nobody@127.0.0.1:1/none?connect_timeout=2", Listen: "127.0.0.1:0", Attachments: app.NoAttachments, TLSCert: "none", TLSKey: "none"}, "TLS certificate"},
		"a URL that is none":  {app.Config{DatabaseURL: "postgres://%zz", Listen: "127.0.0.1:0"}, "database URL cannot be read"},
		"an address in doubt": {app.Config{DatabaseURL: pgtest.Database(t).Super, Attachments: app.NoAttachments, Listen: "256.0.0.1:1"}, "cannot listen"},
		"a bucket not named":  {app.Config{DatabaseURL: pgtest.Database(t).Super, Listen: "127.0.0.1:0", Attachments: app.InBucket}, "form https://host:port"},
		"a file for a directory of attachments": {app.Config{DatabaseURL: pgtest.Fresh(t).Super, DataDir: t.TempDir(), Listen: "127.0.0.1:0", Attachments: os.Args[0]},
			"name another with --attachments"},
		"a data directory that cannot be": {app.Config{DatabaseURL: pgtest.Fresh(t).Super, DataDir: os.Args[0], Listen: "127.0.0.1:0", Attachments: t.TempDir()},
			"name another with --data-dir"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.ErrorContains(t, app.Run(t.Context(), c.config), c.says)
		})
	}
}

// A service whose attachments lie in its own directory is alone with its book: a second one, wherever it runs, does not start.
func TestSecondInstanceWithADirectoryOfItsOwnDoesNotStart(t *testing.T) {
	t.Parallel()
	url := pgtest.Fresh(t).Super
	own := func() app.Config { return app.Config{DatabaseURL: url, DataDir: t.TempDir(), Listen: "127.0.0.1:0"} }
	first := start(t, own())
	require.ErrorContains(t, app.Run(t.Context(), own()), "must serve it alone")
	without := own()
	without.Attachments = app.NoAttachments
	require.ErrorContains(t, app.Run(t.Context(), without), "in a directory that this one cannot reach")
	status, _ := get(t, http.DefaultClient, "http://"+first.address+"/readyz", "")
	require.Equal(t, 200, status, "the first goes on")
	require.NoError(t, first.stop())
	start(t, own())
}

// certificate makes a certificate for loopback, and the pool that trusts it.
func certificate(t *testing.T) (certFile, keyFile string, pool *x509.CertPool) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	template := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign | x509.KeyUsageDigitalSignature}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	require.NoError(t, err)
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	require.NoError(t, err)
	dir := t.TempDir()
	certFile, keyFile = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	text := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	require.NoError(t, os.WriteFile(certFile, text, 0o600))
	require.NoError(t, os.WriteFile(keyFile, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER}), 0o600))
	pool = x509.NewCertPool()
	require.True(t, pool.AppendCertsFromPEM(text))
	return certFile, keyFile, pool
}
