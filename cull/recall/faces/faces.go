package faces

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"

	"garner/cull"
	"garner/cull/people"
	"garner/preview/face"
	"garner/preview/measure"
)

// Face is one in a picture.
type Face struct {
	At    cull.Region // in the upright picture
	Width int         // pixels
	About *people.Template
}

// Forget overwrites what describes the face.
func (f *Face) Forget() {
	if f.About != nil {
		*f.About = people.Template{}
		f.About = nil
	}
}

// mostReaders bounds how many pictures are looked at together, whatever the number of
// processors: each takes some 100 MB with the networks.
const mostReaders = 6

// Reader looks at pictures, at several together. Its methods may be called by several
// goroutines.
type Reader struct {
	free chan measure.FaceReader // nil = not made yet
}

// NewReader returns a Reader. The networks are unpacked when they are first needed.
func NewReader() *Reader {
	n := min(runtime.GOMAXPROCS(0), mostReaders)
	r := &Reader{make(chan measure.FaceReader, n)}
	for range n {
		r.free <- nil
	}
	return r
}

// ErrNetworks is returned where the networks themselves fail, which no other picture
// would change.
var ErrNetworks = errors.New("the networks for faces do not work")

// Look finds the faces of a picture, from left to right: a camera's raw file or JPEG, or
// a finished JPEG, TIFF or PNG. Where describe says so those that are large and clear
// enough are described.
func (r *Reader) Look(ctx context.Context, path string, describe bool) ([]Face, error) {
	var reader measure.FaceReader
	select {
	case reader = <-r.free:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	defer func() { r.free <- reader }()
	p, err := read(ctx, path)
	if err != nil {
		return nil, err
	}
	if reader == nil {
		reader = face.New()
	}
	found, err := measure.Look(ctx, reader, p.full, p.whole, measure.FaceOptions{Most: cull.MaxFaces, Templates: describe})
	var out []Face
	for _, f := range found {
		w, h := float64(p.full.Width), float64(p.full.Height)
		one := Face{At: cull.Region{X: f.X / w, Y: f.Y / h, W: f.W / w, H: f.H / h}, Width: int(math.Round(f.W))}
		if f.Template != nil {
			one.About = (*people.Template)(f.Template)
		}
		out = append(out, one)
	}
	slices.SortStableFunc(out, func(a, b Face) int { return cmp.Compare(a.At.X+a.At.W/2, b.At.X+b.At.W/2) })
	if err != nil && ctx.Err() == nil {
		err = fmt.Errorf("%w: %w", ErrNetworks, err)
	}
	return out, err
}

// Nearest is the face that is nearest to a template, and how far it is; false where none
// is described. The faces are forgotten.
func Nearest(list []Face, to *people.Template) (near Face, distance float64, ok bool) {
	distance = math.Inf(1)
	for i := range list {
		if f := &list[i]; f.About != nil {
			if d := people.Distance(f.About, to); d < distance {
				near, distance, ok = Face{At: f.At, Width: f.Width}, d, true
			}
			f.Forget()
		}
	}
	return near, distance, ok
}
