package object

import (
	"context"
	"io"

	"sillbook/internal/fault"
)

// None keeps nothing: the store of a service that was told to take no attachments.
type None struct{}

// Put refuses.
func (None) Put(context.Context, Key, io.Reader, int64) error { return notKept() }

// Open refuses.
func (None) Open(context.Context, Key) (io.ReadSeekCloser, error) { return nil, notKept() }

func notKept() error {
	return fault.New(fault.Unavailable, "attachments_not_kept", "This instance of the service was started without a place for attachments.").
		Fix("Have it started with a directory or a bucket for them: --attachments.")
}
