package object

import (
	"crypto/sha256"
	"errors"
	"hash"
	"io"
	"os"

	"sillbook/internal/fault"
)

// Received are bytes in a temporary file that has no name any more: they are gone when it is closed, or with the process.
type Received struct {
	Sum  Sum
	Size int64
	dir  string
	file *os.File
	hash hash.Hash
	full error // why the file took no more
}

// Receive reads a body into a temporary file in dir, hashing as it goes; the body is never in memory as a whole. declared is the
// length it says it has, or -1. The caller closes what it gets. Errors: fault.TooLarge for more than most bytes, fault.Malformed
// for a body that breaks off or does not come, fault.Unavailable where the file cannot be written.
func Receive(dir string, body io.Reader, declared, most int64) (*Received, error) {
	if declared > most {
		return nil, tooLarge(most)
	}
	r, err := newReceived(dir)
	if err != nil {
		return nil, err
	}
	if err := r.take(io.LimitReader(body, most+1)); err != nil {
		return nil, errors.Join(err, r.Close())
	}
	if r.Size > most {
		return nil, errors.Join(tooLarge(most), r.Close())
	}
	return r, nil
}

func newReceived(dir string) (*Received, error) {
	file, err := os.CreateTemp(dir, "attachment-*")
	if err != nil {
		return nil, noRoom(err)
	}
	if err := os.Remove(file.Name()); err != nil {
		return nil, errors.Join(noRoom(err), file.Close())
	}
	return &Received{dir: dir, file: file, hash: sha256.New()}, nil
}

// take reads all that comes and seals the sum.
func (r *Received) take(body io.Reader) error {
	from := &reader{from: body}
	_, err := io.Copy(r, from)
	r.seal()
	if from.err != nil {
		return brokenOff(from.err)
	}
	if err != nil {
		return noRoom(err)
	}
	return nil
}

// Write adds bytes at the end.
func (r *Received) Write(p []byte) (int, error) {
	n, err := r.file.Write(p)
	r.hash.Write(p[:n])
	r.Size += int64(n)
	r.full = err
	return n, err
}

func (r *Received) seal() { r.Sum = Sum(r.hash.Sum(nil)) }

// Bytes reads what was received, from its beginning; several may read at once.
func (r *Received) Bytes() io.Reader { return io.NewSectionReader(r.file, 0, r.Size) }

// Close throws the bytes away.
func (r *Received) Close() error { return r.file.Close() }

// reader keeps the error of the side that is read from, so that it can be told from one of the side that is written to.
type reader struct {
	from io.Reader
	err  error
}

// Read reads.
func (r *reader) Read(p []byte) (int, error) {
	n, err := r.from.Read(p)
	if err != nil && err != io.EOF {
		r.err = err
	}
	return n, err
}

func brokenOff(err error) *fault.Error {
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return fault.New(fault.Malformed, "body_too_slow", "The body came too slowly, or stopped coming.").
			Fix("Send it again over a better connection, or a smaller copy of it.").Because(err)
	}
	return fault.New(fault.Malformed, "body_not_read", "The body ended before it was whole.").Because(err)
}

func tooLarge(most int64) *fault.Error {
	return fault.New(fault.TooLarge, "body_too_large", "The body is larger than %d bytes.", most).
		Fix("Send a smaller copy: a photo with fewer pixels, a document in parts.")
}

func noRoom(err error) *fault.Error {
	return unavailable("The body could not be put aside while it was read.", err)
}
