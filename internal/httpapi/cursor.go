package httpapi

import (
	"crypto/sha256"
	"encoding/base64"
	"net/url"
	"sort"

	"github.com/google/uuid"

	"sillbook/internal/fault"
)

// A cursor is the last identifier of a page, bound by a hash to the list, its filters and the caller's organization. It
// opens nothing by itself: row-level security and the caller's reach hold for every page.

func (r *request) cursor(last uuid.UUID) string {
	return base64.RawURLEncoding.EncodeToString(append(last[:], r.listHash(last)...))
}

// after reads the request's cursor: the identifier to go on from.
func (r *request) after() (uuid.UUID, error) {
	text := r.query.Get("cursor")
	if text == "" {
		return uuid.Nil, nil
	}
	raw, err := base64.RawURLEncoding.DecodeString(text)
	if err == nil && len(raw) == 16+cursorHash {
		last := uuid.UUID(raw[:16])
		if string(raw[16:]) == string(r.listHash(last)) {
			return last, nil
		}
	}
	detail := "The cursor is not one that this list gave with these filters."
	e := fault.New(fault.Malformed, "bad_cursor", "%s", detail).
		Fix("Use next of the page before as it is, with the same filters; or leave cursor out to begin again.")
	e.Fields = []fault.Field{{Parameter: "cursor", Code: "bad_cursor", Detail: detail}}
	return uuid.Nil, e
}

const cursorHash = 12

// listHash binds a cursor to the operation, the organization and the filters; the page size may vary.
func (r *request) listHash(last uuid.UUID) []byte {
	hash := sha256.New()
	hash.Write([]byte(r.op.id))
	hash.Write(r.caller.Organization[:])
	hash.Write(last[:])
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
