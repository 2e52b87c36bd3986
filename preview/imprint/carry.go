package imprint

import (
	"bytes"
	"encoding/binary"

	"garner/preview/internal/bin"
	"garner/preview/internal/ifd"
	"garner/preview/tiff"
)

// This file takes over from the input's Exif what people want to see of a camera,
// by a list; everything that is not on it stays behind.

// keeps says in what form a field is taken over.
type keeps struct {
	tag    uint16
	kind   tiff.Type
	count  int  // of values; strings: most bytes
	serial bool // tells bodies and lenses apart
}

const maxName = 200

var (
	keepMain = []keeps{{0x010F, tiff.ASCII, maxName, false}, {0x0110, tiff.ASCII, maxName, false}} // Make, Model
	keepShot = []keeps{
		{0x829A, tiff.Rational, 1, false},  // ExposureTime
		{0x829D, tiff.Rational, 1, false},  // FNumber
		{0x8822, tiff.Short, 1, false},     // ExposureProgram
		{0x8827, tiff.Short, 1, false},     // PhotographicSensitivity
		{0x9204, tiff.SRational, 1, false}, // ExposureBiasValue
		{0x9207, tiff.Short, 1, false},     // MeteringMode
		{0x9209, tiff.Short, 1, false},     // Flash
		{0x920A, tiff.Rational, 1, false},  // FocalLength
		{0xA402, tiff.Short, 1, false},     // ExposureMode
		{0xA403, tiff.Short, 1, false},     // WhiteBalance
		{0xA405, tiff.Short, 1, false},     // FocalLengthIn35mmFilm
		{0xA432, tiff.Rational, 4, false},  // LensSpecification
		{0xA433, tiff.ASCII, maxName, false},
		{0xA434, tiff.ASCII, maxName, false}, // LensMake, LensModel
		{0xA431, tiff.ASCII, maxName, true},  // BodySerialNumber
		{0xA435, tiff.ASCII, maxName, true},  // LensSerialNumber
	}
	keepPlace = []keeps{
		{0x0000, tiff.Byte, 4, false},        // GPSVersionID
		{0x0001, tiff.ASCII, 2, false},       // north or south
		{0x0002, tiff.Rational, 3, false},    // latitude
		{0x0003, tiff.ASCII, 2, false},       // east or west
		{0x0004, tiff.Rational, 3, false},    // longitude
		{0x0005, tiff.Byte, 1, false},        // above the sea or below
		{0x0006, tiff.Rational, 1, false},    // altitude
		{0x0007, tiff.Rational, 3, false},    // time of the satellites
		{0x0010, tiff.ASCII, 2, false},       // true or magnetic north
		{0x0011, tiff.Rational, 1, false},    // direction
		{0x0012, tiff.ASCII, maxName, false}, // datum
		{0x001D, tiff.ASCII, 11, false},      // date of the satellites
	}
)

// carried are the fields taken over; place is nil where there is none.
type carried struct{ main, shot, place ifd.Directory }

// Limits of reading an input's Exif, which may be a whole TIFF file.
const (
	maxReads = 1000
	maxBytes = 1 << 20
)

// carry reads a TIFF structure. What cannot be read is left out: a picture does
// not fail because its camera wrote nonsense.
func carry(b []byte, serial, gps bool) (c carried) {
	b = bytes.TrimPrefix(b, []byte("Exif\x00\x00"))
	h, err := tiff.ParseHeader(b)
	if err != nil {
		return c
	}
	src := bin.NewSource(bytes.NewReader(b), int64(len(b)), maxReads, maxBytes)
	r := tiff.NewReader(src, 0, int64(len(b)), h.Order)
	main, err := r.IFD(h.First)
	if err != nil {
		return c
	}
	c.main = take(main, keepMain, h.Order, serial)
	if at, ok := main.Find(0x8769).Int(); ok {
		if shot, err := r.IFD(at); err == nil {
			c.shot = take(shot, keepShot, h.Order, serial)
		}
	}
	if at, ok := main.Find(0x8825).Int(); ok && gps {
		if place, err := r.IFD(at); err == nil {
			c.place = take(place, keepPlace, h.Order, serial)
		}
	}
	return c
}

// take returns the fields of a list that a directory has in the form they should
// have.
func take(d *tiff.IFD, list []keeps, order binary.ByteOrder, serial bool) (out ifd.Directory) {
	for _, k := range list {
		e := d.Find(k.tag)
		if e == nil || k.serial && !serial {
			continue
		}
		if k.kind == tiff.ASCII {
			if s := cut(cleanLine(e.Text()), k.count-1); s != "" {
				out.Text(k.tag, s)
			}
			continue
		}
		if e.Type != k.kind || int64(e.Count) < int64(k.count) { // of more, as some bodies give of their speed, the first
			continue
		}
		size := int(e.Size / int64(e.Count) * int64(k.count))
		v, err := e.Bytes(size)
		if err != nil || len(v) != size {
			continue
		}
		out.Add(k.tag, k.kind, k.count, highFirst(v, k.kind, order))
	}
	return out
}

// highFirst copies values with the highest byte first.
func highFirst(v []byte, kind tiff.Type, order binary.ByteOrder) []byte {
	width := 1
	switch kind {
	case tiff.Short:
		width = 2
	case tiff.Rational, tiff.SRational: // pairs of longs
		width = 4
	}
	out := bytes.Clone(v)
	if order == binary.ByteOrder(binary.LittleEndian) {
		for i := 0; i+width <= len(out); i += width {
			for a, b := i, i+width-1; a < b; a, b = a+1, b-1 {
				out[a], out[b] = out[b], out[a]
			}
		}
	}
	return out
}
