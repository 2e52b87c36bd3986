package group

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testneed"
)

// edit is what may be done to a picture without its becoming another one.
type edit struct {
	name string
	of   func(m *jpeg.Image) *jpeg.Image
	most int // bits that a DCT hash of the whole may change by; 64 = it is not made for that
}

var edits = []edit{
	{"brighter by 1/2 EV", func(m *jpeg.Image) *jpeg.Image { return toned(m, 1.25) }, 8},
	{"darker by 1/2 EV", func(m *jpeg.Image) *jpeg.Image { return toned(m, .8) }, 8},
	{"black-and-white", grey, 2},
	{"lettered", lettered, 8},
	{"JPEG quality 30", func(m *jpeg.Image) *jpeg.Image { return recoded(m, 30) }, 6},
	{"cropped to 80 %", func(m *jpeg.Image) *jpeg.Image { return window(m, .1, .1, .8) }, 64},
	{"mirrored", func(m *jpeg.Image) *jpeg.Image { return pix.Orient(m, 2) }, 64},
}

func toned(m *jpeg.Image, factor float64) *jpeg.Image {
	out := *m
	out.Y = slices.Clone(m.Y)
	for i, v := range out.Y {
		out.Y[i] = uint8(min(float64(v)*factor, 255))
	}
	return &out
}

func grey(m *jpeg.Image) *jpeg.Image {
	out := *m
	out.Cb, out.Cr, out.CStride, out.SubX, out.SubY = nil, nil, 0, 1, 1
	return &out
}

// lettered writes two lines across the picture, as a proof or a date stamp has.
func lettered(m *jpeg.Image) *jpeg.Image {
	out := *m
	out.Y = slices.Clone(m.Y)
	canvas := &image.Gray{Pix: out.Y, Stride: m.YStride, Rect: image.Rect(0, 0, m.Width, m.Height)}
	d := font.Drawer{Dst: canvas, Src: image.NewUniform(color.White), Face: basicfont.Face7x13}
	for _, y := range []int{m.Height - 20, m.Height / 2} {
		d.Dot = fixed.P(m.Width/10, y)
		d.DrawString("Studio Example, 13 June 2026, proof only, not for print")
	}
	return &out
}

func recoded(m *jpeg.Image, quality int) *jpeg.Image {
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m.Std(), &stdjpeg.Options{Quality: quality}); err != nil {
		panic(err)
	}
	out, err := jpeg.Decode(b.Bytes(), jpeg.Options{})
	if err != nil {
		panic(err)
	}
	return out
}

// editReel has the edits of each photograph that a hash should stand follow each
// other quickly, and the next photograph at once.
func editReel(t *testing.T) reel {
	r := reel{name: "edits of one photograph, the next at once", least: .98, beats: "time"}
	for _, name := range photographs {
		m := picture(t, filepath.Join(testneed.Samples(t), "photos", name+".jpg"), 4)
		r.add(r.last()+3*tenth, look(t, m), name)
		for _, e := range edits {
			if e.most < 64 {
				r.add(r.last()+3*tenth, look(t, e.of(m)), name)
			}
		}
	}
	return r
}

// TestTruthEdits: what leaves a picture the same one changes few bits of its hash;
// cropping and mirroring are beyond a hash of the whole picture, as Zauner found
// (Implementation and benchmarking of perceptual image hash functions, 2010).
func TestTruthEdits(t *testing.T) {
	var out strings.Builder
	w := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "edit\tbits, of three photographs\tunlike\tat most")
	for _, e := range edits {
		var d, u []string
		for _, name := range photographs {
			m := picture(t, filepath.Join(testneed.Samples(t), "photos", name+".jpg"), 4)
			var r reel
			r.add(0, look(t, m), name)
			r.add(time.Second, look(t, e.of(m)), name)
			bits := Distance(r.frames[0].Fingerprint, r.frames[1].Fingerprint)
			d, u = append(d, fmt.Sprint(bits)), append(u, fmt.Sprint(Unlike(r.frames[0], r.frames[1])))
			if bits > e.most {
				t.Errorf("%s, %s: %d bits, want at most %d", name, e.name, bits, e.most)
			}
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%d\n", e.name, strings.Join(d, " "), strings.Join(u, " "), e.most)
	}
	_ = w.Flush()
	t.Log("\n" + out.String())
}

// TestTruthOrientations: a picture stored in any of the eight orientations of Exif
// is, once upright, the same picture.
func TestTruthOrientations(t *testing.T) {
	against := func(what string, first seen, m *jpeg.Image, most int) {
		t.Helper()
		if d := Distance(first.fingerprint, look(t, m).fingerprint); d > most {
			t.Errorf("%s: %d bits from upright, want at most %d", what, d, most)
		}
	}
	// A letter of 50x70 samples in two tones, each file coded by itself: hardly a
	// picture, and most of its coefficients are near their median.
	dir := filepath.Join(testneed.Module(t, "github.com/disintegration/imaging"), "testdata")
	first := look(t, picture(t, filepath.Join(dir, "orientation_1.jpg"), 1))
	for k := 1; k <= 8; k++ {
		against(fmt.Sprintf("orientation_%d.jpg", k), first, pix.Orient(picture(t, filepath.Join(dir, fmt.Sprintf("orientation_%d.jpg", k)), 1), k), 8)
	}
	for _, name := range photographs {
		m := picture(t, filepath.Join(testneed.Samples(t), "photos", name+".jpg"), 4)
		first := look(t, m)
		for k := 1; k <= 8; k++ {
			back := k
			if k == 6 || k == 8 { // the quarter turns undo each other
				back = 14 - k
			}
			against(fmt.Sprintf("%s stored in orientation %d", name, k), first, pix.Orient(recoded(pix.Orient(m, back), 85), k), 4)
		}
	}
}
