package scan

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"garner/cull"
	"garner/preview/raw"
	"garner/preview/small"
)

// headSize is how much of a file stands for its content in an identity.
const headSize = 64 << 10

// class orders the files of one exposure: the raw leads.
type class int

const (
	classRaw class = iota
	classHEIF
	classJPEG
)

// item is one picture file as read.
type item struct {
	file cull.File
	loc  *raw.File       // nil when the file could not be read as a picture
	of   *small.Original // of a small picture: what it stands for
	bad  *cull.Problem
	fact facts

	damaged bool // known to be, though it could be read
}

// cameraExt are extensions under which a file that cannot be recognised is
// still somebody's frame: it appears, says what is wrong, and can be decided.
var cameraExt = map[string]class{
	".cr2": classRaw, ".cr3": classRaw, ".crw": classRaw, ".nef": classRaw, ".nrw": classRaw, ".arw": classRaw,
	".sr2": classRaw, ".raf": classRaw, ".orf": classRaw, ".rw2": classRaw, ".rwl": classRaw, ".dng": classRaw,
	".gpr": classRaw, ".pef": classRaw, ".srw": classRaw, ".x3f": classRaw, ".mrw": classRaw, ".3fr": classRaw,
	".iiq": classRaw, ".erf": classRaw, ".heif": classHEIF, ".heic": classHEIF, ".hif": classHEIF,
	".jpg": classJPEG, ".jpeg": classJPEG,
}

// read opens one file. why is set when the file is no picture at all. The head
// is room to read into, headSize bytes of it.
func read(dir string, e entry, head []byte) (it item, why string) {
	if e.size == 0 {
		it, why, _ = look(nil, e, nil)
		return it, why
	}
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(e.path)))
	if err != nil {
		return unread(e, cull.Problem{Code: "unreadable", Text: "cannot be opened: " + sentence(err)})
	}
	defer f.Close()
	it, why, _ = look(f, e, head)
	if it.loc != nil && it.loc.Kind == "JPEG" {
		it.standIn(&headFirst{head[:min(headSize, e.size)], f}, e.size)
	}
	return it, why
}

// standIn makes a small picture speak for its original: it is the same exposure, with
// all that the camera said of it. Only its pixels are its own.
func (it *item) standIn(r io.ReaderAt, size int64) {
	o, err := small.Read(r, size)
	if err != nil && !errors.Is(err, small.ErrChanged) {
		return
	}
	if err != nil {
		it.bad = &cull.Problem{Code: "small-changed", Text: err.Error()}
	}
	it.of = &o
	it.file.Of = cull.Origin{Path: o.Path, Kind: o.Kind, Size: o.Bytes, Head: o.Head}
	it.loc.Meta = o.Meta
	it.fact = factsOf(*it, classOf(raw.Kind(o.Kind)))
}

// unread is a file of which nothing could be learned but its name.
func unread(e entry, p cull.Problem) (it item, why string) {
	it.file = cull.File{Path: e.path, Size: e.size, Mod: e.mod}
	byName, isCamera := cameraExt[e.ext()]
	if !isCamera {
		return item{}, p.Text
	}
	it.bad = &p
	it.fact = factsOf(it, byName)
	return it, ""
}

// look reads what a file says of itself. The error is that of reading, which is
// also told by it or why.
func look(r io.ReaderAt, e entry, head []byte) (it item, why string, err error) {
	var sum string
	fail := func(code, text string, err error) (item, string, error) {
		it, why := unread(e, cull.Problem{Code: code, Text: text})
		if why == "" && sum != "" {
			it.file.Head = sum
			it.fact = factsOf(it, it.fact.class)
		}
		return it, why, err
	}
	if e.size == 0 {
		return fail("empty", "the file is empty", nil)
	}
	head = head[:min(headSize, e.size)]
	if n, err := r.ReadAt(head, 0); n < len(head) {
		if err == nil || err == io.EOF {
			err = io.ErrUnexpectedEOF
		}
		return fail("unreadable", "cannot be read: "+sentence(err), err)
	}
	digest := sha256.Sum256(head)
	sum = hex.EncodeToString(digest[:])
	loc, err := raw.Locate(&headFirst{head, r}, e.size)
	if err != nil {
		var unsupported *raw.UnsupportedError
		var format *raw.FormatError
		switch {
		case errors.As(err, &unsupported):
			return fail("unknown-kind", unsupported.Text, nil)
		case errors.As(err, &format):
			return fail("broken", fmt.Sprintf("%s (at byte %d)", format.Text, format.Offset), nil)
		}
		return fail("unreadable", "cannot be read: "+sentence(err), err)
	}
	it.file = cull.File{Path: e.path, Size: e.size, Mod: e.mod, Head: sum, Kind: string(loc.Kind)}
	it.loc = loc
	it.fact = factsOf(it, classOf(loc.Kind))
	return it, "", nil
}

func classOf(k raw.Kind) class {
	switch k {
	case "JPEG", "TIFF":
		return classJPEG
	case "HEIF":
		return classHEIF
	}
	return classRaw
}

// headFirst answers reads inside the head that was read for the hash from
// memory, so that most files are read once.
type headFirst struct {
	head []byte
	f    io.ReaderAt
}

func (h *headFirst) ReadAt(p []byte, off int64) (int, error) {
	if off >= 0 && off < int64(len(h.head)) && int64(len(p)) <= int64(len(h.head))-off {
		return copy(p, h.head[off:]), nil
	}
	return h.f.ReadAt(p, off)
}
