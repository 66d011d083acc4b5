package object_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/object"
)

func keyOf(organization uuid.UUID, content string) object.Key {
	return object.Key{Organization: organization, Sum: sha256.Sum256([]byte(content))}
}

func put(t *testing.T, s object.Store, key object.Key, content string) {
	t.Helper()
	require.NoError(t, s.Put(t.Context(), key, strings.NewReader(content), int64(len(content))))
}

func read(t *testing.T, s object.Store, key object.Key) string {
	t.Helper()
	bytes, err := s.Open(t.Context(), key)
	require.NoError(t, err)
	defer bytes.Close()
	content, err := io.ReadAll(bytes)
	require.NoError(t, err)
	return string(content)
}

// stores are the two kinds of store, each with a way to list the names of what it keeps.
func stores(t *testing.T) map[string]func(t *testing.T) (object.Store, func() []string) {
	t.Helper()
	return map[string]func(t *testing.T) (object.Store, func() []string){
		"a directory": func(t *testing.T) (object.Store, func() []string) {
			dir := t.TempDir()
			f := openFiles(t, dir)
			return f, func() []string { return names(t, dir) }
		},
		"a bucket": func(t *testing.T) (object.Store, func() []string) {
			s := newBucketServer(t)
			return s.open(t, ""), s.names
		},
	}
}

func openFiles(t *testing.T, dir string) *object.Files {
	t.Helper()
	f, err := object.OpenFiles(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f
}

// names are the files below a directory.
func names(t *testing.T, dir string) (list []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(name string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			below, err := filepath.Rel(dir, name)
			require.NoError(t, err)
			list = append(list, below)
		}
		return err
	}))
	return list
}

func TestBytesAreKeptOnceInAnOrganizationAndNeverSharedBetweenTwo(t *testing.T) {
	t.Parallel()
	for name, open := range stores(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, kept := open(t)
			a, b := uuid.New(), uuid.New()
			put(t, s, keyOf(a, "sills before"), "sills before")
			put(t, s, keyOf(a, "sills before"), "sills before")
			put(t, s, keyOf(a, "sills after"), "sills after")
			require.Len(t, kept(), 2, "the same bytes in one organization are one object")
			_, err := s.Open(t.Context(), keyOf(b, "sills before"))
			require.True(t, fault.Is(err, fault.Unavailable), "%v", err)
			require.Equal(t, "bytes_missing", fault.As(err).Code, "another organization's bytes are not found by their hash")
			put(t, s, keyOf(b, "sills before"), "sills before")
			require.Len(t, kept(), 3, "each organization has its own")
			sum := keyOf(a, "sills before").Sum.String()
			require.Contains(t, kept(), a.String()+"/"+sum[:2]+"/"+sum)
			for _, content := range []string{"sills before", "sills after"} {
				require.Equal(t, content, read(t, s, keyOf(a, content)))
			}
			require.Equal(t, "sills before", read(t, s, keyOf(b, "sills before")))
		})
	}
}

func TestBytesCanBeReadFromAnywhere(t *testing.T) {
	t.Parallel()
	for name, open := range stores(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, _ := open(t)
			content := strings.Repeat("0123456789", 20_000)
			key := keyOf(uuid.New(), content)
			put(t, s, key, content)
			r, err := s.Open(t.Context(), key)
			require.NoError(t, err)
			defer r.Close()
			end, err := r.Seek(0, io.SeekEnd)
			require.NoError(t, err)
			require.EqualValues(t, 200_000, end)
			for _, from := range []int64{199_990, 123_456, 0} {
				_, err = r.Seek(from, io.SeekStart)
				require.NoError(t, err)
				part := make([]byte, 10)
				_, err = io.ReadFull(r, part)
				require.NoError(t, err)
				require.Equal(t, content[from:from+10], string(part))
			}
		})
	}
}

func TestManyWhoPutTheSameBytesAtOnceAllFindThem(t *testing.T) {
	t.Parallel()
	for name, open := range stores(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, kept := open(t)
			key := keyOf(uuid.New(), "sills")
			var senders sync.WaitGroup
			errs := make([]error, 16)
			for i := range errs {
				senders.Go(func() { errs[i] = s.Put(t.Context(), key, strings.NewReader("sills"), 5) })
			}
			senders.Wait()
			require.NoError(t, errors.Join(errs...))
			require.Len(t, kept(), 1)
			require.Equal(t, "sills", read(t, s, key))
		})
	}
}

