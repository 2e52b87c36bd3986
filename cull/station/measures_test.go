package station

import (
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/evidence"
)

// face is one at a place of the upright picture, as wide as high in a picture of 3:2.
func faceAt(x, y, size float64, eyes cull.Eyes, opening float64) cull.Face {
	return cull.Face{Region: cull.Region{X: x, Y: y, W: size, H: size * 1.5}, Score: 0.9, Presence: 1, Eyes: eyes, Opening: opening, EyeApart: 60}
}

// keepMeasures keeps what was measured of frames in the job, as preparation would.
func keepMeasures(t testing.TB, dir string, of map[cull.ID]cull.Measures) {
	t.Helper()
	j := openJob(t, dir)
	defer j.Close()
	if err := j.SetFaces(true); err != nil {
		t.Fatal(err)
	}
	if err := j.SaveMeasures(of); err != nil {
		t.Fatal(err)
	}
}

// burstOf finds the first burst of at least n frames in the job's layout.
func burstOf(t testing.TB, dir string, n int) []cull.ID {
	t.Helper()
	j := openJob(t, dir)
	defer j.Close()
	l, err := j.Layout()
	if err != nil {
		t.Fatal(err)
	}
	var ids []cull.ID
	for i, p := range l.Places {
		if i > 0 && p.Moment != l.Places[i-1].Moment {
			if len(ids) >= n {
				return ids
			}
			ids = nil
		}
		ids = append(ids, p.Frame)
	}
	t.Fatalf("no burst of %d", n)
	return nil
}

func facesOf(list ...cull.Face) cull.Measures {
	return cull.Measures{Faces: cull.Faces{Method: 1, Width: 1620, Height: 1080, List: list}}
}

// faced is a job with three people on its burst: the camera moves a little from frame
// to frame, and the order by size changes.
func facedJob(t testing.TB) (dir string, burst []cull.ID) {
	dir = shoot(t, true)
	burst = burstOf(t, dir, 3)
	keepMeasures(t, dir, map[cull.ID]cull.Measures{
		burst[0]: facesOf(faceAt(.1, .2, .11, cull.EyesOpen, .28), faceAt(.4, .25, .10, cull.EyesOpen, .3), faceAt(.7, .2, .09, cull.EyesTooSmall, .2)),
		burst[1]: facesOf(faceAt(.43, .26, .112, cull.EyesClosed, .07), faceAt(.13, .21, .11, cull.EyesOpen, .27), faceAt(.73, .2, .09, cull.EyesInProfile, .2)),
		burst[2]: facesOf(faceAt(.16, .22, .11, cull.EyesCheck, .12)),
	})
	return dir, burst
}

// closeUp is the loupe's part after all is there.
func (p *person) closeUp() LoupePart {
	p.t.Helper()
	s := p.look()
	if s.Loupe == nil {
		p.t.Fatalf("the loupe is not open: %q", p.desk.Notice().Text)
	}
	if !s.Whole {
		p.t.Fatal("its pixels are not there")
	}
	return *s.Loupe
}

func TestLoupeFollowsAFace(t *testing.T) {
	dir, burst := facedJob(t)
	p := sit(t, dir, Options{AsItIs: true})
	p.desk.SetRoom(image.Pt(300, 200), image.Pt(300, 200))
	p.look()
	p.desk.GoTo(burst[0])
	seen := func(want string, x, y float64) {
		t.Helper()
		l := p.closeUp()
		if l.Face != want || l.From != "face" {
			t.Errorf("the loupe shows %q by %q, want %q", l.Face, l.From, want)
		}
		// What it is pointed at lies in the part, in the middle but at an edge.
		at := image.Pt(int(x*float64(l.Size.X)), int(y*float64(l.Size.Y)))
		middle := l.Part.Min.Add(l.Part.Size().Div(2))
		if d := at.Sub(middle); !at.In(l.Part) || l.Part.Min.X > 0 && l.Part.Max.X < l.Size.X && (d.X < -2 || d.X > 2) {
			t.Errorf("%q: %v is not in the middle of %v", want, at, l.Part)
		}
	}
	p.press(Face{})
	seen("face 1 of 3, eyes open (0.28)", .155, .2+.4*.165)
	p.press(Face{})
	seen("face 2 of 3, eyes open (0.30)", .45, .25+.4*.15)
	p.press(Walk{cull.LadderDown})
	seen("face 1 of 3, eyes closed or lowered (0.07)", .43+.056, .26+.4*.168) // the same person, now the largest
	p.press(Walk{cull.LadderDown})
	seen("no face found here", .43+.056, .26+.4*.168) // the same place
	p.press(Walk{cull.LadderUp}, Face{})
	seen("face 2 of 3, eyes open (0.27)", .13+.055, .21+.4*.165)
	p.press(Walk{cull.LadderDown})
	seen("face 1 of 1, eyes: look (0.12)", .16+.055, .22+.4*.165)
	p.press(Face{})
	p.says("has one face")
	p.press(Walk{cull.LadderUp}, Face{}, Face{})
	seen("face 1 of 3, eyes closed or lowered (0.07)", .43+.056, .26+.4*.168) // round the end
	p.press(Face{Back: true}, Face{Back: true})
	seen("face 2 of 3, eyes open (0.27)", .13+.055, .21+.4*.165)
	p.press(Pan{X: 1})
	if l := p.closeUp(); l.Face != "" || l.From != "" {
		t.Errorf("panned away it still shows %q", l.Face)
	}
	p.press(Face{})
	seen("face 2 of 3, eyes open (0.27)", .13+.055, .21+.4*.165)
	p.press(Loupe{}, Loupe{})
	if l := p.closeUp(); l.Face != "" {
		t.Errorf("opened again without a face it shows %q", l.Face)
	}
}

