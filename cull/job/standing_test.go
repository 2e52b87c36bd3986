package job_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// Status finds the missing card by names and corrected times, knows the films that
// took numbers, and tells which destinations are there.
func TestStatusOfCards(t *testing.T) {
	j := open(t, t.TempDir())
	var frames []cull.Frame
	for i := range 60 {
		f := sampleFrame(i)
		f.Aliases = nil
		if i >= 30 {
			name := fmt.Sprintf("A2/IMG_%04d", i+152)
			f.Name, f.Files[0].Path, f.Taken.Wall = name, name+".CR3", f.Taken.Wall.Add(time.Hour)
		}
		frames = append(frames, f)
	}
	must(t, j.SaveFrames(frames))
	must(t, j.SaveBodies([]cull.Body{{Key: frames[0].Body, Model: "Six", Serial: "0120"}}))
	_, err := j.Append(job.Letter(frames[0].Body, "A"), job.SetOffset(frames[0].Body, cull.Offset{Add: -30 * time.Minute}))
	must(t, err)
	var films []job.Other
	for i := range 40 {
		films = append(films, job.Other{Path: fmt.Sprintf("A/MVI_%04d.MP4", 40+i)})
	}
	must(t, j.SaveOthers(append(films, job.Other{Path: "notes/IMG_0100.txt"})))
	also := destination(t)
	must(t, j.SaveCard(sampleCard(j.Root(), also, "/nowhere/else")))
	must(t, j.SetDamaged("A/IMG_0002.CR3"))
	s, err := j.Status()
	must(t, err)
	var alarms []string
	for _, a := range s.Alarms {
		alarms = append(alarms, a.Text())
	}
	want := "body A: 112 numbers are missing, IMG_0030 to IMG_0181, between 13:32 and 14:32: is there another card?"
	if strings.Join(alarms, "\n") != want || s.FewMissing != 0 {
		t.Errorf("%q, %d", alarms, s.FewMissing)
	}
	same(t, "destinations", []job.AlsoPlace{{Path: also, Reachable: true}, {Path: "/nowhere/else"}}, s.Also)
	same(t, "damaged", []string{"A/IMG_0002.CR3"}, s.Damaged)
	if len(s.Cards) != 1 || s.Cards[0].Label != "EOS_DIGITAL" {
		t.Errorf("%+v", s.Cards)
	}
}
