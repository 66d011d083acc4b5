// Package object keeps the bytes of attachments: photos, laboratory reports, signed papers. They are found by the
// organization they belong to and their own SHA-256, so that the same bytes are kept once in an organization and never shared
// between two. What the bytes are, and who may see them, the book knows; this package knows neither.
package object

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"io"

	"github.com/google/uuid"

	"sillbook/internal/fault"
)

// Store keeps bytes. It is safe for concurrent use.
type Store interface {
	// Put keeps bytes under their key and returns when they would survive a crash. Bytes that are there already stay.
	// Errors: fault.Unavailable.
	Put(ctx context.Context, key Key, from io.Reader, size int64) error

	// Open gives the bytes of a key, to be closed by the caller. Errors: fault.Unavailable, also where the bytes are not there:
	// the book has said that they are.
	Open(ctx context.Context, key Key) (io.ReadSeekCloser, error)
}

// Key finds some bytes.
type Key struct {
	Organization uuid.UUID
	Sum          Sum
}

// path is organization/first two digits/all digits of the hash; nothing of it comes from a caller.
func (k Key) path() (folder, name string) {
	digits := k.Sum.String()
	return k.Organization.String() + "/" + digits[:2], digits
}

// Sum is the SHA-256 of some bytes.
type Sum [sha256.Size]byte

// ParseSum reads 64 hexadecimal digits.
func ParseSum(digits string) (s Sum, ok bool) {
	b, err := hex.DecodeString(digits)
	if err != nil || len(b) != len(s) {
		return s, false
	}
	return Sum(b), true
}

// String writes the sum as 64 hexadecimal digits, in lower case.
func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// Digest writes the sum as the member of a digest field (RFC 9530).
func (s Sum) Digest() string { return "sha-256=:" + base64.StdEncoding.EncodeToString(s[:]) + ":" }

func unavailable(detail string, err error) *fault.Error {
	return fault.New(fault.Unavailable, "attachments_unavailable", "%s", detail).
		Fix("Try again after the time in Retry-After; nothing was stored unless an earlier answer said so.").Because(err)
}

func missing(err error) *fault.Error {
	return fault.New(fault.Unavailable, "bytes_missing", "The book has this attachment, and its bytes are not where they are kept.").
		Fix("Have the attachments' directory or bucket restored from its backup, then ask again.").Because(err)
}
