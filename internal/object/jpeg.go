package object

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"

	"sillbook/internal/fault"
)

// A JPEG file (ITU-T T.81, annex B) is a row of segments: FF, a marker, for most a length and that many bytes. Only segments
// that are needed to show the picture as it was are copied, byte for byte; whatever else there is, known or not, is left out,
// and so is everything behind the end of the picture, where telephones keep films and second pictures.

const (
	startOfImage = 0xD8
	endOfImage   = 0xD9
	startOfScan  = 0xDA
	app0         = 0xE0
	app1         = 0xE1
	app2         = 0xE2
	app14        = 0xEE
)

var (
	jfif  = []byte("JFIF\x00")
	exif  = []byte("Exif\x00\x00")
	icc   = []byte("ICC_PROFILE\x00")
	adobe = []byte("Adobe")
)

// codesPicture reports whether a marker's segment codes the picture itself: frames, tables, scans.
func codesPicture(marker byte) bool {
	return marker >= 0xC0 && marker <= 0xCF && marker != 0xC8 || marker >= startOfScan && marker <= 0xDF
}

type jpegCopy struct {
	from     *bufio.Reader
	to       *bufio.Writer
	oriented bool // the picture's Exif has been seen
	scanned  bool
}

// copyJPEG copies a JPEG without its metadata.
func copyJPEG(to io.Writer, from io.Reader) error {
	c := &jpegCopy{from: bufio.NewReaderSize(from, 64<<10), to: bufio.NewWriterSize(to, 64<<10)}
	var start [2]byte
	if _, err := io.ReadFull(c.from, start[:]); err != nil || start != [2]byte{0xFF, startOfImage} {
		return errors.New("it does not begin as a JPEG does")
	}
	c.to.Write(start[:])
	marker, err := c.marker()
	for err == nil && marker != endOfImage {
		if err = c.segment(marker); err != nil {
			break
		}
		if marker != startOfScan {
			marker, err = c.marker()
			continue
		}
		c.scanned = true
		marker, err = c.scan()
	}
	switch {
	case err != nil:
		return err
	case !c.scanned:
		return errors.New("there is no picture in it")
	}
	c.to.Write([]byte{0xFF, endOfImage})
	return c.to.Flush()
}

// marker reads the next marker between segments; any number of FF may stand before it.
func (c *jpegCopy) marker() (byte, error) {
	b, err := c.from.ReadByte()
	if err == nil && b != 0xFF {
		return 0, errors.New("a segment does not begin where the one before it ends")
	}
	for err == nil && b == 0xFF {
		b, err = c.from.ReadByte()
	}
	if err != nil {
		return 0, breaksOff(err)
	}
	return b, placed(b)
}

// placed refuses markers that have no place between segments.
func placed(marker byte) error {
	if marker < 0xC0 || marker >= 0xD0 && marker <= startOfImage {
		return fmt.Errorf("the marker %02X has no place between segments", marker)
	}
	return nil
}

func (c *jpegCopy) segment(marker byte) error {
	var length [2]byte
	if _, err := io.ReadFull(c.from, length[:]); err != nil {
		return breaksOff(err)
	}
	n := int(length[0])<<8 | int(length[1])
	if n < 2 {
		return errors.New("a segment is shorter than its own length")
	}
	content := make([]byte, n-2)
	if _, err := io.ReadFull(c.from, content); err != nil {
		return breaksOff(err)
	}
	if kept := c.kept(marker, content); kept != nil {
		c.write(marker, kept)
	}
	return nil
}

// kept is what is copied of a segment, or nil.
func (c *jpegCopy) kept(marker byte, content []byte) []byte {
	switch {
	case codesPicture(marker):
		return content
	case marker == app0 && bytes.HasPrefix(content, jfif) && len(content) >= 14:
		return append(content[:12:12], 0, 0) // version and density, without its small copy of the picture
	case marker == app2 && bytes.HasPrefix(content, icc):
		return content // what the colours mean
	case marker == app14 && bytes.HasPrefix(content, adobe) && len(content) >= 12:
		return content[:12] // how the colours are coded
	case marker == app1 && bytes.HasPrefix(content, exif) && !c.oriented:
		c.oriented = true
		if way := orientation(content[len(exif):]); way != upright {
			return append(exif[:len(exif):len(exif)], onlyOrientation(way)...)
		}
	}
	return nil
}

func (c *jpegCopy) write(marker byte, content []byte) {
	n := len(content) + 2
	c.to.Write([]byte{0xFF, marker, byte(n >> 8), byte(n)})
	c.to.Write(content) // what goes wrong is kept by the writer and comes out at its end
}

// scan copies the coded picture behind the head of a scan and gives the marker that follows it. In the coded picture FF 00 is
// the byte FF, and the markers D0 to D7 let a reader begin anew.
func (c *jpegCopy) scan() (byte, error) {
	for {
		run, err := c.from.ReadSlice(0xFF)
		if errors.Is(err, bufio.ErrBufferFull) {
			c.to.Write(run)
			continue
		}
		if err != nil {
			return 0, breaksOff(err)
		}
		c.to.Write(run[:len(run)-1])
		fill, b := 1, byte(0xFF)
		for b == 0xFF {
			if b, err = c.from.ReadByte(); err != nil {
				return 0, breaksOff(err)
			}
			fill++
		}
		if b != 0 && (b < 0xD0 || b > 0xD7) {
			return b, placed(b)
		}
		c.to.Write(bytes.Repeat([]byte{0xFF}, fill-1))
		c.to.WriteByte(b)
	}
}

func breaksOff(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("it breaks off")
	}
	return err
}

func unreadable(contentType string, err error) *fault.Error {
	return fault.New(fault.Implausible, "picture_not_read", "The picture cannot be read as %s to its end: %s.", contentType, err).
		Fix("Send it again if it broke off on the way; otherwise open it and save it anew.")
}
