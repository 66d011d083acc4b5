package object

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"

	"github.com/google/uuid"
)

// Files keeps bytes in a directory of this machine: one file each, named by organization and hash. Only one instance of the
// service may use a directory.
type Files struct{ root *os.Root }

// unfinished is the folder of files that are being written.
const unfinished = "unfinished"

// OpenFiles keeps bytes in a directory, which it makes where it is not there. What an instance before has left half written is
// thrown away. The caller closes the Files.
func OpenFiles(dir string) (*Files, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the directory for attachments cannot be made: %w", err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("the directory for attachments cannot be opened: %w", err)
	}
	err = root.RemoveAll(unfinished)
	if err == nil {
		err = root.Mkdir(unfinished, 0o700)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("the directory for attachments cannot be written: %w", err), root.Close())
	}
	return &Files{root}, nil
}

// Close lets the directory go.
func (f *Files) Close() error { return f.root.Close() }

// Put writes a file beside and moves it into its place when it is whole and on the disk.
func (f *Files) Put(_ context.Context, key Key, from io.Reader, size int64) error {
	folder, name := key.path()
	place := path.Join(folder, name)
	if there, err := f.root.Stat(place); err == nil && there.Size() == size {
		return nil
	}
	beside := path.Join(unfinished, uuid.NewString())
	err := f.write(beside, key, from)
	if err == nil {
		err = f.move(beside, folder, place)
	}
	if err == nil {
		return nil
	}
	if removed := f.root.Remove(beside); removed != nil && !errors.Is(removed, fs.ErrNotExist) {
		err = errors.Join(err, removed)
	}
	return unavailable("The bytes could not be written where attachments are kept.", err)
}

// write writes a file and has it on the disk, and refuses bytes that are not those of the key.
func (f *Files) write(name string, key Key, from io.Reader) error {
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	hash := sha256.New()
	_, err = io.Copy(io.MultiWriter(file, hash), from)
	if err == nil && Sum(hash.Sum(nil)) != key.Sum {
		err = errors.New("the bytes are not those of their key")
	}
	if err == nil {
		err = file.Sync()
	}
	return errors.Join(err, file.Close())
}

// move puts a written file in its place, and has the folders that name it on the disk too.
func (f *Files) move(from, folder, place string) error {
	if err := f.root.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	if err := f.root.Rename(from, place); err != nil {
		return err
	}
	for _, above := range []string{folder, path.Dir(folder), "."} {
		if err := f.sync(above); err != nil {
			return err
		}
	}
	return nil
}

func (f *Files) sync(folder string) error {
	dir, err := f.root.Open(folder)
	if err != nil {
		return err
	}
	return errors.Join(dir.Sync(), dir.Close())
}

// Open opens the file of a key.
func (f *Files) Open(_ context.Context, key Key) (io.ReadSeekCloser, error) {
	folder, name := key.path()
	file, err := f.root.Open(path.Join(folder, name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, missing(err)
	case err != nil:
		return nil, unavailable("The bytes could not be read where attachments are kept.", err)
	}
	return file, nil
}
