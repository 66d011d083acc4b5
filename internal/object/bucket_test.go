package object_test

import (
	"bufio"
	"bytes"
	"context"
	"crypto/md5"
	"encoding/hex"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/object"
)

// bucketServer speaks as much of the S3 protocol as the store uses: it wants each request signed (AWS Signature Version 4, by
// the right key, for the right region), and keeps bytes in memory.
type bucketServer struct {
	*httptest.Server
	mu      sync.Mutex
	objects map[string][]byte // by their path
	puts    int
	failing bool
}

var signature = regexp.MustCompile(`^AWS4-HMAC-SHA256 Credential=the-access-key/\d{8}/zz-east/s3/aws4_request, ?SignedHeaders=[^,]*host[^,]*, ?Signature=[0-9a-f]{64}$`)

func newBucketServer(t *testing.T) *bucketServer {
	t.Helper()
	s := &bucketServer{objects: map[string][]byte{}}
	s.Server = httptest.NewServer(http.HandlerFunc(s.answer))
	t.Cleanup(s.Close)
	return s
}

func (s *bucketServer) options() object.BucketOptions {
	return object.BucketOptions{Endpoint: s.URL, Bucket: "papers", Region: "zz-east", AccessKey: "the-access-key", SecretKey: "the-secret-key"}
}

func (s *bucketServer) open(t *testing.T, folder string) *object.Bucket {
	t.Helper()
	o := s.options()
	o.Folder = folder
	b, err := object.OpenBucket(t.Context(), o)
	require.NoError(t, err)
	return b
}

func (s *bucketServer) names() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Sorted(maps.Keys(s.objects))
}

func (s *bucketServer) answer(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	defer s.mu.Unlock()
	name, inBucket := strings.CutPrefix(r.URL.Path, "/papers/")
	content, there := s.objects[name]
	switch {
	case !signature.MatchString(r.Header.Get("Authorization")) || r.Header.Get("X-Amz-Date") == "" || r.Header.Get("X-Amz-Content-Sha256") == "":
		refuse(w, r, 403, "AccessDenied")
	case s.failing:
		refuse(w, r, 501, "NotImplemented")
	case !inBucket:
		refuse(w, r, 404, "NoSuchBucket")
	case r.Method == http.MethodPut:
		sent, err := payload(r)
		if err != nil {
			refuse(w, r, 400, "IncompleteBody")
			return
		}
		s.objects[name], s.puts = sent, s.puts+1
		w.Header().Set("ETag", tag(sent))
	case name == "" && r.Method == http.MethodHead:
	case !there:
		refuse(w, r, 404, "NoSuchKey")
	default:
		w.Header().Set("ETag", tag(content))
		w.Header().Set("Content-Type", "application/octet-stream")
		http.ServeContent(w, r, "", time.Date(2026, 4, 20, 16, 0, 0, 0, time.UTC), bytes.NewReader(content))
	}
}

func tag(content []byte) string {
	sum := md5.Sum(content)
	return strconv.Quote(hex.EncodeToString(sum[:]))
}

func refuse(w http.ResponseWriter, r *http.Request, status int, code string) {
	w.Header().Set("Content-Type", "application/xml")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		fmt.Fprintf(w, "<Error><Code>%s</Code><Message>no</Message></Error>", code)
	}
}

// payload reads a body; one that is signed in pieces comes as lines of a length in hexadecimal and a signature, each before so
// many bytes.
func payload(r *http.Request) ([]byte, error) {
	if !strings.HasPrefix(r.Header.Get("X-Amz-Content-Sha256"), "STREAMING-") {
		return io.ReadAll(r.Body)
	}
	var whole []byte
	for lines := bufio.NewReader(r.Body); ; {
		line, err := lines.ReadString('\n')
		if err != nil {
			return nil, err
		}
		length, _, signed := strings.Cut(line, ";chunk-signature=")
		n, err := strconv.ParseInt(length, 16, 32)
		if err != nil || !signed {
			return nil, fmt.Errorf("no length and signature in %q", line)
		}
		piece := make([]byte, n+2) // a line break behind it
		if _, err := io.ReadFull(lines, piece); err != nil {
			return nil, err
		}
		if n == 0 {
			return whole, nil
		}
		whole = append(whole, piece[:n]...)
	}
}

func TestBucketKeepsBytesInItsFolder(t *testing.T) {
	t.Parallel()
	s := newBucketServer(t)
	b := s.open(t, "/sillbook/")
	key := keyOf(uuid.New(), "sills")
	put(t, b, key, "sills")
	sum := key.Sum.String()
	require.Equal(t, []string{"sillbook/" + key.Organization.String() + "/" + sum[:2] + "/" + sum}, s.names())
	require.Equal(t, "sills", read(t, b, key))
}

func TestBytesThatAreThereAreNotSentAgain(t *testing.T) {
	t.Parallel()
	s := newBucketServer(t)
	b := s.open(t, "")
	key := keyOf(uuid.New(), "sills")
	put(t, b, key, "sills")
	put(t, b, key, "sills")
	require.Equal(t, 1, s.puts)
}

func TestBucketOutOfOrderIsUnavailableAndNotMissing(t *testing.T) {
	t.Parallel()
	s := newBucketServer(t)
	b := s.open(t, "")
	key := keyOf(uuid.New(), "sills")
	put(t, b, key, "sills")
	s.mu.Lock()
	s.failing = true
	s.mu.Unlock()
	err := b.Put(t.Context(), keyOf(uuid.New(), "other"), strings.NewReader("other"), 5)
	require.Equal(t, "attachments_unavailable", fault.As(err).Code, "%v", err)
	_, err = b.Open(t.Context(), key)
	require.Equal(t, "attachments_unavailable", fault.As(err).Code, "%v", err)
}

func TestBucketThatCannotBeUsedIsSaidAtTheStart(t *testing.T) {
	t.Parallel()
	s := newBucketServer(t)
	for name, c := range map[string]struct {
		change func(*object.BucketOptions)
		says   string
	}{
		"no scheme":           {func(o *object.BucketOptions) { o.Endpoint = "store.example:9000" }, "form https://host:port"},
		"a path":              {func(o *object.BucketOptions) { o.Endpoint += "/papers" }, "form https://host:port"},
		"no keys":             {func(o *object.BucketOptions) { o.SecretKey = "" }, "an access key and a secret key"},
		"no bucket's name":    {func(o *object.BucketOptions) { o.Bucket = "" }, "needs its name"},
		"another's key":       {func(o *object.BucketOptions) { o.AccessKey = "another-key" }, "cannot be reached"},
		"a bucket not there":  {func(o *object.BucketOptions) { o.Bucket = "photos" }, `no bucket "photos"`},
		"a name that is none": {func(o *object.BucketOptions) { o.Bucket = "x" }, "cannot be reached"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := s.options()
			c.change(&o)
			ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
			defer cancel()
			_, err := object.OpenBucket(ctx, o)
			require.ErrorContains(t, err, c.says)
		})
	}
}
