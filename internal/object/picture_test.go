package object_test

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sillbook/internal/fault"
	"sillbook/internal/object"
)

// marker is in every piece of metadata planted here; no copy may have it.
const marker = "42.3601N 71.0589W"

func receive(t require.TestingT, content []byte) *object.Received {
	r, err := object.Receive("", bytes.NewReader(content), int64(len(content)), 20<<20)
	require.NoError(t, err)
	return r
}

// served is the copy of some content that is handed out.
func served(t require.TestingT, contentType string, content []byte) ([]byte, error) {
	r := receive(t, content)
	defer r.Close()
	s, err := r.Served(contentType)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	copied, err := io.ReadAll(s.Bytes())
	require.NoError(t, err)
	require.EqualValues(t, len(copied), s.Size)
	return copied, nil
}

func mustServe(t require.TestingT, contentType string, content []byte) []byte {
	copied, err := served(t, contentType, content)
	require.NoError(t, err)
	return copied
}

// segment is a segment of a JPEG.
func segment(kind byte, content string) []byte {
	n := len(content) + 2
	return append([]byte{0xFF, kind, byte(n >> 8), byte(n)}, content...)
}

// chunk is a chunk of a PNG.
func chunk(name, content string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(content)))
	b = append(b, name+content...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE([]byte(name+content)))
}

// tiff is an Exif without its six letters: one directory with a text, the orientation, and a pointer to the place.
func tiff(order binary.AppendByteOrder, way uint16) string {
	b := []byte("II*\x00")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		b = []byte("MM\x00*")
	}
	entry := func(tag, kind uint16, count uint32, value []byte) {
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, kind)
		b = order.AppendUint32(b, count)
		b = append(b, value...)
	}
	b = order.AppendUint32(b, 10)
	b = append(b, 0, 0) // the directory need not follow at once
	b = order.AppendUint16(b, 3)
	entry(0x010F, 2, uint32(len(marker)), order.AppendUint32(nil, 52))
	entry(0x0112, 3, 1, append(order.AppendUint16(nil, way), 0, 0))
	entry(0x8825, 4, 1, order.AppendUint32(nil, 52))
	b = order.AppendUint32(b, 0)
	return string(b) + marker
}

func join(parts ...[]byte) []byte { return slices.Concat(parts...) }

var (
	bigEndian    = binary.AppendByteOrder(binary.BigEndian)
	littleEndian = binary.AppendByteOrder(binary.LittleEndian)
)

// What is left of a JPEG, byte for byte. The segments are named as in ITU-T T.81, annex B; what they hold is made up.
func TestCopyOfAJPEGHasWhatShowsThePictureAndNothingElse(t *testing.T) {
	t.Parallel()
	quantization, frame, huffman := segment(0xDB, "tables"), segment(0xC2, "frame, progressive"), segment(0xC4, "huffman")
	first, second := join(segment(0xDA, "scan"), []byte("coded \xFF\x00 more \xFF\xD0 again \xFF\xD7.")), join(segment(0xDA, "scan"), []byte("coded on"))
	end := []byte{0xFF, 0xD9}
	original := join([]byte{0xFF, 0xD8},
		segment(0xE0, "JFIF\x00\x01\x02\x01\x00\x48\x00\x48\x01\x01"+marker[:3]), // with a small picture of one pixel
		segment(0xE0, "JFXX\x00\x10"+marker),
		segment(0xE1, "Exif\x00\x00"+tiff(bigEndian, 6)),
		segment(0xE1, "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>"+marker+"</x:xmpmeta>"),
		segment(0xE1, "Exif\x00\x00"+tiff(bigEndian, 3)),
		segment(0xE2, "ICC_PROFILE\x00\x01\x01colours"),
		segment(0xE2, "MPF\x00"+marker),
		segment(0xED, "Photoshop 3.0\x008BIM"+marker),
		segment(0xEE, "Adobe\x00\x64\x00\x00\x00\x00\x01"+marker),
		segment(0xEB, "anything"+marker),
		segment(0xFE, marker),
		quantization, []byte{0xFF, 0xFF}, frame, huffman, first, segment(0xFE, marker), huffman, second, end,
		[]byte("a film: "+marker))
	oriented, err := hex.DecodeString("ffe10022" + "457869660000" + "4d4d002a00000008" + "0001" + "011200030000000100060000" + "00000000")
	require.NoError(t, err)
	require.Equal(t, join([]byte{0xFF, 0xD8},
		segment(0xE0, "JFIF\x00\x01\x02\x01\x00\x48\x00\x48\x00\x00"), oriented,
		segment(0xE2, "ICC_PROFILE\x00\x01\x01colours"),
		segment(0xEE, "Adobe\x00\x64\x00\x00\x00\x00\x01"),
		quantization, frame, huffman, first, huffman, second, end), mustServe(t, object.JPEG, original))
}

