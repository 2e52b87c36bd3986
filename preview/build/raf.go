package build

import "encoding/binary"

// rafHead is the length of the header up to the JPEG: the magic, the camera
// and the directory of offsets, as public readers agree on them.
const rafHead = 0x94

// RAF writes the layout of Fujifilm's raw files: a header with the place of a
// whole Exif JPEG (big endian, at byte 84 and 88; p.Full with p.Thumb in its
// IFD1), a directory with the sensor's size, and the sensor's data, a few zeros where none is given.
// p.Screen is not used: the layout has no place for it.
func RAF(s Shot, p Pictures) ([]byte, error) {
	pic, err := JPEG(s, p, false)
	if err != nil {
		return nil, err
	}
	be := binary.BigEndian
	cfa := p.Sensor
	if cfa == nil {
		cfa = make([]byte, 512)
	}
	out := make([]byte, rafHead, rafHead+len(pic)+len(cfa)+512)
	copy(out, "FUJIFILMCCD-RAW 0201")
	copy(out[20:28], "FF000000")
	copy(out[28:60], s.Model)
	copy(out[60:], "0100")
	be.PutUint32(out[84:], rafHead)
	be.PutUint32(out[88:], uint32(len(pic)))
	out = append(out, pic...)
	out = append(out, make([]byte, (4-len(out)%4)%4)...)

	dir := rafDirectory(s)
	be.PutUint32(out[92:], uint32(len(out)))
	be.PutUint32(out[96:], uint32(len(dir)))
	out = append(out, dir...)
	be.PutUint32(out[100:], uint32(len(out)))
	be.PutUint32(out[104:], uint32(len(cfa)))
	return append(out, cfa...), nil
}

// rafDirectory holds tags 0x0100 (full size) and 0x0111 (cropped size), each
// height before width.
func rafDirectory(s Shot) []byte {
	be := binary.BigEndian
	d := be.AppendUint32(nil, 2)
	for _, tag := range []uint16{0x0100, 0x0111} {
		d = be.AppendUint16(d, tag)
		d = be.AppendUint16(d, 4)
		d = be.AppendUint16(d, uint16(s.Height))
		d = be.AppendUint16(d, uint16(s.Width))
	}
	return d
}
