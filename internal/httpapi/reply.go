package httpapi

import (
	"net/http"
	"strconv"
)

// reply is an answer ready to be written: the stored bytes of a record, or a body made for the occasion. It serves as
// the response object of every operation; reply_visit.go has the one line that each needs.
type reply struct {
	status   int
	etag     string
	location string
	link     string
	replayed bool
	body     []byte
}

func (r reply) write(w http.ResponseWriter) error {
	header := w.Header()
	header.Set("Content-Type", "application/json")
	header.Set("Content-Length", strconv.Itoa(len(r.body)))
	if r.etag != "" {
		header.Set("ETag", r.etag)
	}
	if r.location != "" {
		header.Set("Location", r.location)
	}
	if r.link != "" {
		header.Set("Link", r.link)
	}
	if r.replayed {
		header.Set("Idempotency-Replayed", "true")
	}
	w.WriteHeader(r.status)
	_, err := w.Write(r.body)
	return err
}
