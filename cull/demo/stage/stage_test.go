package stage

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"garner/cull/demo/paint"
)

// views are all pictures of all scenes.
func views() []View {
	var list []View
	for s := Scene(0); s < Scenes; s++ {
		for k := range s.Kinds() {
			list = append(list, View{Scene: s, Kind: k, Seed: uint64(10 + k)})
		}
	}
	return list
}

func (v View) label() string { return fmt.Sprintf("%s %d", v.Scene.Name(), v.Kind) }

func frame(v View, t float32, blink int) (*Set, *paint.Canvas) {
	s := v.Prepare()
	c := s.Canvas()
	s.Frame(c, t, blink)
	return s, c
}

// difference is the mean change of light between two canvases, and its largest.
func difference(a, b *paint.Canvas) (mean, most float64) {
	for i := range a.Pix {
		d := math.Abs(float64(a.Pix[i] - b.Pix[i]))
		mean += d
		most = max(most, d)
	}
	return mean / float64(len(a.Pix)), most
}

// spread is the deviation of light over the picture, as contrast to its mean.
func spread(c *paint.Canvas) (mean, deviation float64) {
	var s, q float64
	for _, v := range c.Pix {
		w := min(float64(v), 1)
		s, q = s+w, q+w*w
	}
	n := float64(len(c.Pix))
	return s / n, math.Sqrt(q/n - s*s/n/n)
}

func TestEveryPictureShowsSomething(t *testing.T) {
	for _, v := range views() {
		t.Run(v.label(), func(t *testing.T) {
			t.Parallel()
			set, c := frame(v, 0, -1)
			if w, h := c.W, c.H; set.Upright() != (h > w) || max(w, h) != LongSide || min(w, h) != ShortSide {
				t.Errorf("size %dx%d with upright %v", w, h, set.Upright())
			}
			mean, deviation := spread(c)
			if mean < 0.02 || mean > 0.75 || deviation < 0.06 {
				t.Errorf("mean light %g, contrast %g: too dark, too bright or empty", mean, deviation)
			}
			for i, p := range c.Pix {
				if p != p || p < 0 || p > 1e3 {
					t.Fatalf("value %d is %g", i, p)
				}
			}
			if set.ISO() < 100 {
				t.Errorf("ISO is %d", set.ISO())
			}
		})
	}
}

// A drawing is a function of the view and the time alone.
func TestSameViewSamePicture(t *testing.T) {
	for _, v := range []View{{Scene: Ceremony, Seed: 3}, {Scene: Party, Kind: 2, Seed: 3}, {Scene: Portraits, Seed: 3}} {
		_, a := frame(v, 0.3, -1)
		_, b := frame(v, 0.3, -1)
		if !slices.Equal(a.Pix, b.Pix) {
			t.Errorf("%s: two drawings differ", v.label())
		}
		w := v
		w.Seed++
		_, c := frame(w, 0.3, -1)
		if slices.Equal(a.Pix, c.Pix) {
			t.Errorf("%s: another seed gives the same picture", v.label())
		}
	}
}

// Within a burst things move, but little: next frames must be far more alike
// than pictures of other scenes.
func TestBurstsMoveALittle(t *testing.T) {
	for _, v := range views() {
		if !v.Action() || v.Upright() || v.Kind > 1 {
			continue
		}
		set := v.Prepare()
		a, b := set.Canvas(), set.Canvas()
		set.Frame(a, 0, -1)
		set.Frame(b, 0.11, -1)
		near, _ := difference(a, b)
		other := View{Scene: (v.Scene + 2) % Scenes, Seed: 1}
		_, c := frame(other, 0, -1)
		far := math.Inf(1)
		if c.W == a.W {
			far, _ = difference(a, c)
		}
		if near == 0 || near > far/4 {
			t.Errorf("%s: next frame differs by %g, another scene by %g", v.label(), near, far)
		}
	}
}

// A blink changes the picture around the eyes and nowhere else.
func TestBlinkIsLocal(t *testing.T) {
	v := View{Scene: Ceremony, Kind: 2, Seed: 4}
	set := v.Prepare()
	if n := set.People(); n != 2 {
		t.Fatalf("the vows have %d people, want 2", n)
	}
	open, shut := set.Canvas(), set.Canvas()
	set.Frame(open, 0, -1)
	for person := range 2 {
		set.Frame(shut, 0, person)
		changed, x0, x1 := 0, open.W, 0
		for i := 0; i < len(open.Pix); i += 3 {
			if math.Abs(float64(open.Pix[i]-shut.Pix[i])) > 0.01 {
				x := i / 3 % open.W
				changed, x0, x1 = changed+1, min(x0, x), max(x1, x)
			}
		}
		if changed < 200 || changed > 12000 || x1-x0 > 200 {
			t.Errorf("person %d: %d pixels changed between columns %d and %d", person, changed, x0, x1)
		}
	}
	set.Frame(shut, 0, 2)
	if !slices.Equal(open.Pix, shut.Pix) {
		t.Error("a blink of somebody who is not there changes the picture")
	}
}

