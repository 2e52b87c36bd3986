package station

import (
	"image"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// What the job had is read beside the desk: a no that is said meanwhile stands, and
// nothing of faces outlives it.
func TestNoWhileMeasuresAreRead(t *testing.T) {
	dir, burst := facedJob(t)
	yes := job.Consent{Asked: true, Yes: true, Who: "anna"}
	for _, c := range []struct {
		name  string
		said  bool // at this desk, before what was read arrives
		faces job.Consent
	}{{"said here", true, yes}, {"said there", false, job.Consent{Asked: true, Who: "ben"}}} {
		t.Run(c.name, func(t *testing.T) {
			p := sit(t, dir, Options{AsItIs: true})
			p.look()
			p.wait()
			d := p.desk
			if c.said {
				d.AnswerFaces(false)
				p.wait()
			}
			d.measured.reading = true
			d.Take(News{measured: []measuredNews{{of: map[cull.ID]cull.Measures{burst[0]: facesOf(faceAt(.1, .2, .1, cull.EyesOpen, .3))}, faces: c.faces, first: true}}})
			if d.Faces().Yes || d.Faces().Who == "" || c.said != (d.Faces().Who == "anna") {
				t.Errorf("the answer that counts: %+v", d.Faces())
			}
			for id, m := range d.measured.of {
				if m.Faces.Known() {
					t.Errorf("faces of %s are known after a no", id)
				}
			}
		})
	}
}

// A face is followed by what was measured in the files as they are now.
func TestFaceInChangedFiles(t *testing.T) {
	dir, burst := facedJob(t)
	p := sit(t, dir, Options{AsItIs: true})
	p.desk.SetRoom(image.Pt(300, 200), image.Pt(300, 200))
	p.look()
	p.desk.GoTo(burst[0])
	p.press(Face{}, Face{})
	before := p.closeUp()
	p.desk.forget(burst[0]) // as where its files have changed
	p.desk.forgetMeasures(burst[0])
	p.desk.renew()
	if l := p.closeUp(); l.From == fromFace || l.Face != "" {
		t.Errorf("of files whose faces nobody has looked for the loupe shows %q by %q", l.Face, l.From)
	}
	p.desk.Take(News{measured: []measuredNews{{of: map[cull.ID]cull.Measures{burst[0]: facesOf(faceAt(.6, .6, .1, cull.EyesOpen, .3), faceAt(.1, .6, .09, cull.EyesOpen, .3))}}}})
	p.press(Face{})
	if l := p.closeUp(); l.Part == before.Part || !strings.HasPrefix(l.Face, "face 1 of 2") {
		t.Errorf("after they were looked for again: %q at %v", l.Face, l.Part)
	}
}

// A frame that is known by another id by now keeps the face that is looked at.
func TestFaceOfARenamedFrame(t *testing.T) {
	dir, burst := facedJob(t)
	p := sit(t, dir, Options{AsItIs: true})
	p.desk.SetRoom(image.Pt(300, 200), image.Pt(300, 200))
	p.look()
	p.desk.GoTo(burst[0])
	p.press(Face{}, Face{})
	p.closeUp()
	p.desk.rename(burst[0], "another")
	if f := p.desk.loupe.face; f.of != "another" || f.n != 1 {
		t.Errorf("the loupe follows face %d of %s", f.n, f.of)
	}
}

// What is measured meanwhile changes words. The picture stays as it is, and with it
// what can be decided.
func TestWordsDoNotDisarm(t *testing.T) {
	dir, burst := facedJob(t)
	p := sit(t, dir, Options{AsItIs: true})
	p.desk.SetRoom(image.Pt(300, 200), image.Pt(300, 200))
	p.look()
	p.desk.GoTo(burst[0])
	p.press(Face{})
	was := p.look()
	p.desk.Take(News{measured: []measuredNews{{of: map[cull.ID]cull.Measures{burst[0]: facesOf(faceAt(.1, .2, .11, cull.EyesClosed, .05))}}}})
	now := p.desk.Shot()
	if now.Loupe == nil || now.Loupe.Face != "face 1 of 1, eyes closed or lowered (0.05)" || now.ID == was.ID || now.Picture != was.Picture {
		t.Fatalf("the words did not change: %+v", now.Loupe)
	}
	if p.desk.Waiting() {
		t.Error("words have taken away what the picture on the screen lets decide")
	}
	// Another face is another picture.
	p.press(Walk{cull.LadderDown}, Walk{cull.LadderUp})
	p.look()
	p.desk.Do(Face{}, Press{Key: "h", At: p.now})
	if p.desk.Shot().Loupe.Part != now.Loupe.Part && !p.desk.Waiting() {
		t.Error("a face that is not on the screen could be decided by")
	}
}
