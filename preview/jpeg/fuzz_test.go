package jpeg

import (
	"bytes"
	"fmt"
	"image"
	"testing"
)

// FuzzDecode holds a decode of any bytes to what Decode promises: an Image or
// an error, planes as large as they say, the size of the headers, and the same
// answer twice.
func FuzzDecode(f *testing.F) {
	for _, name := range codings {
		src := corpus(f, name)
		f.Add(src, uint8(0))
		f.Add(src[:len(src)/2], uint8(2))
	}
	f.Add(coded(f, scene(24, 40), 70), uint8(3))
	f.Fuzz(func(t *testing.T, src []byte, scale uint8) {
		n := 1 << (scale % 4)
		info, cerr := Config(bytes.NewReader(src), 0, int64(len(src)))
		if cerr == nil && info.Width*info.Height > 1e5 {
			t.Skip("too large to be quick")
		}
		m, err := Decode(src, Options{Scale: n, MaxPixels: 1e6})
		if (m == nil) == (err == nil) {
			t.Fatalf("image %v, error %v", m != nil, err)
		}
		if err != nil {
			return
		}
		if cerr != nil {
			t.Fatalf("decoded, but Config says %v", cerr)
		}
		if !m.Valid() || m.Width != ceilDiv(info.Width, n) || m.Height != ceilDiv(info.Height, n) {
			t.Fatalf("%dx%d from %+v at 1/%d", m.Width, m.Height, info, n)
		}
		if m.Rows < 1 || m.Rows > m.Height || m.Rows < m.Height && !m.Truncated {
			t.Fatalf("rows %d of %d, truncated %v", m.Rows, m.Height, m.Truncated)
		}
		again, err := Decode(src, Options{Scale: n, MaxPixels: 1e6})
		if err != nil || again.Rows != m.Rows || !bytes.Equal(again.Y, m.Y) || !bytes.Equal(again.Cb, m.Cb) {
			t.Fatalf("a second decode differs: %v", err)
		}
	})
}

// FuzzWays holds the ways to the same samples against each other: parts against
// the whole, with an index and without, one worker and four, and each scale
// against the mean of the full decode.
func FuzzWays(f *testing.F) {
	for i, name := range codings {
		src := corpus(f, name)
		f.Add(src, uint8(i), uint16(10), uint16(20), uint16(60), uint16(50))
		f.Add(src[:len(src)/2], uint8(i+5), uint16(0), uint16(90), uint16(160), uint16(8))
	}
	for i, s := range [][2]int{{24, 40}, {1, 1}, {65, 17}} {
		f.Add(coded(f, scene(s[0], s[1]), 70), uint8(i+9), uint16(7), uint16(0), uint16(9), uint16(30))
	}
	d := NewDecoder()
	f.Fuzz(func(t *testing.T, src []byte, choice uint8, x, y, w, h uint16) {
		var l layout
		hd, err := headerOf(src)
		if err != nil || hd.Width*hd.Height > 2e4 || !l.sequential(hd) {
			t.Skip("not decoded here, or too large to be quick")
		}
		sameBothWays(t, d, src, choice, partOf(hd.Info, int(x), int(y), int(w), int(h)))
	})
}

// partOf is a part of a picture that begins in it.
func partOf(info Info, x, y, w, h int) image.Rectangle {
	return image.Rect(0, 0, 1+w, 1+h).Add(image.Pt(x%info.Width, y%info.Height))
}

const ways = 24 // choices of sameBothWays

// sameBothWays decodes in the plain way and in another.
func sameBothWays(t *testing.T, d *Decoder, src []byte, choice uint8, part image.Rectangle) {
	t.Helper()
	n := 1 << (choice & 3)
	whole, err := d.Decode(src, Options{Scale: n})
	if err != nil {
		return
	}
	index := &Index{}
	if choice/4%2 == 1 {
		if _, err := d.Decode(src, Options{Scale: n, Index: index}); err != nil {
			t.Fatal(err)
		}
	}
	o := []Options{{Workers: 4}, {Index: index}, {Index: index, Workers: 4}, {Crop: part}, {Crop: part, Index: index, Luma: true}, {Crop: part, Workers: 4}}[choice/4%6]
	o.Scale = n
	got, err := d.Decode(src, o)
	if err != nil {
		t.Fatalf("%+v: %v", o, err)
	}
	samePart(t, got, whole)
	if n == 2 || n == 4 {
		full, err := d.Decode(src, Options{})
		if err != nil {
			t.Fatal(err)
		}
		nearMean(t, whole, full, n)
	}
}

// nearMean holds luma at a scale against the mean of the full decode.
func nearMean(t *testing.T, got, full *Image, n int) {
	t.Helper()
	box := &Image{}
	reduce(box, full, n)
	for y := range got.Rows {
		for x := range got.Width {
			a, b := got.Y[y*got.YStride+x], box.Y[y*box.YStride+x]
			if y*n+n <= full.Rows && far(a, b, 3) {
				t.Fatalf("1/%d: luma at %d,%d is %d, the mean is %d", n, x, y, a, b)
			}
		}
	}
}

// FuzzIndex holds what is read as an index to what it is used for: it may be
// wrong, but leads nowhere that is not there.
func FuzzIndex(f *testing.F) {
	src := coded(f, scene(203, 131), 90)
	x, err := MakeIndex(src, nil)
	if err != nil {
		f.Fatal(err)
	}
	b, err := x.MarshalBinary()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Add(b[:len(b)-3])
	f.Fuzz(func(t *testing.T, b []byte) {
		x := &Index{}
		if err := x.UnmarshalBinary(b); err != nil {
			if x.Full() {
				t.Fatal("an error, and an index")
			}
			return
		}
		again, err := x.MarshalBinary()
		if err != nil || x.Bytes() <= 0 {
			t.Fatal(err)
		}
		y := &Index{}
		if err := y.UnmarshalBinary(again); err != nil || fmt.Sprint(x) != fmt.Sprint(y) {
			t.Fatalf("%v: %v and %v", err, x, y)
		}
		// As if it belonged to this picture.
		h, err := headerOf(src)
		if err != nil {
			t.Fatal(err)
		}
		var l layout
		l.sequential(h)
		x.length, x.down, x.digest = int64(len(src)), l.down, digest(&l, src)
		x.rows = x.rows[:min(len(x.rows), l.down)]
		one, err1 := Decode(src, Options{Index: x})
		four, err4 := Decode(src, Options{Index: x, Workers: 4})
		if (one == nil) == (err1 == nil) || fmt.Sprint(err1) != fmt.Sprint(err4) {
			t.Fatalf("%v; of four workers %v", err1, err4)
		}
		if err1 == nil {
			samePart(t, four, one)
		}
	})
}
