package build

import (
	"encoding/binary"
	"fmt"
)

// This file writes the TIFF-type raws: DNG, and the directory layout of NEF.

// blobStep is the multiple at which pictures begin in TIFF-type files.
const blobStep = 16

// dummy is the size of the sensor area that the TIFF-type layouts declare and
// hold as zeros where none is given: the least that a reader accepts as an image.
const dummyW, dummyH = 64, 64

// DNG writes a DNG 1.4 file: IFD0 with a small JPEG, SubIFDs for the sensor
// data, for p.Full and for p.Screen, the last two as JPEG
// (Compression 7) in one strip each.
func DNG(s Shot, p Pictures, order binary.AppendByteOrder) ([]byte, error) {
	if err := check(s, p); err != nil {
		return nil, err
	}
	d := newIFD(order)
	describe(d, s)
	d.bytes(0xC612, 1, 4, 0, 0)
	d.bytes(0xC613, 1, 1, 0, 0)
	d.ascii(0xC614, s.Model)
	d.ascii(0xC62F, s.Serial)
	// ColorMatrix1 and AsShotNeutral are required for raw data; a matrix of ones
	// on the diagonal says nothing about a sensor that does not exist.
	one, zero := Rational{1, 1}, Rational{0, 1}
	d.rational(0xC621, typeSRational, one, zero, zero, zero, one, zero, zero, zero, one)
	d.rational(0xC628, typeRational, one, one, one)
	d.short(0xC65A, 21) // D65
	d.sub(0x8769, exifIFD(d, s))

	small := p.Thumb
	if small == nil {
		small = p.Full
	}
	d.long(0x00FE, 1)
	stripJPEG(d, small)

	data, err := sensor(d, s, p.Sensor)
	if err != nil {
		return nil, err
	}
	subs := []*ifd{data}
	for _, pic := range [][]byte{p.Full, p.Screen} {
		if pic != nil {
			sub := newIFD(order)
			sub.long(0x00FE, 1)
			stripJPEG(sub, pic)
			subs = append(subs, sub)
		}
	}
	d.sub(0x014A, subs...)
	return d.tiff(blobStep)
}

// stripJPEG describes a baseline JPEG as one strip of YCbCr pixels.
func stripJPEG(d *ifd, pic []byte) {
	w, h := size(pic)
	d.long(0x0100, uint32(w))
	d.long(0x0101, uint32(h))
	d.short(0x0102, 8, 8, 8)
	d.short(0x0103, 7)
	d.short(0x0106, 6)
	d.point(0x0111, 0x0117, pic)
	d.short(0x0115, 3)
	d.long(0x0116, uint32(h))
	d.short(0x011C, 1)
	d.short(0x0212, 2, 2)
	d.short(0x0213, 1)
	zero, full, mid := Rational{0, 1}, Rational{255, 1}, Rational{128, 1}
	d.rational(0x0214, typeRational, zero, full, mid, full, mid, full)
}

// sensor is the directory of the colour filter array: data as samples of 8 bits,
// or the dummy where there is none.
func sensor(like *ifd, s Shot, data []byte) (*ifd, error) {
	w, h, bits := s.Width, s.Height, 8
	if data == nil {
		w, h, bits, data = dummyW, dummyH, 16, make([]byte, dummyW*dummyH*2)
	}
	if len(data) != w*h*bits/8 {
		return nil, fmt.Errorf("build: %d bytes of sensor data are not %dx%d samples", len(data), w, h)
	}
	d := newIFD(like.order)
	d.long(0x00FE, 0)
	d.long(0x0100, uint32(w))
	d.long(0x0101, uint32(h))
	d.short(0x0102, uint16(bits))
	d.short(0x0103, 1)
	d.short(0x0106, 32803)
	d.point(0x0111, 0x0117, data)
	d.short(0x0115, 1)
	d.long(0x0116, uint32(h))
	d.short(0x011C, 1)
	d.short(0x828D, 2, 2)
	d.bytes(0x828E, 0, 1, 1, 2)
	return d, nil
}

// NEF writes the directory layout of Nikon's raw files without a maker note:
// IFD0 is an uncompressed RGB thumbnail (16x16 grey), SubIFD 1 points to p.Full
// and SubIFD 3 to p.Screen with the JPEG pointer pair 0x0201/0x0202, SubIFD 2 is
// the sensor data. p.Thumb is not used.
func NEF(s Shot, p Pictures, order binary.AppendByteOrder) ([]byte, error) {
	if err := check(s, p); err != nil {
		return nil, err
	}
	d := newIFD(order)
	describe(d, s)
	d.long(0x00FE, 1)
	rgbThumb(d)
	d.bytes(0x9216, 1, 0, 0, 0) // TIFF/EP standard id, by which readers know the family
	d.sub(0x8769, exifIFD(d, s))
	data, err := sensor(d, s, p.Sensor)
	if err != nil {
		return nil, err
	}
	subs := []*ifd{jpegPointer(d, p.Full), data}
	if p.Screen != nil {
		subs = append(subs, jpegPointer(d, p.Screen))
	}
	d.sub(0x014A, subs...)
	return d.tiff(blobStep)
}

// ARW writes the layout of later Sony raw files without a maker note: IFD0
// points to p.Screen, IFD1 to p.Thumb and IFD2 to p.Full, all with the JPEG
// pointer pair; the sensor data is in IFD0's SubIFD.
func ARW(s Shot, p Pictures, order binary.AppendByteOrder) ([]byte, error) {
	if err := check(s, p); err != nil {
		return nil, err
	}
	d := newIFD(order)
	describe(d, s)
	d.long(0x00FE, 1)
	d.short(0x0103, 6)
	screen := p.Screen
	if screen == nil {
		screen = p.Full
	}
	d.point(0x0201, 0x0202, screen)
	d.short(0x0213, 2)
	d.sub(0x8769, exifIFD(d, s))
	data, err := sensor(d, s, p.Sensor)
	if err != nil {
		return nil, err
	}
	d.sub(0x014A, data)
	last := d
	for _, pic := range [][]byte{p.Thumb, p.Full} {
		if pic != nil {
			last.next = jpegPointer(d, pic)
			last = last.next
		}
	}
	return d.tiff(blobStep)
}

func jpegPointer(like *ifd, pic []byte) *ifd {
	d := newIFD(like.order)
	d.long(0x00FE, 1)
	d.short(0x0103, 6)
	d.rational(0x011A, typeRational, Rational{300, 1})
	d.rational(0x011B, typeRational, Rational{300, 1})
	d.short(0x0128, 2)
	d.point(0x0201, 0x0202, pic)
	d.short(0x0213, 2)
	return d
}

func rgbThumb(d *ifd) {
	const side = 16
	grey := make([]byte, side*side*3)
	for i := range grey {
		grey[i] = 128
	}
	d.long(0x0100, side)
	d.long(0x0101, side)
	d.short(0x0102, 8, 8, 8)
	d.short(0x0103, 1)
	d.short(0x0106, 2)
	d.point(0x0111, 0x0117, grey)
	d.short(0x0115, 3)
	d.long(0x0116, side)
	d.short(0x011C, 1)
}
