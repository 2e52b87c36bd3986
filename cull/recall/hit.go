package recall

import (
	"errors"
	"os"
	"path/filepath"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/recall/like"
)

// Hit is a frame that was found.
type Hit struct {
	Place     string // folder of the bag or job
	IsJob     bool   // it is a job
	Job       string
	Frame     cull.ID
	Name      string
	Taken     cull.Stamp // as the body's clock showed it
	Corrected cull.Stamp
	Scene     string
	Body      record.Body // the zero Body is an unknown one
	Moment    int
	Answers   map[string]cull.Answer // by pass; what is open is not there
	Delivered []string               // numbers and names under which it was delivered
	Bits      float64                // how unlike its look is to the picture that was asked for; meaningful if there was one
	Share     float64                // of the frame's width or height, whichever is greater, that the picture shows
	Looked    bool                   // the picture was laid on its thumbnail
	Agrees    float64                // share of the picture that it has in the same places, 1 = all; meaningful if Looked
	Face      *FaceAt                // the face that is nearest to the one that was asked for; nil = none was
	Best      File                   // the best file that is there; the zero File where none is
	rest      []File                 // further ones, which need not be there
	thumb     record.Span
}

// Fits reports whether the picture that was asked for fits on it, as far as somebody looked.
func (h *Hit) Fits() bool { return h.Looked && h.Agrees >= like.Fits }

// File is one that a frame can be had from.
type File struct {
	Kind Kind
	Path string // absolute
	root string // folder of the bag or job that it lies in
	rel  string // path in it
}

// ErrNoThumb is returned for a hit of which no thumbnail is kept.
var ErrNoThumb = errors.New("no thumbnail is kept of it")

// Thumb gives the JPEG of the frame's thumbnail, as the record of its bag has it.
func (h Hit) Thumb() ([]byte, error) {
	if h.IsJob || h.thumb.Length == 0 {
		return nil, ErrNoThumb
	}
	r, err := record.Open(h.Place)
	if err != nil {
		return nil, err
	}
	return r.Thumb(h.thumb)
}

// hit is what a place says of one of its frames.
func (p *place) hit(a *about, c *columns, d detail, row int) Hit {
	h := Hit{
		Place: p.dir, IsJob: p.isJob, Job: a.Job, Frame: idOf(c.id(row)), Name: d.name, Taken: d.taken, Corrected: d.corrected,
		Moment: d.moment, Answers: map[string]cull.Answer{}, Delivered: d.others, thumb: d.thumb,
	}
	if i := int(c.scene(row)); i < len(a.Scenes) {
		h.Scene = a.Scenes[i]
	}
	if i := int(c.bodies[row]); i < len(a.Bodies) {
		h.Body = a.Bodies[i]
	}
	for i, pass := range a.Passes {
		if answer := cull.Answer(c.answers[i][row]); answer != cull.Open {
			h.Answers[pass] = answer
		}
	}
	return h
}

// filesOf are the files of a frame in a place, best first, whether they are there or not.
func (p *place) filesOf(d detail) []File {
	var out []File
	for _, f := range d.files {
		rel := filepath.FromSlash(f.path)
		if f.kind != NoFile && filepath.IsLocal(rel) {
			out = append(out, File{f.kind, filepath.Join(p.dir, rel), p.dir, rel})
		}
	}
	return out
}

// there reports whether a file can be had: a regular one to which no link leads out of
// its place.
func (f File) there() bool {
	root, err := os.OpenRoot(f.root)
	if err != nil {
		return false
	}
	defer root.Close()
	info, err := root.Stat(f.rel)
	return err == nil && info.Mode().IsRegular()
}
