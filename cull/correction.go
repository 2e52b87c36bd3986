package cull

// CorrectionKind says what a person changed about the groups.
type CorrectionKind string

// The kinds of Correction. The words stand in the journal after "correct".
const (
	JoinMoment CorrectionKind = "join"   // Frames are one moment
	JoinSeries CorrectionKind = "series" // Frames are one moment, material for one picture
	SplitAt    CorrectionKind = "split"  // Frames and Others are in different moments
	TakeOut    CorrectionKind = "out"    // each of Frames is a moment by itself
	LetGo      CorrectionKind = "apart"  // no two moments of Frames are look-alikes
	BeginScene CorrectionKind = "scene-begins"
	JoinScene  CorrectionKind = "scene-goes-on" // no scene begins with the moment of Frames[0]
)

// Correction is a grouping by hand. Frames are all the frames meant when the key
// was pressed, so that grouping anew changes nothing about it; a frame that came
// later goes with the one of its automatic moment that it follows. Of several
// corrections the later one holds.
type Correction struct {
	Kind   CorrectionKind
	Frames []ID
	Others []ID // for SplitAt: those from the place of the split on
}
