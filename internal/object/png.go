package object

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"slices"
)

// A PNG file (W3C, Portable Network Graphics, third edition) is a signature and a row of chunks: length, four letters, that many
// bytes, a checksum. Only chunks that are needed to show the picture are copied, byte for byte; texts, times, Exif and whatever
// is not known are left out, and so is everything behind the last chunk.

var pngSignature = []byte("\x89PNG\r\n\x1a\n")

// shown are the chunks that are needed to show a picture: its coding, its colours, its size on paper, its frames.
var shown = []string{"IHDR", "PLTE", "IDAT", "IEND", "tRNS", "cHRM", "gAMA", "iCCP", "sBIT", "sRGB", "cICP", "mDCV", "cLLI",
	"bKGD", "hIST", "pHYs", "sPLT", "acTL", "fcTL", "fdAT"}

// mostExif is how much of an Exif is looked through for the orientation, which stands near its beginning.
const mostExif = 64 << 10

type pngCopy struct {
	from     *bufio.Reader
	to       *bufio.Writer
	oriented bool
}

// copyPNG copies a PNG without its metadata.
func copyPNG(to io.Writer, from io.Reader) error {
	c := &pngCopy{from: bufio.NewReaderSize(from, 64<<10), to: bufio.NewWriterSize(to, 64<<10)}
	start := make([]byte, len(pngSignature))
	if _, err := io.ReadFull(c.from, start); err != nil || !bytes.Equal(start, pngSignature) {
		return errors.New("it does not begin as a PNG does")
	}
	c.to.Write(start)
	for first := true; ; first = false {
		name, err := c.chunk(first)
		if err != nil {
			return err
		}
		if name == "IEND" {
			return c.to.Flush()
		}
	}
}

// chunk copies one chunk or leaves it out, and gives its name.
func (c *pngCopy) chunk(first bool) (string, error) {
	var head [8]byte
	if _, err := io.ReadFull(c.from, head[:]); err != nil {
		return "", breaksOff(err)
	}
	length, name := int64(binary.BigEndian.Uint32(head[:])), string(head[4:])
	known := slices.Contains(shown, name)
	switch {
	case first != (name == "IHDR"):
		return "", errors.New("its header is not where it should be")
	case !known && name[0]&0x20 == 0:
		return "", fmt.Errorf("it needs the chunk %q, which is not known", name)
	case known:
		c.to.Write(head[:])
		_, err := io.CopyN(c.to, c.from, length+4)
		return name, breaksOff(err)
	case name == "eXIf" && !c.oriented:
		c.oriented = true
		return name, c.orient(length)
	}
	_, err := io.CopyN(io.Discard, c.from, length+4)
	return name, breaksOff(err)
}

// orient writes a chunk with the orientation alone in the place of an Exif.
func (c *pngCopy) orient(length int64) error {
	content := make([]byte, min(length, mostExif))
	if _, err := io.ReadFull(c.from, content); err != nil {
		return breaksOff(err)
	}
	if _, err := io.CopyN(io.Discard, c.from, length-int64(len(content))+4); err != nil {
		return breaksOff(err)
	}
	way := orientation(content)
	if way == upright {
		return nil
	}
	kept := append([]byte("eXIf"), onlyOrientation(way)...)
	c.to.Write(binary.BigEndian.AppendUint32(nil, uint32(len(kept)-4)))
	c.to.Write(kept)
	c.to.Write(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(kept)))
	return nil
}
