package like

import (
	"bytes"
	"context"
	"errors"
	"hash/crc32"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// looksOf are rows of chance, of several shapes; every fiftieth has no look.
func looksOf(n int) []Row {
	r := rand.New(rand.NewPCG(3, uint64(n)))
	rows := make([]Row, n)
	for i := range rows {
		rows[i] = Row{cull.Look{Method: pix.LookMethod}, []float64{1.5, 1.5, 2. / 3, 4. / 3, 16. / 9}[r.IntN(5)]}
		for k := range rows[i].Look.Parts {
			rows[i].Look.Parts[k] = r.Uint64()
		}
		if i%50 == 49 {
			rows[i].Look = cull.Look{}
		}
	}
	return rows
}

func built(t testing.TB, rows []Row) []byte {
	t.Helper()
	var b bytes.Buffer
	if n, err := Build(&b, slices.Values(rows)); err != nil || n != len(rows) {
		t.Fatal(n, err)
	}
	return b.Bytes()
}

// opened reads all that a file holds.
func opened(src []byte) ([]Row, error) {
	c, err := Open(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		return nil, err
	}
	rows := make([]Row, 0, c.Rows())
	b, room := &block{}, buffer()
	for at := range c.blocks() {
		if err := c.read(at, b, room); err != nil {
			return nil, err
		}
		for i, place := range b.order[:b.rows] {
			rows = append(rows, rowOf(b.look(i, int(place)), b.shapes[place].aspect()))
			if b.shapes[place] == noLook {
				rows[len(rows)-1] = Row{}
			}
		}
	}
	return rows, nil
}

func TestColumnsHoldWhatWasBuilt(t *testing.T) {
	for _, n := range []int{0, 1, 49, 50, blockRows - 1, blockRows, blockRows + 1, 2*blockRows + 17} {
		want := looksOf(n)
		src := built(t, want)
		got, err := opened(src)
		if err != nil || len(got) != n {
			t.Fatalf("%d rows: %d, %v", n, len(got), err)
		}
		for i := range got {
			if want[i].Look.Known() != got[i].Look.Known() || want[i].Look.Known() && (got[i].Look.Parts != want[i].Look.Parts || math.Abs(math.Log(got[i].Aspect/want[i].Aspect)) > 0.0102) {
				t.Fatalf("row %d of %d is %v, want %v", i, n, got[i], want[i])
			}
		}
		c, err := Open(bytes.NewReader(src), int64(len(src)))
		if err != nil || c.Rows() != n || c.Known() != n-n/50 {
			t.Errorf("%d rows, of which %d are known, %v", c.Rows(), c.Known(), err)
		}
	}
}

// Whatever byte is changed and wherever it is cut off, nothing is read that was not built.
func TestColumnsDamaged(t *testing.T) {
	rows := looksOf(60)
	src := built(t, rows)
	want, err := opened(src)
	if err != nil {
		t.Fatal(err)
	}
	var format FormatError
	for i := range src {
		bad := bytes.Clone(src)
		bad[i] ^= 1 << (i % 8)
		if _, err := opened(bad); !errors.As(err, &format) {
			t.Fatalf("byte %d changed: %v", i, err)
		}
	}
	for n := range src {
		if _, err := opened(src[:n]); !errors.As(err, &format) {
			t.Fatalf("cut off at %d: %v", n, err)
		}
	}
	if again, err := opened(src); err != nil || !slices.Equal(again, want) {
		t.Fatal("reading changed it")
	}
	// A file that says it is longer than it is does not make anything large.
	if _, err := Open(bytes.NewReader(src), math.MaxInt64); !errors.As(err, &format) {
		t.Errorf("of any length: %v", err)
	}
	if _, err := Open(failing{}, int64(len(src))); err == nil || errors.As(err, &format) {
		t.Errorf("a disk that fails: %v", err)
	}
}

type failing struct{}

func (failing) ReadAt([]byte, int64) (int, error) { return 0, errors.New("input/output error") }

func TestBuildOntoAFullDisk(t *testing.T) {
	for _, room := range []int{0, headerBytes, headerBytes + 3} {
		if _, err := Build(&full{room}, slices.Values(looksOf(9))); !errors.Is(err, io.ErrShortWrite) {
			t.Errorf("room for %d bytes: %v", room, err)
		}
	}
}

type full struct{ room int }

func (f *full) Write(b []byte) (int, error) {
	if f.room -= len(b); f.room < 0 {
		return 0, io.ErrShortWrite
	}
	return len(b), nil
}

func TestSplitAndJoin(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 4))
	for range 1000 {
		h := r.Uint64()
		low, high := split(h)
		if low >= 1<<lowBits || high >= 1<<(64-lowBits) || join(low, high) != h {
			t.Fatalf("%x: %x and %x, then %x", h, low, high, join(low, high))
		}
	}
	for i := range 64 { // frequency v down and u across is bit 63-8v-u
		low, _ := split(1 << (63 - i))
		if (low != 0) != (i/8 < 4 && i%8 < 4) {
			t.Errorf("frequency %d, %d is with the wrong ones", i%8, i/8)
		}
	}
	used := map[[2]uint8]bool{}
	for _, p := range place {
		used[[2]uint8{p.word, p.shift}] = true
	}
	if len(used) != windows {
		t.Error("two windows share a place")
	}
}

