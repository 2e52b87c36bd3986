package prepare

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync/atomic"

	"garner/cull"
	"garner/preview"
	"garner/preview/cache"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/raw"
)

// quality of the JPEGs in the cache, on the scale of the IJG.
const quality = 85

// painter makes the pictures of frames. Its methods may be called by several
// goroutines.
type painter struct {
	root    string
	cache   *cache.Cache
	without atomic.Bool // the cache failed: nothing more is put into it

	decoders preview.Decoders
}

// painted is what the work on one frame gave.
type painted struct {
	frame     cull.Frame // with fingerprint, luma and problems as they are now
	look      cull.Look  // known if frame has a fingerprint
	rendition bool
	err       error // there is no picture
	cacheErr  error // the picture is made and could not be kept
}

// paint makes thumbnail, fingerprint, look, luma and, where it is needed, rendition
// of a frame. The error is that of ctx; all else is in painted.
func (p *painter) paint(ctx context.Context, f cull.Frame) (painted, error) {
	thumbKey, _ := ThumbKey(f)
	renditionKey, large := RenditionKey(f)
	out := painted{frame: f}
	pic, err := p.render(ctx, f, firstEdge(f))
	if cerr := ctx.Err(); cerr != nil {
		return painted{}, cerr
	}
	if err != nil {
		out.err = err
		out.frame.HasFingerprint = false
		out.frame.Problems = withProblems(f.Problems, []raw.Problem{{Code: cull.ProblemNoPicture, Text: noPicture(f, err)}})
		return out, nil
	}
	out.frame.Problems = withProblems(f.Problems, pic.Problems)
	if large {
		out.rendition, out.cacheErr = p.keep(p.cache.PutRendition, renditionKey, pic.Image)
	}
	thumb := pix.Fit(pic.Image, pix.ThumbEdge)
	if out.cacheErr == nil {
		_, out.cacheErr = p.keep(p.cache.PutThumb, thumbKey, thumb)
	}
	// Of a picture of which half is missing, likeness means nothing: all such
	// have the same grey.
	if l, err := pix.Look(thumb); err == nil && !(thumb.Truncated && thumb.Rows < thumb.Height*3/4) {
		out.look = cull.Look(l)
		out.frame.Fingerprint, out.frame.HasFingerprint, out.frame.Luma = l.Parts[0], true, pix.MeanLuma(thumb)
	} else {
		out.frame.HasFingerprint = false
	}
	return out, nil
}

// firstEdge is the size that a frame is decoded at, for all that is made of it.
func firstEdge(f cull.Frame) int {
	if needsRendition(f) {
		return preview.RenditionEdge
	}
	return pix.ThumbEdge
}

// render tries the frame's files until one gives a picture.
func (p *painter) render(ctx context.Context, f cull.Frame, edge int) (*preview.Picture, error) {
	last := preview.ErrNoPicture
	var problems []raw.Problem
	for _, s := range sources(f, edge) {
		pic, err := p.renderFile(ctx, f, s, edge)
		if err == nil {
			pic.Problems = append(problems, pic.Problems...)
			return pic, nil
		}
		if ctx.Err() != nil {
			return nil, err
		}
		problems = append(problems, raw.Problem{Code: "preview-broken", Text: s.file.Path + ": " + sentence(err)})
		last = err
	}
	return nil, last
}

func (p *painter) renderFile(ctx context.Context, f cull.Frame, s source, edge int) (*preview.Picture, error) {
	file, err := os.Open(filepath.Join(p.root, filepath.FromSlash(s.file.Path)))
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return preview.Render(ctx, file, s.previews, p.view(f, edge))
}

// view is how a frame's picture is wanted.
func (p *painter) view(f cull.Frame, edge int) preview.View {
	return preview.View{
		Orientation: f.Shot.Orientation, LongEdge: edge,
		Width: f.Shot.Width, Height: f.Shot.Height, ColorSpace: f.Shot.ColorSpace,
		Decoders: &p.decoders,
	}
}

// keep puts a picture into the cache as a JPEG, if there still is a cache.
func (p *painter) keep(put func(string, []byte) error, key string, m *jpeg.Image) (kept bool, err error) {
	if p.without.Load() {
		return false, nil
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, quality); err != nil {
		return false, err
	}
	err = put(key, b.Bytes())
	return err == nil, err
}

// withProblems returns the problems of a frame with those of its pictures
// renewed: what an earlier run found and this one did not is over.
func withProblems(old []cull.Problem, now []raw.Problem) []cull.Problem {
	out := slices.DeleteFunc(slices.Clone(old), func(p cull.Problem) bool {
		return p.Code == cull.ProblemNoPicture || p.Code == "preview-broken" || p.Code == "preview-damaged"
	})
	for _, p := range now {
		if q := (cull.Problem{Code: p.Code, Text: p.Text}); !slices.Contains(out, q) {
			out = append(out, q)
		}
	}
	return out
}

// noPicture says in a sentence why a frame cannot be shown.
func noPicture(f cull.Frame, err error) string {
	if len(f.Previews) == 0 {
		return "there is no JPEG in the file that could be shown"
	}
	return "it cannot be shown: " + sentence(err)
}

// sentence is an error without the path, which the frame says already.
func sentence(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		return fmt.Sprintf("cannot %s: %v", path.Op, path.Err)
	}
	return err.Error()
}
