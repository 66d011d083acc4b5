package object_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"os"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"sillbook/internal/fault"
	"sillbook/internal/object"
)

func TestBodyIsHashedAndLeavesNothingBehind(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	content := strings.Repeat("sills ", 100_000)
	r, err := object.Receive(dir, iotest.HalfReader(strings.NewReader(content)), -1, int64(len(content)))
	require.NoError(t, err)
	require.Empty(t, names(t, dir), "the file has no name, so that not even a crash leaves it behind")
	require.Equal(t, object.Sum(sha256.Sum256([]byte(content))), r.Sum)
	require.EqualValues(t, len(content), r.Size)
	for range 2 {
		again, err := io.ReadAll(r.Bytes())
		require.NoError(t, err)
		require.Equal(t, content, string(again))
	}
	require.NoError(t, r.Close())
}

func TestBodyThatCannotBeTakenIsRefused(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		dir      string
		body     io.Reader
		declared int64
		kind     fault.Kind
		code     string
	}{
		"one byte more than may be":        {"", strings.NewReader("123456"), -1, fault.TooLarge, "body_too_large"},
		"more than may be, as it says":     {"", iotest.ErrReader(errors.New("read")), 6, fault.TooLarge, "body_too_large"},
		"without end":                      {"", endless{}, -1, fault.TooLarge, "body_too_large"},
		"one that breaks off":              {"", iotest.TimeoutReader(iotest.OneByteReader(strings.NewReader("12345"))), 5, fault.Malformed, "body_not_read"},
		"one that does not come":           {"", iotest.ErrReader(os.ErrDeadlineExceeded), 5, fault.Malformed, "body_too_slow"},
		"no place to put it aside":         {"/nowhere/at/all", strings.NewReader("12345"), 5, fault.Unavailable, "attachments_unavailable"},
		"exactly as much, then an error":   {"", io.MultiReader(strings.NewReader("12345"), iotest.ErrReader(io.ErrUnexpectedEOF)), 5, fault.Malformed, "body_not_read"},
		"less than it says, then an error": {"", io.MultiReader(strings.NewReader("123"), iotest.ErrReader(io.ErrUnexpectedEOF)), 5, fault.Malformed, "body_not_read"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := object.Receive(c.dir, c.body, c.declared, 5)
			require.True(t, fault.Is(err, c.kind), "%v", err)
			require.Equal(t, c.code, fault.As(err).Code)
		})
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// S6: what a body takes of memory does not grow with it. The test runs alone: it counts what the whole process takes.
func TestMemoryStaysFlatHoweverLargeTheBody(t *testing.T) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	r, err := object.Receive(t.TempDir(), io.LimitReader(endless{}, 64<<20), -1, 64<<20)
	require.NoError(t, err)
	defer r.Close()
	f := openFiles(t, t.TempDir())
	require.NoError(t, f.Put(t.Context(), object.Key{Sum: r.Sum}, r.Bytes(), r.Size))
	runtime.ReadMemStats(&after)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20), "64 MiB came through")
}

func TestBytesMustBeWhatTheyAreDeclaredToBe(t *testing.T) {
	t.Parallel()
	photo, drawing := encoded(t, object.JPEG, picture(4, 4, 1)), encoded(t, object.PNG, picture(4, 4, 1))
	wide := []byte{0xFF, 0xFE}
	for _, u := range utf16.Encode([]rune("sample,µg\n1,2\n")) {
		wide = append(wide, byte(u), byte(u>>8))
	}
	for name, c := range map[string]struct {
		declared string
		content  []byte
		takes    bool
	}{
		"a photo":                             {object.JPEG, photo, true},
		"a drawing":                           {object.PNG, drawing, true},
		"a document":                          {object.PDF, []byte("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj"), true},
		"a table":                             {object.CSV, []byte("sample,mass\nS-1,24\nS-2,3\n"), true},
		"a table with tabs":                   {object.CSV, []byte("sample\tmass\nS-1\t24\nS-2\t3\n"), true},
		"a table of one cell":                 {object.CSV, []byte("x"), true},
		"a table in UTF-16":                   {object.CSV, wide, true},
		"a letter":                            {object.Text, []byte("Received the pamphlet on 2 March.\n"), true},
		"a letter in Latin-1":                 {object.Text, []byte("Re\xe7u le 2 mars.\n"), true},
		"a photo sent as a drawing":           {object.PNG, photo, false},
		"a drawing sent as a photo":           {object.JPEG, drawing, false},
		"a photo sent as a document":          {object.PDF, photo, false},
		"a document sent as text":             {object.Text, []byte("%PDF-1.7\n"), false},
		"a page sent as text":                 {object.Text, []byte("<!DOCTYPE html><html><script>alert(1)</script>"), false},
		"a page sent as a table":              {object.CSV, []byte("<html><body>a,b</body></html>"), false},
		"a drawing with script sent as text":  {object.Text, []byte(`<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script/></svg>`), false},
		"a page sent as a photo":              {object.JPEG, []byte("<html>"), false},
		"a program sent as text":              {object.Text, []byte("\x7fELF\x02\x01\x01\x00\x00\x00\x00\x00\x00\x00\x00\x00\x02\x00\x3e\x00"), false},
		"an archive sent as a document":       {object.PDF, []byte("PK\x03\x04\x14\x00\x00\x00"), false},
		"nothing":                             {object.Text, nil, false},
		"a type that is not taken, declared":  {"text/html", []byte("<html>"), false},
		"a type that is not taken, in truth":  {object.JPEG, []byte("GIF89a\x01\x00\x01\x00"), false},
		"text that looks like data of a page": {object.Text, []byte(`{"a": 1}`), false},
	} {
		r := receive(t, c.content)
		err := r.Check(c.declared)
		if c.takes {
			require.NoError(t, err, name)
		} else {
			require.True(t, fault.Is(err, fault.Implausible), "%s: %v", name, err)
			require.NotEmpty(t, fault.As(err).Fixes)
		}
		require.NoError(t, r.Close())
	}
	require.Equal(t, ".pdf", object.Ending(object.PDF))
	require.True(t, object.IsPicture(object.PNG))
	require.False(t, object.IsPicture(object.PDF))
}

func TestWhatCannotBePutAsideWhileItIsCopiedIsOurFault(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	r, err := object.Receive(dir, bytes.NewReader(encoded(t, object.JPEG, picture(4, 4, 1))), -1, 1<<20)
	require.NoError(t, err)
	defer r.Close()
	require.NoError(t, os.Remove(dir))
	_, err = r.Served(object.JPEG)
	require.True(t, fault.Is(err, fault.Unavailable), "%v", err)
}
