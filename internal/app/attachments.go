package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"sillbook/internal/object"
	"sillbook/internal/postgres"
)

// What Config.Attachments may say beside a directory.
const (
	InBucket      = "s3"   // in the bucket that Config.Bucket names
	NoAttachments = "none" // none are taken
)

// ownDirectory reports whether attachments are kept where only this instance reaches them.
func (c Config) ownDirectory() bool {
	return c.Attachments != InBucket && c.Attachments != NoAttachments
}

// objects opens what keeps the attachments' bytes. The caller calls end.
func (c Config) objects(ctx context.Context, place *postgres.Presence) (store object.Store, end func() error, err error) {
	switch c.Attachments {
	case NoAttachments:
		return object.None{}, func() error { return nil }, nil
	case InBucket:
		bucket, err := object.OpenBucket(ctx, c.Bucket)
		return bucket, func() error { return nil }, err
	}
	files, err := object.OpenFiles(c.attachmentsDir())
	if err != nil {
		return nil, nil, fmt.Errorf("%w; name another with --attachments", err)
	}
	return alone{files, place}, files.Close, nil
}

// alone is a directory that is written only while this instance holds its place: what another instance cannot reach must not be
// in its book.
type alone struct {
	*object.Files
	place *postgres.Presence
}

// Put keeps bytes, unless another instance may have taken the place.
func (a alone) Put(ctx context.Context, key object.Key, from io.Reader, size int64) error {
	if err := a.place.Holds(ctx); err != nil {
		return err
	}
	return a.Files.Put(ctx, key, from, size)
}

// attachmentsDir is the directory where attachments are kept.
func (c Config) attachmentsDir() string {
	if c.Attachments == "" {
		return filepath.Join(c.DataDir, "attachments")
	}
	return c.Attachments
}

// aside makes the directory where bodies are put while they are read.
func (c Config) aside() (string, error) {
	if c.Attachments == NoAttachments {
		return "", nil
	}
	dir := filepath.Join(c.DataDir, "aside")
	err := os.MkdirAll(dir, 0o700)
	if err == nil {
		var probe *os.File
		if probe, err = os.CreateTemp(dir, "probe-*"); err == nil {
			err = errors.Join(probe.Close(), os.Remove(probe.Name()))
		}
	}
	if err != nil {
		return "", fmt.Errorf("the data directory cannot be written, and attachments are put there while they are read: %w; name another with --data-dir", err)
	}
	return dir, nil
}
