package craft

import "encoding/binary"

// Segment is one marker segment with its payload.
func Segment(marker byte, payload []byte) []byte {
	b := []byte{0xFF, marker, 0, 0}
	binary.BigEndian.PutUint16(b[2:], uint16(len(payload)+2))
	return append(b, payload...)
}

// Frame is a frame header (ITU-T T.81 B.2.2) of three components, 8 bits.
func Frame(sof byte, width, height int) []byte {
	p := []byte{8, 0, 0, 0, 0, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1}
	binary.BigEndian.PutUint16(p[1:], uint16(height))
	binary.BigEndian.PutUint16(p[3:], uint16(width))
	return Segment(sof, p)
}

// JPEG is a file of the given segments before the frame header, a scan header and
// pad bytes of scan data. It cannot be decoded; its headers can be read.
func JPEG(sof byte, width, height, pad int, before ...[]byte) []byte {
	b := []byte{0xFF, 0xD8}
	for _, s := range before {
		b = append(b, s...)
	}
	b = append(b, Frame(sof, width, height)...)
	b = append(b, Segment(0xDA, []byte{3, 1, 0, 2, 0x11, 3, 0x11, 0, 63, 0})...)
	b = append(b, make([]byte, pad)...)
	return append(b, 0xFF, 0xD9)
}

// Exif is an APP1 segment around a TIFF structure.
func Exif(tiff []byte) []byte { return Segment(0xE1, append([]byte("Exif\x00\x00"), tiff...)) }

// XMP is an APP1 segment around an XMP packet.
func XMP(packet string) []byte {
	return Segment(0xE1, []byte("http://ns.adobe.com/xap/1.0/\x00"+packet))
}

// MPF is an APP2 segment around a multi-picture index.
func MPF(tiff []byte) []byte { return Segment(0xE2, append([]byte("MPF\x00"), tiff...)) }