func TestCopyOfAPNGHasWhatShowsThePictureAndNothingElse(t *testing.T) {
	t.Parallel()
	signature := []byte("\x89PNG\r\n\x1a\n")
	header, colours, size, data, end := chunk("IHDR", "thirteen byte"), chunk("iCCP", "colours"), chunk("pHYs", "size"), chunk("IDAT", "coded"), chunk("IEND", "")
	original := join(signature, header, colours, chunk("tEXt", "Comment\x00"+marker), chunk("iTXt", "XML:com.adobe.xmp\x00"+marker), size,
		chunk("zTXt", marker), chunk("tIME", marker), chunk("eXIf", tiff(littleEndian, 8)), chunk("eXIf", tiff(littleEndian, 3)),
		chunk("prVt", marker), data, data, chunk("tEXt", marker), end, []byte(marker))
	oriented, err := hex.DecodeString("0000001a" + "65584966" + "4d4d002a00000008" + "0001" + "011200030000000100080000" + "00000000")
	require.NoError(t, err)
	oriented = binary.BigEndian.AppendUint32(oriented, crc32.ChecksumIEEE(oriented[4:]))
	require.Equal(t, join(signature, header, colours, size, oriented, data, data, end), mustServe(t, object.PNG, original))
}

func TestOrientationIsKeptHoweverItIsWritten(t *testing.T) {
	t.Parallel()
	plain := encoded(t, object.JPEG, picture(3, 2, 1))
	with := func(exif string) []byte { return join(plain[:2], segment(0xE1, "Exif\x00\x00"+exif), plain[2:]) }
	kept := func(way byte) []byte {
		return with("MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00" + string(rune(way)) + "\x00\x00\x00\x00\x00\x00")
	}
	for way := byte(2); way <= 8; way++ {
		require.Equal(t, kept(way), mustServe(t, object.JPEG, with(tiff(bigEndian, uint16(way)))), "big-endian, %d", way)
		require.Equal(t, kept(way), mustServe(t, object.JPEG, with(tiff(littleEndian, uint16(way)))), "little-endian, %d", way)
	}
	long := strings.Replace(tiff(littleEndian, 6), "\x12\x01\x03\x00", "\x12\x01\x04\x00", 1)
	for name, exif := range map[string]string{
		"upright":                      tiff(bigEndian, 1),
		"none":                         tiff(bigEndian, 0),
		"beyond the eight":             tiff(littleEndian, 9),
		"of another type":              long,
		"nothing":                      "",
		"no TIFF":                      "XX\x00*\x00\x00\x00\x08",
		"a directory beyond the end":   "MM\x00*\xFF\xFF\xFF\xFF\x00\x01",
		"a directory that breaks off":  tiff(bigEndian, 6)[:20],
		"more entries than there are":  "MM\x00*\x00\x00\x00\x08\xFF\xFF",
		"a directory before its place": "MM\x00*\x00\x00\x00\x00\x00\x01",
	} {
		require.Equal(t, plain, mustServe(t, object.JPEG, with(exif)), name)
	}
}

// picture makes a small picture that no two seeds share.
func picture(width, height, seed int) image.Image {
	p := image.NewNRGBA(image.Rect(0, 0, width, height))
	for i := range p.Pix {
		p.Pix[i] = byte(i*seed + i/3)
		if i%4 == 3 {
			p.Pix[i] = 255
		}
	}
	return p
}

func encoded(t require.TestingT, contentType string, p image.Image) []byte {
	var b bytes.Buffer
	if contentType == object.JPEG {
		require.NoError(t, jpeg.Encode(&b, p, nil))
	} else {
		require.NoError(t, png.Encode(&b, p))
	}
	return b.Bytes()
}

func decoded(t require.TestingT, content []byte) []color.Color {
	p, _, err := image.Decode(bytes.NewReader(content))
	require.NoError(t, err)
	var pixels []color.Color
	for y := p.Bounds().Min.Y; y < p.Bounds().Max.Y; y++ {
		for x := p.Bounds().Min.X; x < p.Bounds().Max.X; x++ {
			pixels = append(pixels, p.At(x, y))
		}
	}
	return pixels
}

// Whatever metadata stands wherever it may, the copy is the picture as it would be without it: the same pixels.
func TestCopyOfAnyPictureIsThePictureWithoutItsMetadata(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		contentType := rapid.SampledFrom([]string{object.JPEG, object.PNG}).Draw(t, "type")
		plain := encoded(t, contentType, picture(rapid.IntRange(1, 40).Draw(t, "width"), rapid.IntRange(1, 40).Draw(t, "height"), rapid.IntRange(1, 99).Draw(t, "seed")))
		parts := pieces(contentType, plain)
		planted := slices.Clone(parts[:1])
		for _, part := range parts[1:] {
			for range rapid.IntRange(0, 2).Draw(t, "how many") {
				filler := string(rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(t, "filler"))
				planted = append(planted, metadata(t, contentType, marker+filler))
			}
			planted = append(planted, part)
		}
		original := join(append(planted, []byte(marker))...)
		copied := mustServe(t, contentType, original)
		require.Equal(t, plain, copied)
		require.Equal(t, decoded(t, plain), decoded(t, copied))
		require.Equal(t, copied, mustServe(t, contentType, copied), "a copy of the copy is the copy")
	})
}

