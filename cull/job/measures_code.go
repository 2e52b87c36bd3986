package job

import (
	"encoding/binary"
	"math"

	"garner/cull"
)

// Measurements are kept in a fixed number of bytes and as many again for every spot
// or face, highest byte first: the version of this form, the method, and then the
// fields in the order of the types. Numbers are of single precision and finite.
const (
	measuresVersion = 1

	focusBytes = 2 + 1 + 4 + 4 + 1    // small, width, height, spots
	spotBytes  = 1 + 4*4 + sharpBytes // by, region
	lightBytes = 2 + 3*4
	facesBytes = 2 + 4 + 4 + 1                          // width, height, faces
	faceBytes  = 4*4 + 2*4 + 1 + 2*4 + sharpBytes + 2*4 // region, score and presence, eyes, opening and distance, light
	sharpBytes = 4*4 + 4
)

// form writes a record.
type form []byte

func (b *form) byte(v uint8) { *b = append(*b, v) }
func (b *form) yes(v bool) {
	if v {
		b.byte(1)
	} else {
		b.byte(0)
	}
}
func (b *form) count(v int) {
	*b = binary.BigEndian.AppendUint32(*b, uint32(min(max(v, 0), math.MaxInt32)))
}

// numbers writes numbers; what is none reads back as 0, since a record that can't
// be read would be measured for ever.
func (b *form) numbers(vs ...float64) {
	for _, v := range vs {
		f := float32(v)
		if v != v || math.IsInf(float64(f), 0) {
			f = 0
		}
		*b = binary.BigEndian.AppendUint32(*b, math.Float32bits(f))
	}
}
func (b *form) region(r cull.Region) { b.numbers(r.X, r.Y, r.W, r.H) }
func (b *form) sharpness(s cull.Sharpness) {
	b.numbers(s.Energy, s.Edge, s.Blur, s.Noise)
	b.count(s.Pixels)
}

func encodeFocus(f cull.Focus) []byte {
	spots := f.Spots[:min(len(f.Spots), cull.MaxSpots)]
	b := make(form, 0, focusBytes+len(spots)*spotBytes)
	b.byte(measuresVersion)
	b.byte(f.Method)
	b.yes(f.Small)
	b.count(f.Width)
	b.count(f.Height)
	b.byte(uint8(len(spots)))
	for _, s := range spots {
		b.byte(uint8(s.By))
		b.region(s.Region)
		b.sharpness(s.Sharpness)
	}
	return b
}

func encodeLight(l cull.Light) []byte {
	b := make(form, 0, lightBytes)
	b.byte(measuresVersion)
	b.byte(l.Method)
	b.numbers(l.Highlights, l.AnyHigh, l.Shadows)
	return b
}

func encodeFaces(f cull.Faces) []byte {
	list := f.List[:min(len(f.List), cull.MaxFaces)]
	b := make(form, 0, facesBytes+len(list)*faceBytes)
	b.byte(measuresVersion)
	b.byte(f.Method)
	b.count(f.Width)
	b.count(f.Height)
	b.byte(uint8(len(list)))
	for _, f := range list {
		b.region(f.Region)
		b.numbers(f.Score, f.Presence)
		b.byte(uint8(f.Eyes))
		b.numbers(f.Opening, f.EyeApart)
		b.sharpness(f.Sharpness)
		b.numbers(f.Luma, f.Clipped)
	}
	return b
}

// Tried is its version, the three methods, and the two texts, each after its length.
func encodeTried(t Tried) []byte {
	b := form{measuresVersion, t.Focus, t.Light, t.Faces}
	for _, s := range []string{t.Of, t.Why} {
		s = s[:min(len(s), math.MaxUint8)]
		b.byte(uint8(len(s)))
		b = append(b, s...)
	}
	return b
}

// unform reads a record; bad is set by whatever can't be, and stays.
type unform struct {
	b   []byte
	bad bool
}

func (u *unform) take(n int) []byte {
	if n > len(u.b) {
		u.bad, u.b = true, nil
		return make([]byte, n)
	}
	var p []byte
	p, u.b = u.b[:n], u.b[n:]
	return p
}

