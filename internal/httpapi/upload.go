package httpapi

import (
	"io"
	"maps"
	"mime"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"sillbook/internal/object"
)

// Most bodies are JSON and are read into memory. Files are not: an operation whose contract takes no JSON has its body received
// here, into a temporary file, while it is hashed. Such bodies, and answers of that kind, may take longer than others; one that
// stops coming is given up sooner.

// files is how files are received and kept.
type files struct {
	objects object.Store
	largest int64
	aside   string
	stall   time.Duration
}

// transfer is how long a file may take to come or to go.
const transfer = 5 * time.Minute

func (o Options) files() files {
	f := files{objects: o.Objects, largest: o.LargestAttachment, aside: o.Aside, stall: o.Stall}
	if f.objects == nil {
		f.objects = object.None{}
	}
	if f.largest == 0 {
		f.largest = 20_000_000
	}
	if f.stall == 0 {
		f.stall = 15 * time.Second
	}
	return f
}

// upload is a body that was received as it is.
type upload struct {
	*object.Received
	contentType string
}

// rawForms are the media types other than JSON that the operation takes, where it takes no JSON, and that it answers with.
func (op *operation) rawForms() (takes, offers []string) {
	other := func(name string) bool { return !strings.HasSuffix(name, "json") }
	if body := op.route.Operation.RequestBody; body != nil {
		for name := range maps.Keys(body.Value.Content) {
			if other(name) {
				takes = append(takes, name)
			}
		}
	}
	for status, response := range op.route.Operation.Responses.Map() {
		if !strings.HasPrefix(status, "2") {
			continue
		}
		for name := range maps.Keys(response.Value.Content) {
			if other(name) && !slices.Contains(offers, name) {
				offers = append(offers, name)
			}
		}
	}
	slices.Sort(takes)
	slices.Sort(offers)
	return takes, offers
}

// deadlineOf is how long a request may take.
func (s *Server) deadlineOf(op *operation) time.Duration {
	if op != nil && (op.takes != nil || op.offers != nil) {
		return max(s.deadline, transfer)
	}
	return s.deadline
}

// mediaType is the content type of a request's body, without parameters.
func mediaType(r *http.Request) string {
	name, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil {
		return ""
	}
	return name
}

// withUpload receives the body and has the request go on with it.
func (s *Server) withUpload(c echo.Context, r *request, next echo.HandlerFunc) error {
	req, connection := c.Request(), http.NewResponseController(c.Response())
	ends := time.Now().Add(transfer)
	if err := connection.SetWriteDeadline(ends.Add(s.deadline)); err != nil {
		return err
	}
	body := &steady{from: req.Body, wait: func() error { return connection.SetReadDeadline(earlier(time.Now().Add(s.files.stall), ends)) }}
	received, err := object.Receive(s.files.aside, body, req.ContentLength, s.files.largest)
	if err != nil {
		return err
	}
	defer received.Close()
	if err := connection.SetReadDeadline(time.Time{}); err != nil {
		return err
	}
	s.metrics.bytes.WithLabelValues("received").Add(float64(received.Size))
	r.upload = &upload{received, mediaType(req)}
	req.Body = http.NoBody
	return next(c)
}

// steady is a body that must go on coming.
type steady struct {
	from io.Reader
	wait func() error
}

// Read reads what has come, or waits a while.
func (s *steady) Read(p []byte) (int, error) {
	if err := s.wait(); err != nil {
		return 0, err
	}
	return s.from.Read(p)
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
