package record

import (
	"encoding/json"

	"garner/cull"
	"garner/cull/evidence"
)

// Version is the "v" of every object.
const Version = 1

// Folder is where records lie in a bag; JobFolder where the files of the job do, and
// SmallFolder where the small pictures of frames lie whose originals are not kept.
const (
	Folder      = "data/record"
	JobFolder   = "data/job"
	SmallFolder = "data/small"
)

// The files of a record.
const (
	JobName      = "job.json"
	FramesName   = "frames.jsonl"
	FilesName    = "files.jsonl"
	PicturesName = "pictures.jsonl"
	WroteName    = "wrote.jsonl"
	JournalName  = "journal.txt"
	ThumbsName   = "thumbs.bin"
)

// Job is job.json.
type Job struct {
	V        int     `json:"v"`
	Name     string  `json:"name"`               // of the job's folder
	Run      int     `json:"run"`                // number of the record
	Last     string  `json:"last"`               // time of the journal's last entry, RFC 3339 in UTC; "" = nothing was done
	Frames   int     `json:"frames"`             // lines of frames.jsonl
	Files    int     `json:"files"`              // lines of files.jsonl
	Pictures int     `json:"pictures"`           // lines of pictures.jsonl
	Wrote    int     `json:"wrote"`              // lines of wrote.jsonl
	Bodies   []Body  `json:"bodies"`             // in the order of their letters
	Passes   []Pass  `json:"passes"`             // in the order in which they were made; the first is keep
	Scenes   []Scene `json:"scenes"`             // in order
	Small    int     `json:"small_px,omitempty"` // long edge that small pictures were brought down to; 0 = they are the camera's own
}

// Body is a camera.
type Body struct {
	Key          string   `json:"key"` // what frames call it
	Letter       string   `json:"label"`
	Make         string   `json:"make,omitempty"`
	Model        string   `json:"model,omitempty"`
	Serial       string   `json:"serial,omitempty"`
	Photographer string   `json:"photographer,omitempty"`
	Offsets      []Offset `json:"offsets"`
}

// Offset corrects a body's clock from a moment on.
type Offset struct {
	From    *string `json:"from"` // on the body's own clock; null = from the start
	Seconds float64 `json:"seconds"`
	Zone    *string `json:"zone"` // set by hand; null = as the files say
}

// Pass is a question that was asked.
type Pass struct {
	Name     string `json:"name"`
	Question string `json:"question,omitempty"`
	Of       string `json:"of,omitempty"`     // the pass that lets frames in; left out = all frames
	Answer   string `json:"answer,omitempty"` // the answer there that does
}

// Scene is a stretch of the shoot.
type Scene struct {
	ID    int     `json:"id"`
	Name  string  `json:"name"`
	First cull.ID `json:"first"` // frame
}

// Frame is a line of frames.jsonl.
type Frame struct {
	V          int      `json:"v"`
	ID         cull.ID  `json:"id"`
	Aliases    []string `json:"aliases,omitempty"`
	Name       string   `json:"frame"`
	Raw        string   `json:"raw,omitempty"`
	Kind       string   `json:"kind,omitempty"`
	Body       string   `json:"body,omitempty"` // key of the body
	Time       Time     `json:"time"`           // as the body's clock showed it
	Corrected  Time     `json:"corrected"`
	Order      int      `json:"order"` // from 0
	Moment     int      `json:"moment"`
	MomentKind string   `json:"moment_kind"`
	Series     string   `json:"series,omitempty"`
	Alike      int      `json:"alike,omitempty"`
	Scene      int      `json:"scene"` // id of the scene
	Shot       Shot     `json:"shot"`

	Files    []FrameFile        `json:"files"`
	Small    *Small             `json:"small"` // null = there is none, and none is needed or none could be made
	Why      string             `json:"why,omitempty"`
	Thumb    *Span              `json:"thumb"`
	Answers  map[string]*Answer `json:"answers"`        // by pass; what is open is not there
	Look     []byte             `json:"look,omitempty"` // fingerprints of the picture, see LOOK in the bag's README
	Hash     string             `json:"fingerprint,omitempty"`
	Luma     float64            `json:"luma"`
	Problems []Problem          `json:"problems,omitempty"`
	Measured *evidence.JSON     `json:"measured"` // null = nothing was measured
}

// Time is a capture time.
type Time struct {
	Local  *string `json:"local"` // 2026-06-13T14:02:11.130
	Zone   *string `json:"zone"`  // +02:00
	ZoneIs string  `json:"zone_is"`
}

