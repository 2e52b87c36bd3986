package scan

import (
	"io"
	"strings"

	"garner/cull"
)

// Class says what kind of picture a file is. The first is the strongest: a raw
// leads its HEIF and its JPEG.
type Class int

// The classes of picture files; NoPicture is everything else.
const (
	Raw Class = iota
	HEIF
	JPEG
	NoPicture
)

// Exposure is what one file says about the press of the shutter that made it. The
// zero value says nothing.
type Exposure struct {
	Class Class
	Kind  string // "CR3", "JPEG", …; "" = could not be read as a picture
	Shot  cull.Shot
	Taken cull.Stamp
	Body  cull.Body // key, make, model and serial
	Head  string    // lower-case hex SHA-256 of the first 64 KiB
	// Problem is why a file with a camera's extension could not be read.
	Problem *cull.Problem

	fact facts
}

// Known reports whether the file was recognised as a picture.
func (e Exposure) Known() bool { return e.Kind != "" }

// Look reads what a file of the given size says of its exposure. The path is used
// for its extension, and to break ties; it is "/"-separated. A file that is no
// picture has the class NoPicture. The error is that of reading; what could be
// learned from the name alone is returned beside it.
func Look(r io.ReaderAt, path string, size int64) (Exposure, error) {
	it, why, err := look(r, entry{path: path, size: size}, make([]byte, min(headSize, max(size, 0))))
	e := Exposure{Class: NoPicture, Problem: it.bad, Head: it.file.Head, fact: it.fact}
	if why != "" {
		return e, err
	}
	e.Class = Class(it.fact.class)
	if it.loc != nil {
		e.Kind, e.Shot, e.Taken = it.file.Kind, shotOf(it.loc.Meta), it.fact.taken
		e.Body = cull.Body{Key: bodyKey(e.Shot), Make: e.Shot.Make, Model: e.Shot.Model, Serial: e.Shot.Serial}
	}
	return e, err
}

// ExposureOf is what [Look] would find in a file of a frame that the catalogue
// knows. Only the main file's kind of file is told exactly.
func ExposureOf(f cull.Frame, file cull.File) Exposure {
	one := f
	one.Kind, one.Files = file.Kind, []cull.File{file}
	fact := factsOfFrame(one)
	return Exposure{Class: Class(fact.class), Kind: file.Kind, Shot: f.Shot, Taken: f.Taken, Head: file.Head, fact: fact,
		Body: cull.Body{Key: f.Body, Make: f.Shot.Make, Model: f.Shot.Model, Serial: f.Shot.Serial}}
}

// At is the exposure of a file that lies somewhere else now.
func (e Exposure) At(path string) Exposure {
	moved := factsOf(item{file: cull.File{Path: path}}, class(e.Class))
	e.fact.dir, e.fact.stem = moved.dir, moved.stem
	return e
}

// Same reports whether two files come from one shutter press, in doubt false;
// see the package's comment.
func (e Exposure) Same(o Exposure) bool {
	return e.Known() && o.Known() && sameExposure(e.fact, o.fact)
}

// Twin reports whether two files of one exposure ought to have the same bytes:
// the two slots of a body. Otherwise they are versions, or raw and JPEG.
func (e Exposure) Twin(o Exposure) bool {
	return e.Same(o) && e.Class == o.Class && e.Kind == o.Kind && e.fact.size == o.fact.size && e.fact.soft == o.fact.soft
}

// Litter reports whether a file's name is one that operating systems leave behind.
func Litter(base string) bool { return systemLitter(base) }

// CameraFile reports whether a file has the extension of a camera's picture.
func CameraFile(path string) bool {
	_, ok := cameraExt[entry{path: path}.ext()]
	return ok
}

// Stem is a file's name without folder and extension, in lower case.
func Stem(path string) string { return strings.ToLower(stemOf(path)) }