// Another moment is seen at its own largest face, or as ever where it has none; and a
// frame without faces says so.
func TestFacesOfOtherMoments(t *testing.T) {
	dir, burst := facedJob(t)
	p := sit(t, dir, Options{AsItIs: true})
	p.desk.SetRoom(image.Pt(300, 200), image.Pt(300, 200))
	p.look()
	p.desk.GoTo(burst[0])
	p.press(Face{}, Walk{cull.NextMoment})
	if l := p.closeUp(); l.Face != "" || l.From == "face" {
		t.Errorf("a moment that was not measured shows %q by %q", l.Face, l.From)
	}
	p.press(Face{})
	p.says("are not measured yet")
	p.press(Walk{cull.PrevMoment})
	if l := p.closeUp(); l.Face != "face 1 of 3, eyes open (0.28)" {
		t.Errorf("back it shows %q", l.Face)
	}
}

// A face in the fan: every tile shows the same person, wherever it is there.
func TestFanOfAFace(t *testing.T) {
	dir, burst := facedJob(t)
	p := sit(t, dir, Options{AsItIs: true})
	p.desk.SetFan(FanArea{Cols: 120, Rows: 40, Pixels: image.Pt(1200, 800), CellShape: 2})
	p.desk.SetRoom(image.Pt(300, 200), image.Pt(300, 200))
	p.look()
	p.desk.GoTo(burst[0])
	p.press(Fan{}, Face{}, Face{})
	s := p.look()
	parts := map[cull.ID]part{}
	for _, tile := range s.Tiles {
		if !tile.Whole {
			t.Fatalf("%s is not there", tile.Frame)
		}
		parts[tile.Frame], _ = p.desk.partOf(tile.Frame)
	}
	a, b := parts[burst[0]].middle(), parts[burst[1]].middle()
	if dx := (b.x - a.x) * 1620; dx < 40 || dx > 75 { // .43 + .056 - .45 is 58 pixels of 1620
		t.Errorf("the tiles show places %.0f pixels apart", dx)
	}
	if s.Loupe == nil || s.Loupe.Face != "face 2 of 3, eyes open (0.30)" {
		t.Errorf("the cursor's tile: %+v", s.Loupe)
	}
}

func TestAnswerAboutFaces(t *testing.T) {
	dir := shoot(t, true)
	burst := burstOf(t, dir, 3)
	p := sit(t, dir, Options{AsItIs: true})
	p.look()
	p.desk.GoTo(burst[0])
	p.press(Face{})
	p.says("nobody has said whether they may be")
	p.desk.AnswerFaces(true)
	p.wait()
	p.says("faces are looked for")
	if c, err := p.job.Faces(); err != nil || !c.Yes || c.Who != "anna" {
		t.Fatalf("kept is %+v, %v", c, err)
	}
	if err := p.job.SaveMeasures(map[cull.ID]cull.Measures{burst[0]: facesOf(faceAt(.1, .1, .2, cull.EyesOpen, .3))}); err != nil {
		t.Fatal(err)
	}
	p.desk.takeMeasured(measuredNews{of: map[cull.ID]cull.Measures{burst[0]: facesOf(faceAt(.1, .1, .2, cull.EyesOpen, .3))}})
	p.desk.SetRoom(image.Pt(300, 200), image.Pt(300, 200))
	p.press(Face{})
	p.closeUp()
	p.desk.AnswerFaces(false)
	p.wait()
	p.says("what was found of them is removed")
	if l := p.closeUp(); l.Face != "" {
		t.Errorf("after a no the loupe shows %q", l.Face)
	}
	p.press(Face{})
	p.says("anna said no")
	of, err := p.job.Measures()
	if err != nil || of[burst[0]].Faces.Known() {
		t.Errorf("kept are %+v, %v", of[burst[0]].Faces, err)
	}
	// A decision and its undo go on around it.
	p.press(Loupe{}, Answer{cull.Yes}, Undo{})
	p.says("taken back")
	if c, _ := p.job.Faces(); c.Yes || !c.Asked {
		t.Errorf("undo changed the answer: %+v", c)
	}
}

