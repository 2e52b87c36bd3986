package icc

import (
	"bytes"
	"encoding/binary"
	"math"
)

// writer lays out profiles for tests (ICC.1:2022 clauses 7.2 and 7.3); it shares
// nothing with what is tested.
type writer struct {
	class, space, pcs string
	tags              []written
}

type written struct {
	signature string
	data      []byte
}

func (w writer) with(signature string, data []byte) writer {
	tags := append([]written{}, w.tags...)
	for i := range tags {
		if tags[i].signature == signature {
			tags[i].data = data
			w.tags = tags
			return w
		}
	}
	w.tags = append(tags, written{signature, data})
	return w
}

func (w writer) without(signature string) writer {
	var tags []written
	for _, t := range w.tags {
		if t.signature != signature {
			tags = append(tags, t)
		}
	}
	w.tags = tags
	return w
}

func (w writer) bytes() []byte {
	head := make([]byte, 128)
	copy(head[8:], []byte{4, 0x40, 0, 0})
	copy(head[12:], w.class)
	copy(head[16:], w.space)
	copy(head[20:], w.pcs)
	binary.BigEndian.PutUint16(head[24:], 2020) // a date that may be
	copy(head[24+2:], []byte{0, 1, 0, 1})
	copy(head[36:], "acsp")
	copy(head[68:], s15(0.9642, 1, 0.8249))
	b := binary.BigEndian.AppendUint32(head, uint32(len(w.tags)))
	at := len(b) + 12*len(w.tags)
	var data []byte
	for _, t := range w.tags {
		b = append(b, t.signature...)
		b = binary.BigEndian.AppendUint32(b, uint32(at+len(data)))
		b = binary.BigEndian.AppendUint32(b, uint32(len(t.data)))
		data = append(data, t.data...)
		for len(data)%4 != 0 {
			data = append(data, 0)
		}
	}
	b = append(b, data...)
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	return b
}

func s15(v ...float64) []byte {
	var b []byte
	for _, x := range v {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(x*65536))))
	}
	return b
}

func xyzType(v ...float64) []byte { return append([]byte("XYZ \x00\x00\x00\x00"), s15(v...)...) }

func curvType(entries ...uint16) []byte {
	b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(len(entries)))
	for _, e := range entries {
		b = binary.BigEndian.AppendUint16(b, e)
	}
	return b
}

func paraType(kind uint16, v ...float64) []byte {
	b := binary.BigEndian.AppendUint16([]byte("para\x00\x00\x00\x00"), kind)
	return append(append(b, 0, 0), s15(v...)...)
}

func mlucType(s string) []byte {
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(s)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, c := range s {
		b = append(b, 0, byte(c))
	}
	return b
}

func descType(s string) []byte {
	b := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(s)+1))
	return append(append(b, s...), make([]byte, 80)...)
}

// The primaries below are relative to D50, as profiles have them: the published
// chromaticities adapted by Bradford, worked out apart from the code with the
// matrices of the W3C's CSS Color 4 (Adobe RGB, Display P3 and sRGB to XYZ D65, and
// D65 to D50), rounded to five digits.
type published struct {
	name    string
	primary [3][3]float64 // red, green, blue as XYZ
	curve   []byte
}

// srgbCurve is IEC 61966-2-1 as a parametric curve of type 3.
var srgbCurve = paraType(3, 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)

func publishedSpaces() []published {
	return []published{
		{"sRGB", [3][3]float64{{0.43607, 0.22249, 0.01392}, {0.38515, 0.71687, 0.09708}, {0.14307, 0.06061, 0.71410}}, srgbCurve},
		{"Adobe RGB", [3][3]float64{{0.60974, 0.31111, 0.01947}, {0.20528, 0.62567, 0.06087}, {0.14919, 0.06322, 0.74457}}, curvType(563)},
		{"Display P3", [3][3]float64{{0.51512, 0.24120, -0.00105}, {0.29198, 0.69225, 0.04189}, {0.15710, 0.06657, 0.78407}}, srgbCurve},
	}
}

func (p published) writer() writer {
	w := writer{class: "mntr", space: "RGB ", pcs: "XYZ "}.with("desc", mlucType(p.name)).with("wtpt", xyzType(0.9642, 1, 0.8249)).with("cprt", mlucType("none"))
	for i, c := range []string{"r", "g", "b"} {
		v := p.primary[i]
		w = w.with(c+"XYZ", xyzType(v[:]...)).with(c+"TRC", p.curve)
	}
	return w
}

// embed puts a profile into a JPEG's segments, in parts of n bytes.
func embed(profile []byte, n int) (segments [][]byte) {
	count := (len(profile) + n - 1) / n
	for i := range count {
		part := profile[i*n : min((i+1)*n, len(profile))]
		segments = append(segments, segment(0xE2, append([]byte("ICC_PROFILE\x00"), append([]byte{byte(i + 1), byte(count)}, part...)...)))
	}
	return segments
}

func segment(marker byte, data []byte) []byte {
	b := []byte{0xFF, marker, 0, 0}
	binary.BigEndian.PutUint16(b[2:], uint16(len(data)+2))
	return append(b, data...)
}

func withSegments(segments ...[]byte) []byte {
	return append(append([]byte{0xFF, 0xD8}, bytes.Join(segments, nil)...), 0xFF, 0xDA, 0, 2, 1, 2, 3)
}
