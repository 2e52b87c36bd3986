package recall

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	stdjpeg "image/jpeg"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
	"garner/cull/recall/faces"
	"garner/testdata/testjob"
	"garner/testdata/testneed"
)

// told is a looker that knows what is in files by their names, and notes which it was
// shown.
type told struct {
	shows map[string][]float32 // by a part of the path: what faces are like
	wrong map[string]error
	shown []string
}

func (l *told) Look(_ context.Context, path string, describe bool) ([]faces.Face, error) {
	l.shown = append(l.shown, filepath.Base(path))
	for part, err := range l.wrong {
		if strings.Contains(path, part) {
			return nil, err
		}
	}
	var list []faces.Face
	for part, values := range l.shows {
		for i, v := range values {
			if strings.Contains(path, part) {
				list = append(list, faces.Face{At: cull.Region{X: float64(i) / 10, W: 0.1, H: 0.1}, About: &people.Template{0: v}})
			}
		}
	}
	return list, nil
}

// who searches places for the face that is 1.
func who(t *testing.T, l *Library, q Query, eye *told) ([]string, FaceFound) {
	t.Helper()
	s, err := l.FaceSearch(t.Context(), q)
	must(t, err)
	if eye != nil {
		s.reader = oneByOne{eye, make(chan bool, 1)}
	}
	f, err := s.Find(t.Context(), &people.Template{0: 1}, nil)
	must(t, err)
	out := []string{}
	for _, h := range f.Hits {
		out = append(out, fmt.Sprintf("%s %s %.2f", h.Name, h.Best.Kind, h.Face.Distance))
	}
	return out, f
}

// oneByOne lets nobody look beside another.
type oneByOne struct {
	*told
	free chan bool
}

func (o oneByOne) Look(ctx context.Context, path string, describe bool) ([]faces.Face, error) {
	o.free <- true
	defer func() { <-o.free }()
	return o.told.Look(ctx, path, describe)
}

// Of a bag every frame that the query leaves is looked at, on the best of its files that
// can be read.
func TestFaceInABag(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "0613")
	wedding(t, dir, "Job 0613", 1).write()
	l := open(t, Options{}, dir)
	before := tree(t, dir)
	broken := errors.New("not a picture")
	eye := &told{
		shows: map[string][]float32{"A/IMG_0001": {5, 1.58}, "A/IMG_0412": {0.6, 1.1}, "B/IMG_4123": {1.54}, "Braut.tif": {9}, "A/Gro": {1.7}},
		wrong: map[string]error{"A/IMG_0002.JPG": broken, "B/IMG_0001.CR3": broken, "A/none": broken},
	}
	got, f := who(t, l, Query{}, eye)
	if want := []string{"A/IMG_0412 original 0.10", "B/IMG_4123 original 0.54", "A/IMG_0001 original 0.58"}; !slices.Equal(got, want) || f.Total != 3 {
		t.Errorf("%q, %d of them", got, f.Total)
	}
	if at := f.Hits[0].Face.At; at != (cull.Region{X: 0.1, W: 0.1, H: 0.1}) {
		t.Errorf("the nearest face is at %v", at)
	}
	if len(f.Unseen) != 1 || f.Unseen[0].Hit.Name != "A/none" || !errors.Is(f.Unseen[0].Err, broken) {
		t.Errorf("not looked at: %+v", f.Unseen)
	}
	if !slices.Contains(eye.shown, "IMG_0002.CR3.jpg") || slices.Contains(eye.shown, "0012-Braut.jpg") {
		t.Errorf("where a file cannot be read the next is, and only then: %q", eye.shown)
	}
	eye.shown = nil
	if got, f := who(t, l, Query{Scene: "kirche", Most: 1}, eye); !slices.Equal(got, []string{"A/IMG_0412 original 0.10"}) || f.Total != 2 || len(eye.shown) != 5 {
		t.Errorf("in the church: %q, %d of them, shown %q", got, f.Total, eye.shown)
	}
	if !slices.Equal(before, tree(t, dir)) {
		t.Error("the bag was written to")
	}
	for _, wrong := range []error{faces.ErrNetworks, context.Canceled} {
		s, err := l.FaceSearch(t.Context(), Query{})
		must(t, err)
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		if wrong == context.Canceled {
			cancel()
		}
		s.reader = &told{wrong: map[string]error{"": fmt.Errorf("all: %w", wrong)}}
		if _, err := s.Find(ctx, &people.Template{}, nil); !errors.Is(err, wrong) {
			t.Errorf("%v, want %v", err, wrong)
		}
	}
}

