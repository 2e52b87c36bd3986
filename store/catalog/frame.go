package catalog

import "time"

// Frame is one exposure; the key is its id. What the fields mean is the business
// of whoever stores it.
type Frame struct {
	Aliases []string
	Name    string
	Kind    string
	Files   []File
	Body    string
	Taken   Stamp
	Shot    Shot

	Previews       []Preview
	Fingerprint    uint64
	HasFingerprint bool
	Luma           float64

	Problems []Problem
}

// File is one file of a frame; Path carries the file system's own bytes.
type File struct {
	Path, Role, Kind string
	Size             int64
	Mod              time.Time
	Head             string
	Of               Origin
}

// Origin is what a file was made of, and which need not be there; no Path = it was
// made of nothing.
type Origin struct {
	Path, Kind string
	Size       int64
	Head       string
}

// frameOrigins is the version of the record from which on files have origins.
const frameOrigins = 2

// Stamp is a capture time on the body's own clock face.
type Stamp struct {
	Wall   time.Time // in UTC, zero = unknown
	Digits int
	Zone   int   // minutes east of Greenwich
	ZoneIs uint8 // numbered by whoever stores it
}

// Shot is how the picture was taken.
type Shot struct {
	Orientation                   int
	Seconds, FNumber              float64
	ISO                           int
	Bias                          *float64
	Flash                         *bool
	FocalLength                   float64
	Lens                          string
	ManualWB, AutoBracket         bool
	Make, Model, Serial, Software string
	Width, Height                 int
	Counter                       int64
	Rating                        int
	Protected                     bool
	SubjectX, SubjectY            int
	SubjectGiven                  bool
	ColorSpace                    string
}

// Preview is one embedded JPEG.
type Preview struct {
	File           string
	Role           string
	Offset, Length int64
	Width, Height  int
	Whole          bool
}

// Problem is a fault of a frame, or of the catalogue itself in what Check finds.
type Problem struct {
	Code string
	Text string
}

func encodeFrame(b []byte, r Frame) []byte {
	b = putUint(b, uint64(len(r.Aliases)))
	for _, a := range r.Aliases {
		b = putID(b, a)
	}
	b = putString(b, r.Name)
	b = putString(b, r.Kind)
	b = putUint(b, uint64(len(r.Files)))
	for _, f := range r.Files {
		b = encodeFile(b, f)
	}
	b = putString(b, r.Body)
	b = encodeStamp(b, r.Taken)
	b = encodeShot(b, r.Shot)
	b = putUint(b, uint64(len(r.Previews)))
	for _, p := range r.Previews {
		b = encodePreview(b, p, r.Files)
	}
	b = putFlags(b, r.HasFingerprint)
	b = putUint(b, r.Fingerprint)
	b = putFloat(b, r.Luma)
	b = putUint(b, uint64(len(r.Problems)))
	for _, p := range r.Problems {
		b = putString(putString(b, p.Code), p.Text)
	}
	return b
}

func decodeFrame(c *cursor) Frame {
	var r Frame
	r.Aliases = list(c, 1, (*cursor).id)
	r.Name, r.Kind = c.string(), c.word()
	r.Files = list(c, 6, decodeFile)
	r.Body = c.word()
	r.Taken = decodeStamp(c)
	r.Shot = decodeShot(c)
	r.Previews = list(c, 6, func(c *cursor) Preview { return decodePreview(c, r.Files) })
	r.HasFingerprint = c.flags(1)[0]
	r.Fingerprint = c.uint()
	r.Luma = c.float()
	r.Problems = list(c, 2, func(c *cursor) Problem { return Problem{Code: c.word(), Text: c.word()} })
	return r
}

// EachFrameName calls fn for every frame with no more of its record decoded than
// the name; that is most of what a list of frames needs.
func (tx *Tx) EachFrameName(fn func(id, name string) error) error {
	names := kind[string]{frameKind().version, nil, func(c *cursor) string {
		list(c, 1, (*cursor).id)
		name := c.string()
		c.b = nil // the rest stays unread; the checksum covers it
		return name
	}}
	return table(tx, names, bucketFrames).Each(fn)
}

// list reads a count and so many elements of at least size bytes; none is nil.
func list[T any](c *cursor, size int, read func(*cursor) T) []T {
	n := c.count(size)
	if n == 0 {
		return nil
	}
	out := make([]T, 0, min(n, 64))
	for range n {
		out = append(out, read(c))
		if c.err != nil {
			return nil
		}
	}
	return out
}

func encodeFile(b []byte, f File) []byte {
	b = putString(b, f.Path)
	b = putString(b, f.Role)
	b = putString(b, f.Kind)
	b = putInt(b, f.Size)
	b = putTime(b, f.Mod)
	b = putString(b, f.Head)
	b = putString(b, f.Of.Path)
	if f.Of.Path == "" {
		return b
	}
	b = putString(b, f.Of.Kind)
	b = putInt(b, f.Of.Size)
	return putString(b, f.Of.Head)
}

func decodeFile(c *cursor) File {
	f := File{Path: c.string(), Role: c.word(), Kind: c.word(), Size: c.int(), Mod: c.time(), Head: c.string()}
	if c.version < frameOrigins {
		return f
	}
	if f.Of.Path = c.string(); f.Of.Path != "" {
		f.Of.Kind, f.Of.Size, f.Of.Head = c.word(), c.int(), c.string()
	}
	return f
}

func encodeStamp(b []byte, s Stamp) []byte {
	b = putTime(b, s.Wall)
	b = putInt(b, int64(s.Digits))
	b = putInt(b, int64(s.Zone))
	return append(b, s.ZoneIs)
}

func decodeStamp(c *cursor) Stamp {
	return Stamp{Wall: c.time(), Digits: c.small(), Zone: c.small(), ZoneIs: c.byte()}
}

// encodePreview writes the file as its number in the frame where it has one:
// paths are the longest thing in a record.
func encodePreview(b []byte, p Preview, files []File) []byte {
	if i := fileIndex(files, p.File); i >= 0 {
		b = putUint(b, uint64(i)+1)
	} else {
		b = putString(append(b, 0), p.File)
	}
	b = putString(b, p.Role)
	b = putInt(b, p.Offset)
	b = putInt(b, p.Length)
	b = putInt(b, int64(p.Width))
	b = putInt(b, int64(p.Height))
	return putFlags(b, p.Whole)
}

func decodePreview(c *cursor, files []File) Preview {
	var p Preview
	switch i := c.uint(); {
	case i == 0:
		p.File = c.string()
		if fileIndex(files, p.File) >= 0 {
			c.fail(errCanonical)
		}
	case i > uint64(len(files)) || fileIndex(files, files[i-1].Path) != int(i-1):
		c.fail(errCanonical)
	default:
		p.File = files[i-1].Path
	}
	p.Role = c.word()
	p.Offset, p.Length = c.int(), c.int()
	p.Width, p.Height = c.small(), c.small()
	p.Whole = c.flags(1)[0]
	return p
}

func fileIndex(files []File, path string) int {
	for i := range files {
		if files[i].Path == path {
			return i
		}
	}
	return -1
}
