package prepare

import (
	"context"

	"garner/cull"
	"garner/cull/job"
	"garner/preview"
	"garner/preview/cache"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// viewBytes is what a Viewer keeps of the cache's JPEGs in memory.
const viewBytes = 32 << 20

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
	return decodeKept(v.painter.cache.Thumb(key))
}

// Picture returns the frame's upright picture with a long edge of at most
// longEdge pixels; smaller only where the frame has nothing larger. The error
// is a sentence on what is wrong with the frame's files, or that of ctx.
func (v *Viewer) Picture(ctx context.Context, f cull.Frame, longEdge int) (*jpeg.Image, error) {
	if longEdge <= pix.ThumbEdge {
		if m, ok := v.Thumb(f); ok {
			return pix.Fit(m, longEdge), nil
		}
	}
	if key, ok := RenditionKey(f); ok {
		if m, ok := decodeKept(v.painter.cache.Rendition(key)); ok {
			return pix.Fit(m, longEdge), nil
		}
	}
	pic, err := v.painter.render(ctx, f, longEdge)
	if err != nil {
		return nil, err
	}
	return pic.Image, nil
}

// Load is about what one call of Picture holds in memory, in bytes.
func (v *Viewer) Load(f cull.Frame, longEdge int) int64 {
	for _, s := range sources(f, longEdge) {
		p, _ := preview.Best(s.previews, longEdge)
		return p.Length + int64(p.Width)*int64(p.Height)*2
	}
	return 0
}

// NoPictureFound begins the words of NoPicture where a file holds pictures and none
// of them could be decoded.
var NoPictureFound = preview.ErrNoPicture.Error() + ": "

// NoPicture says in a sentence why a frame cannot be shown.
func NoPicture(f cull.Frame, err error) string { return noPicture(f, err) }

func decodeKept(data []byte, ok bool) (*jpeg.Image, bool) {
	if !ok {
		return nil, false
	}
	m, err := jpeg.Decode(data, jpeg.Options{})
	return m, err == nil && !m.Truncated
}
