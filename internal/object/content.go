package object

import (
	"errors"
	"io"
	"mime"
	"strings"

	"github.com/gabriel-vasile/mimetype"

	"sillbook/internal/fault"
)

// What an attachment may be, by its media type. Nothing that a browser would run is among them.
const (
	JPEG = "image/jpeg"
	PNG  = "image/png"
	PDF  = "application/pdf"
	CSV  = "text/csv"
	Text = "text/plain"
)

// looksLike are the types that the first bytes of content may look like, by what it is declared to be. Text is told from text
// by its sender alone; what looks like a page, a script or another document in text is not taken for plain text.
var looksLike = map[string][]string{
	JPEG: {JPEG}, PNG: {PNG}, PDF: {PDF},
	CSV:  {CSV, Text, "text/tab-separated-values"},
	Text: {Text, CSV, "text/tab-separated-values"},
}

// endings are how the names of files end, by their type.
var endings = map[string]string{JPEG: ".jpg", PNG: ".png", PDF: ".pdf", CSV: ".csv", Text: ".txt"}

// Ending is how the name of a file of the type ends, ".pdf".
func Ending(contentType string) string { return endings[contentType] }

// IsPicture reports whether the type is one of the pictures.
func IsPicture(contentType string) bool { return contentType == JPEG || contentType == PNG }

// headLength is how many bytes are looked at to tell a type.
const headLength = 3072

// Check demands that the bytes are what they are declared to be. Errors: fault.Implausible, at the header Content-Type.
func (r *Received) Check(declared string) error {
	if r.Size == 0 {
		return fault.New(fault.Implausible, "empty", "The body is empty.").Fix("Send the file's bytes as the body.")
	}
	head := make([]byte, min(headLength, r.Size))
	if _, err := io.ReadFull(r.Bytes(), head); err != nil {
		return noRoom(err)
	}
	found := mimetype.Detect(head)
	for _, like := range looksLike[declared] {
		if found.Is(like) {
			return nil
		}
	}
	e := fault.New(fault.Implausible, "another_type", "The bytes are not %s: they look like %s.", declared, bare(found.String())).
		Fix("Send the file under the Content-Type that it has; what is none of the types taken here is kept elsewhere.")
	e.Fields = []fault.Field{{Header: "Content-Type", Code: "another_type", Detail: "The bytes look like " + bare(found.String()) + "."}}
	return e
}

// bare is a media type without its parameters.
func bare(mediaType string) string {
	if name, _, err := mime.ParseMediaType(mediaType); err == nil {
		return name
	}
	name, _, _ := strings.Cut(mediaType, ";")
	return name
}

// Served gives the copy that may be handed out: of a picture, one without what tells where, when, by whom and with what it was
// taken; of anything else, and where there is nothing to leave out, the bytes themselves. The caller closes it. Errors:
// fault.Implausible for a picture that cannot be followed to its end.
func (r *Received) Served(contentType string) (*Received, error) {
	copying := map[string]func(io.Writer, io.Reader) error{JPEG: copyJPEG, PNG: copyPNG}[contentType]
	if copying == nil {
		return r, nil
	}
	served, err := newReceived(r.dir)
	if err != nil {
		return nil, err
	}
	if err := copying(served, r.Bytes()); err != nil {
		if served.full == nil {
			return nil, errors.Join(unreadable(contentType, err), served.Close())
		}
		return nil, errors.Join(noRoom(err), served.Close())
	}
	if served.seal(); served.Sum == r.Sum {
		return r, served.Close()
	}
	return served, nil
}