// Where the journal of a bag says no, none of its frames is looked at, in whatever place
// else they are.
func TestFaceRefused(t *testing.T) {
	dir := t.TempDir()
	entry := func(seq uint64, kind, answer string) string {
		return cull.FormatEntry(cull.Entry{Seq: seq, At: weddingDay.Add(time.Duration(seq) * time.Hour), Who: "anna", Verb: cull.VerbCorrect, Args: []string{kind, answer}}) + "\n"
	}
	for name, journal := range map[string]string{
		"former": entry(1, "faces", "yes") + entry(2, "people", "yes"),
		"later":  entry(1, "faces", "yes") + entry(2, "people", "yes") + entry(3, "people", "no"),
	} {
		b := wedding(t, filepath.Join(dir, name), "Job 0613", 1)
		b.content.Journal = []byte(journal)
		b.write()
	}
	wedding(t, filepath.Join(dir, "other"), "Job 0714", 101).write()
	eye := &told{shows: map[string][]float32{"IMG_0412": {1}}}
	if got, f := who(t, open(t, Options{}, filepath.Join(dir, "former")), Query{}, eye); len(got) != 1 || len(f.Refused) > 0 {
		t.Errorf("with the bag that said yes alone: %q, %v", got, f.Refused)
	}
	l := open(t, Options{}, dir)
	got, f := who(t, l, Query{}, eye)
	if len(got) != 1 || f.Hits[0].Job != "Job 0714" || len(f.Refused) != 1 || filepath.Base(f.Refused[0].Dir) != "later" || !errors.Is(f.Refused[0].Err, ErrSaidNo) {
		t.Errorf("%q, %v", got, f.Refused)
	}
	must(t, os.Remove(filepath.Join(dir, "other", "data", "record", "0001", "journal.txt")))
	if got, f := who(t, l, Query{}, eye); len(got) != 0 || len(f.Refused) != 2 {
		t.Errorf("without a journal that says what was said: %q, %v", got, f.Refused)
	}
}

