package object

import (
	"bytes"
	"encoding/binary"
)

// Exif is the metadata that cameras write into pictures, a TIFF file without an image: where and when it was taken, with what,
// a small copy of the whole picture. One thing in it is needed to show the picture: which way up it is.

// upright is the orientation of a picture whose rows go from top to bottom and whose columns go from left to right.
const upright = 1

const (
	orientationTag = 0x0112
	shortType      = 3
	entryLength    = 12
	headerLength   = 8
)

// orientation reads which way up a picture is out of its Exif, 1 to 8. What cannot be read is upright.
func orientation(exif []byte) byte {
	if len(exif) < headerLength {
		return upright
	}
	var order binary.ByteOrder = binary.LittleEndian
	switch {
	case bytes.HasPrefix(exif, []byte("MM\x00*")):
		order = binary.BigEndian
	case !bytes.HasPrefix(exif, []byte("II*\x00")):
		return upright
	}
	directory := int64(order.Uint32(exif[4:]))
	if directory+2 > int64(len(exif)) {
		return upright
	}
	entries := exif[directory+2:]
	for range order.Uint16(exif[directory:]) {
		if len(entries) < entryLength {
			return upright
		}
		entry := entries[:entryLength]
		entries = entries[entryLength:]
		if order.Uint16(entry) != orientationTag || order.Uint16(entry[2:]) != shortType || order.Uint32(entry[4:]) != 1 {
			continue
		}
		if way := order.Uint16(entry[8:]); way >= 1 && way <= 8 {
			return byte(way)
		}
	}
	return upright
}

// onlyOrientation is an Exif that says which way up a picture is, and nothing else.
func onlyOrientation(way byte) []byte {
	return []byte{
		'M', 'M', 0, '*', 0, 0, 0, 8, // big-endian; the directory comes at once
		0, 1, // one entry
		0x01, 0x12, 0, shortType, 0, 0, 0, 1, 0, way, 0, 0,
		0, 0, 0, 0, // no other directory
	}
}
