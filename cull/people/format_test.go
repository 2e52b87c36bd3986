package people

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"garner/cull"
)

// randomState is a state as Put, Rename and Forget may leave one.
func randomState(r *rand.Rand) *state {
	s := newState()
	for n := range r.IntN(8) {
		f := Found{Frame: id(n * 3)}
		for i := range r.IntN(4) {
			f.Faces = append(f.Faces, Face{at(i), somebody(r)})
		}
		s.put([]Found{f})
		for i := range s.frames[f.Frame] {
			switch p := s.frames[f.Frame][i].person; r.IntN(4) {
			case 0:
				s.frames[f.Frame][i].person, s.frames[f.Frame][i].template = 0, Template{}
			case 1:
				s.names[p] = strings.Repeat("Ä", 1+r.IntN(5))
			}
		}
		s.tidy()
	}
	return s
}

// The example of the page that describes the form, byte by byte.
func TestForm(t *testing.T) {
	s := newState()
	var tpl Template
	for i := range tpl {
		tpl[i] = float32(i) / 8
	}
	s.next = 3
	s.names[2] = "Eva"
	s.frames["0123456789abcdef"] = []face{{at: cull.Region{X: 0.25, Y: 0.5, W: 0.125, H: 0.25}, person: 2, template: tpl}, {at: cull.Region{X: 0, Y: 0, W: 1, H: 1}}}
	le := binary.LittleEndian
	want := []byte("garnerP\x01")
	want = append(want, 1, 0, 128, 0, 1, 0, 0, 0, 3, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0)
	want = append(want, 2, 0, 0, 0, 3, 0, 'E', 'v', 'a')
	want = append(want, 16)
	want = append(want, "0123456789abcdef\x02"...)
	for _, bits := range []uint32{0x3e800000, 0x3f000000, 0x3e000000, 0x3e800000, 2} { // IEEE 754: 1/4, 1/2, 1/8, 1/4
		want = le.AppendUint32(want, bits)
	}
	for i := range 128 {
		want = le.AppendUint32(want, math.Float32bits(float32(i)/8))
	}
	want = append(want, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0x80, 0x3f, 0, 0, 0x80, 0x3f, 0, 0, 0, 0)
	sum := sha256.Sum256(want)
	want = append(want, sum[:]...)
	got := s.encode()
	if !bytes.Equal(got, want) || len(got) != s.size() || cap(got) != len(got) {
		t.Errorf("%d bytes of %d, want %d\n%x\n%x", len(got), cap(got), len(want), got[:60], want[:60])
	}
}

func TestDecode(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	for range 200 {
		s := randomState(r)
		b := s.encode()
		back, err := decode(b)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if !bytes.Equal(back.encode(), b) {
			t.Fatalf("seed %d: written differently the second time", seed)
		}
		if len(b) == 0 {
			continue
		}
		// Any bit, and any end.
		bit := r.IntN(8 * len(b))
		b[bit/8] ^= 1 << (bit % 8)
		if _, err := decode(b); err == nil {
			t.Fatalf("seed %d: bit %d is wrong and nobody sees it", seed, bit)
		}
		b[bit/8] ^= 1 << (bit % 8)
		if _, err := decode(b[:r.IntN(len(b))]); !errors.Is(err, ErrDamaged) {
			t.Fatalf("seed %d: cut off: %v", seed, err)
		}
	}
}

// resum makes the checksum fit, as somebody who means harm would.
func resum(b []byte) []byte {
	if len(b) < sumSize {
		return b
	}
	sum := sha256.Sum256(b[:len(b)-sumSize])
	return append(bytes.Clone(b[:len(b)-sumSize]), sum[:]...)
}

func TestDecodeRefuses(t *testing.T) {
	s := newState()
	s.put([]Found{{Frame: id(1), Faces: []Face{{at(0), somebody(rand.New(rand.NewPCG(1, 1)))}}}})
	good := s.encode()
	edit := func(f func(b []byte)) []byte {
		b := bytes.Clone(good)
		f(b)
		return resum(b)
	}
	u32 := binary.LittleEndian.PutUint32
	face := headerSize + 1 + 16 + 1
	for name, b := range map[string][]byte{
		"a later version":        edit(func(b []byte) { b[8] = 2 }),
		"another length":         edit(func(b []byte) { b[10] = 64 }),
		"another kind":           edit(func(b []byte) { b[12] = 9 }),
		"no next person":         edit(func(b []byte) { u32(b[16:], 0) }),
		"the last person's last": edit(func(b []byte) { u32(b[16:], 1) }),
		"names without end":      edit(func(b []byte) { u32(b[20:], math.MaxUint32) }),
		"frames without end":     edit(func(b []byte) { u32(b[24:], math.MaxUint32) }),
		"more frames":            edit(func(b []byte) { u32(b[24:], 2) }),
		"fewer frames":           edit(func(b []byte) { u32(b[24:], 0) }),
		"an id without a letter": edit(func(b []byte) { b[headerSize] = 0 }),
		"255 faces":              edit(func(b []byte) { b[face-1] = 255 }),
		"a place that is none":   edit(func(b []byte) { u32(b[face:], 0x7fc00000) }),
		"no width":               edit(func(b []byte) { u32(b[face+8:], 0) }),
		"no number":              edit(func(b []byte) { u32(b[face+20:], 0x7fc00000) }),
		"infinity":               edit(func(b []byte) { u32(b[face+20:], 0x7f800000) }),
		"more behind":            resum(append(bytes.Clone(good), good[:40]...)),
		"another magic":          edit(func(b []byte) { b[0] = 'G' }),
	} {
		if _, err := decode(b); !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrLater) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := decode(edit(func(b []byte) { b[8] = 2 })); !errors.Is(err, ErrLater) {
		t.Errorf("a later version: %v", err)
	}
}

// Nothing makes the reader panic or take more than a few times the input's length;
// what it takes is written back byte by byte.
func FuzzDecode(f *testing.F) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 6 {
		b := randomState(r).encode()
		f.Add(b[:len(b)-sumSize])
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		b := resum(append(bytes.Clone(body), make([]byte, sumSize)...))
		s, err := decode(b)
		if err != nil {
			if s != nil {
				t.Error("a state beside an error")
			}
			return
		}
		if !bytes.Equal(s.encode(), b) {
			t.Error("written differently the second time")
		}
		s.list()
	})
}

// Places of forgotten faces are short in the file and long in memory: there may be no
// more of them than of others.
func TestFacesAreBounded(t *testing.T) {
	s, faces := newState(), make([]face, maxFaces)
	for k := range faces {
		faces[k].at = at(k % 8)
	}
	for i := range maxAll/maxFaces + 1 {
		s.frames[id(i)] = faces
	}
	b := s.encode()
	if _, err := decode(b); !errors.Is(err, ErrDamaged) {
		t.Errorf("%d faces in %d bytes: %v", s.faces(), len(b), err)
	}
}
