package returned

import (
	"time"

	"garner/cull"
)

// Picture is what tying needs to know of a picture that came back. What it does not
// say is empty.
type Picture struct {
	Path string // in the job, "/"-separated: "finished/day/IMG_0001-2.jpg"
	Size int64
	Mod  time.Time
	Head string // lower-case hex SHA-256 of its first 64 KiB

	Format        string // "JPEG", "TIFF", "PNG"
	Width, Height int    // as seen
	Grey          bool   // it has no colours, or holds none

	HasProfile   bool
	Profile      string // what its ICC profile calls itself
	ProfileFault string // why the one that is there cannot be used
	ColorSpace   string // what it says besides a profile
	Remarks      []string

	Taken               cull.Stamp
	Make, Model, Serial string
	Documents           []string   // ids of itself and of what it was derived from
	Ingredients         [][]string // ids of each document that it was put together of
	Sources             []string   // names of files that it says it comes from

	Look  cull.Look
	Likes []Like // nearest first; empty = it was not compared
	Close Close

	Said  bool      // a person said what it shows
	Shows []cull.ID // that; empty = none of the frames
}

// Like is how far a picture looks from being a crop of a frame.
type Like struct {
	Frame cull.ID
	Bits  float64 // of 64, on the mean; 32 = nothing in common
	Share float64 // of the frame's width and height that the crop has, the greater
}

// Close is what a closer look at the frames that a picture may show has found. The zero
// value is that nobody looked.
type Close struct {
	Method int
	Among  []cull.ID // the frames, those that it fits on best first
	Shows  cull.ID   // fits better than any other wherever they differ; "" = none does
}

// Frame is what tying needs to know of a frame.
type Frame struct {
	ID     cull.ID
	Name   string
	Files  []string // paths of all files but sidecars and voice notes
	Letter string   // of its body

	Taken, Corrected    cull.Stamp
	Make, Model, Serial string
	Counter             int64
	Documents           []string // ids in its sidecars

	Width, Height int  // as seen, of the sensor; 0 = unknown
	Looked        bool // it was compared with the pictures

	Answer cull.Answer // in the pass keep
	Moment int         // index of the layout
	Series bool        // its moment is one
	Alike  int         // its set of look-alikes; 0 = none
	Place  int         // in the layout
}