func TestMarks(t *testing.T) {
	for _, c := range []struct {
		rung evidence.Rung
		want string
	}{
		{evidence.Rung{}, ""},
		{evidence.Rung{Measured: true, Small: true}, ""},
		{evidence.Rung{Sharpest: true}, "sharpest ^"},
		{evidence.Rung{Soft: true}, "soft ~"},
		{evidence.Rung{Eyes: evidence.EyesOf{Faces: 3, Open: 3}}, ""},
		{evidence.Rung{Sharpest: true, Eyes: evidence.EyesOf{Faces: 3, Open: 2, Check: 1}}, "sharpest ^; eyes: look eyes? x?"},
		{evidence.Rung{Eyes: evidence.EyesOf{Faces: 5, Open: 2, Check: 1, Closed: 2}}, "eyes closed 2 closed 2 x2"},
	} {
		var got []string
		for _, m := range marksFor(c.rung) {
			got = append(got, strings.Join(m.Forms, " "))
		}
		if s := strings.Join(got, "; "); s != c.want {
			t.Errorf("%+v: %q, want %q", c.rung, s, c.want)
		}
	}
}

// Nothing is marked, and nothing is said of the moment, where that is not wanted.
func TestMarksSwitchedOff(t *testing.T) {
	dir, burst := facedJob(t)
	for _, off := range []bool{false, true} {
		t.Run(fmt.Sprint(off), func(t *testing.T) {
			p := sit(t, dir, Options{AsItIs: true, Evidence: Evidence{NoMarks: off}})
			p.look()
			p.wait()
			p.desk.GoTo(burst[1])
			_, rungs := p.desk.Moment()
			marked := 0
			for _, r := range rungs {
				marked += len(r.Marks)
			}
			if said := p.desk.WhyOfMoment() != ""; said == off || marked > 0 == off {
				t.Errorf("%d marks, %q", marked, p.desk.WhyOfMoment())
			}
		})
	}
}

