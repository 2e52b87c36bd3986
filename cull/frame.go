package cull

import "time"

// ID names one frame for ever: 16 lower-case hex digits, a hash of the frame's
// identity (see cull/scan). Decisions belong to it, never to a path.
type ID string

// Frame is one exposure: everything that one shutter press made on one body.
type Frame struct {
	ID      ID
	Aliases []ID   // ids under which the frame was known before more was learned
	Name    string // main file's path in the job, "/"-separated, without extension (with it where two would be equal)
	Kind    string // kind of the main file, or of the original that it stands for: "CR3", "DNG", "JPEG", ...
	Files   []File // main file first, then by path
	Body    string // key of the body (Body.Key); "" = unknown
	Taken   Stamp
	Shot    Shot

	Previews       []Preview // largest first; cut-off ones last
	Fingerprint    uint64
	HasFingerprint bool
	Luma           float64 // mean luma 0..1 of the thumbnail; meaningful if HasFingerprint

	Problems []Problem
}

// FileRole says what a file is to its frame.
type FileRole string

// The roles of a frame's files. Twin is the same exposure's copy from the other
// card slot; Version is the same exposure with another size, kind or Software;
// Small is the picture that stays of a raw that was freed.
const (
	RoleMain    FileRole = "main"
	RoleJPEG    FileRole = "jpeg"
	RoleHEIF    FileRole = "heif"
	RoleVoice   FileRole = "voice"
	RoleSidecar FileRole = "sidecar"
	RoleTwin    FileRole = "twin"
	RoleVersion FileRole = "version"
	RoleSmall   FileRole = "small"
	RoleOther   FileRole = "other"
)

// File is one file of a frame. Path is relative to the job, "/"-separated, and
// carries the file system's own bytes even where they are not UTF-8.
type File struct {
	Path string
	Role FileRole
	Kind string // "CR3", "JPEG", "WAV", "XMP", ...
	Size int64
	Mod  time.Time
	Head string // lower-case hex SHA-256 of the first 64 KiB
	Of   Origin // of a small picture: what it was made of; else zero
}

// Stamp is a capture time as the body's clock showed it.
type Stamp struct {
	Wall   time.Time // the clock's face, in time.UTC; zero = unknown
	Digits int       // sub-second digits that the file carried
	Zone   int       // minutes east of Greenwich; meaningful unless ZoneIs is ZoneUnknown
	ZoneIs ZoneState
}

// Known reports whether there is a capture time at all.
func (s Stamp) Known() bool { return !s.Wall.IsZero() }

// ZoneState says where a time zone comes from.
type ZoneState string

// The three origins of a zone: the file carried none, the file carried it, a
// person set it for the body.
const (
	ZoneUnknown ZoneState = "unknown"
	ZoneKnown   ZoneState = "known"
	ZoneSet     ZoneState = "set"
)

// Shot is how the picture was taken; zero values mean "the file does not say".
type Shot struct {
	Orientation   int // Exif 1..8; 0 = not given
	Seconds       float64
	FNumber       float64
	ISO           int
	Bias          *float64 // EV
	Flash         *bool
	FocalLength   float64 // mm
	Lens          string
	ManualWB      bool
	AutoBracket   bool
	Make, Model   string
	Serial        string
	Software      string
	Width, Height int // sensor pixels, unrotated
	Counter       int64
	Rating        int // in-camera: 0 none, 1..5, -1 rejected
	Protected     bool
	SubjectX      int // centre of the subject area in stored pixels; with SubjectGiven
	SubjectY      int
	SubjectGiven  bool
	ColorSpace    string
}

// Preview is one embedded JPEG of one of the frame's files.
type Preview struct {
	File           string // job-relative path
	Role           string // "full", "screen", "thumb"
	Offset, Length int64
	Width, Height  int
	Whole          bool
}

// Problem is a fault of a frame that did not keep it out of the job.
type Problem struct {
	Code string // stable, lower case with dashes
	Text string // a sentence for people, lower case, no final period
}

// ProblemNoPicture is the code of the problem that a frame has of which no
// picture could be made when it was prepared.
const ProblemNoPicture = "no-picture"

// CanBeShown reports whether a picture of the frame could be made when it was
// last prepared; true for one that was not prepared yet.
func (f Frame) CanBeShown() bool {
	for _, p := range f.Problems {
		if p.Code == ProblemNoPicture {
			return false
		}
	}
	return true
}

// Body is one camera.
type Body struct {
	Key          string // "serial:MODEL:…" or "model:MODEL"; never shown
	Letter       string // "A", "B", …; given once and never moved
	Make, Model  string
	Serial       string
	Photographer string
	Offsets      []Offset // in order of From
}

// Offset corrects a body's clock: from the wall-clock moment From on (zero =
// from the start), Add is added to what the clock showed.
type Offset struct {
	From time.Time // on the body's own clock face, in time.UTC
	Add  time.Duration
	Zone *int // minutes east of Greenwich, set by hand; nil = as the files say
}

// Correct returns the stamp with the body's clock offset and zone applied.
func (b Body) Correct(s Stamp) Stamp {
	if !s.Known() {
		return s
	}
	for i := len(b.Offsets) - 1; i >= 0; i-- {
		o := b.Offsets[i]
		if o.From.After(s.Wall) {
			continue
		}
		s.Wall = s.Wall.Add(o.Add)
		if o.Zone != nil {
			s.Zone, s.ZoneIs = *o.Zone, ZoneSet
		}
		break
	}
	return s
}