func metadata(t *rapid.T, contentType, content string) []byte {
	if contentType == object.PNG {
		return chunk(rapid.SampledFrom([]string{"tEXt", "zTXt", "iTXt", "eXIf", "tIME", "vpAg", "caBX"}).Draw(t, "name"), content)
	}
	letters := rapid.SampledFrom([]string{"", "Exif\x00\x00", "http://ns.adobe.com/xap/1.0/\x00", "Photoshop 3.0\x00", "MPF\x00", "FPXR\x00"}).Draw(t, "letters")
	return segment(rapid.SampledFrom([]byte{0xE0, 0xE1, 0xE2, 0xE3, 0xEB, 0xEC, 0xED, 0xEE, 0xEF, 0xFE, 0xF0}).Draw(t, "kind"), letters+content)
}

// pieces takes a picture apart where metadata may stand; joined they are the picture.
func pieces(contentType string, content []byte) (list [][]byte) {
	cut := func(n int) { list, content = append(list, content[:n]), content[n:] }
	if contentType == object.PNG {
		cut(33) // the header is first
		for len(content) > 0 {
			cut(12 + int(binary.BigEndian.Uint32(content)))
		}
		return list
	}
	cut(2)
	for content[1] != 0xDA {
		cut(2 + int(binary.BigEndian.Uint16(content[2:])))
	}
	return append(list, content)
}

func TestPictureThatBreaksOffAnywhereIsRefused(t *testing.T) {
	t.Parallel()
	for _, contentType := range []string{object.JPEG, object.PNG} {
		whole := encoded(t, contentType, picture(9, 7, 3))
		for n := range whole {
			_, err := served(t, contentType, whole[:n])
			require.True(t, fault.Is(err, fault.Implausible), "%s of %d bytes: %v", contentType, n, err)
			require.Equal(t, "picture_not_read", fault.As(err).Code)
		}
	}
}

func TestPictureThatIsNoneIsRefused(t *testing.T) {
	t.Parallel()
	jpegStart, signature := []byte{0xFF, 0xD8}, []byte("\x89PNG\r\n\x1a\n")
	for name, c := range map[string]struct {
		contentType string
		content     []byte
	}{
		"a PNG sent as a JPEG":               {object.JPEG, encoded(t, object.PNG, picture(2, 2, 1))},
		"a JPEG without a scan":              {object.JPEG, join(jpegStart, segment(0xDB, "tables"), []byte{0xFF, 0xD9})},
		"a JPEG in a JPEG":                   {object.JPEG, join(jpegStart, jpegStart)},
		"a segment of length one":            {object.JPEG, join(jpegStart, []byte{0xFF, 0xE1, 0, 1, 0xFF, 0xD9})},
		"bytes between segments":             {object.JPEG, join(jpegStart, []byte("x"), segment(0xDB, "tables"))},
		"an unknown marker":                  {object.JPEG, join(jpegStart, segment(0x02, "x"))},
		"an unknown marker in a scan":        {object.JPEG, join(jpegStart, segment(0xDA, "scan"), []byte{'x', 0xFF, 0x02, 0xFF, 0xD9})},
		"a PNG without its header":           {object.PNG, join(signature, chunk("IDAT", "x"), chunk("IEND", ""))},
		"a PNG with two headers":             {object.PNG, join(signature, chunk("IHDR", "x"), chunk("IHDR", "x"), chunk("IEND", ""))},
		"a PNG that needs an unknown chunk":  {object.PNG, join(signature, chunk("IHDR", "x"), chunk("XXXX", "x"), chunk("IEND", ""))},
		"a chunk that is longer than it all": {object.PNG, join(signature, chunk("IHDR", "x"), []byte("\xFF\xFF\xFF\xFFtEXtx"))},
		"an Exif that is longer than it all": {object.PNG, join(signature, chunk("IHDR", "x"), []byte("\xFF\xFF\xFF\xFFeXIfx"))},
	} {
		_, err := served(t, c.contentType, c.content)
		require.True(t, fault.Is(err, fault.Implausible), "%s: %v", name, err)
	}
}

func TestCopyOfWhateverBytesEndsWell(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		contentType := rapid.SampledFrom([]string{object.JPEG, object.PNG}).Draw(t, "type")
		content := encoded(t, contentType, picture(5, 5, 7))
		for range rapid.IntRange(0, 6).Draw(t, "changes") {
			content[rapid.IntRange(0, len(content)-1).Draw(t, "where")] = rapid.Byte().Draw(t, "what")
		}
		copied, err := served(t, contentType, content)
		if err != nil {
			require.Equal(t, "picture_not_read", fault.As(err).Code)
			return
		}
		require.Equal(t, copied, mustServe(t, contentType, copied))
	})
}

func TestDocumentsAreServedAsTheyAre(t *testing.T) {
	t.Parallel()
	for _, contentType := range []string{object.PDF, object.CSV, object.Text} {
		require.Equal(t, "anything\n", string(mustServe(t, contentType, []byte("anything\n"))))
	}
}
