package station

import (
	"fmt"

	"garner/cull"
	"garner/cull/evidence"
)

// Mark is something that the measurements say of a frame, in words, and in ever less
// room.
type Mark struct {
	Forms []string
	Look  bool // it is a reason to look closer
}

// The signs that stand for a mark where there is no room for words.
const (
	signSharpest = "^"
	signSoft     = "~"
	signEyes     = "x"
)

// marksOf says what is marked at a frame.
func (d *Desk) marksOf(id cull.ID) []Mark {
	if d.o.Evidence.NoMarks || len(d.measured.of) == 0 {
		return nil
	}
	return marksFor(d.sees(id))
}

func marksFor(r evidence.Rung) []Mark {
	var marks []Mark
	switch {
	case r.Sharpest:
		marks = append(marks, Mark{Forms: []string{"sharpest", signSharpest}})
	case r.Soft:
		marks = append(marks, Mark{Forms: []string{"soft", signSoft}, Look: true})
	}
	switch e := r.Eyes; {
	case e.Closed > 0:
		n := fmt.Sprint(e.Closed)
		marks = append(marks, Mark{Forms: []string{"eyes closed " + n, "closed " + n, signEyes + n}, Look: true})
	case e.Check > 0:
		marks = append(marks, Mark{Forms: []string{"eyes: look", "eyes?", signEyes + "?"}, Look: true})
	}
	return marks
}

// MarksHere returns the marks of the frame under the cursor.
func (d *Desk) MarksHere() []Mark { return d.marksOf(d.session.Cursor()) }

// MarkLegend explains the signs, in a sentence.
func MarkLegend() string {
	return signSharpest + " sharpest of its burst   " + signSoft + " soft   " + signEyes + "2 two faces with eyes closed or lowered   " + signEyes + "? eyes: look"
}
