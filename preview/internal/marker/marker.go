// Package marker walks the marker segments of a JPEG that lies somewhere in a
// larger file, up to its first scan, without reading more than the segments'
// heads: ITU-T T.81 Annex B for the syntax, Exif (CIPA DC-008) §4.7 for APP1, XMP
// Part 3 §1.1.3 for the XMP packet and CIPA DC-007 §5.2 for the multi-picture
// index in APP2.
package marker

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"garner/preview/internal/bin"
)

// What a walk can find wrong; the errors of the source come on top.
var (
	ErrNoJPEG  = errors.New("no SOI marker")
	ErrSyntax  = errors.New("not a JPEG marker")
	ErrTooMany = errors.New("too many JPEG segments")
	ErrNoFrame = errors.New("no frame header before the end")
)

// The markers of T.81 table B.1 that are named here.
const (
	soi  = 0xD8
	eoi  = 0xD9
	sos  = 0xDA
	app1 = 0xE1
	app2 = 0xE2
	SOF0 = 0xC0 // baseline DCT
	SOF1 = 0xC1 // extended sequential DCT
	SOF2 = 0xC2 // progressive DCT
	SOF3 = 0xC3 // lossless: raw sensor data, never a preview
)

// maxSegments bounds a walk. Large colour profiles and ExtendedXMP take some
// dozens of segments in real files.
const maxSegments = 200

// Place is a range of the file; Length 0 means "none".
type Place struct{ Offset, Length int64 }

// Info is what the segments before the first scan say.
type Info struct {
	SOF           byte // the frame header's marker; 0 = not met
	Width, Height int  // pixels
	Components    int
	Precision     int // bits per sample

	Exif Place // the TIFF structure behind "Exif\0\0"
	XMP  Place // the packet behind the namespace
	MPF  Place // the TIFF structure behind "MPF\0"
	Scan int64 // place of the first SOS marker in the file; 0 = not met
}

// DCT reports whether the frame is one that ordinary JPEG decoders show.
func (i *Info) DCT() bool { return i.SOF == SOF0 || i.SOF == SOF1 || i.SOF == SOF2 }

// The identifiers at the front of application segments.
var (
	exifID = []byte("Exif\x00")
	xmpID  = []byte("http://ns.adobe.com/xap/1.0/\x00")
	mpfID  = []byte("MPF\x00")
)

// Frame reads up to the frame header of the JPEG at off, which ends before end.
// The Info holds what was met, also beside an error.
func Frame(src *bin.Source, off, end int64) (Info, error) { return walk(src, off, end, false) }

// Walk reads up to the first scan of the JPEG at off, which ends before end.
// The Info holds what was met, also beside an error.
func Walk(src *bin.Source, off, end int64) (Info, error) { return walk(src, off, end, true) }

func walk(src *bin.Source, off, end int64, toScan bool) (Info, error) {
	var info Info
	end = min(end, src.Size())
	if off < 0 || off > end-4 {
		return info, fmt.Errorf("JPEG at %d: %w", off, bin.ErrEnd)
	}
	b, err := src.At(off, 2)
	if err != nil {
		return info, err
	}
	if b[0] != 0xFF || b[1] != soi {
		return info, fmt.Errorf("JPEG at %d: %w", off, ErrNoJPEG)
	}
	pos := off + 2
	for range maxSegments {
		if pos > end-4 {
			return info, fmt.Errorf("JPEG at %d: %w", off, ErrNoFrame)
		}
		b, err := src.At(pos, 4)
		if err != nil {
			return info, err
		}
		m := b[1]
		switch {
		case b[0] != 0xFF:
			return info, fmt.Errorf("byte %d: %w", pos, ErrSyntax)
		case m == 0xFF: // T.81 B.1.1.2: fill bytes before a marker
			pos++
			continue
		case m == 0 || m == eoi || m == soi:
			return info, fmt.Errorf("byte %d: %w", pos, ErrNoFrame)
		case m == 0x01 || m >= 0xD0 && m <= 0xD7: // TEM, RSTn: without a length
			pos += 2
			continue
		case m == sos:
			info.Scan = pos
			return info, nil
		}
		length := int64(binary.BigEndian.Uint16(b[2:]))
		if length < 2 || length > end-pos-2 {
			return info, fmt.Errorf("segment at %d: %w", pos, bin.ErrEnd)
		}
		if err := info.segment(src, m, pos+4, length-2); err != nil {
			return info, err
		}
		if info.SOF != 0 && !toScan {
			return info, nil
		}
		pos += 2 + length
	}
	return info, fmt.Errorf("JPEG at %d: %w", off, ErrTooMany)
}

// segment looks at the payload of n bytes at pos.
func (i *Info) segment(src *bin.Source, m byte, pos, n int64) error {
	switch {
	case m >= 0xC0 && m <= 0xCF && m != 0xC4 && m != 0xC8 && m != 0xCC: // not DHT, JPG, DAC
		if n < 6 || i.SOF != 0 {
			return fmt.Errorf("frame header at %d: %w", pos, ErrSyntax)
		}
		b, err := src.At(pos, 6)
		if err != nil {
			return err
		}
		i.SOF, i.Precision = m, int(b[0])
		i.Height = int(binary.BigEndian.Uint16(b[1:]))
		i.Width = int(binary.BigEndian.Uint16(b[3:]))
		i.Components = int(b[5])
	case m == app1 || m == app2:
		b, err := src.At(pos, int(min(n, int64(len(xmpID)))))
		if err != nil {
			return err
		}
		// Exif's identifier has a second NUL which some writers got wrong, so only
		// the first five bytes are compared.
		switch {
		case m == app1 && i.Exif.Length == 0 && n > 6 && bytes.HasPrefix(b, exifID):
			i.Exif = Place{pos + 6, n - 6}
		case m == app1 && i.XMP.Length == 0 && bytes.HasPrefix(b, xmpID):
			i.XMP = Place{pos + int64(len(xmpID)), n - int64(len(xmpID))}
		case m == app2 && i.MPF.Length == 0 && bytes.HasPrefix(b, mpfID):
			i.MPF = Place{pos + 4, n - 4}
		}
	}
	return nil
}
