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
	loc  *raw.File // nil when the file could not be read as a picture
	bad  *cull.Problem
	fact facts
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
	it.file = cull.File{Path: e.path, Size: e.size, Mod: e.mod}
	byName, isCamera := cameraExt[e.ext()]
	fail := func(code, text string) (item, string) {
		if !isCamera {
			return item{}, text
		}
		it.bad = &cull.Problem{Code: code, Text: text}
		it.fact = factsOf(it, byName)
		return it, ""
	}
	if e.size == 0 {
		return fail("empty", "the file is empty")
	}
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(e.path)))
	if err != nil {
		return fail("unreadable", "cannot be opened: "+sentence(err))
	}
	defer f.Close()
	head = head[:min(headSize, e.size)]
	n, err := io.ReadFull(f, head)
	if err != nil {
		return fail("unreadable", "cannot be read: "+sentence(err))
	}
	sum := sha256.Sum256(head[:n])
	it.file.Head = hex.EncodeToString(sum[:])
	loc, err := raw.Locate(&headFirst{head, f}, e.size)
	if err != nil {
		var unsupported *raw.UnsupportedError
		var format *raw.FormatError
		switch {
		case errors.As(err, &unsupported):
			return fail("unknown-kind", unsupported.Text)
		case errors.As(err, &format):
			return fail("broken", fmt.Sprintf("%s (at byte %d)", format.Text, format.Offset))
		}
		return fail("unreadable", "cannot be read: "+sentence(err))
	}
	it.loc = loc
	it.file.Kind = string(loc.Kind)
	it.fact = factsOf(it, classOf(loc.Kind))
	return it, ""
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