// head reads the version and the method, which is never 0.
func (u *unform) head() uint8 {
	u.bad = u.byteUpTo(measuresVersion) != measuresVersion || u.bad
	method := u.byteUpTo(math.MaxUint8)
	u.bad = u.bad || method == 0
	return method
}

func (u *unform) byteUpTo(most uint8) uint8 {
	v := u.take(1)[0]
	u.bad = u.bad || v > most
	return v
}

func (u *unform) count() int {
	v := binary.BigEndian.Uint32(u.take(4))
	u.bad = u.bad || v > math.MaxInt32
	return int(v)
}

func (u *unform) numbers(to ...*float64) {
	for _, p := range to {
		*p = float64(math.Float32frombits(binary.BigEndian.Uint32(u.take(4))))
		u.bad = u.bad || math.IsNaN(*p) || math.IsInf(*p, 0)
	}
}
func (u *unform) region(r *cull.Region) { u.numbers(&r.X, &r.Y, &r.W, &r.H) }
func (u *unform) sharpness(s *cull.Sharpness) {
	u.numbers(&s.Energy, &s.Edge, &s.Blur, &s.Noise)
	s.Pixels = u.count()
}

// list reads how many there are of what takes size bytes and the rest of the record.
func (u *unform) list(most, size int) int {
	n := int(u.byteUpTo(uint8(most)))
	if u.bad || len(u.b) != n*size {
		u.bad = true
		return 0
	}
	return n
}

func (u *unform) whole() bool { return !u.bad && len(u.b) == 0 }

func decodeFocus(b []byte) (cull.Focus, bool) {
	u := unform{b: b}
	f := cull.Focus{Method: u.head()}
	f.Small = u.byteUpTo(1) == 1
	f.Width, f.Height = u.count(), u.count()
	if n := u.list(cull.MaxSpots, spotBytes); n > 0 {
		f.Spots = make([]cull.Spot, n)
	}
	for i := range f.Spots {
		s := &f.Spots[i]
		s.By = cull.SpotBy(u.byteUpTo(uint8(cull.ByTile)))
		u.region(&s.Region)
		u.sharpness(&s.Sharpness)
	}
	if !u.whole() {
		return cull.Focus{}, false
	}
	return f, true
}

func decodeLight(b []byte) (cull.Light, bool) {
	u := unform{b: b}
	l := cull.Light{Method: u.head()}
	u.numbers(&l.Highlights, &l.AnyHigh, &l.Shadows)
	if !u.whole() {
		return cull.Light{}, false
	}
	return l, true
}

func decodeFaces(b []byte) (cull.Faces, bool) {
	u := unform{b: b}
	f := cull.Faces{Method: u.head()}
	f.Width, f.Height = u.count(), u.count()
	if n := u.list(cull.MaxFaces, faceBytes); n > 0 {
		f.List = make([]cull.Face, n)
	}
	for i := range f.List {
		c := &f.List[i]
		u.region(&c.Region)
		u.numbers(&c.Score, &c.Presence)
		c.Eyes = cull.Eyes(u.byteUpTo(uint8(cull.EyesFaceUncertain)))
		u.numbers(&c.Opening, &c.EyeApart)
		u.sharpness(&c.Sharpness)
		u.numbers(&c.Luma, &c.Clipped)
	}
	if !u.whole() {
		return cull.Faces{}, false
	}
	return f, true
}

func decodeTried(b []byte) (Tried, bool) {
	u := unform{b: b}
	ok := u.byteUpTo(measuresVersion) == measuresVersion
	t := Tried{Focus: u.byteUpTo(math.MaxUint8), Light: u.byteUpTo(math.MaxUint8), Faces: u.byteUpTo(math.MaxUint8)}
	t.Of = string(u.take(int(u.byteUpTo(math.MaxUint8))))
	t.Why = string(u.take(int(u.byteUpTo(math.MaxUint8))))
	if !ok || !u.whole() {
		return Tried{}, false
	}
	return t, true
}
