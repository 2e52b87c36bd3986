package measure

import (
	"context"
	"errors"
	"image"
	"io/fs"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview"
	"garner/preview/face"
	"garner/preview/jpeg"
	"garner/preview/measure"
)

// looker is the eye that looks at the frames' files.
type looker struct {
	viewer  *prepare.Viewer
	readers chan measure.FaceReader // one for each worker; nil = not made yet
}

func newEye(v *prepare.Viewer, workers int) *looker {
	l := &looker{viewer: v, readers: make(chan measure.FaceReader, workers)}
	for range workers {
		l.readers <- nil
	}
	return l
}

// Beside pictures, a worker holds the networks and what runs in them.
func (l *looker) load(f cull.Frame) int64 {
	return l.viewer.DetailLoad(f) + l.viewer.Load(f, measure.SearchEdge)
}

func (l *looker) measure(ctx context.Context, f cull.Frame, w wanted, pause func(context.Context) error) (found, error) {
	out := found{Measured: job.Measured{Tried: job.Tried{Of: w.of}}}
	try := &out.Tried
	if w.focus {
		try.Focus = cull.FocusMethod
	}
	if w.light {
		try.Light = cull.LightMethod
	}
	d, err := l.viewer.Unsearched(ctx, f)
	if err != nil {
		return out.cannot(ctx, f, w, err)
	}
	if w.focus {
		spots, err := measure.FocusOf(ctx, d)
		if err != nil {
			return found{}, err
		}
		out.Focus = focusOf(d, spots)
	}
	if !w.light && !w.faces && !w.people {
		return out, nil
	}
	if err := pause(ctx); err != nil {
		return found{}, err
	}
	m, err := l.whole(ctx, f, d)
	if err != nil {
		return out.cannot(ctx, f, w, err)
	}
	if w.light {
		c, err := measure.LightOf(ctx, d, m)
		if err != nil {
			return out.cannot(ctx, f, w, err)
		}
		out.Light = cull.Light{Method: cull.LightMethod, Highlights: c.All, AnyHigh: c.Any, Shadows: c.Shadow}
	}
	if !w.faces && !w.people {
		return out, nil
	}
	if err := pause(ctx); err != nil {
		return found{}, err
	}
	return out, l.faces(ctx, &out, d, m, w)
}

// whole is the whole frame at the size in which faces are found.
func (l *looker) whole(ctx context.Context, f cull.Frame, d *preview.Detail) (*jpeg.Image, error) {
	pic, err := l.viewer.Picture(ctx, f, measure.SearchEdge)
	if err != nil && ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return measure.Searched(ctx, d, pic.Image) // nil after an error
}

// cannot notes why something could not be measured. A file that could not be read may
// be read another time.
func (out found) cannot(ctx context.Context, f cull.Frame, w wanted, err error) (found, error) {
	if cerr := ctx.Err(); cerr != nil {
		return found{}, cerr
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		return found{err: err}, nil
	}
	if w.faces {
		out.Tried.Faces = cull.FacesMethod
	}
	out.people = w.people // with no faces
	out.Tried.Why = prepare.NoPicture(f, err)
	return out, nil
}

func focusOf(d *preview.Detail, spots []measure.Spot) cull.Focus {
	f := cull.Focus{Method: cull.FocusMethod, Width: d.Width, Height: d.Height, Small: d.Small()}
	for _, s := range spots {
		by := cull.ByTile
		if s.Subject {
			by = cull.BySubject
		}
		f.Spots = append(f.Spots, cull.Spot{Region: regionOf(d, s.Rectangle), By: by, Sharpness: cull.Sharpness(s.Focus)})
	}
	return f
}

// regionOf is the part of the picture that a rectangle covers.
func regionOf(d *preview.Detail, r image.Rectangle) cull.Region {
	r = r.Intersect(image.Rect(0, 0, d.Width, d.Height))
	w, h := float64(d.Width), float64(d.Height)
	return cull.Region{X: float64(r.Min.X) / w, Y: float64(r.Min.Y) / h, W: float64(r.Dx()) / w, H: float64(r.Dy()) / h}
}

// reader takes a reader out of those of the workers; it has to be given back.
func (l *looker) reader() measure.FaceReader {
	r := <-l.readers
	if r == nil {
		r = face.New()
	}
	return r
}
