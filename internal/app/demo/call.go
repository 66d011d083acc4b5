package demo

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"sync"

	"github.com/google/uuid"

	"sillbook/api"
	"sillbook/api/client"
)

// A step that does not come out as the story says ends the story. Steps say so with a panic of this type, which Run
// turns back into its error, so that the chapters read as a story and no step can be passed over.
type stop struct{ err error }

// stopf ends the story.
func stopf(format string, args ...any) { panic(stop{fmt.Errorf(format, args...)}) }

// must ends the story unless what was said holds.
func must(holds bool, said string, args ...any) {
	if !holds {
		stopf("the story says: "+said+"; the service answered otherwise", args...)
	}
}

// caught turns the end of the story back into an error.
func caught(err *error) {
	switch r := recover().(type) {
	case nil:
	case stop:
		*err = r.err
	default:
		panic(r)
	}
}

// answer is what every operation of the client gives.
type answer interface {
	StatusCode() int
	GetBody() []byte
}

// read is a 200 answer's record.
func read[T any, R interface {
	answer
	GetJSON200() *T
}](r R, err error) T {
	return *told(r, err, R.GetJSON200)
}

// made is a 201 answer's record.
func made[T any, R interface {
	answer
	GetJSON201() *T
}](r R, err error) T {
	return *told(r, err, R.GetJSON201)
}

func told[T any, R answer](r R, err error, record func(R) *T) *T {
	if err != nil {
		stopf("the service could not be called: %w", err)
	}
	body := record(r)
	if body == nil {
		stopf("the service answered %d: %s", r.StatusCode(), r.GetBody())
	}
	return body
}

// refused is a refusal's problem; anything else ends the story.
func refused(r answer, err error) api.Problem {
	if err != nil {
		stopf("the service could not be called: %w", err)
	}
	var p api.Problem
	if r.StatusCode() < 400 || json.Unmarshal(r.GetBody(), &p) != nil {
		stopf("the story says that the service refuses; it answered %d: %s", r.StatusCode(), r.GetBody())
	}
	return p
}

// caller gives a client that signs with a key, in its own organization or, by a grant, in another's.
func caller(address, key string, in *uuid.UUID) *client.ClientWithResponses {
	c, err := client.NewClientWithResponses("http://"+address, client.WithHTTPClient(connections),
		client.WithRequestEditorFn(func(_ context.Context, r *http.Request) error {
			r.Header.Set("Authorization", "Bearer "+key)
			if in != nil {
				r.Header.Set("Sillbook-Organization", in.String())
			}
			return nil
		}))
	if err != nil {
		stopf("%w", err)
	}
	return c
}

// atOnce is how many requests are under way at a time where their order does not matter.
const atOnce = 8

var connections = &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: atOnce}}

// together does n things, several at a time, and ends the story when one of them would.
func together(n int, do func(i int)) {
	var (
		running sync.WaitGroup
		first   = make(chan error, n)
		next    = make(chan int)
	)
	for range min(n, atOnce) {
		running.Go(func() {
			for i := range next {
				var err error
				func() { defer caught(&err); do(i) }()
				if err != nil {
					first <- err
				}
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	running.Wait()
	select {
	case err := <-first:
		panic(stop{err})
	default:
	}
}

// once makes an idempotency key out of words: the same step sent twice is done once.
func once(format string, args ...any) *string { return new(fmt.Sprintf(format, args...)) }