func TestWhoMayBlink(t *testing.T) {
	cases := []struct {
		view   View
		people int
		shows  bool
	}{
		{View{Scene: Preparations, Kind: 4}, 0, true}, // rings: nobody
		{View{Scene: Preparations, Kind: 1}, 4, true},
		{View{Scene: Ceremony, Kind: 0}, 1, false}, // far away
		{View{Scene: Ceremony, Kind: 3}, 2, false}, // a kiss
		{View{Scene: Formals, Kind: 0}, 15, true},
		{View{Scene: Portraits, Kind: 2}, 2, false}, // silhouettes
	}
	for _, c := range cases {
		s := c.view.Prepare()
		if n := s.People(); n != c.people {
			t.Errorf("%s: %d people, want %d", c.view.label(), n, c.people)
		}
		if s.Shows(0) != c.shows {
			t.Errorf("%s: shut eyes show %v, want %v", c.view.label(), s.Shows(0), c.shows)
		}
	}
}

// The body focuses on a face: the place it reports must be a face's, which is
// to say skin, brighter in red than in blue.
func TestFocusIsOnAFace(t *testing.T) {
	for _, v := range []View{{Scene: Ceremony, Kind: 2, Seed: 1}, {Scene: Formals, Kind: 1, Seed: 1}, {Scene: Preparations, Kind: 0, Seed: 1}} {
		_, c := frame(v, 0, -1)
		f := c.Focus
		if f.R <= 0 || f.X <= 0 || f.X >= c.Width() || f.Y <= 0 || f.Y >= c.Height() {
			t.Fatalf("%s: focus is %+v", v.label(), f)
		}
		// A cheek, a little below the eyes.
		p := c.Pix[3*(int((f.Y+0.2*f.R)*c.Scale)*c.W+int(f.X*c.Scale)):]
		if p[0] < p[2]*1.1 {
			t.Errorf("%s: the colour in focus is %v, not skin", v.label(), p[:3])
		}
	}
	_, c := frame(View{Scene: Preparations, Kind: 4}, 0, -1)
	if c.Focus.R != 0 {
		t.Error("a picture without people has a face in focus")
	}
}

func TestGuestsDifferAndStayTheSame(t *testing.T) {
	skins, clothes := map[paint.RGB]bool{}, map[paint.RGB]bool{}
	for i := range 60 {
		g := Guest(i)
		if g != Guest(i) {
			t.Fatalf("guest %d changes", i)
		}
		skins[g.Skin], clothes[g.Cloth] = true, true
		if g.Tall < 0.9 || g.Tall > 1.1 {
			t.Errorf("guest %d is %g tall", i, g.Tall)
		}
	}
	if len(skins) < 6 || len(clothes) < 8 {
		t.Errorf("60 guests have %d skins and %d kinds of cloth", len(skins), len(clothes))
	}
}

// Every pose must keep both arms attached: hands no farther than the arms are
// long, however far away they are wanted.
func TestPosesOfAllKindsDraw(t *testing.T) {
	people := []Person{Bride(), Groom(), Maid(0), Maid(1), Maid(2), Guest(1), Guest(2), Guest(3), Guest(8)}
	for _, p := range people {
		for _, q := range []Pose{
			{}, {Back: true}, {Seated: true}, {Flip: true, Turn: 1, Lids: 1}, {Turn: -1, Smile: 1, Mouth: 1, Glass: true},
			{Left: paint.Pt{X: -9, Y: -9}, Right: paint.Pt{X: 9, Y: 9}}, {Right: paint.Pt{X: 0.1, Y: -5}, Bouquet: true, VeilBlow: 1, Sway: 1, Stride: 1},
		} {
			c := paint.New(300, 200)
			c.Light = paint.Light{Z: 1, Key: paint.RGB{1, 1, 1}, Above: paint.RGB{0.1, 0.1, 0.1}}
			q.X, q.Y, q.Head = 750, 950, 110
			p.Draw(c, q)
			drawn := 0
			for i := 0; i < len(c.Pix); i += 3 {
				if c.Pix[i]+c.Pix[i+1]+c.Pix[i+2] > 0.01 {
					drawn++
				}
			}
			if drawn < 1500 || drawn > 24000 {
				t.Errorf("pose %+v covers %d of %d pixels", q, drawn, c.W*c.H)
			}
		}
	}
}
