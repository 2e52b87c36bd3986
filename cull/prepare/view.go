package prepare

import (
	"cmp"
	"context"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/job"
	"garner/preview"
	"garner/preview/cache"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/raw"
)

// viewBytes is what a Viewer keeps of the cache's JPEGs in memory: little, since the
// system has the files in its own cache, and the station keeps what it decoded.
const viewBytes = 2 << 20

// Viewer gives the pictures of a job's frames to a screen: from the cache where
// a run has put them there, else from the camera files. Its methods may be
// called by several goroutines, also while a Run goes on.
type Viewer struct {
	painter painter
}

// NewViewer opens the cache of a job for reading.
func NewViewer(j *job.Job) *Viewer {
	return &Viewer{painter{root: j.Root(), cache: cache.Open(j.CacheDir(), cache.Options{MaxMemory: viewBytes})}}
}

// Close lets go of the cache.
func (v *Viewer) Close() error { return v.painter.cache.Close() }

// Refresh takes in what a Run has added to the cache.
func (v *Viewer) Refresh() { v.painter.cache.Refresh() }

// Thumb returns the frame's upright thumbnail, pix.ThumbEdge pixels long, if
// there is one already. It costs a millisecond or two.
func (v *Viewer) Thumb(f cull.Frame) (*jpeg.Image, bool) {
	key, ok := ThumbKey(f)
	if !ok {
		return nil, false
	}
	m, _, ok := v.painter.kept(context.Background(), v.painter.cache.Thumb, key)
	return m, ok
}

// ThumbJPEG returns the frame's upright thumbnail as a JPEG: the one in the cache, else
// one that is made as a Run makes it, and not kept.
func (v *Viewer) ThumbJPEG(ctx context.Context, f cull.Frame) ([]byte, error) {
	if key, ok := ThumbKey(f); ok {
		if _, data, ok := v.painter.kept(ctx, v.painter.cache.Thumb, key); ok {
			return data, nil
		}
	}
	pic, err := v.painter.render(ctx, f, firstEdge(f))
	if err != nil {
		return nil, err
	}
	return jpeg.AppendEncode(nil, pix.Fit(pic.Image, pix.ThumbEdge), quality)
}

// Picture is a frame's picture, upright.
type Picture struct {
	*jpeg.Image
	// Source is the same picture as a JPEG, perhaps larger, that a terminal can
	// be given as it is; nil = there is none.
	Source []byte
}

// Picture returns the frame's upright picture with a long edge of at most
// longEdge pixels; smaller only where the frame has nothing larger. The error
// is a sentence on what is wrong with the frame's files, or that of ctx.
func (v *Viewer) Picture(ctx context.Context, f cull.Frame, longEdge int) (Picture, error) {
	if longEdge <= pix.ThumbEdge {
		if m, ok := v.Thumb(f); ok {
			return Picture{Image: pix.Fit(m, longEdge)}, nil
		}
	}
	if key, ok := RenditionKey(f); ok {
		if m, source, ok := v.painter.kept(ctx, v.painter.cache.Rendition, key); ok {
			return Picture{pix.Fit(m, longEdge), source}, nil
		}
	}
	pic, err := v.painter.render(ctx, f, longEdge)
	if err != nil {
		return Picture{}, err
	}
	return Picture{pic.Image, pic.Source}, nil
}

// Load is about what one call of Picture holds in memory, in bytes.
func (v *Viewer) Load(f cull.Frame, longEdge int) int64 {
	from := sources(f, longEdge)
	if len(from) == 0 {
		return 0
	}
	p, _ := preview.Best(from[0].previews, longEdge)
	w, h := int64(p.Width), int64(p.Height)
	if from[0].file.Kind != "JPEG" { // which may be progressive, and is then decoded whole
		for longEdge > 0 && max(w, h) >= 2*int64(longEdge) {
			w, h = (w+1)/2, (h+1)/2
		}
	}
	return p.Length + w*h*2 + int64(longEdge)*int64(longEdge)*2
}

// Detail opens the frame's largest embedded JPEG, for pictures of parts of it at
// its own pixels. The error is as that of Picture.
func (v *Viewer) Detail(ctx context.Context, f cull.Frame) (*preview.Detail, error) {
	return v.closeUp(ctx, f, false)
}

// Unsearched is Detail for measuring: the point of focus is not searched for where the
// camera noted none, which is a third of the work.
func (v *Viewer) Unsearched(ctx context.Context, f cull.Frame) (*preview.Detail, error) {
	return v.closeUp(ctx, f, true)
}

