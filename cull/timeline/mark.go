package timeline

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
)

// Every timeline carries a mark at its beginning, so that one may be drawn anew in
// its place and nothing else is ever replaced.
const (
	svgMark = `data-made="garner timeline"`
	pngMark = "Source\x00garner timeline" // a text chunk (PNG, clause 11.3.3.2)

	// MarkWithin is how many bytes of a file hold the mark.
	MarkWithin = 512
)

const pngSignature = "\x89PNG\r\n\x1a\n"

// Is reports whether a file that begins so is a timeline.
func Is(head []byte) bool {
	head = head[:min(len(head), MarkWithin)]
	switch {
	case bytes.HasPrefix(head, []byte("<svg ")):
		return bytes.Contains(head, []byte(svgMark))
	case bytes.HasPrefix(head, []byte(pngSignature)):
		return bytes.Contains(head, []byte(pngMark))
	}
	return false
}

// marked puts the mark after a PNG's header chunk.
func marked(png []byte) []byte {
	const header = len(pngSignature) + 4 + 4 + 13 + 4 // length, type, data, sum (clause 5.3)
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(pngMark)))
	chunk = append(chunk, "tEXt"+pngMark...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	out := append([]byte(nil), png[:header]...)
	return append(append(out, chunk...), png[header:]...)
}
