package prepare

import (
	"fmt"

	"garner/cull"
	"garner/preview"
	"garner/preview/cache"
	"garner/preview/pix"
	"garner/preview/raw"
)

// source is one file of a frame that a picture can come from.
type source struct {
	file     cull.File
	previews []raw.Preview
}

// sources returns the files that hold previews in the order in which they are
// tried for a picture of longEdge pixels: the first that has a whole one large
// enough, then the others as the frame has them, the main file first.
func sources(f cull.Frame, longEdge int) []source {
	var out []source
	for _, file := range f.Files {
		s := source{file: file}
		for _, p := range f.Previews {
			if p.File == file.Path {
				s.previews = append(s.previews, raw.Preview{Role: raw.Role(p.Role), Offset: p.Offset, Length: p.Length,
					Width: p.Width, Height: p.Height, Whole: p.Whole})
			}
		}
		if _, ok := preview.Best(s.previews, longEdge); ok {
			out = append(out, s)
		}
	}
	for i, s := range out {
		if p, _ := preview.Best(s.previews, longEdge); p.Whole && max(p.Width, p.Height) >= longEdge {
			copy(out[1:i+1], out[:i])
			out[0] = s
			break
		}
	}
	return out
}

// ThumbKey is the key of the frame's thumbnail in the job's cache; false if it
// has none because there is no preview.
func ThumbKey(f cull.Frame) (string, bool) { return key(f, pix.ThumbEdge) }

// RenditionKey is the key of the frame's rendition; false if it needs none or
// can have none.
func RenditionKey(f cull.Frame) (string, bool) {
	if !needsRendition(f) {
		return "", false
	}
	return key(f, preview.RenditionEdge)
}

func needsRendition(f cull.Frame) bool {
	for _, s := range sources(f, preview.RenditionEdge) {
		if !preview.NeedsRendition(s.previews) {
			return false
		}
	}
	return len(f.Previews) > 0
}

// key names a picture by what it is first tried from. The head of the file
// stands for its content, so that a file that was moved keeps its pictures and
// one that was changed does not.
func key(f cull.Frame, edge int) (string, bool) {
	from := sources(f, edge)
	if len(from) == 0 {
		return "", false
	}
	p, _ := preview.Best(from[0].previews, edge)
	return cache.Key{
		Frame:       string(f.ID),
		Place:       fmt.Sprintf("%s:%d:%d", from[0].file.Head, p.Offset, p.Length),
		Orientation: f.Shot.Orientation,
		Size:        edge,
		Codec:       preview.Codec,
	}.String(), true
}

// load is what the work on a frame holds in memory, about: the file's JPEG, the
// planes of its full decode and what the decoder needs beside them.
func load(f cull.Frame) int64 {
	edge := firstEdge(f)
	for _, s := range sources(f, edge) {
		p, _ := preview.Best(s.previews, edge)
		return p.Length + int64(p.Width)*int64(p.Height)*2
	}
	return 0
}
