package station

import (
	"fmt"
	"image"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
)

// Random keys, a screen that draws when it likes, and news that comes when it
// likes: nothing is decided by a single-frame key that had not been drawn, what
// is shown is on the disk, and undoing all leads back to the start. Close up as
// well as in the whole, and in the fan. What is measured meanwhile moves nobody and
// decides nothing.
func TestRandomKeys(t *testing.T) {
	template := grouped(t, "1 3 4s 2a 1a 3 | 3a 2a 1 2s")
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		dir := filepath.Join(t.TempDir(), fmt.Sprint(n))
		// The catalogue and the thumbnails are enough: the pictures are small.
		if err := os.CopyFS(filepath.Join(dir, ".garner"), os.DirFS(filepath.Join(template, ".garner"))); err != nil {
			rt.Fatal(err)
		}
		defer os.RemoveAll(dir)
		for _, sub := range []string{"A", "B", "C"} { // for the loupe, read only
			if err := os.Symlink(filepath.Join(template, sub), filepath.Join(dir, sub)); err != nil {
				rt.Skip("no links here")
			}
		}
		j := openJob(t, dir)
		defer j.Close()
		now := time.Date(2026, 6, 20, 9, 0, 0, 0, time.UTC)
		pass := rapid.SampledFrom([]string{"", "", cull.RescuePass}).Draw(rt, "pass")
		favourite := rapid.Bool().Draw(rt, "favourite")
		d, err := Open(j, Options{Who: "anna", Pass: pass, Now: func() time.Time { return now }, Evidence: Evidence{NoMeasuring: true, AtFavourite: favourite}})
		if err != nil {
			rt.Fatal(err)
		}
		defer d.Close()
		d.SetEdge(120)
		d.SetRoom(image.Pt(120, 80), image.Pt(100, 80))
		d.SetFan(FanArea{Cols: 60, Rows: 15, Pixels: image.Pt(60, 30)})
		d.details.limit = 2 << 20 // two frames: more takes long
		p := &person{t: t, desk: d, job: j, now: now}
		drawn := map[cull.ID]bool{} // by what this test let be drawn
		keys := map[string]Act{
			"k": Answer{cull.Yes}, "d": Answer{cull.No}, "K": Burst{cull.Yes}, "D": Burst{cull.No}, "o": Only{},
			"u": Undo{}, "r": Redo{}, "left": Walk{cull.PrevMoment}, "right": Walk{cull.NextMoment}, "up": Walk{cull.LadderUp},
			"down": Walk{cull.LadderDown}, "n": Walk{cull.NextOpen}, "pgup": Walk{cull.PrevScene}, "pgdown": Walk{cull.NextScene},
			"tab": NextPass{}, "t": Turn{}, "x": nil, "space": Loupe{}, "f": Fan{}, "F": Fan{Pass: true},
			"m": Merge{}, "a": AnswerAlikes{cull.Yes}, "A": AnswerAlikes{cull.No}, "j": Join{}, "J": Join{Series: true}, "s": Split{}, "e": Out{},
			"l": Apart{}, "S": SceneBegin{}, "af": Fan{Alike: true}, "h": Face{}, "H": Face{Back: true}, "c": Overlay{High: true}, "C": Overlay{Low: true},
			"shift+left": Pan{-1, 0}, "shift+right": Pan{1, 0}, "shift+up": Pan{0, -1}, "shift+down": Pan{0, 1},
		}
		names := []string{"space", "space", "shift+left", "shift+right", "shift+up", "shift+down",
			"k", "d", "K", "D", "o", "u", "r", "left", "right", "up", "down", "n", "pgup", "pgdown", "tab", "t", "x", "f", "f", "f", "F",
			"m", "a", "A", "j", "j", "J", "s", "s", "e", "e", "l", "S", "af", "af", "h", "h", "H", "c", "C"}
		var shown []Shot
		for range rapid.IntRange(1, 40).Draw(rt, "steps") {
			switch rapid.SampledFrom([]string{"key", "key", "key", "draw", "draw", "news", "resize", "wait", "name", "only", "measured", "measured", "faces"}).Draw(rt, "step") {
			case "key":
				key := rapid.SampledFrom(names).Draw(rt, "key")
				now = now.Add(time.Duration(rapid.SampledFrom([]int{5, 33, 150, 700, 4000}).Draw(rt, "after")) * time.Millisecond)
				d.Do(keys[key], Press{Key: key, At: now})
			case "draw":
				// The newest, or one before it whose answer is late.
				if shown = append(shown, d.Shot()); len(shown) > 4 {
					shown = shown[1:]
				}
				s := shown[max(0, len(shown)-1-rapid.SampledFrom([]int{0, 0, 0, 1, 3}).Draw(rt, "late"))]
				if s.Whole && s.Picture != nil && d.pending == nil {
					drawn[s.Frame] = true
				}
				for _, tile := range s.Tiles {
					if tile.Whole && tile.Picture != nil && d.pending == nil {
						drawn[tile.Frame] = true
					}
				}
				if s.ID == d.Shot().ID && s.Loupe != nil && s.Loupe.Why == "" && s.Whole && (s.Loupe.Part.Empty() || s.Picture.Width != d.room(s.Frame).X) {
					rt.Fatalf("what stands in for the pixels counts as whole: %+v", s.Loupe)
				}
				d.Drawn(s.ID, now)
			case "news":
				select {
				case <-d.mail.wake:
					d.mail.wake <- struct{}{}
					n, _ := d.Next()
					d.Take(n)
				default:
				}
			case "measured":
				measuredMeanwhile(rt, d)
			case "faces":
				d.AnswerFaces(rapid.SampledFrom([]bool{true, true, false}).Draw(rt, "faces"))
			case "resize":
				d.SetEdge(rapid.SampledFrom([]int{90, 120}).Draw(rt, "edge"))
				w := rapid.SampledFrom([]int{90, 120}).Draw(rt, "room")
				d.SetRoom(image.Pt(w, 80), image.Pt(w-20, 80))
				d.SetFan(rapid.SampledFrom([]FanArea{{Cols: 60, Rows: 15, Pixels: image.Pt(60, 30)}, {Cols: 30, Rows: 9, Pixels: image.Pt(30, 18)}, {}}).Draw(rt, "fan"))
				d.Redraw()
			case "wait":
				p.wait()
			case "name":
				now = now.Add(4 * time.Second)
				d.NameScene(d.session.Cursor(), rapid.SampledFrom([]string{"Church", "", "Dinner"}).Draw(rt, "name"))
			case "only":
				if _, _, _, ok := d.Shown(); ok {
					d.ShowAll()
					break
				}
				places := d.session.Layout().Places
				at := rapid.IntRange(0, len(places)-1).Draw(rt, "only from")
				var few []cull.ID
				for i := at; i < len(places) && i < at+9; i += 2 {
					few = append(few, places[i].Frame)
				}
				d.ShowOnly("a few", few)
			}
			holdRuns(rt, d.session.Layout())
			if name, n, of, ok := d.Shown(); ok && (n < 0 || n > of || of == 0 && d.Reckoning().All() > 0 || name == "") {
				rt.Fatalf("%d of %d are shown of %q", n, of, name)
			}
		}
		p.wait()
		entries, err := j.Entries()
		if err != nil {
			rt.Fatal(err)
		}
		for _, e := range entries {
			for _, c := range e.Changes {
				if c.Explicit && c.After != cull.Open && (e.Verb == cull.VerbAnswer || e.Verb == cull.VerbOnly || e.Verb == cull.VerbMerge) &&
					!drawn[c.Frame] && d.frames[c.Frame].CanBeShown() {
					rt.Fatalf("entry %d decided %s, which had not been drawn", e.Seq, d.name(c.Frame))
				}
				if c.Shown && !drawn[c.Frame] {
					rt.Fatalf("entry %d claims that %s had been shown", e.Seq, d.name(c.Frame))
				}
			}
		}
		// What the desk shows is what the disk has.
		for _, pass := range d.session.Passes() {
			kept, err := j.Decisions(pass.Name)
			if err != nil {
				rt.Fatal(err)
			}
			for _, pl := range d.session.Layout().Places {
				if a, b := d.session.Decision(pass.Name, pl.Frame), kept[pl.Frame]; a.Answer != b.Answer {
					rt.Fatalf("%s in %s: %v on the screen, %v on the disk", d.name(pl.Frame), pass.Name, a.Answer, b.Answer)
				}
			}
		}
		if l, err := j.Layout(); err != nil || shapeOf(l, "") != shapeOf(d.session.Layout(), "") {
			rt.Fatalf("the moments are %s on the screen, %s on the disk: %v", shapeOf(d.session.Layout(), ""), shapeOf(l, ""), err)
		}
		d.ShowAll()
		// Undo all.
		for i := 0; ; i++ {
			if i > 200 {
				rt.Fatal("undo has no end")
			}
			before := d.session.LastSeq()
			now = now.Add(5 * time.Second)
			d.Do(Undo{}, Press{Key: "u", At: now})
			p.wait()
			if d.session.LastSeq() == before && i > 0 { // the first one may be about a key that came too soon
				break
			}
		}
		for _, pass := range d.session.Passes() {
			if c := d.session.Progress(pass.Name); c.Yes+c.No+c.Part > 0 {
				rt.Fatalf("pass %s after undoing all: %+v", pass.Name, c)
			}
		}
		if a, b := shapeOf(d.session.Layout(), ""), shapeOf(d.session.Base(), ""); a != b || len(d.session.Corrections()) > 0 || len(d.session.SceneNames()) > 0 {
			rt.Fatalf("after undoing all the moments are %s, were %s", a, b)
		}
	})
}

