package jpeg

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"math/rand/v2"
	"testing"
)

// samePart holds a part against the whole picture at the same scale.
func samePart(t testing.TB, got, whole *Image) {
	t.Helper()
	o := got.Origin
	if !got.Valid() || o.X < 0 || o.Y < 0 || o.X+got.Width > whole.Width || o.Y+got.Height > whole.Height {
		t.Fatalf("%dx%d at %v of %dx%d, valid %v", got.Width, got.Height, o, whole.Width, whole.Height, got.Valid())
	}
	want := min(max(whole.Rows-o.Y, 0), got.Height)
	truncated := want < got.Height || whole.Truncated && whole.Rows == whole.Height // scans are missing
	if got.Rows != want || got.Truncated != truncated {
		t.Fatalf("rows %d of %d, truncated %v, want %d", got.Rows, got.Height, got.Truncated, want)
	}
	for y := range got.Height {
		if !bytes.Equal(got.Y[y*got.YStride:][:got.Width], whole.Y[(y+o.Y)*whole.YStride+o.X:][:got.Width]) {
			t.Fatalf("row %d of luma differs", y)
		}
	}
	if got.Grey() {
		return
	}
	if got.SubX != whole.SubX || got.SubY != whole.SubY || o.X%got.SubX != 0 || o.Y%got.SubY != 0 {
		t.Fatalf("subsampling %dx%d, corner %v", got.SubX, got.SubY, o)
	}
	w, h := got.ChromaSize()
	for y := range h {
		from := (y+o.Y/got.SubY)*whole.CStride + o.X/got.SubX
		if !bytes.Equal(got.Cb[y*got.CStride:][:w], whole.Cb[from:][:w]) || !bytes.Equal(got.Cr[y*got.CStride:][:w], whole.Cr[from:][:w]) {
			t.Fatalf("row %d of chroma differs", y)
		}
	}
}

// A part is the same samples as in the whole picture, with an index and
// without, whole and cut off; and no more than was asked for but for what
// makes whole chroma samples.
func TestPartsAreOfTheWhole(t *testing.T) {
	sources := map[string][]byte{"scene": coded(t, scene(203, 131), 90)}
	for _, name := range codings {
		sources[name] = corpus(t, name)
	}
	for _, name := range []string{"video-001.q50.422.jpeg", "video-001.restart2.jpeg", "video-005.gray.jpeg", "video-001.rgb.jpeg"} {
		src := corpus(t, name)
		sources[name+" cut"] = src[:len(src)*2/3]
	}
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, seed))
	for name, src := range sources {
		t.Run(name, func(t *testing.T) {
			full, err := Config(bytes.NewReader(src), 0, int64(len(src)))
			if err != nil {
				t.Fatal(err)
			}
			for _, scale := range []int{1, 2, 4, 8} {
				whole, err := Decode(src, Options{Scale: scale})
				if err != nil {
					t.Fatal(err)
				}
				index := &Index{}
				if got, err := Decode(src, Options{Scale: scale, Index: index}); err != nil {
					t.Fatal(err)
				} else {
					samePart(t, got, whole)
				}
				d := NewDecoder()
				into := &Image{}
				for range 12 {
					x, y := rnd.IntN(full.Width), rnd.IntN(full.Height)
					part := image.Rect(x, y, x+1+rnd.IntN(full.Width-x), y+1+rnd.IntN(full.Height-y))
					for _, o := range []Options{{}, {Index: index}, {Luma: true, Index: index, Workers: 3}, {Into: into, Index: index}, {Index: &Index{}, Luma: true}, {Workers: 2}, {Workers: 5, Index: &Index{}}} {
						o.Scale, o.Crop = scale, part
						got, err := d.Decode(src, o)
						if err != nil {
							t.Fatalf("seed %d: %v at 1/%d: %v", seed, part, scale, err)
						}
						if got.Grey() != (o.Luma || whole.Grey()) {
							t.Fatalf("grey %v", got.Grey())
						}
						samePart(t, got, whole)
						covers := image.Rect(part.Min.X/scale, part.Min.Y/scale, min(ceilDiv(part.Max.X, scale), whole.Width), min(ceilDiv(part.Max.Y, scale), whole.Height))
						is := image.Rect(0, 0, got.Width, got.Height).Add(got.Origin)
						if !covers.In(is) || is.Max != covers.Max || covers.Min.X-is.Min.X >= whole.SubX || covers.Min.Y-is.Min.Y >= whole.SubY {
							t.Fatalf("%v at 1/%d gave %v", part, scale, is)
						}
					}
				}
			}
		})
	}
	var u UnsupportedError
	if m, err := Decode(sources["scene"], Options{Crop: image.Rect(300, 0, 400, 50)}); !errors.As(err, &u) || m != nil {
		t.Errorf("a part beside the picture: %v, %v", m != nil, err)
	}
}

func TestIndexThroughBytes(t *testing.T) {
	src := coded(t, scene(203, 131), 90)
	x, err := MakeIndex(src, nil)
	if err != nil || !x.Full() || len(x.rows) != 9 {
		t.Fatalf("%v, %+v", err, x)
	}
	b, err := x.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	y := &Index{}
	if err := y.UnmarshalBinary(b); err != nil || fmt.Sprint(*x) != fmt.Sprint(*y) {
		t.Fatalf("%v\n%v\n%v", err, *x, *y)
	}
	for n := range b {
		if err := new(Index).UnmarshalBinary(b[:n]); err == nil {
			t.Fatalf("%d of %d bytes are an index", n, len(b))
		}
	}
	if _, err := new(Index).MarshalBinary(); err == nil {
		t.Error("an empty index has bytes")
	}
	// One of another picture is not used, nor changed.
	other := coded(t, scene(203, 131), 91)
	want, err := Decode(other, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Decode(other, Options{Index: y})
	if err != nil {
		t.Fatal(err)
	}
	samePart(t, got, want)
	if fmt.Sprint(*x) != fmt.Sprint(*y) {
		t.Error("an index was changed by another picture")
	}
}