func TestDirectoryKeepsNothingHalfWrittenAndNothingThatIsNotItsKeys(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	f := openFiles(t, dir)
	key := keyOf(uuid.New(), "sills")
	for name, from := range map[string]io.Reader{
		"bytes that break off":       iotest.TimeoutReader(strings.NewReader("sills")),
		"bytes of another key":       strings.NewReader("sillz"),
		"fewer bytes than the key's": strings.NewReader("sill"),
	} {
		err := f.Put(t.Context(), key, iotest.OneByteReader(from), 5)
		require.True(t, fault.Is(err, fault.Unavailable), "%s: %v", name, err)
		require.Empty(t, names(t, dir), name)
	}
	put(t, f, key, "sills")
	require.Len(t, names(t, dir), 1)
}

func TestDirectoryMendsAFileThatIsNotWhole(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	f := openFiles(t, dir)
	key := keyOf(uuid.New(), "sills")
	put(t, f, key, "sills")
	place := filepath.Join(dir, names(t, dir)[0])
	require.NoError(t, os.WriteFile(place, []byte("si"), 0o600))
	put(t, f, key, "sills")
	require.Equal(t, "sills", read(t, f, key))
}

func TestDirectoryThrowsAwayWhatACrashLeftHalfWritten(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	put(t, openFiles(t, dir), keyOf(uuid.New(), "sills"), "sills")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "unfinished", "x"), []byte("sil"), 0o600))
	openFiles(t, dir)
	require.Len(t, names(t, dir), 1, "the whole file stays")
}

// A link that leads out of the directory is not followed: not to write, not to read.
func TestDirectoryIsNeverLeft(t *testing.T) {
	t.Parallel()
	dir, outside := t.TempDir(), t.TempDir()
	f := openFiles(t, dir)
	key := keyOf(uuid.New(), "sills")
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, key.Organization.String())))
	err := f.Put(t.Context(), key, strings.NewReader("sills"), 5)
	require.True(t, fault.Is(err, fault.Unavailable), "%v", err)
	require.Empty(t, names(t, outside))
	sum := key.Sum.String()
	require.NoError(t, os.Mkdir(filepath.Join(outside, sum[:2]), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(outside, sum[:2], sum), []byte("sills"), 0o600))
	_, err = f.Open(t.Context(), key)
	require.True(t, fault.Is(err, fault.Unavailable), "%v", err)
}

func TestDirectoryThatCannotBeUsedIsSaidAtTheStart(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := object.OpenFiles(file)
	require.ErrorContains(t, err, "directory for attachments cannot be")
	_, err = object.OpenFiles(filepath.Join(file, "below"))
	require.ErrorContains(t, err, "directory for attachments cannot be")
}

func TestServiceWithoutAPlaceForAttachmentsSaysSo(t *testing.T) {
	t.Parallel()
	key := keyOf(uuid.New(), "x")
	require.Equal(t, "attachments_not_kept", fault.As(object.None{}.Put(t.Context(), key, bytes.NewReader(nil), 0)).Code)
	_, err := object.None{}.Open(t.Context(), key)
	require.Equal(t, "attachments_not_kept", fault.As(err).Code)
}

func TestSumIsReadAsItIsWritten(t *testing.T) {
	t.Parallel()
	// printf sills | sha256sum; the digest field's form by printf sills | openssl dgst -sha256 -binary | base64
	sum := object.Sum(sha256.Sum256([]byte("sills")))
	read, ok := object.ParseSum(sum.String())
	require.True(t, ok)
	require.Equal(t, sum, read)
	require.Regexp(t, `^sha-256=:[A-Za-z0-9+/]{43}=:$`, sum.Digest())
	for _, wrong := range []string{"", "00", sum.String() + "00", strings.Repeat("g", 64)} {
		_, ok = object.ParseSum(wrong)
		require.False(t, ok, wrong)
	}
}
