package scenes

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

func id(i int) cull.ID { return cull.ID(fmt.Sprintf("%016x", 0xabc0000000+i)) }

// testJob has six frames of two bodies in three scenes of two; one is named A=B.
func testJob(t *testing.T) (*job.Job, *cull.Session) {
	t.Helper()
	j, err := job.Open(t.TempDir(), job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	var frames []cull.Frame
	var l cull.Layout
	for i := range 6 {
		name := fmt.Sprintf("%c/F=%d", 'A'+i%2, i)
		frames = append(frames, cull.Frame{ID: id(i), Name: name, Body: fmt.Sprint("body ", i%2), Files: []cull.File{{Path: name + ".DNG", Role: cull.RoleMain}}})
		p := cull.Place{Frame: id(i), Moment: i, Kind: cull.Single, Scene: i / 2}
		if i > 1 { // the first two have no time
			p.Corrected.Wall = time.Date(2026, 6, 13, 12+i, 0, 0, 0, time.UTC)
		}
		if l.Places = append(l.Places, p); i%2 == 0 {
			l.Scenes = append(l.Scenes, cull.Scene{ID: i / 2, Name: cull.SceneNumber(i / 2), First: id(i)})
		}
	}
	if err := errors.Join(j.SaveFrames(frames), j.SaveLayout(l)); err != nil {
		t.Fatal(err)
	}
	if _, err := j.Append(job.Letter("body 0", "A"), job.Letter("body 1", "B")); err != nil {
		t.Fatal(err)
	}
	s, err := j.Session()
	if err != nil {
		t.Fatal(err)
	}
	return j, s
}

func TestApply(t *testing.T) {
	for _, tc := range []struct {
		name    string
		changes []Change
		want    string // names of the scenes with the number of their frames
		err     string // part of it
	}{
		{"by number", []Change{{Name, "2=Church"}}, "01 2, Church 2, 03 2", ""},
		{"by a frame with =", []Change{{Name, "A/F=4=Cake = 3"}}, "01 2, 02 2, Cake = 3 2", ""},
		{"by its last part", []Change{{Name, "F=4=Cake"}}, "01 2, 02 2, Cake 2", ""},
		{"by id", []Change{{Name, "#" + string(id(3)) + "=Cake"}}, "01 2, Cake 2, 03 2", ""},
		{"by name, and again", []Change{{Name, "2=Church"}, {Name, "church= Rings "}, {Name, "2=Rings"}}, "01 2, Rings 2, 03 2", ""},
		{"taken back", []Change{{Name, "2=Church"}, {Name, "Church="}}, "01 2, 02 2, 03 2", ""},
		{"two of one name", []Change{{Name, "2=Church"}, {Name, "3=Church"}, {Join, "Church"}}, "01 2, Church 2, Church 2", "2 scenes are named Church"},
		{"begin and join", []Change{{Begin, "B/F=3"}, {Join, "4"}, {Join, "B/F=3"}}, "01 2, 02 4", ""},
		{"the first", []Change{{Join, "1"}}, "01 2, 02 2, 03 2", "the first scene of the job begins with its first moment"},
		{"no number", []Change{{Join, "12"}}, "01 2, 02 2, 03 2", "there is no scene 12; the job has 3"},
		{"nothing", []Change{{Name, "Nave=Church"}}, "01 2, 02 2, 03 2", "and no scene has that name or number"},
		{"no =", []Change{{Name, "Church"}}, "01 2, 02 2, 03 2", "SCENE=NAME or FRAME=NAME"},
		{"what acts on a terminal", []Change{{Name, "2=\x1b[2J"}}, "01 2, 02 2, 03 2", "can't be shown"},
		{"no frame", []Change{{Begin, "2"}}, "01 2, 02 2, 03 2", "no such frame"},
		{"what was done before an error stands", []Change{{Begin, "B/F=3"}, {Join, "9"}}, "01 2, 02 1, 03 1, 04 2", "there is no scene 9"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			j, s := testJob(t)
			done, err := Apply(j, s, tc.changes, time.Now, "anna")
			if (err == nil) != (tc.err == "") || err != nil && !strings.Contains(err.Error(), tc.err) {
				t.Fatalf("%v", err)
			}
			for _, d := range done {
				if !strings.Contains(d.Text, ": ") {
					t.Errorf("%+v", d)
				}
			}
			l, err := j.Load() // not from s: what is durable counts
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, r := range List(l) {
				got = append(got, fmt.Sprint(r.Name, " ", r.Frames))
			}
			if text := strings.Join(got, ", "); text != tc.want {
				t.Errorf("%s, want %s", text, tc.want)
			}
		})
	}
}

func TestList(t *testing.T) {
	j, s := testJob(t)
	e, err := s.Plan(cull.Decide{Pass: cull.KeepPass, Frames: []cull.ID{id(2)}, Answer: cull.Part}, time.Now(), "anna")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := j.Append(e); err != nil {
		t.Fatal(err)
	}
	l, err := j.Load()
	if err != nil {
		t.Fatal(err)
	}
	rows := List(l)
	if r := rows[0]; !r.From.IsZero() || r.Open != 2 || r.Named {
		t.Errorf("%+v", r)
	}
	if r := rows[1]; r.From.Hour() != 14 || r.Until.Hour() != 15 || r.Kept != 0 || // material for a merge is no picture more
		r.Open != 1 || strings.Join(r.Bodies, "") != "AB" {
		t.Errorf("%+v", r)
	}
}
