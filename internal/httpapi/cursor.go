package httpapi

import (
	"crypto/sha256"
	"encoding/base64"
	"net/url"
	"slices"
	"sort"

	"github.com/google/uuid"

	"sillbook/internal/fault"
)

// A cursor is the place of the last record of a page, bound by a hash to the list, its filters and the caller's
// organization. It opens nothing by itself: row-level security and the caller's reach hold for every page. The place is the
// record's identifier; where a list has another order, what it is ordered by comes before it.

func (r *request) cursor(last uuid.UUID) string { return r.cursorAt(last[:]) }

func (r *request) cursorAt(place []byte) string {
	return base64.RawURLEncoding.EncodeToString(append(slices.Clone(place), r.listHash(place)...))
}

// after reads the request's cursor: the identifier to go on from.
func (r *request) after() (uuid.UUID, error) {
	place, err := r.afterPlace(len(uuid.Nil))
	if place == nil {
		return uuid.Nil, err
	}
	return uuid.UUID(place), err
}

// afterPlace reads the request's cursor: the place to go on from, of that many bytes; nil where there is none.
func (r *request) afterPlace(size int) ([]byte, error) {
	text := r.query.Get("cursor")
	if text == "" {
		return nil, nil
	}
	raw, err := base64.RawURLEncoding.DecodeString(text)
	if err == nil && len(raw) == size+cursorHash && string(raw[size:]) == string(r.listHash(raw[:size])) {
		return raw[:size], nil
	}
	detail := "The cursor is not one that this list gave with these filters."
	e := fault.New(fault.Malformed, "bad_cursor", "%s", detail).
		Fix("Use next of the page before as it is, with the same filters; or leave cursor out to begin again.")
	e.Fields = []fault.Field{{Parameter: "cursor", Code: "bad_cursor", Detail: detail}}
	return nil, e
}

const cursorHash = 12

// listHash binds a cursor to the operation, the organization and the filters; the page size may vary.
func (r *request) listHash(place []byte) []byte {
	hash := sha256.New()
	hash.Write([]byte(r.op.id))
	hash.Write(r.caller.Organization[:])
	hash.Write(place)
	names := make([]string, 0, len(r.query))
	for name := range r.query {
		if name != "cursor" && name != "limit" && name != "count" {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	for _, name := range names {
		hash.Write([]byte{0})
		hash.Write([]byte(url.QueryEscape(name) + "=" + url.QueryEscape(r.query.Get(name))))
	}
	return hash.Sum(nil)[:cursorHash]
}

// nextPage is the address of the page behind this one.
func (r *request) nextPage(path, cursor string) string {
	query := url.Values{}
	for name, values := range r.query {
		query[name] = values
	}
	query.Set("cursor", cursor)
	return path + "?" + query.Encode()
}
