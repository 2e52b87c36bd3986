package recall

import (
	"fmt"
	"strconv"

	"garner/cull"
	"garner/cull/closing/record"
)

// Kind says what a file is to the frame that it shows, the best first.
type Kind uint8

// The kinds of files.
const (
	NoFile     Kind = iota
	Original        // as the camera wrote it
	Finished        // as the editor gave it back
	Delivered       // a file of a set
	CameraJPEG      // the camera's JPEG or HEIF beside a raw
	Small           // the small picture that is kept of an original
)

var kindWords = [...]string{"", "original", "finished", "delivered", "camera JPEG", "small"}

// String gives the kind's word.
func (k Kind) String() string { return kindWords[min(int(k), len(kindWords)-1)] }

// mostFrames bounds the frames of one bag, far above what any job has.
const mostFrames = 1 << 18

// about is what a part says of all its frames.
type about struct {
	Job    string        `json:"job"`
	Bodies []record.Body `json:"bodies"`
	Passes []string      `json:"passes"`
	Scenes []string      `json:"scenes"`
}

// file is one that a frame may be had from; its path is that below the place.
type file struct {
	kind Kind
	path string
}

// entry is a frame as it goes into a part.
type entry struct {
	id        uint64
	name      string
	others    []string // numbers and names under which it was delivered
	taken     cull.Stamp
	corrected cull.Stamp
	moment    int
	scene     int // index of about.Scenes; -1 = none
	body      int // of about.Bodies; -1 = unknown
	answers   []cull.Answer
	files     []file // best first
	thumb     record.Span
	look      cull.Look
	aspect    float64
}

// room is what is left of maxBlob for texts that are in memory.
type room int

// take makes it less by some texts, and reports whether there was room for them.
func (r *room) take(texts ...string) bool {
	const header = 16 // bytes that a text takes beside its own
	for _, s := range texts {
		*r -= room(header + len(s))
	}
	return *r >= 0
}

// parseID reads a frame's id; an id of another form names no frame.
func parseID(id cull.ID) (uint64, bool) {
	n, err := strconv.ParseUint(string(id), 16, 64)
	return n, err == nil && len(id) == 16
}

// idOf is the inverse of parseID.
func idOf(n uint64) cull.ID { return cull.ID(fmt.Sprintf("%016x", n)) }

// aspectOf is the width of an upright picture for its height; 0 = unknown.
func aspectOf(s cull.Shot) float64 {
	if s.Width <= 0 || s.Height <= 0 {
		return 0
	}
	if s.Orientation >= 5 && s.Orientation <= 8 { // Exif 4.6.5: rows are columns
		return float64(s.Height) / float64(s.Width)
	}
	return float64(s.Width) / float64(s.Height)
}