// measuredMeanwhile brings measurements of some frames around the cursor.
func measuredMeanwhile(rt *rapid.T, d *Desk) {
	of := map[cull.ID]cull.Measures{}
	for _, id := range append(d.session.Moment(d.session.Cursor()), d.around()...) {
		m := sharpAs(rapid.SampledFrom([]float64{0.9, 1.2, 2.4}).Draw(rt, "edge"))
		m.Faces = cull.Faces{Method: 1, Width: 1620, Height: 1080}
		for n := range rapid.IntRange(0, 3).Draw(rt, "faces") {
			m.Faces.List = append(m.Faces.List, faceAt(0.1+0.3*float64(n), 0.2, 0.1, rapid.SampledFrom([]cull.Eyes{cull.EyesOpen, cull.EyesCheck, cull.EyesClosed}).Draw(rt, "eyes"), 0.1))
		}
		of[id] = m
	}
	cursor, pass, order, was, waiting := d.session.Cursor(), d.session.CursorPass(), slices.Clone(d.session.Layout().Places), d.Shot(), d.Waiting()
	d.Take(News{measured: []measuredNews{{of: of}}})
	if d.session.Cursor() != cursor || d.session.CursorPass() != pass {
		rt.Fatalf("what was measured led from %s to %s", cursor, d.session.Cursor())
	}
	if !slices.Equal(d.session.Layout().Places, order) {
		rt.Fatal("what was measured changed the order")
	}
	if now := d.Shot(); now.Picture == was.Picture && now.Whole == was.Whole && now.Frame == was.Frame && !waiting && d.Waiting() {
		rt.Fatalf("words took away what the picture lets decide: %+v, before %+v", now.Loupe, was.Loupe)
	}
}
