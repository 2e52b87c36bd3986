package finished

import (
	"bytes"
	"encoding/binary"
	"fmt"

	"garner/preview/icc"
)

// This file reads what stands before the first scan of a JPEG: ITU-T T.81 Annex B,
// with Exif in APP1 (CIPA DC-008 §4.7), XMP in APP1 (XMP Part 3 §1.1.3), profiles
// in APP2 (ICC.1:2022 Annex B) and image resources in APP13.

// maxHead is more than segments before the first scan can amount to: 255 of 64 KiB
// of profile, and as many of XMP are not in use.
const maxHead = 24 << 20

// jpegBody is what decoding needs to know.
type jpegBody struct {
	components int
	atOnce     bool // progressive, or in several scans: there are no rows before the end
	direct     bool // RGB or CMYK: no planes of luma and chroma
	subX, subY int  // at most; for memory
}

func (p *Picture) openJPEG() error {
	head, err := p.jpegHead()
	if err != nil {
		return err
	}
	j := &jpegBody{subX: 1, subY: 1}
	adobe, ids := -1, ""
	for code, b := range segments(head) {
		switch {
		case code >= 0xC0 && code <= 0xCF && code != 0xC4 && code != 0xC8 && code != 0xCC:
			if p.Width != 0 || len(b) < 6 {
				return FormatError("a broken JPEG: its frame header cannot be")
			}
			if ids, err = p.jpegFrame(j, code, b); err != nil {
				return err
			}
		case code == 0xE1 && p.Exif == nil && bytes.HasPrefix(b, []byte("Exif\x00")) && len(b) > 6:
			p.Exif = b[6:]
		case code == 0xE1 && p.XMP == nil && bytes.HasPrefix(b, []byte(jpegXMP)):
			p.XMP = b[len(jpegXMP):]
		case code == 0xED && p.IPTC == nil && len(b) > resourcesID && b[resourcesID-1] == 0:
			p.IPTC = iptcResource(b[resourcesID:])
		case code == 0xDA && len(b) > 0:
			j.atOnce = j.atOnce || int(b[0]) != j.components
		case code == 0xEE && len(b) >= 12 && string(b[:5]) == "Adobe":
			adobe = int(b[11])
		}
	}
	if err := p.admit(); err != nil {
		return err
	}
	switch j.components {
	case 1:
		p.Model = Grey
	case 3:
		p.Model = RGB
		// The rule of package jpeg: what Adobe's segment or the ids call RGB.
		j.direct = adobe == 0 || ids == "RGB"
	case 4:
		p.Model, j.direct = CMYK, true
	}
	p.setProfile(icc.FromJPEG(head))
	p.body = j
	return nil
}

// jpegXMP is what a segment with XMP begins with. One with image resources has an
// identifier of so many bytes, the last of them zero; the resources have their own.
const (
	jpegXMP     = "http://ns.adobe.com/xap/1.0/\x00"
	resourcesID = 14
)

// jpegFrame reads the frame header and returns the ids of the components.
func (p *Picture) jpegFrame(j *jpegBody, code byte, b []byte) (string, error) {
	p.Bits = int(b[0])
	p.Height, p.Width = int(binary.BigEndian.Uint16(b[1:])), int(binary.BigEndian.Uint16(b[3:]))
	j.components, j.atOnce = int(b[5]), code == 0xC2
	switch {
	case code > 0xC2:
		return "", UnsupportedError("a JPEG of a rare kind (lossless, hierarchical or arithmetic), which is not read")
	case p.Bits != 8:
		return "", UnsupportedError(fmt.Sprintf("a JPEG of %d bits a sample, which is not read", p.Bits))
	case j.components != 1 && j.components != 3 && j.components != 4:
		return "", UnsupportedError(fmt.Sprintf("a JPEG of %d channels, which is not read", j.components))
	case len(b) < 6+3*j.components:
		return "", FormatError("a broken JPEG: its frame header cannot be")
	}
	ids := ""
	for i := range j.components {
		c := b[6+3*i:]
		ids += string(rune(c[0]))
		h, v := int(c[1]>>4), int(c[1]&15)
		switch {
		case h < 1 || h > 4 || v < 1 || v > 4:
			return "", FormatError("a broken JPEG: its frame header cannot be")
		case i == 0:
			j.subX, j.subY = h, v
		case i == 1:
			j.subX, j.subY = max(1, j.subX/h), max(1, j.subY/v)
		}
	}
	return ids, nil
}

// jpegHead reads up to and with the header of the first scan.
func (p *Picture) jpegHead() ([]byte, error) {
	var head []byte
	have := func(n int) error {
		if n <= len(head) {
			return nil
		}
		if int64(n) > p.size {
			return &TruncatedError{}
		}
		if n > maxHead {
			return FormatError("a JPEG whose headers do not end")
		}
		more := min(p.size, int64(max(n, 2*len(head), 64<<10))) - int64(len(head))
		b, err := readRange(p.r, int64(len(head)), more)
		head = append(head, b...)
		return err
	}
	for at := 2; ; {
		if err := have(at + 4); err != nil {
			return nil, err
		}
		code := head[at+1]
		switch {
		case head[at] != 0xFF:
			return nil, FormatError("a broken JPEG: bytes between its segments")
		case code == 0xFF: // B.1.1.2: fill bytes
			at++
			continue
		case code < 0xC0 || code >= 0xD0 && code <= 0xD9:
			return nil, FormatError("a broken JPEG: a marker that cannot stand before the first scan")
		}
		next := at + 2 + int(binary.BigEndian.Uint16(head[at+2:]))
		if next < at+4 {
			return nil, FormatError("a broken JPEG: a segment without a length")
		}
		if err := have(next); err != nil {
			return nil, err
		}
		if at = next; code == 0xDA {
			return head[:at], nil
		}
	}
}

// segments yields the segments of a head that jpegHead has walked.
func segments(head []byte) func(yield func(code byte, payload []byte) bool) {
	return func(yield func(byte, []byte) bool) {
		for at := 2; at+4 <= len(head); {
			if head[at+1] == 0xFF {
				at++
				continue
			}
			next := at + 2 + int(binary.BigEndian.Uint16(head[at+2:]))
			if !yield(head[at+1], head[at+4:next:next]) {
				return
			}
			at = next
		}
	}
}
