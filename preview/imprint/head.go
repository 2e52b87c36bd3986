package imprint

import "encoding/binary"

// This file lays down the segments before the coded picture: ITU-T T.81 Annex B
// for segments, JFIF 1.02 page 5, XMP Part 3 §1.1.3, ICC.1:2022 Annex B.

const (
	exifID     = "Exif\x00\x00"
	xmpID      = "http://ns.adobe.com/xap/1.0/\x00"
	resourceID = "\x50hotoshop 3.0\x00" // what image resources begin with, as IIM in a JPEG does
	iccID      = "ICC_PROFILE\x00"

	maxChunk  = 65519 // of a profile in one segment
	maxChunks = 255
)

// head is everything before the tables of the picture.
type head struct {
	density                      int
	exif, xmp, resource, profile []byte
}

// append appends it. JFIF and Exif both want to be first; JFIF is, by common
// practice, and Exif follows at once, then XMP and the image resource in the order
// of XMP Part 3.
func (h *head) append(dst []byte) []byte {
	dst = append(dst, 0xFF, 0xD8)
	jfif := []byte("JFIF\x00\x01\x02\x01") // the unit is the inch
	jfif = binary.BigEndian.AppendUint16(jfif, uint16(h.density))
	jfif = binary.BigEndian.AppendUint16(jfif, uint16(h.density))
	dst = segment(dst, 0xE0, "", append(jfif, 0, 0)) // no thumbnail
	dst = segment(dst, 0xE1, exifID, h.exif)
	dst = segment(dst, 0xE1, xmpID, h.xmp)
	if len(h.resource) > 0 {
		dst = segment(dst, 0xED, resourceID, h.resource)
	}
	all := (len(h.profile) + maxChunk - 1) / maxChunk
	for i := range all {
		part := h.profile[i*maxChunk : min((i+1)*maxChunk, len(h.profile))]
		dst = segment(dst, 0xE2, iccID+string([]byte{byte(i + 1), byte(all)}), part)
	}
	return dst
}

// size is how many bytes append appends.
func (h *head) size() int {
	n := jfifEnd + 4 + len(exifID) + len(h.exif) + 4 + len(xmpID) + len(h.xmp)
	if len(h.resource) > 0 {
		n += 4 + len(resourceID) + len(h.resource)
	}
	all := (len(h.profile) + maxChunk - 1) / maxChunk
	return n + all*(4+len(iccID)+2) + len(h.profile)
}

func segment(dst []byte, marker byte, id string, data []byte) []byte {
	dst = binary.BigEndian.AppendUint16(append(dst, 0xFF, marker), uint16(2+len(id)+len(data)))
	return append(append(dst, id...), data...)
}
