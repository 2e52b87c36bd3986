package people

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"unicode/utf8"

	"garner/cull"
	"garner/cull/job"
)

// The file, little-endian, whole numbers without sign, IEEE 754 numbers of 32 bits:
//
//	8 bytes   "garnerP\x01"
//	uint16    version of this form, 1
//	uint16    values of a template, 128
//	uint32    what templates are made with, 1
//	uint32    number of the next person
//	uint32    count of names
//	uint32    count of frames
//	  name:   uint32 person, uint16 length, UTF-8; persons rising
//	  frame:  uint8 length, id; uint8 count of faces; ids rising
//	    face: 4 float32 x, y, width, height in shares of the upright picture;
//	          uint32 person; 128 float32 template unless person is 0
//	32 bytes  SHA-256 of everything before
//
// There is one way to write a state: what can be read is written back the same.
const (
	magic      = job.PeopleBegins
	version    = 1
	headerSize = len(magic) + 2 + 2 + 4*4
	sumSize    = sha256.Size
)

// ErrDamaged is returned for a people.db that is not what was written. It holds
// nothing that cannot be measured again.
var ErrDamaged = errors.New("people.db is damaged")

// ErrLater is returned for a people.db of a later version of garner.
var ErrLater = errors.New("people.db was written by a later version of garner")

func (s *state) encode() []byte {
	le := binary.LittleEndian
	b := append(make([]byte, 0, s.size()), magic...)
	b = le.AppendUint16(b, version)
	b = le.AppendUint16(b, Dims)
	b = le.AppendUint32(b, method)
	b = le.AppendUint32(b, s.next)
	b = le.AppendUint32(b, uint32(len(s.names)))
	b = le.AppendUint32(b, uint32(len(s.frames)))
	for _, p := range slices.Sorted(maps.Keys(s.names)) {
		b = le.AppendUint32(b, p)
		b = le.AppendUint16(b, uint16(len(s.names[p])))
		b = append(b, s.names[p]...)
	}
	for _, id := range s.ids() {
		b = append(append(b, byte(len(id))), id...)
		b = append(b, byte(len(s.frames[id])))
		for _, f := range s.frames[id] {
			for _, v := range []float64{f.at.X, f.at.Y, f.at.W, f.at.H} {
				b = le.AppendUint32(b, math.Float32bits(float32(v)))
			}
			b = le.AppendUint32(b, f.person)
			if f.person != 0 {
				for _, v := range f.template {
					b = le.AppendUint32(b, math.Float32bits(v))
				}
			}
		}
	}
	sum := sha256.Sum256(b)
	return append(b, sum[:]...)
}

// size is the length of the file, so that encoding leaves no shorter buffers with
// templates behind.
func (s *state) size() int {
	n := headerSize + sumSize
	for _, name := range s.names {
		n += 6 + len(name)
	}
	for id, faces := range s.frames {
		n += 2 + len(id)
		for _, f := range faces {
			if n += 20; f.person != 0 {
				n += 4 * Dims
			}
		}
	}
	return n
}

// decode reads a file. It allocates no more than a small multiple of its length.
func decode(b []byte) (*state, error) {
	if len(b) < headerSize+sumSize || string(b[:len(magic)]) != magic {
		return nil, ErrDamaged
	}
	body, sum := b[:len(b)-sumSize], sha256.Sum256(b[:len(b)-sumSize])
	if !bytes.Equal(sum[:], b[len(body):]) {
		return nil, ErrDamaged
	}
	r := reader{b: body[len(magic):]}
	if v := r.u16(); v != version {
		return nil, fmt.Errorf("%w (version %d)", ErrLater, v)
	}
	if dims, made := r.u16(), r.u32(); dims != Dims || made != method {
		return nil, fmt.Errorf("%w (templates of another kind)", ErrLater)
	}
	s := newState()
	s.next = r.u32()
	names, frames := r.u32(), r.u32()
	if s.next == 0 || s.next > maxPerson || frames > maxFrames {
		return nil, ErrDamaged
	}
	var last uint32
	for i := uint32(0); i < names && !r.bad; i++ {
		p := r.u32()
		name := string(r.take(int(r.u16())))
		if p <= last || p >= s.next || !goodName(name) {
			return nil, ErrDamaged
		}
		last, s.names[p] = p, name
	}
	var before cull.ID
	all := 0
	for i := uint32(0); i < frames && !r.bad; i++ {
		id := cull.ID(r.take(int(r.u8())))
		if id <= before || len(id) > maxID {
			return nil, ErrDamaged
		}
		before = id
		s.frames[id] = r.faces(s.next)
		if all += len(s.frames[id]); all > maxAll {
			return nil, ErrDamaged
		}
	}
	if r.bad || len(r.b) != 0 {
		return nil, ErrDamaged
	}
	if names := len(s.names); func() int { s.tidy(); return len(s.names) }() != names {
		return nil, ErrDamaged
	}
	return s, nil
}

// faces reads the faces of a frame.
func (r *reader) faces(next uint32) []face {
	n := int(r.u8())
	if n > maxFaces || n*20 > len(r.b) {
		r.bad = true
		return nil
	}
	faces := make([]face, n)
	for i := range faces {
		f := &faces[i]
		var ok bool
		f.at, ok = region(cull.Region{X: r.f32(), Y: r.f32(), W: r.f32(), H: r.f32()})
		f.person = r.u32()
		if !ok || f.person >= next {
			r.bad = true
			return nil
		}
		if f.person == 0 {
			continue
		}
		t := r.take(4 * Dims)
		for k := range f.template {
			if !r.bad {
				f.template[k] = math.Float32frombits(binary.LittleEndian.Uint32(t[4*k:]))
			}
		}
		if !f.template.sound() {
			r.bad = true
			return nil
		}
	}
	return faces
}

// goodName reports whether a name may stand in the file.
func goodName(name string) bool {
	return name != "" && len(name) <= maxName && utf8.ValidString(name) && cull.Plain(name) == name
}

// reader takes values off a slice. Once something was missing it is bad and gives
// zeros.
type reader struct {
	b   []byte
	bad bool
}

func (r *reader) take(n int) []byte {
	if r.bad || n > len(r.b) {
		r.bad = true
		return nil
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}

func (r *reader) u8() (v uint8) {
	if b := r.take(1); b != nil {
		v = b[0]
	}
	return v
}

func (r *reader) u16() (v uint16) {
	if b := r.take(2); b != nil {
		v = binary.LittleEndian.Uint16(b)
	}
	return v
}

func (r *reader) u32() (v uint32) {
	if b := r.take(4); b != nil {
		v = binary.LittleEndian.Uint32(b)
	}
	return v
}

func (r *reader) f32() float64 { return float64(math.Float32frombits(r.u32())) }