// A job is searched where it says yes; what it has templates of is not looked at again.
func TestFaceInAJob(t *testing.T) {
	dir := testjob.Demo(t, 24, true)
	refused := func(want error) {
		t.Helper()
		s, err := open(t, Options{}, dir).FaceSearch(t.Context(), Query{})
		if err != nil || s.Frames != 0 || len(s.Refused) != 1 || !errors.Is(s.Refused[0].Err, want) {
			t.Errorf("%+v, %v, want %v", s, err, want)
		}
	}
	refused(ErrNobody)
	j, err := job.Open(dir, job.Options{Who: "anna"})
	must(t, err)
	defer j.Close()
	layout, err := j.Layout()
	must(t, err)
	frames, err := j.Frames()
	must(t, err)
	must(t, j.SetFaces(true))
	refused(ErrNobody)
	must(t, j.SetPeople(true))
	store := people.Open(j)
	put := func(i int, v float32) {
		f := people.Face{Region: cull.Region{X: 0.25, Y: 0.25, W: 0.25, H: 0.25}}
		f.Template[0] = v
		must(t, store.Put(people.Found{Frame: layout.Places[i].Frame, Faces: []people.Face{f}}))
	}
	put(2, 1.25)
	put(5, 3)
	put(7, 1.5)
	name := func(i int) string { return frames[layout.Places[i].Frame].Name }
	eye := &told{shows: map[string][]float32{filepath.Base(frames[layout.Places[9].Frame].Files[0].Path): {1.375}, filepath.Base(frames[layout.Places[5].Frame].Files[0].Path): {1}}}
	got, f := who(t, open(t, Options{}, dir), Query{}, eye)
	if want := []string{name(2) + " original 0.25", name(9) + " original 0.38", name(7) + " original 0.50"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if len(eye.shown) != len(layout.Places)-3 || f.Hits[0].Face.At.X != 0.25 {
		t.Errorf("%d of %d were looked at; %+v", len(eye.shown), len(layout.Places), f.Hits[0].Face)
	}
	must(t, j.SetPeople(false))
	refused(ErrSaidNo)
}

// The sheet of portraits that comes with dlib (boost software licence) shows four people
// six times each: its example links faces below 0.6 and "will correctly indicate that
// there are 4 people in the image" (dnn_face_recognition_ex.cpp). Here each portrait is a
// frame of a bag, coded anew, and every third is asked for as it is on the sheet. Asked for
// all 24 found 134 frames as alike and 7 as maybe, of 144, and nobody else.
func TestFacesOfFourPeople(t *testing.T) {
	m, err := stdjpeg.Decode(bytes.NewReader(testneed.Photo(t, "dlib/bald_guys.jpg", "e0c40697dbd9a07684274f71760bc5161468e926ba75ff90d48b168019402e8b")))
	must(t, err)
	dir := t.TempDir()
	write := func(path string, m image.Image) string {
		var b bytes.Buffer
		must(t, stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 90}))
		must(t, os.MkdirAll(filepath.Dir(path), 0o777))
		must(t, os.WriteFile(path, b.Bytes(), 0o666))
		return path
	}
	list, err := faces.NewReader().Look(t.Context(), write(filepath.Join(dir, "sheet.jpg"), m), true)
	must(t, err)
	bag := invent(t, filepath.Join(dir, "bag"), "Job 0613")
	person := map[cull.ID]int{}
	of := make([]int, len(list))
	for i, f := range list {
		w, h := float64(m.Bounds().Dx()), float64(m.Bounds().Dy())
		part := m.(*image.YCbCr).SubImage(image.Rect(int((f.At.X-f.At.W/3)*w), int((f.At.Y-f.At.H/2)*h), int((f.At.X+f.At.W*4/3)*w), int((f.At.Y+f.At.H*4/3)*h)))
		k := known(i+1, fmt.Sprintf("A/IMG_%04d", i), weddingDay.Add(time.Duration(i)*time.Minute))
		k.Answers["keep"] = cull.Decision{Answer: cull.No}
		bag.add(k)
		write(filepath.Join(bag.dir, "data", "small", k.Frame.Files[0].Path+".jpg"), part)
		of[i] = i
		for k := range i {
			if people.Distance(f.About, list[k].About) < 0.6 {
				for n, from, to := 0, max(of[i], of[k]), min(of[i], of[k]); n <= i; n++ {
					if of[n] == from {
						of[n] = to
					}
				}
			}
		}
	}
	bag.write()
	times := map[int]int{}
	for i, who := range of {
		person[cull.ID(fmt.Sprintf("%016x", i+1))] = who
		times[who]++
	}
	if len(times) != 4 || slices.Max(slices.Collect(maps.Values(times))) != 6 {
		t.Fatalf("the links make %v", times)
	}
	l := open(t, Options{}, bag.dir)
	var right, wrong [2]int // alike, and maybe
	for i := 0; i < len(list); i += 3 {
		s, err := l.FaceSearch(t.Context(), Query{})
		must(t, err)
		f, err := s.Find(t.Context(), list[i].About, nil)
		must(t, err)
		for _, h := range f.Hits {
			sure := 0
			if h.Face.Distance > people.Cut {
				sure = 1
			}
			if person[h.Frame] == of[i] {
				right[sure]++
			} else {
				wrong[sure]++
			}
		}
		if len(f.Hits) == 0 || person[f.Hits[0].Frame] != of[i] || len(f.Unseen) > 0 {
			t.Errorf("portrait %d: %+v", i, f)
		}
	}
	t.Logf("8 portraits asked for, 48 frames show the one meant: %d found as alike and %d as maybe; of others %d and %d", right[0], right[1], wrong[0], wrong[1])
	if right[0] < 42 || right[0]+right[1] < 45 || wrong[0] > 0 || wrong[1] > 2 {
		t.Error("that is worse than it was")
	}
}
