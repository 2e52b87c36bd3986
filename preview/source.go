package preview

import (
	"bytes"
	"encoding/binary"

	"garner/preview/jpeg"
)

// plain reports whether any program that shows JPEGs shows this one as its samples
// lie: grey or in three colours, and without an Exif orientation of its own, which
// such programs follow and Render does not.
func plain(src []byte) bool {
	info, err := jpeg.Config(bytes.NewReader(src), 0, int64(len(src)))
	if err != nil || info.Precision != 8 || info.Components != 1 && info.Components != 3 {
		return false
	}
	return ownOrientation(src) <= 1
}

// ownOrientation is tag 274 in the IFD0 of a JPEG's first Exif segment (CIPA
// DC-008 4.5.4, 4.7); 0 if there is none. What is not well-formed counts as none.
func ownOrientation(src []byte) int {
	for at := 2; at+4 <= len(src) && src[at] == 0xFF && src[at+1] >= 0xC0 && src[at+1] != 0xDA; {
		end := at + 2 + int(binary.BigEndian.Uint16(src[at+2:]))
		if end > len(src) || end < at+4 {
			return 0
		}
		if tiff, ok := bytes.CutPrefix(src[at+4:end], []byte("Exif\x00\x00")); ok && src[at+1] == 0xE1 {
			return orientationOf(tiff)
		}
		at = end
	}
	return 0
}

func orientationOf(tiff []byte) int {
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	if len(tiff) < 8 {
		return 0
	}
	at := int64(order.Uint32(tiff[4:]))
	if at > int64(len(tiff)-2) {
		return 0
	}
	n := int(order.Uint16(tiff[at:]))
	for e := tiff[at+2:]; n > 0 && len(e) >= 12; n, e = n-1, e[12:] {
		if order.Uint16(e) == 0x0112 {
			return int(order.Uint16(e[8:]))
		}
	}
	return 0
}
