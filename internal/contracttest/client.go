package contracttest

import (
	"bytes"
	"cmp"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"
	"github.com/stretchr/testify/require"

	"sillbook/api"
)

// Client calls a service with one key and holds every answer against the contract, statuses that are not documented
// included.
type Client struct {
	t       testing.TB
	url     string
	key     string
	headers http.Header
}

// Client makes a client with a key.
func (s *Service) Client(key string) *Client {
	return &Client{t: s.t, url: s.URL, key: key, headers: http.Header{}}
}

// Owner is a client with the owner's key.
func (s *Service) Owner() *Client { return s.Client(s.OwnerKey) }

// With gives a client that also sends a header.
func (c *Client) With(name, value string) *Client {
	other := *c
	other.headers = c.headers.Clone()
	other.headers.Set(name, value)
	return &other
}

// Answer is what came back.
type Answer struct {
	t      testing.TB
	Status int
	Header http.Header
	Body   []byte
}

// Get, Post, Put and Patch send a request. A body is text, or anything that marshals to JSON, or a reader of bytes of which
// the request does not say how many they are.

// Get reads.
func (c *Client) Get(path string) Answer { c.t.Helper(); return c.Do("GET", path, nil) }

// Post sends a body.
func (c *Client) Post(path string, body any) Answer { c.t.Helper(); return c.Do("POST", path, body) }

// Put sends a body.
func (c *Client) Put(path string, body any) Answer { c.t.Helper(); return c.Do("PUT", path, body) }

// Patch sends a merge patch for the version in etag.
func (c *Client) Patch(path, etag string, body any) Answer {
	c.t.Helper()
	return c.With("If-Match", etag).Do("PATCH", path, body)
}

// Do sends any request and checks the answer against the contract.
func (c *Client) Do(method, path string, body any) Answer {
	c.t.Helper()
	var reader io.Reader
	if flowing, ok := body.(io.Reader); ok {
		reader = struct{ io.Reader }{flowing}
	} else if body != nil {
		reader = bytes.NewReader(c.text(body))
	}
	req, err := http.NewRequestWithContext(c.t.Context(), method, c.url+path, reader)
	require.NoError(c.t, err)
	if c.key != "" {
		req.Header.Set("Authorization", "Bearer "+c.key)
	}
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
		if method == http.MethodPatch {
			req.Header.Set("Content-Type", "application/merge-patch+json")
		}
	}
	for name, values := range c.headers {
		req.Header[name] = values
	}
	resp, err := http.DefaultClient.Do(req)
	require.NoError(c.t, err)
	defer resp.Body.Close()
	a := Answer{t: c.t, Status: resp.StatusCode, Header: resp.Header}
	a.Body, err = io.ReadAll(resp.Body)
	require.NoError(c.t, err)
	conforms(c.t, req, resp, a.Body)
	return a
}

func (c *Client) text(body any) []byte {
	c.t.Helper()
	switch b := body.(type) {
	case string:
		return []byte(b)
	case []byte:
		return b
	}
	text, err := json.Marshal(body)
	require.NoError(c.t, err)
	return text
}

// Is demands a status and gives the answer back.
func (a Answer) Is(status int) Answer {
	a.t.Helper()
	require.Equal(a.t, status, a.Status, "the answer was: %s", a.Body)
	return a
}

// JSON reads the body as an object.
func (a Answer) JSON() map[string]any {
	a.t.Helper()
	var object map[string]any
	require.NoError(a.t, json.Unmarshal(a.Body, &object), "%s", a.Body)
	return object
}

// Into reads the body into a value of the contract.
func (a Answer) Into(v any) Answer {
	a.t.Helper()
	require.NoError(a.t, json.Unmarshal(a.Body, v), "%s", a.Body)
	return a
}

// ID is the record's identifier.
func (a Answer) ID() string { a.t.Helper(); return a.JSON()["id"].(string) }

// ETag is the record's version in quotes.
func (a Answer) ETag() string { return a.Header.Get("ETag") }

// Problem reads the body as a problem document and demands its status and code.
func (a Answer) Problem(status int, code string) api.Problem {
	a.t.Helper()
	a.Is(status)
	require.Equal(a.t, "application/problem+json", a.Header.Get("Content-Type"))
	var p api.Problem
	a.Into(&p)
	require.Equal(a.t, code, p.Code, "%s", a.Body)
	require.Equal(a.t, a.Header.Get("Request-Id"), p.RequestId)
	require.NotNil(a.t, p.Fixes, "a problem says what can be done: %s", a.Body)
	return p
}

// Pointers are the places that a problem names.
func Pointers(p api.Problem) []string {
	var places []string
	if p.Errors != nil {
		for _, e := range *p.Errors {
			for _, place := range []*string{e.Pointer, e.Parameter, e.Header} {
				if place != nil {
					places = append(places, *place)
				}
			}
		}
	}
	return places
}

// contract is the router by the contract. The service, which runs before anybody calls it, has taught the library its
// formats.
var contract = sync.OnceValues(func() (routers.Router, error) {
	doc, err := api.Load()
	if err != nil {
		return nil, err
	}
	return gorillamux.NewRouter(doc)
})

func conforms(t testing.TB, req *http.Request, resp *http.Response, body []byte) {
	t.Helper()
	if !strings.HasPrefix(req.URL.Path, "/v1/") {
		return
	}
	router, err := contract()
	require.NoError(t, err)
	route, params, err := router.FindRoute(&http.Request{Method: req.Method, URL: &url.URL{Path: req.URL.Path, RawPath: req.URL.RawPath}})
	if err != nil {
		require.Contains(t, []int{404, 405}, resp.StatusCode, "%s %s is not in the contract", req.Method, req.URL.Path)
		return
	}
	seen.note(route.Operation.OperationID, resp.StatusCode)
	err = openapi3filter.ValidateResponse(t.Context(), &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{Request: req, PathParams: params, Route: route},
		Status:                 resp.StatusCode, Header: resp.Header, Body: io.NopCloser(bytes.NewReader(body)),
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	})
	require.NoError(t, err, "%s %s answered %d, which the contract does not allow: %s", req.Method, req.URL.Path, resp.StatusCode, body)
}

// seen are the pairs of operation and status that this process has exercised.
var seen = &pairs{counts: map[Pair]int{}}

// Pair is an operation and a status it answered with.
type Pair struct {
	Operation string
	Status    int
}

type pairs struct {
	mu     sync.Mutex
	counts map[Pair]int
}

func (p *pairs) note(operation string, status int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.counts[Pair{operation, status}]++
}

// Unexercised are the pairs that the contract documents and this process's tests have not exercised so far, in order.
func Unexercised() ([]Pair, error) {
	doc, err := api.Load()
	if err != nil {
		return nil, err
	}
	seen.mu.Lock()
	defer seen.mu.Unlock()
	var missing []Pair
	for _, item := range doc.Paths.Map() {
		for _, op := range item.Operations() {
			for text := range op.Responses.Map() {
				status, err := strconv.Atoi(text)
				if err != nil {
					return nil, err
				}
				if p := (Pair{op.OperationID, status}); seen.counts[p] == 0 {
					missing = append(missing, p)
				}
			}
		}
	}
	slices.SortFunc(missing, func(a, b Pair) int {
		return cmp.Or(cmp.Compare(a.Operation, b.Operation), cmp.Compare(a.Status, b.Status))
	})
	return missing, nil
}