func (v *Viewer) closeUp(ctx context.Context, f cull.Frame, unsearched bool) (*preview.Detail, error) {
	last := preview.ErrNoPicture
	for _, s := range closest(f) {
		d, err := v.detail(ctx, f, s, unsearched)
		if err == nil {
			return d, nil
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		last = err
	}
	return nil, last
}

// detail opens the largest JPEG of one of the frame's files. Where its focus is the
// file says itself: the catalogue knows no more of it than it did when the frame
// was read.
func (v *Viewer) detail(ctx context.Context, f cull.Frame, s source, unsearched bool) (*preview.Detail, error) {
	r, err := os.Open(filepath.Join(v.painter.root, filepath.FromSlash(s.file.Path)))
	if err != nil {
		return nil, err
	}
	defer r.Close()
	info, err := r.Stat()
	if err != nil {
		return nil, err
	}
	file, err := preview.Open(r, info.Size())
	if err != nil {
		return nil, err
	}
	as := v.painter.view(f, 0)
	as.Unsearched = unsearched
	as.Width, as.Height = fullSize(file.Meta.Width, file.Meta.Height, file.Previews) // what the focus counts
	d, err := preview.OpenDetail(ctx, r, file.Previews, as, &file.Meta.Subject)
	if err != nil {
		return nil, err
	}
	d.SensorWidth, d.SensorHeight = fullSize(f.Shot.Width, f.Shot.Height, file.Previews)
	if pix.Turned(as.Orientation) {
		d.SensorWidth, d.SensorHeight = d.SensorHeight, d.SensorWidth
	}
	return d, nil
}

// fullSize is the size of the full picture as stored, unless it cannot be: not
// smaller than a JPEG that was made of it. Then it is not known.
func fullSize(w, h int, previews []raw.Preview) (int, int) {
	if p, ok := preview.Best(previews, 0); ok && (w < p.Width || h < p.Height) {
		return 0, 0
	}
	return w, h
}

// closest lists where the frame's pixels can be seen closest, the largest JPEG
// first: that beside a raw file is often larger than the one inside. A version is
// another picture, and only taken where there is nothing else.
func closest(f cull.Frame) []source {
	list := sources(f, 0)
	rank := func(s source) (version, pixels int) {
		p, _ := preview.Best(s.previews, 0)
		if s.file.Role == cull.RoleVersion || !p.Whole {
			version = 1
		}
		return version, p.Width * p.Height
	}
	slices.SortStableFunc(list, func(a, b source) int {
		va, pa := rank(a)
		vb, pb := rank(b)
		return cmp.Or(cmp.Compare(va, vb), cmp.Compare(pb, pa))
	})
	return list
}

// DetailKey names the pixels that Detail gives, and where the camera may have noted
// its subject: as long as it is the same, what was measured in them holds. It is false
// for a frame that has none.
func DetailKey(f cull.Frame) (string, bool) {
	from := closest(f)
	if len(from) == 0 {
		return "", false
	}
	h := fnv.New64a()
	for _, s := range from { // the first may turn out broken
		fmt.Fprintf(h, "%s %d\n", s.file.Head, s.file.Size)
		for _, p := range s.previews {
			fmt.Fprintf(h, "%d %d %d %d\n", p.Offset, p.Length, p.Width, p.Height)
		}
	}
	return fmt.Sprintf("%016x-%d", h.Sum64(), f.Shot.Orientation), true
}

// detailIndex is about what the index of a JPEG's rows takes, and the plane in
// which its sharpest part is looked for, in parts of its pixels.
const detailIndex = 16

// DetailLoad is about what a Detail of the frame holds in memory, in bytes.
func (v *Viewer) DetailLoad(f cull.Frame) int64 {
	from := closest(f)
	if len(from) == 0 {
		return 0
	}
	p, _ := preview.Best(from[0].previews, 0)
	return p.Length + int64(p.Width)*int64(p.Height)/detailIndex + 64<<10
}

// NoPictureFound begins the words of NoPicture where a file holds pictures and none
// of them could be decoded.
var NoPictureFound = preview.ErrNoPicture.Error() + ": "

// NoPicture says in a sentence why a frame cannot be shown.
func NoPicture(f cull.Frame, err error) string { return noPicture(f, err) }

// kept takes a picture out of the cache, with the bytes that are kept there.
func (p *painter) kept(ctx context.Context, from func(key string) ([]byte, bool), key string) (*jpeg.Image, []byte, bool) {
	data, ok := from(key)
	if !ok {
		return nil, nil, false
	}
	m, err := p.decoders.Decode(data, jpeg.Options{Stop: ctx.Done()})
	if err != nil || m.Truncated {
		return nil, nil, false
	}
	return m, data, true
}
