package measure

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"math"
	"testing"

	"garner/preview"
	"garner/preview/face"
	"garner/preview/jpeg"
	"garner/preview/raw"
)

// The picture has a face of each size in it: flat skin of a known colour in front of
// grey.
const pictureW, pictureH = 3000, 2000

var skin = map[image.Rectangle]color.RGBA{
	image.Rect(200, 300, 1100, 1400):   {200, 150, 130, 255},
	image.Rect(1500, 400, 1700, 640):   {255, 200, 190, 255}, // red clipped
	image.Rect(2500, 1500, 2560, 1572): {60, 40, 30, 255},
}

func detail(t testing.TB) *preview.Detail {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, pictureW, pictureH))
	for y := range pictureH {
		for x := range pictureW {
			m.SetRGBA(x, y, color.RGBA{128, 128, 128, 255})
		}
	}
	for r, c := range skin {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				m.SetRGBA(x, y, c)
			}
		}
	}
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	d, err := preview.OpenDetail(t.Context(), bytes.NewReader(b.Bytes()), []raw.Preview{{Role: "full", Length: int64(b.Len()), Width: pictureW, Height: pictureH, Whole: true}}, preview.View{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// eyeball is a FaceReader that finds what it is told and notes what it is shown.
type eyeball struct {
	found  []face.Found
	shown  []image.Point // sizes
	middle []int         // luma in the middle of each face, as Eyes saw it
	err    error

	noEyes, noTemplate error
}

func (e *eyeball) Find(context.Context, *jpeg.Image) ([]face.Found, error) { return e.found, e.err }

func (e *eyeball) Eyes(_ context.Context, m *jpeg.Image, at face.Found) (face.Eyes, error) {
	e.shown = append(e.shown, image.Pt(m.Width, m.Height))
	e.middle = append(e.middle, int(m.Y[int(at.Y+at.H/2)*m.YStride+int(at.X+at.W/2)]))
	if e.noEyes != nil {
		return face.Eyes{}, e.noEyes
	}
	if at.Score < 0.6 {
		return face.Eyes{}, nil // the mesh sees none
	}
	return face.Eyes{Presence: 1, Right: 0.3, Left: 0.2, Width: [2]float64{at.W / 5, at.W / 4}, Apart: at.W / 2}, nil
}

func (e *eyeball) Template(_ context.Context, m *jpeg.Image, eyes face.Eyes) (face.Template, error) {
	return face.Template{float32(eyes.Apart)}, e.noTemplate
}

func searched(t testing.TB, d *preview.Detail) (*jpeg.Image, []face.Found) {
	t.Helper()
	full, err := d.Crop(t.Context(), image.Rect(0, 0, d.Width, d.Height))
	if err != nil {
		t.Fatal(err)
	}
	const scale = 1024.0 / pictureW
	m := shrunk(full, 1024, int(math.Round(pictureH*scale)))
	var found []face.Found
	for _, r := range []image.Rectangle{image.Rect(200, 300, 1100, 1400), image.Rect(1500, 400, 1700, 640), image.Rect(2500, 1500, 2560, 1572)} {
		found = append(found, face.Found{X: float64(r.Min.X) * scale, Y: float64(r.Min.Y) * scale, W: float64(r.Dx()) * scale, H: float64(r.Dy()) * scale, Score: 0.9})
	}
	return m, found
}

// shrunk takes the nearest pixel: flat colours stay what they are.
func shrunk(m *jpeg.Image, w, h int) *jpeg.Image {
	out := &jpeg.Image{}
	out.Reset(w, h, 1, 1, false)
	for y := range h {
		for x := range w {
			fx, fy := x*m.Width/w, y*m.Height/h
			out.Y[y*out.YStride+x] = m.Y[fy*m.YStride+fx]
			c := fy/m.SubY*m.CStride + fx/m.SubX
			out.Cb[y*out.CStride+x], out.Cr[y*out.CStride+x] = m.Cb[c], m.Cr[c]
		}
	}
	return out
}

func TestFacesOf(t *testing.T) {
	d := detail(t)
	m, found := searched(t, d)
	e := &eyeball{found: found}
	got, err := FacesOf(t.Context(), e, d, m, FaceOptions{Templates: true})
	if err != nil || len(got) != 3 {
		t.Fatalf("%v, %d faces", err, len(got))
	}
	// Luma by BT.601, as JFIF codes it: 0.299 R + 0.587 G + 0.114 B.
	luma := []float64{162.7, 215.3, 44.8}
	for i, f := range got {
		box := []image.Rectangle{image.Rect(200, 300, 1100, 1400), image.Rect(1500, 400, 1700, 640), image.Rect(2500, 1500, 2560, 1572)}[i]
		for _, v := range []struct{ got, want float64 }{{f.X, float64(box.Min.X)}, {f.Y, float64(box.Min.Y)}, {f.W, float64(box.Dx())}, {f.H, float64(box.Dy())}} {
			if math.Abs(v.got-v.want) > 1e-6 {
				t.Errorf("face %d is %v, want %v", i, f.Box(), box)
			}
		}
		if math.Abs(f.Luma*255-luma[i]) > 1.5 || math.Abs(float64(e.middle[i])-luma[i]) > 2 {
			t.Errorf("face %d: luma %.1f, in the part that was looked at %d, want %.1f", i, f.Luma*255, e.middle[i], luma[i])
		}
		if clipped := f.Clipped > 0.99; clipped != (i == 1) || !clipped && f.Clipped > 0.01 {
			t.Errorf("face %d: %.3f clipped", i, f.Clipped)
		}
		// In single pixels of the JPEG, whatever was looked at.
		if w := float64(box.Dx()); math.Abs(f.Eyes.Apart-w/2) > 1e-6 || math.Abs(f.Eyes.Width[0]-w/5) > 1e-6 || f.Eyes.Right != 0.3 {
			t.Errorf("face %d: eyes %+v of a face %v wide", i, f.Eyes, w)
		}
		if want := min(box.Dx(), box.Dy(), mostFace); f.Focus.Pixels != want {
			t.Errorf("face %d: sharpness of %d pixels, want %d", i, f.Focus.Pixels, want)
		}
		if f.Template == nil {
			t.Errorf("face %d has no template", i)
		}
	}
	// The large one is large enough where it was found, the others are looked at in
	// the JPEG.
	if e.shown[0] != image.Pt(m.Width, m.Height) || e.shown[1].X < 200 || e.shown[1].X > 1000 || e.shown[2].X < 60 || e.shown[2].X > 400 {
		t.Errorf("looked at in parts of %v", e.shown)
	}
}

func TestTemplatesOnlyWhereWanted(t *testing.T) {
	d := detail(t)
	m, found := searched(t, d)
	small := found[2]
	small.W, small.H = small.W/2, small.H/2 // 30 pixels
	e := &eyeball{found: append(found, small)}
	got, err := FacesOf(t.Context(), e, d, m, FaceOptions{Templates: true})
	if err != nil || len(got) != 4 || got[2].Template == nil || got[3].Template != nil {
		t.Errorf("%v, %d faces, the small one has a template: %v", err, len(got), got[3].Template != nil)
	}
	got, err = FacesOf(t.Context(), e, d, m, FaceOptions{Most: 2})
	if err != nil || len(got) != 2 || got[0].Template != nil || got[1].Template != nil {
		t.Errorf("%v, %d faces, templates without being asked for", err, len(got))
	}
}

// Faces may reach over the edge, lie outside, or be none at all.
func TestOddFaces(t *testing.T) {
	d := detail(t)
	m, found := searched(t, d)
	over, out := found[1], found[1]
	over.X, over.Y = -over.W/3, -over.H/3
	out.X = -10 * out.W
	poster := found[2]
	poster.Score = 0.55 // a weak score that the mesh does not confirm
	e := &eyeball{found: []face.Found{over, out, {}, poster}}
	got, err := FacesOf(t.Context(), e, d, m, FaceOptions{})
	if err != nil || len(got) != 1 || got[0].X >= 0 || got[0].Focus.Pixels == 0 {
		t.Errorf("%v: %+v", err, got)
	}
	e.err = errors.New("the networks are not there")
	if got, err := FacesOf(t.Context(), e, d, m, FaceOptions{}); err == nil || got != nil {
		t.Errorf("%v with %v", got, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	e.err = nil
	if _, err := FacesOf(ctx, e, d, m, FaceOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("called off: %v", err)
	}
}

// A face of which the networks make nothing is still a face, and the others are none the
// worse; any other fault is that of the networks.
func TestFacesOfWhichNothingIsMade(t *testing.T) {
	d := detail(t)
	m, found := searched(t, d)
	for _, e := range []*eyeball{{found: found, noEyes: face.ErrNoFace}, {found: found, noTemplate: face.ErrNoFace}} {
		got, err := FacesOf(t.Context(), e, d, m, FaceOptions{Templates: true})
		if err != nil || len(got) != 3 || got[0].Template != nil || got[0].Focus.Pixels == 0 {
			t.Errorf("%v, %d faces", err, len(got))
		}
	}
	broken := errors.New("broken")
	for _, e := range []*eyeball{{found: found, noEyes: broken}, {found: found, noTemplate: broken}} {
		if _, err := FacesOf(t.Context(), e, d, m, FaceOptions{Templates: true}); !errors.Is(err, broken) {
			t.Errorf("%v", err)
		}
	}
}
