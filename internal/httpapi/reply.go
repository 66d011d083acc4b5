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

// ofJSON is shared by all answers; net/http copies a header's values before it writes them.
var ofJSON = []string{"application/json"}

func (r reply) write(w http.ResponseWriter) error {
	header := w.Header()
	header["Content-Type"] = ofJSON
	header.Set("Content-Length", strconv.Itoa(len(r.body)))
	if r.etag != "" {
		header.Set("Etag", r.etag)
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