// Shot is how a picture was taken.
type Shot struct {
	Orientation  int      `json:"orientation,omitempty"` // Exif
	Seconds      float64  `json:"seconds,omitempty"`
	F            float64  `json:"f,omitempty"`
	ISO          int      `json:"iso,omitempty"`
	Bias         *float64 `json:"bias"`
	Flash        *bool    `json:"flash"`
	FocalLength  float64  `json:"focal_length,omitempty"` // mm
	Lens         string   `json:"lens,omitempty"`
	ManualWB     bool     `json:"manual_white_balance,omitempty"`
	AutoBracket  bool     `json:"auto_bracket,omitempty"`
	Make         string   `json:"make,omitempty"`
	Model        string   `json:"model,omitempty"`
	Serial       string   `json:"serial,omitempty"`
	Software     string   `json:"software,omitempty"`
	Width        int      `json:"width,omitempty"` // of the sensor, unrotated
	Height       int      `json:"height,omitempty"`
	Counter      int64    `json:"counter,omitempty"`
	Rating       int      `json:"camera_rating,omitempty"`
	Protected    bool     `json:"protected,omitempty"`
	SubjectX     int      `json:"subject_x,omitempty"` // in stored pixels
	SubjectY     int      `json:"subject_y,omitempty"`
	SubjectGiven bool     `json:"subject_given,omitempty"`
	ColorSpace   string   `json:"color_space,omitempty"`
}

// FrameFile is a file of a frame; files.jsonl says where it lies.
type FrameFile struct {
	Path  string `json:"path"` // in the job
	Raw   string `json:"raw,omitempty"`
	Role  string `json:"role"`
	Kind  string `json:"kind,omitempty"`
	Bytes int64  `json:"bytes"`
	Head  string `json:"head,omitempty"` // SHA-256 of the first 64 KiB
}

// Small is the picture that is kept in place of an original.
type Small struct {
	Path   string `json:"path"` // in the bag
	Of     string `json:"of"`   // the original's path in the job
	Raw    string `json:"raw,omitempty"`
	SHA256 string `json:"sha256"` // of the original
	Bytes  int64  `json:"bytes"`  // of the original
	Width  int    `json:"width"`  // of the picture as it is stored
	Height int    `json:"height"`
}

// Span is a part of thumbs.bin.
type Span struct {
	Offset int64 `json:"offset"`
	Length int64 `json:"length"`
}

// Answer is the standing answer for one frame in one pass.
type Answer struct {
	Answer   string `json:"answer"` // yes, no, part
	Who      string `json:"who,omitempty"`
	At       string `json:"at"` // RFC 3339, UTC
	Shown    bool   `json:"shown"`
	Explicit bool   `json:"explicit"`
}

// Problem is a fault of a frame.
type Problem struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// File is a line of files.jsonl: a file of the job and where it lies in the bag.
type File struct {
	V        int    `json:"v"`
	Path     string `json:"path"` // in the job
	Raw      string `json:"raw,omitempty"`
	Bag      string `json:"bag,omitempty"`   // in the bag; left out = it is not kept, and Why says why not
	Small    string `json:"small,omitempty"` // in the bag: the picture that stands for an original of a dropped frame
	Why      string `json:"why,omitempty"`
	SHA256   string `json:"sha256"`
	Bytes    int64  `json:"bytes"`
	Modified string `json:"modified,omitempty"` // RFC 3339, UTC
	From     string `json:"from,omitempty"`     // where it lay, if that was outside of the job: its settings name it there
	Listed   string `json:"manifest,omitempty"` // SHA-256 that the job's own manifest had for it; left out = it was not in that
}

// Picture is a line of pictures.jsonl: a finished picture, which frames it shows and
// under which names it was delivered.
type Picture struct {
	V         int         `json:"v"`
	Path      string      `json:"path"` // in the job
	Raw       string      `json:"raw,omitempty"`
	Frames    []cull.ID   `json:"frames"` // the lead of a merge first
	Number    int         `json:"number,omitempty"`
	Delivered []Delivered `json:"delivered"`
}

// Wrote is a line of wrote.jsonl: what of a sidecar a handoff wrote, so that a later one
// can tell it from what an editor did.
type Wrote struct {
	V      int             `json:"v"`
	Path   string          `json:"path"` // of the sidecar in the job
	Raw    string          `json:"raw,omitempty"`
	Values json.RawMessage `json:"values"`
}

// Delivered is a file of a set.
type Delivered struct {
	Set  string `json:"set"`
	File string `json:"file"`
}