func TestFindCalledOff(t *testing.T) {
	src := built(t, looksOf(3*blockRows))
	c, err := Open(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		t.Fatal(err)
	}
	p, err := NewPicture(noise(300, 200))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := c.Find(ctx, p, 5); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	// One damaged block is an error, and not an answer out of the others.
	src[len(src)/2] ^= 1
	if _, err := c.Find(t.Context(), p, 5); err == nil {
		t.Error("a damaged block is passed over")
	}
}

// The answer does not depend on how many cores there are or which is the fastest.
func TestFindGivesTheSame(t *testing.T) {
	m := noise(300, 200)
	l, err := pix.Look(m)
	if err != nil {
		t.Fatal(err)
	}
	rows := looksOf(2*blockRows + 5)
	rows[blockRows+3] = rowOf(l, 1.5)
	src := built(t, rows)
	c, err := Open(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		t.Fatal(err)
	}
	var first []Match
	for range 3 {
		p, err := NewPicture(m)
		if err != nil {
			t.Fatal(err)
		}
		found, err := c.Find(t.Context(), p, 20)
		if err != nil || len(found) == 0 || found[0].Row != blockRows+3 || found[0].Bits > 2 {
			t.Fatalf("%v, %v", found, err)
		}
		if first == nil {
			first = found
		} else if !slices.Equal(found, first) {
			t.Errorf("%v, then %v", first, found)
		}
	}
	if p, _ := NewPicture(m); p != nil {
		if found, err := c.Find(t.Context(), p, 0); err != nil || len(found) != 0 {
			t.Errorf("none was asked for: %v, %v", found, err)
		}
	}
}

func TestNoPicture(t *testing.T) {
	cut := noise(40, 30)
	cut.Truncated, cut.Rows = true, 3
	for _, m := range []*jpeg.Image{nil, {}, cut} {
		if _, err := NewPicture(m); err == nil {
			t.Error("nothing is looked for")
		}
	}
	c := columns(t, slices.Values(looksOf(30)))
	for _, size := range [][2]int{{1, 1}, {1, 4000}, {4000, 1}, {17, 17}} {
		p, err := NewPicture(noise(size[0], size[1]))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.Find(t.Context(), p, 3); err != nil {
			t.Errorf("%v: %v", size, err)
		}
	}
}

func noise(w, h int) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(w, h, 1, 1, true)
	r := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	for y := range h {
		for x := range w {
			m.Y[y*w+x] = byte(128 + 60*math.Sin(float64(x)/9)*math.Cos(float64(y*x)/700) + 20*r.Float64())
		}
	}
	return m
}

func FuzzOpen(f *testing.F) {
	for _, n := range []int{0, 1, 60} {
		f.Add(built(f, looksOf(n)), false)
	}
	f.Add([]byte(magic), true)
	f.Fuzz(func(t *testing.T, src []byte, mend bool) {
		if len(src) > 1<<20 {
			return
		}
		// Behind right checksums anything may lie.
		if n := len(src) - footerBytes; mend && n >= headerBytes {
			foot := src[n:]
			sum := crc32.Update(crc32.Checksum(src[:headerBytes], castagnoli), castagnoli, foot[:256*4])
			foot[1024], foot[1025], foot[1026], foot[1027] = byte(sum), byte(sum>>8), byte(sum>>16), byte(sum>>24)
			if n >= headerBytes+sumBytes && n-headerBytes <= blockRows*rowBytes {
				sum := crc32.Checksum(src[headerBytes:n-sumBytes], castagnoli)
				src[n-4], src[n-3], src[n-2], src[n-1] = byte(sum), byte(sum>>8), byte(sum>>16), byte(sum>>24)
			}
		}
		rows, err := opened(src)
		if err != nil {
			if rows != nil {
				t.Fatal("rows beside an error")
			}
			return
		}
		if len(rows)*rowBytes > len(src) {
			t.Fatalf("%d rows of %d bytes", len(rows), len(src))
		}
		again, err := opened(built(t, rows))
		if err != nil || len(again) != len(rows) {
			t.Fatalf("%d rows become %d: %v", len(rows), len(again), err)
		}
	})
}
