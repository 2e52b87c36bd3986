package station

import (
	"fmt"
	"slices"

	"garner/cull"
)

// Face moves the loupe to the next face of the frame, the largest first, or back; it
// opens the loupe where it is closed.
type Face struct{ Back bool }

func (Face) act() {}

// faced is the face that the loupe follows from frame to frame.
type faced struct {
	on bool
	of cull.ID     // the frame that it was seen on last
	n  int         // which of that frame's faces it is; -1 = none was found there
	at cull.Region // where it is there, or was before, in the upright picture
}

// leaveFace lets the loupe show what it would without a face.
func (d *Desk) leaveFace() { d.loupe.face = faced{} }

// stepFace goes from face to face.
func (d *Desk) stepFace(f Face) {
	id := d.session.Cursor()
	if why := d.noFace(id); why != "" {
		d.refuse("%s", why)
		return
	}
	list := d.measured.of[id].Faces.List
	n, same := d.nextFace(id, f.Back)
	if same {
		d.refuse("%s has one face", d.name(id))
		return
	}
	if !d.loupe.on {
		delete(d.loupe.failed, id)
		d.openLoupe(true)
		d.loupe.opened, d.loupe.used = id, true
	}
	d.loupe.panned = false
	d.loupe.face = faced{on: true, of: id, n: n, at: list[n].Region}
	d.version++
	d.settle()
}

// nextFace is the number of the face that the key leads to on a frame that has some;
// same = it is seen already.
func (d *Desk) nextFace(id cull.ID, back bool) (n int, same bool) {
	all := len(d.measured.of[id].Faces.List)
	now, _ := d.faceOf(id)
	switch {
	case !d.loupe.on || d.loupe.panned || !now.on: // back to the one that was left, or to the first
		return min(max(now.n, 0), all-1), false
	case all == 1 && now.n == 0:
		return 0, true
	case back:
		return (max(now.n, 0) - 1 + all) % all, false
	}
	return (now.n + 1) % all, false
}

// nextFacePart is what the key would show; false where there is nothing more.
func (d *Desk) nextFacePart(id cull.ID) (part, bool) {
	list := d.measured.of[id].Faces.List
	s, ok := d.loupe.sights[id]
	if room := d.room(id); ok && len(list) > 0 && room.X > 0 && room.Y > 0 {
		if n, same := d.nextFace(id, false); !same {
			return partAround(aimFace(list[n].Region).turned(d.turns[id]), sizeTurned(s.size, d.turns[id]), room), true
		}
	}
	return part{}, false
}

// nextFaceLook is what the key would show, if it is ready.
func (d *Desk) nextFaceLook() (Shot, bool) {
	id := d.session.Cursor()
	if p, ok := d.nextFacePart(id); ok && d.loupe.on {
		if c, ok := d.closeUps.get(d.closeKey(id, p)); ok {
			return Shot{Frame: id, Answer: d.session.Decision(d.session.CursorPass(), id).Answer, Picture: c.Image, Whole: true}, true
		}
	}
	return Shot{}, false
}

// noFace says why there is no face of a frame to go to; "" = there is one.
func (d *Desk) noFace(id cull.ID) string {
	found := d.measured.of[id].Faces
	switch {
	case id == "":
		return "there is no frame"
	case d.WhyNoFaces() != "" && !found.Known():
		return d.WhyNoFaces()
	case !found.Known():
		return fmt.Sprintf("the faces of %s are not measured yet", d.name(id))
	case len(found.List) == 0:
		return fmt.Sprintf("no face was found on %s", d.name(id))
	}
	return d.NoLoupe()
}

// faceOf is the face that the loupe shows of a frame: along the moment the same one,
// or where none fits the same place; of another moment its largest. False = none.
func (d *Desk) faceOf(id cull.ID) (faced, bool) {
	f := d.loupe.face
	list := d.measured.of[id].Faces.List
	switch {
	case !f.on:
		return f, false
	case id == f.of:
		return f, true
	}
	here, ok1 := d.session.Place(id)
	there, ok2 := d.session.Place(f.of)
	if ok1 && ok2 && here.Moment == there.Moment {
		f.of, f.n = id, d.sameFace(f, id)
		if f.n >= 0 {
			f.at = list[f.n].Region
		}
		return f, true
	}
	if len(list) == 0 {
		return f, false
	}
	return faced{true, id, 0, list[0].Region}, true
}

// sameFace is which of the faces of another frame of the moment is the one that is
// followed; -1 = none.
func (d *Desk) sameFace(f faced, id cull.ID) int {
	if f.n < 0 {
		return -1
	}
	persons := d.compared(id).persons
	if f.n >= len(persons[f.of]) || persons[f.of][f.n] < 0 {
		return -1
	}
	return slices.Index(persons[id], persons[f.of][f.n])
}

// followFace notes where the face is that was followed to the frame under the cursor.
func (d *Desk) followFace() {
	if f, ok := d.faceOf(d.session.Cursor()); ok && f.n >= 0 { // where it is not found it may be found again
		d.loupe.face = f
	}
}

// eyesAt is how far down a face's box the eyes are, about: what is to be seen of a
// face that is larger than the screen.
const eyesAt = 0.4

// aimFace is the place of a face, upright.
func aimFace(r cull.Region) spot { return spot{r.X + r.W/2, r.Y + r.H*eyesAt} }

// faceWords says which face the loupe shows, and what can be said of its eyes.
func (d *Desk) faceWords(id cull.ID) string {
	f, ok := d.faceOf(id)
	list := d.measured.of[id].Faces.List
	switch {
	case !ok || d.loupe.panned:
		return ""
	case f.n < 0 || f.n >= len(list):
		return "no face found here"
	}
	text := fmt.Sprintf("face %d of %d", f.n+1, len(list))
	if eyes := d.eyeWords(id, f.n); eyes != "" {
		text += ", " + eyes
	}
	return text
}

// eyeWords says what can be said of the eyes of a face, with the number that it comes
// from, or why nothing is said.
func (d *Desk) eyeWords(id cull.ID, n int) string {
	f := d.measured.of[id].Faces.List[n]
	along := f.Eyes
	if eyes := d.compared(id).eyes[id]; n < len(eyes) {
		along = eyes[n]
	}
	switch along {
	case cull.EyesOpen:
		return fmt.Sprintf("eyes open (%.2f)", f.Opening)
	case cull.EyesCheck:
		if f.Eyes == cull.EyesOpen {
			return fmt.Sprintf("eyes: look (%.2f, narrower than in the other frames)", f.Opening)
		}
		return fmt.Sprintf("eyes: look (%.2f)", f.Opening)
	case cull.EyesClosed:
		return fmt.Sprintf("eyes closed or lowered (%.2f)", f.Opening)
	case cull.EyesTooSmall:
		return fmt.Sprintf("too small to tell the eyes (%.0f px apart)", f.EyeApart)
	case cull.EyesInProfile:
		return "in profile: the eyes are not told"
	case cull.EyesFaceUncertain:
		return "perhaps no face: the eyes are not told"
	}
	return ""
}
