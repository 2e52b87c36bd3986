package measure

import (
	"bytes"
	"context"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"testing"

	"garner/preview"
	"garner/preview/face"
	"garner/preview/jpeg"
	"garner/preview/raw"
)

// stored is an upright picture as a body stores it with an Orientation (TIFF 6.0
// section 8: which sides of the scene the 0th row and the 0th column show).
func stored(m *image.RGBA, orientation int) *image.RGBA {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	from := map[int]func(x, y int) (int, int){
		1: func(x, y int) (int, int) { return x, y },                 // top, left
		2: func(x, y int) (int, int) { return w - 1 - x, y },         // top, right
		3: func(x, y int) (int, int) { return w - 1 - x, h - 1 - y }, // bottom, right
		4: func(x, y int) (int, int) { return x, h - 1 - y },         // bottom, left
		5: func(x, y int) (int, int) { return y, x },                 // left, top
		6: func(x, y int) (int, int) { return w - 1 - y, x },         // right, top
		7: func(x, y int) (int, int) { return w - 1 - y, h - 1 - x }, // right, bottom
		8: func(x, y int) (int, int) { return y, h - 1 - x },         // left, bottom
	}[orientation]
	sw, sh := w, h
	if orientation >= 5 {
		sw, sh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, sw, sh))
	for y := range sh {
		for x := range sw {
			out.SetRGBA(x, y, m.RGBAAt(from(x, y)))
		}
	}
	return out
}

func flat(w, h int, ground color.RGBA) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	fill(m, m.Rect, ground)
	return m
}

func fill(m *image.RGBA, r image.Rectangle, c color.RGBA) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			m.SetRGBA(x, y, c)
		}
	}
}

// views opens a stored picture as a frame's only JPEG, of which share is there.
func views(t *testing.T, m *image.RGBA, orientation int, share float64) (*preview.Detail, *jpeg.Image) {
	t.Helper()
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	b.Truncate(int(float64(b.Len()) * share))
	list := []raw.Preview{{Role: "full", Length: int64(b.Len()), Width: m.Rect.Dx(), Height: m.Rect.Dy(), Whole: true}}
	v := preview.View{Orientation: orientation, LongEdge: SearchEdge}
	pic, err := preview.Render(t.Context(), bytes.NewReader(b.Bytes()), list, v)
	if err != nil {
		t.Fatal(err)
	}
	d, err := preview.OpenDetail(t.Context(), bytes.NewReader(b.Bytes()), list, v, nil)
	if err != nil {
		t.Fatal(err)
	}
	return d, pic.Image
}

// redness finds the red part of a picture, and says how much of what it is told is a
// face is red.
type redness struct{ seen []float64 }

func red(m *jpeg.Image, x, y int) bool { return m.Cr[y/m.SubY*m.CStride+x/m.SubX] > 165 }

func (r *redness) Find(_ context.Context, m *jpeg.Image) ([]face.Found, error) {
	var box image.Rectangle
	for y := range m.Height {
		for x := range m.Width {
			if red(m, x, y) {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return []face.Found{{X: float64(box.Min.X), Y: float64(box.Min.Y), W: float64(box.Dx()), H: float64(box.Dy()), Score: 0.9}}, nil
}

func (r *redness) Eyes(_ context.Context, m *jpeg.Image, at face.Found) (face.Eyes, error) {
	n, all := 0, 0
	for y := int(at.Y); y < int(at.Y+at.H); y++ {
		for x := int(at.X); x < int(at.X+at.W); x++ {
			if all++; image.Pt(x, y).In(image.Rect(0, 0, m.Width, m.Height)) && red(m, x, y) {
				n++
			}
		}
	}
	r.seen = append(r.seen, float64(n)/float64(all))
	return face.Eyes{Presence: 1}, nil
}

func (r *redness) Template(context.Context, *jpeg.Image, face.Eyes) (face.Template, error) {
	return face.Template{}, nil
}

// Whichever way a body stores a picture, a face is where it is upright, is looked at
// there, and has the light that it has there.
func TestFacesOfTurnedPictures(t *testing.T) {
	want := image.Rect(1200, 160, 1360, 360)
	upright := flat(1600, 1104, color.RGBA{110, 120, 115, 255})
	fill(upright, want, color.RGBA{220, 60, 60, 255})
	for o := 1; o <= 8; o++ {
		d, m := views(t, stored(upright, o), o, 1)
		r := &redness{}
		got, err := FacesOf(t.Context(), r, d, m, FaceOptions{})
		if err != nil || len(got) != 1 {
			t.Fatalf("orientation %d: %v, %d faces", o, err, len(got))
		}
		box := got[0].Box()
		if near := want.Inset(-5); !box.In(near) || !want.Inset(5).In(box) {
			t.Errorf("orientation %d: the face is at %v, want %v", o, box, want)
		}
		if d.Width != 1600 || d.Height != 1104 || r.seen[0] < 0.95 {
			t.Errorf("orientation %d: of %dx%d, %.2f of what was looked at is face", o, d.Width, d.Height, r.seen[0])
		}
		if got[0].Focus.Pixels < 150 || got[0].Luma < 0.40 || got[0].Luma > 0.46 { // 0.299*220 + 0.701*60 = 107.8
			t.Errorf("orientation %d: %+v, luma %.3f", o, got[0].Focus, got[0].Luma)
		}
	}
}

// Rows that are missing count as nothing, at whichever edge they are upright: neither in
// the frame nor in a face that is partly there.
func TestLightOfTruncatedPictures(t *testing.T) {
	for o := 1; o <= 8; o++ {
		white := flat(1600, 1104, color.RGBA{255, 255, 255, 255})
		d, m := views(t, stored(white, o), o, 0.6)
		if !d.Truncated || !m.Truncated {
			t.Fatalf("orientation %d: nothing is missing", o)
		}
		got, err := LightOf(t.Context(), d, m)
		if err != nil || got.All < 0.999 || got.Shadow > 0 {
			t.Errorf("orientation %d: %+v of what is there is clipped, %v", o, got, err)
		}
		part := d.There()
		if share := float64(part.Dx()*part.Dy()) / (1600 * 1104); share < 0.5 || share > 0.7 || !part.In(image.Rect(0, 0, 1600, 1104)) {
			t.Errorf("orientation %d: %v is there", o, part)
		}
		luma, clipped := faceLight(m, face.Found{X: 1, Y: 1, W: float64(m.Width - 2), H: float64(m.Height - 2)}, there(d, m))
		if luma < 0.999 || clipped < 0.999 {
			t.Errorf("orientation %d: luma %.3f, %.3f clipped, of what is there of a face", o, luma, clipped)
		}
	}
	d, m := views(t, flat(1600, 1104, color.RGBA{255, 255, 255, 255}), 6, 1)
	if d.There() != image.Rect(0, 0, d.Width, d.Height) || there(d, m) != image.Rect(0, 0, m.Width, m.Height) {
		t.Errorf("of a whole picture %v is there", d.There())
	}
}
