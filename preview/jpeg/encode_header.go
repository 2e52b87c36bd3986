package jpeg

import (
	"encoding/binary"

	"garner/preview/jpeg/internal/dct"
)

// Markers of T.81 table B.1 that are written.
const (
	markerSOF0 = 0xC0
	markerDHT  = 0xC4
	markerSOI  = 0xD8
	markerEOI  = 0xD9
	markerSOS  = 0xDA
	markerDQT  = 0xDB
	markerAPP0 = 0xE0
)

// stepTable is a table of quantisation steps in natural order.
type stepTable dct.Table

// scaled returns the steps at a quality, for 8 bits a step. The scale is that
// of the Independent JPEG Group: 50 has the steps of T.81 themselves.
func (t *stepTable) scaled(quality int) (q dct.Table) {
	quality = min(max(quality, 1), 100)
	percent := 200 - 2*quality
	if quality < 50 {
		percent = 5000 / quality
	}
	for i, step := range t {
		q[i] = uint16(min(max((int(step)*percent+50)/100, 1), 255))
	}
	return q
}

// annexK1 and annexK2 are the steps of T.81 K.1, of luma and of chroma.
var (
	annexK1 = stepTable{
		16, 11, 10, 16, 24, 40, 51, 61,
		12, 12, 14, 19, 26, 58, 60, 55,
		14, 13, 16, 24, 40, 57, 69, 56,
		14, 17, 22, 29, 51, 87, 80, 62,
		18, 22, 37, 56, 68, 109, 103, 77,
		24, 35, 55, 64, 81, 104, 113, 92,
		49, 64, 78, 87, 103, 121, 120, 101,
		72, 92, 95, 98, 112, 100, 103, 99,
	}
	annexK2 = stepTable{
		17, 18, 24, 47, 99, 99, 99, 99,
		18, 21, 26, 66, 99, 99, 99, 99,
		24, 26, 56, 99, 99, 99, 99, 99,
		47, 66, 99, 99, 99, 99, 99, 99,
		99, 99, 99, 99, 99, 99, 99, 99,
		99, 99, 99, 99, 99, 99, 99, 99,
		99, 99, 99, 99, 99, 99, 99, 99,
		99, 99, 99, 99, 99, 99, 99, 99,
	}
)

// appendHeader appends everything before the coded data of m.
func appendHeader(dst []byte, m *Image, luma, chroma *dct.Table) []byte {
	dst = append(dst, 0xFF, markerSOI)
	dst = appendSegment(dst, markerAPP0, 14) // JFIF 1.02, page 5: square pixels, no thumbnail
	dst = append(dst, "JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00"...)
	dst = appendSteps(dst, 0, luma)
	comps, sampling := 1, byte(0x11)
	if !m.Grey() {
		comps, sampling = 3, byte(m.SubX<<4|m.SubY)
		dst = appendSteps(dst, 1, chroma)
	}
	dst = appendSegment(dst, markerSOF0, 6+3*comps) // T.81 B.2.2
	dst = append(dst, 8)
	dst = binary.BigEndian.AppendUint16(dst, uint16(m.Height))
	dst = binary.BigEndian.AppendUint16(dst, uint16(m.Width))
	dst = append(dst, byte(comps), 1, sampling, 0)
	if comps == 3 {
		dst = append(dst, 2, 0x11, 1, 3, 0x11, 1)
	}
	dst = appendCodes(dst, 0x00, &annexK3)
	dst = appendCodes(dst, 0x10, &annexK5)
	if comps == 3 {
		dst = appendCodes(dst, 0x01, &annexK4)
		dst = appendCodes(dst, 0x11, &annexK6)
	}
	dst = appendSegment(dst, markerSOS, 4+2*comps) // B.2.3
	dst = append(dst, byte(comps), 1, 0x00)
	if comps == 3 {
		dst = append(dst, 2, 0x11, 3, 0x11)
	}
	return append(dst, 0, 63, 0)
}

// appendSegment appends a marker and the length of the n bytes to follow.
func appendSegment(dst []byte, marker byte, n int) []byte {
	return binary.BigEndian.AppendUint16(append(dst, 0xFF, marker), uint16(n+2))
}

// appendSteps appends a quantisation table (B.2.4.1), which is in zigzag order.
func appendSteps(dst []byte, dest byte, q *dct.Table) []byte {
	dst = append(appendSegment(dst, markerDQT, 65), dest)
	for _, p := range dct.Place {
		dst = append(dst, byte(q[p%8*8+p/8])) // by columns there
	}
	return dst
}

// appendCodes appends a Huffman table (B.2.4.2).
func appendCodes(dst []byte, class byte, h *huffmanCode) []byte {
	dst = append(appendSegment(dst, markerDHT, 17+len(h.symbols)), class)
	return append(append(dst, h.count[:]...), h.symbols...)
}