// fewFiles leaves a job the first files of body A.
func fewFiles(t testing.TB, dir string, n int) {
	t.Helper()
	for _, body := range []string{"A", "B", "C"} {
		names, err := filepath.Glob(filepath.Join(dir, body, "*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if n--; n >= 0 {
				continue
			}
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// Once the job is prepared its frames are measured beside the deciding, and what comes
// of it is seen at once; the desk says how far it is, and asks about faces once.
func TestMeasuresBeside(t *testing.T) {
	dir, least := shoot(t, false), demoFrames*3/4
	if testing.Short() { // the race detector makes it slow
		least = 4
		fewFiles(t, dir, 10)
	}
	p := sitDown(t, dir, Options{})
	p.desk.Fill()
	asked := 0
	for p.desk.Busy() {
		n, ok := p.desk.Next()
		if !ok {
			t.Fatal("no more news")
		}
		p.desk.Take(n)
		s := p.desk.Shot()
		p.desk.Drawn(s.ID, p.now)
		if p.desk.AskFaces() {
			asked++
		}
	}
	if asked != 1 {
		t.Errorf("asked %d times", asked)
	}
	kept, err := p.job.Measures()
	if err != nil {
		t.Fatal(err)
	}
	known := 0
	for id, m := range kept {
		if m.Light.Known() {
			known++
		}
		if got := p.desk.measured.of[id]; got.Light.Method != m.Light.Method || math.Abs(got.Light.Shadows-m.Light.Shadows) > 1e-6 || got.Faces.Known() { // kept in single precision
			t.Errorf("the desk knows %+v of %s, the job %+v", got.Light, id, m.Light)
		}
	}
	if done, running := p.desk.Measuring(); running || done.Done != done.Total || known < least {
		t.Errorf("%d measured, at the end %+v", known, done)
	}
}

// While keys come nothing new is measured, nor while pictures are made.
func TestMeasuringRests(t *testing.T) {
	var m measuring
	if m.busy() {
		t.Error("busy before the first key")
	}
	m.lastKey.Store(time.Now().UnixNano())
	if !m.busy() {
		t.Error("not busy at a key")
	}
	m.lastKey.Store(time.Now().Add(-restFor).UnixNano())
	if m.busy() {
		t.Error("busy long after a key")
	}
	m.making.Store(true)
	if !m.busy() {
		t.Error("not busy while a picture is made")
	}
}

// sharpAs is a frame whose parts have edges so many pixels wide.
func sharpAs(edge float64) cull.Measures {
	m := cull.Measures{Focus: cull.Focus{Method: 1, Width: 2400, Height: 1600}}
	for k := range 4 {
		m.Focus.Spots = append(m.Focus.Spots, cull.Spot{Region: cull.Region{X: float64(k) / 5, Y: .3, W: .1, H: .1}, By: cull.ByTile,
			Sharpness: cull.Sharpness{Energy: 0.01 / edge / edge, Edge: edge, Blur: edge, Noise: 1, Pixels: 200}})
	}
	return m
}

// The sharpest of a burst is marked, the blurred one too, and where two are alike none
// is; in a series none is named, whatever was measured.
func TestSharpestIsMarked(t *testing.T) {
	dir := shoot(t, true)
	burst := burstOf(t, dir, 3)
	p := sit(t, dir, Options{AsItIs: true})
	p.look()
	p.wait()
	words := func(edges ...float64) string {
		of := map[cull.ID]cull.Measures{}
		for i, e := range edges {
			of[burst[i]] = sharpAs(e)
		}
		p.desk.takeMeasured(measuredNews{of: of})
		p.desk.GoTo(burst[0])
		_, rungs := p.desk.Moment()
		var out []string
		for _, r := range rungs {
			var marks []string
			for _, m := range r.Marks {
				marks = append(marks, m.Forms[0])
			}
			out = append(out, strings.Join(marks, "+"))
		}
		return strings.Join(out[:len(edges)], ",")
	}
	rest := make([]float64, len(burst))
	for i := range rest {
		rest[i] = 1.6
	}
	set := func(edges ...float64) []float64 { return append(edges, rest[len(edges):]...) }
	blank := strings.Repeat(",", len(burst)-3)
	if got := words(set(1.6, 1.1, 3)...); got != ",sharpest,soft"+blank {
		t.Errorf("marked %q", got)
	}
	if why := p.desk.WhyOfMoment(); !strings.Contains(why, "sharpest by both measures") {
		t.Errorf("it says %q", why)
	}
	if got := words(set(1.1, 1.1, 3)...); got != ",,soft"+blank {
		t.Errorf("alike they are marked %q", got)
	}
	if why := p.desk.WhyOfMoment(); !strings.Contains(why, "too close to call") {
		t.Errorf("it says %q", why)
	}
	regroup(t, dir, func(l *cull.Layout) {
		for i := range l.Places {
			if l.Places[i].Kind == cull.Burst {
				l.Places[i].Kind, l.Places[i].Series = cull.Series, cull.FocusStack
			}
		}
	})
	l, err := p.job.Layout()
	if err != nil {
		t.Fatal(err)
	}
	p.desk.session.SetLayout(l)
	p.desk.layouts++
	if got := words(set(1.6, 1.1, 3)...); got != ",,soft"+blank || p.desk.WhyOfMoment() != "" {
		t.Errorf("a series is marked %q: %q", got, p.desk.WhyOfMoment())
	}
}

// The cursor goes to the favourite only where that is set; from there it goes on to
// what of the burst is open, before the next moment comes.
func TestEnterAtFavourite(t *testing.T) {
	dir := shoot(t, true)
	burst := burstOf(t, dir, 3)
	of := map[cull.ID]cull.Measures{}
	for i, id := range burst {
		of[id] = sharpAs(1.6)
		if i == 1 {
			of[id] = sharpAs(1.1)
		}
	}
	keepMeasures(t, dir, of)
	for _, set := range []bool{false, true} {
		t.Run(fmt.Sprint(set), func(t *testing.T) {
			p := sit(t, dir, Options{AsItIs: true, Evidence: Evidence{AtFavourite: set}})
			p.look()
			p.wait()
			p.desk.GoTo(burst[0])
			p.press(Walk{cull.PrevMoment})
			want := burst[0]
			if set {
				want = burst[1]
			}
			if next := p.desk.around()[0]; next != want && p.desk.around()[1] != want {
				t.Errorf("made ahead are %v, not %s", p.desk.around(), want)
			}
			p.press(Walk{cull.NextMoment})
			if got := p.desk.session.Cursor(); got != want {
				t.Fatalf("the burst %v is entered at %s", burst, got)
			}
			if !set {
				return
			}
			p.press(Answer{cull.Yes})
			for range len(burst) - 1 {
				if at, _ := p.desk.session.Place(p.desk.session.Cursor()); at.Frame == burst[1] || !slices.Contains(burst, at.Frame) {
					t.Fatalf("the burst is left at %s with frames open", at.Frame)
				}
				p.press(Answer{cull.No})
			}
			if slices.Contains(burst, p.desk.session.Cursor()) {
				t.Error("the burst is not left when all is decided")
			}
			p.press(Undo{})
		})
	}
}
