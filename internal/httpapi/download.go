package httpapi

import (
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode"

	"sillbook/internal/object"
)

// download is an answer of bytes as they are. They are to be saved, never to be shown where they came from: whatever they hold,
// a browser neither guesses another type for them nor runs anything in them.
type download struct {
	bytes       io.ReadSeekCloser // nil: the caller has them
	size        int64
	sum         object.Sum
	contentType string
	name        string // of the file
	part        part
	restricted  bool
	sent        func(n int64)
}

// part is a run of bytes; the zero value stands for all of them.
type part struct{ from, length int64 }

// etag is the hash of the bytes in quotes.
func (d download) etag() string { return strconv.Quote(d.sum.String()) }

// VisitGetAttachmentContentResponse writes the answer.
func (d download) VisitGetAttachmentContentResponse(w http.ResponseWriter) error {
	header := w.Header()
	header.Set("Etag", d.etag())
	if d.bytes == nil {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	defer d.bytes.Close()
	if _, err := d.bytes.Seek(d.part.from, io.SeekStart); err != nil {
		return err
	}
	header.Set("Content-Type", d.contentType)
	header.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": d.name}))
	header.Set("X-Content-Type-Options", "nosniff")
	header.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	header.Set("Cache-Control", "private, no-cache")
	if d.restricted {
		header.Set("Cache-Control", "no-store")
	}
	header.Set("Repr-Digest", d.sum.Digest())
	header.Set("Accept-Ranges", "bytes")
	status, length := http.StatusOK, d.size
	if d.part.length > 0 {
		status, length = http.StatusPartialContent, d.part.length
		header.Set("Content-Range", fmt.Sprintf("bytes %d-%d/%d", d.part.from, d.part.from+length-1, d.size))
	}
	header.Set("Content-Length", strconv.FormatInt(length, 10))
	if err := http.NewResponseController(w).SetWriteDeadline(time.Now().Add(transfer)); err != nil {
		return err
	}
	w.WriteHeader(status)
	n, err := io.CopyN(w, d.bytes, length)
	d.sent(n)
	return err
}

// partOf reads a Range header of one range (RFC 9110, section 14); ok is false where all bytes are to be sent.
func partOf(field string, size int64) (p part, ok bool) {
	set, ok := strings.CutPrefix(field, "bytes=")
	first, last, dash := strings.Cut(strings.TrimSpace(set), "-")
	if !ok || !dash {
		return part{}, false
	}
	to, err := size-1, error(nil)
	switch {
	case first == "": // the last so many
		var n uint64
		if n, err = strconv.ParseUint(last, 10, 62); err != nil || n == 0 {
			return part{}, false
		}
		return part{max(0, size-int64(n)), min(size, int64(n))}, true
	case last != "":
		var n uint64
		if n, err = strconv.ParseUint(last, 10, 62); err != nil {
			return part{}, false
		}
		to = min(to, int64(n))
	}
	from, err := strconv.ParseUint(first, 10, 62)
	if err != nil || int64(from) > to {
		return part{}, false
	}
	return part{int64(from), to - int64(from) + 1}, true
}

// hasCopy reports whether an If-None-Match header (RFC 9110, section 13.1.2) names an ETag.
func hasCopy(field, etag string) bool {
	for one := range strings.SplitSeq(field, ",") {
		one = strings.TrimPrefix(strings.TrimSpace(one), "W/")
		if one == "*" || one == etag {
			return true
		}
	}
	return false
}

// fileName makes a name for a file out of a title: letters, digits and a few signs, no path and no dots before it.
func fileName(title, ending string) string {
	name := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune(" -_.,()", r) {
			return r
		}
		return '-'
	}, title)
	name = strings.TrimSuffix(strings.Trim(name, " ."), ending)
	if runes := []rune(name); len(runes) > 100 {
		name = string(runes[:100])
	}
	if name == "" {
		name = "attachment"
	}
	return name + ending
}
