package measure

import (
	"context"
	"errors"
	"image"
	"math"

	"garner/preview"
	"garner/preview/face"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// FaceReader finds faces and looks at them: a *face.Reader.
type FaceReader interface {
	Find(ctx context.Context, m *jpeg.Image) ([]face.Found, error)
	Eyes(ctx context.Context, m *jpeg.Image, at face.Found) (face.Eyes, error)
	Template(ctx context.Context, m *jpeg.Image, e face.Eyes) (face.Template, error)
}

// SearchEdge is the long edge, in pixels, of the picture in which faces are found.
const SearchEdge = 1024

const (
	// closeUp is the width of a face, in pixels of the picture that was searched, from
	// which a larger one shows the mesh nothing more: its input is 192 pixels.
	closeUp = 192
	// leastTemplate is the width of the smallest face that gets a template, in pixels:
	// below it, one in a hundred is taken for another person and more.
	leastTemplate = 40
	leastPresence = 0.5 // of a face that gets one
	// innerFace is the middle part of a face, across and down, that is skin rather
	// than hair and background.
	innerFace = 0.6
)

// Face is a face that was measured.
type Face struct {
	face.Found           // in upright pixels of the JPEG
	Eyes       face.Eyes // likewise; the zero value where they could not be looked at
	Focus      pix.Focus // of the box, in single pixels of the JPEG; Pixels 0 = not measured
	Luma       float64   // mean coded luma of the inner face, 0..1
	Clipped    float64   // share of the inner face with red clipped
	Template   *face.Template
}

// FaceOptions say what is wanted of faces.
type FaceOptions struct {
	Most      int  // faces of a frame, the largest; 0 = as many as there are
	Templates bool // make templates: biometric data, only where somebody said yes to it
}

// FacesOf finds the faces of a frame in m, which shows all of d upright in sRGB with a
// long edge of about SearchEdge pixels, and measures each where its pixels are single.
// The error is that of ctx or of the networks, which then fail for every frame; a face of
// which they make nothing is left without what they would tell.
func FacesOf(ctx context.Context, r FaceReader, d *preview.Detail, m *jpeg.Image, o FaceOptions) ([]Face, error) {
	seen, err := look(ctx, r, Full{d.Width, d.Height, d}, m, o)
	if err != nil {
		return nil, err
	}
	out := make([]Face, 0, len(seen))
	for _, s := range seen {
		one := s.Face
		// A part that cannot be decoded leaves the face without what it would tell.
		one.Focus, _ = SharpnessOf(ctx, d, one.Box().Intersect(image.Rect(0, 0, d.Width, d.Height)))
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		one.Luma, one.Clipped = faceLight(m, s.in, there(d, m))
		out = append(out, one)
	}
	return out, nil
}

// Searched is the picture in which the faces of d are found: m, a smaller rendition of it,
// where that shows the same part, else d made smaller. A nil m is none.
func Searched(ctx context.Context, d *preview.Detail, m *jpeg.Image) (*jpeg.Image, error) {
	const sameShape = 0.01
	if m != nil && m.Width <= d.Width && math.Abs(float64(d.Width)/float64(d.Height)*float64(m.Height)/float64(m.Width)-1) <= sameShape {
		return m, nil
	}
	all, err := d.Crop(ctx, image.Rect(0, 0, d.Width, d.Height))
	if err != nil {
		return nil, err
	}
	return pix.Fit(all, SearchEdge), nil
}

// Full is an upright picture in sRGB at its own pixels, of which parts can be had: a
// *preview.Detail gives them.
type Full struct {
	Width, Height int
	Parts         interface {
		Crop(ctx context.Context, r image.Rectangle) (*jpeg.Image, error)
	}
}

// Look is FacesOf without focus and light, of any picture: m shows all of f.
func Look(ctx context.Context, r FaceReader, f Full, m *jpeg.Image, o FaceOptions) ([]Face, error) {
	seen, err := look(ctx, r, f, m, o)
	out := make([]Face, 0, len(seen))
	for _, s := range seen {
		out = append(out, s.Face)
	}
	return out, err
}

// seen is a face, and where it is in the picture that was searched.
type seen struct {
	Face
	in face.Found
}

func look(ctx context.Context, r FaceReader, full Full, m *jpeg.Image, o FaceOptions) ([]seen, error) {
	found, err := r.Find(ctx, m)
	if err != nil {
		return nil, err
	}
	if o.Most > 0 {
		found = found[:min(len(found), o.Most)]
	}
	scale := float64(full.Width) / float64(m.Width)
	var out []seen
	for _, f := range found {
		one := Face{Found: f.In(scale, image.Point{})}
		if one.Box().Intersect(image.Rect(0, 0, full.Width, full.Height)).Empty() {
			continue
		}
		if err := one.lookCloser(ctx, r, full, m, f, o.Templates); err != nil {
			return nil, err
		}
		if !f.Unlikely(one.Eyes) {
			out = append(out, seen{one, f})
		}
	}
	return out, nil
}

// Box is the face's box in whole pixels; it may reach over the edge of the picture.
func (f Face) Box() image.Rectangle {
	return image.Rect(int(math.Floor(f.X)), int(math.Floor(f.Y)), int(math.Ceil(f.X+f.W)), int(math.Ceil(f.Y+f.H)))
}

// lookCloser measures the eyes, in the picture that was searched if the face is large
// there, else in a part of the JPEG.
func (f *Face) lookCloser(ctx context.Context, r FaceReader, full Full, m *jpeg.Image, in face.Found, templates bool) error {
	look, at, scale := m, in, float64(full.Width)/float64(m.Width)
	if in.W < closeUp && scale > 1 {
		part := f.Around(full.Width, full.Height)
		if part.Empty() {
			return ctx.Err()
		}
		crop, err := full.Parts.Crop(ctx, part)
		if err != nil {
			return ctx.Err()
		}
		look, at, scale = crop, f.In(1, part.Min), 1
	}
	eyes, err := r.Eyes(ctx, look, at)
	if errors.Is(err, face.ErrNoFace) {
		return nil
	}
	if err != nil {
		return err
	}
	if templates && f.W >= leastTemplate && eyes.Presence >= leastPresence {
		t, err := r.Template(ctx, look, eyes)
		switch {
		case err == nil:
			f.Template = &t
		case !errors.Is(err, face.ErrNoFace):
			return err
		}
	}
	eyes.Apart *= scale
	eyes.Width[0], eyes.Width[1] = eyes.Width[0]*scale, eyes.Width[1]*scale
	f.Eyes = eyes
	return nil
}

// there is what of m, which shows all of d, is there.
func there(d *preview.Detail, m *jpeg.Image) image.Rectangle {
	all := image.Rect(0, 0, m.Width, m.Height)
	if !m.Truncated {
		return all
	}
	r, x, y := d.There(), float64(m.Width)/float64(d.Width), float64(m.Height)/float64(d.Height)
	return image.Rect(int(math.Ceil(float64(r.Min.X)*x)), int(math.Ceil(float64(r.Min.Y)*y)), int(float64(r.Max.X)*x), int(float64(r.Max.Y)*y)).Intersect(all)
}

// faceLight is the mean luma of the inner face, 0..1, and the share of it in which red
// is clipped, which skin comes to first; of the part of it that is there.
func faceLight(m *jpeg.Image, f face.Found, there image.Rectangle) (luma, clipped float64) {
	x, y := f.X+f.W*(1-innerFace)/2, f.Y+f.H*(1-innerFace)/2
	r := image.Rect(int(x), int(y), int(math.Ceil(x+f.W*innerFace)), int(math.Ceil(y+f.H*innerFace)))
	r = r.Intersect(there)
	if r.Empty() {
		return 0, 0
	}
	sum, red := 0, 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := m.Y[y*m.YStride:]
		for x := r.Min.X; x < r.Max.X; x++ {
			v := int(row[x])
			sum += v
			if !m.Grey() {
				v += (91881*(int(m.Cr[y/m.SubY*m.CStride+x/m.SubX])-128) + 1<<15) >> 16 // 1.402, as JFIF has it
			}
			if v >= clippedFrom {
				red++
			}
		}
	}
	n := float64(r.Dx() * r.Dy())
	return float64(sum) / n / 255, float64(red) / n
}

// clippedFrom is the code value from which red counts as clipped, as in pix.Clip.
const clippedFrom = 253
