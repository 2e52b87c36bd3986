package cull

// The methods that measure now, with the names under which their results are kept
// and given out. One that measures differently takes the next number: what was kept
// under the old one is then measured again.
const (
	FocusMethod uint8 = 1
	LightMethod uint8 = 1
	FacesMethod uint8 = 1

	FocusMethodName = "focus-1"
	LightMethodName = "light-1"
	FacesMethodName = "faces-1"
)

// Region is a part of an upright picture, in shares of its width and height, so
// that it means the same in renditions of every size.
type Region struct{ X, Y, W, H float64 }

// Sharpness is how sharp a part of a picture is, measured on the single pixels of
// the largest embedded JPEG. Only parts that show the same thing can be compared
// by Energy; Edge means the same everywhere.
type Sharpness struct {
	Energy float64 // gradient energy less what noise has of it, relative to brightness; of no unit, more is sharper
	Edge   float64 // blur of the strongest edges in all directions, in pixels of the JPEG; 0 = there is no edge
	Blur   float64 // the same in the directions in which they are blurriest: motion blurs in one alone
	Noise  float64 // standard deviation of the noise, in code values of 0..255
	Pixels int     // short side of the part in pixels of the JPEG; 0 = nothing was measured
}

// Known reports whether anything was measured.
func (s Sharpness) Known() bool { return s.Pixels > 0 }

// SpotBy says why sharpness was measured at a place.
type SpotBy uint8

// The reasons: the camera noted its subject there, or nothing better is known
// and the part has the finest structure of its region.
const (
	BySubject SpotBy = iota + 1
	ByTile
)

// Spot is a place where sharpness was measured.
type Spot struct {
	Region
	By SpotBy
	Sharpness
}

// MaxSpots and MaxFaces bound what is kept of a frame.
const (
	MaxSpots = 12
	MaxFaces = 64
)

// Focus is where and how sharp a frame is. The faces have their own.
type Focus struct {
	Method        uint8 // how it was measured; 0 = it was not
	Width, Height int   // upright pixels of the JPEG that was measured
	Small         bool  // the JPEG is so much smaller than the sensor's picture that it hides faults of focus
	Spots         []Spot
}

// Known reports whether the frame was measured.
func (f Focus) Known() bool { return f.Method != 0 }

// Light is how much of a picture is clipped. The picture is the camera's rendition:
// the raw usually has more room.
type Light struct {
	Method     uint8   // 0 = not measured
	Highlights float64 // share of the pixels in which every channel is clipped
	AnyHigh    float64 // share in which one channel is
	Shadows    float64 // share of the pixels that are as good as black
}

// Known reports whether the frame was measured.
func (l Light) Known() bool { return l.Method != 0 }

// Eyes says what can be said of the eyes of a face.
type Eyes uint8

// Closed eyes and eyes that look down are one state: a lid tells no more. The last
// three say why nothing is said.
const (
	EyesUnknown Eyes = iota // not measured
	EyesOpen
	EyesCheck         // narrow: worth a look
	EyesClosed        // closed or lowered
	EyesTooSmall      // fewer pixels than an answer needs
	EyesInProfile     // one of them is turned away
	EyesFaceUncertain // it may be no face
)

// Face is a face in a picture, without anything that tells whose it is.
type Face struct {
	Region
	Score    float64 // of the detection, 0..1
	Presence float64 // how sure the mesh is of a face, 0..1
	Eyes     Eyes
	Opening  float64 // lid opening by eye width, of the narrower eye; meaningful with EyesOpen, EyesCheck, EyesClosed
	EyeApart float64 // distance of the eyes in pixels of the JPEG
	Sharpness
	Luma    float64 // mean coded luma of the inner face, 0..1
	Clipped float64 // share of the inner face with red clipped
}

// Faces are the faces of a frame, the largest first.
type Faces struct {
	Method        uint8 // 0 = nobody looked
	Width, Height int   // upright pixels of the JPEG that was measured
	List          []Face
}

// Known reports whether the frame was looked at.
func (f Faces) Known() bool { return f.Method != 0 }

// Measures is all that was measured of a frame to help the eye.
type Measures struct {
	Focus Focus
	Light Light
	Faces Faces
}
