package job_test

import (
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// What is read in one go is what is read piece by piece.
func TestLoad(t *testing.T) {
	j := sample(t, 24)
	must(t, j.SaveBodies([]cull.Body{{Key: "serial:Camera Six:0120", Make: "Maker", Model: "Camera Six", Serial: "0120"}, {Key: "model:Other", Model: "Other"}}))
	_, err := j.Append(job.Letter("serial:Camera Six:0120", "A"))
	must(t, err)
	s := session(t, j)
	for i := range 9 {
		_, err := do(t, j, s, cull.Decide{Pass: cull.KeepPass, Frames: []cull.ID{frameID(i)}, Answer: []cull.Answer{cull.Yes, cull.No}[i%2], Shown: true})
		must(t, err)
	}
	for _, a := range []cull.Action{cull.NameScene{Frame: frameID(3), Name: "Churc"}, cull.NameScene{Frame: frameID(12), Name: "Dance"}, cull.NameScene{Frame: frameID(3), Name: "Church"}} {
		_, err := do(t, j, s, a)
		must(t, err)
	}
	renamed := sampleFrame(0)
	renamed.ID, renamed.Aliases = "00000000000000aa", []cull.ID{frameID(0)}
	must(t, j.SaveFrames([]cull.Frame{renamed}))
	l := sampleLayout(24)
	l.Places[0].Frame = renamed.ID
	must(t, j.SaveLayout(l))

	got, err := j.Load()
	must(t, err)
	frames, err := j.Frames()
	must(t, err)
	bodies, err := j.Bodies()
	must(t, err)
	aliases, err := j.Aliases()
	must(t, err)
	s = session(t, j)
	same(t, "frames", frames, got.Frames)
	same(t, "bodies", bodies, got.Bodies)
	same(t, "aliases", aliases, got.Aliases)
	same(t, "layout", s.Layout(), got.Session.Layout())
	same(t, "decisions", s.Decisions(cull.KeepPass), got.Session.Decisions(cull.KeepPass))
	if got.Session.LastSeq() != s.LastSeq() || len(got.Aliases) != 1 || got.Session.Decision(cull.KeepPass, renamed.ID).Answer != cull.Yes {
		t.Errorf("last entry %d, aliases %v", got.Session.LastSeq(), got.Aliases)
	}
	if got.Session.Name(renamed.ID) != renamed.Name {
		t.Errorf("the session knows it as %q", got.Session.Name(renamed.ID))
	}
	same(t, "scene names", map[cull.ID]string{renamed.ID: "Church", frameID(12): "Dance"}, got.Session.SceneNames())

	some, err := j.FramesOf(frameID(7), frameID(0), "ffffffffffffffff", frameID(7))
	must(t, err)
	same(t, "some", map[cull.ID]cull.Frame{frameID(7): frames[frameID(7)], renamed.ID: frames[renamed.ID]}, some)
}

func TestScannedInPart(t *testing.T) {
	j := sample(t, 3)
	for _, whole := range []bool{false, false, true, true} {
		must(t, j.SetScanned(whole))
		again := open(t, j.Root())
		if again.NeedsScan() == whole {
			t.Errorf("whole %v: needs a scan %v", whole, again.NeedsScan())
		}
	}
}
