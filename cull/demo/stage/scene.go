package stage

import (
	"math"
	"math/rand/v2"

	"garner/cull/demo/paint"
)

// Scene is a part of the day.
type Scene int

// The scenes, in the order of the day.
const (
	Preparations Scene = iota
	Ceremony
	Formals
	Portraits
	Dinner
	Speeches
	FirstDance
	Party
)

// Scenes is how many there are.
const Scenes = 8

// Name of a scene, for people.
func (s Scene) Name() string {
	return [...]string{"preparations", "ceremony", "family formals", "portraits", "dinner", "speeches", "first dance", "party"}[s]
}

// Kinds is how many different pictures a scene has.
func (s Scene) Kinds() int { return len(s.list()) }

// View is one picture of a scene as one photographer sees it.
type View struct {
	Scene Scene
	Kind  int     // which picture, 0..Kinds-1
	Seed  uint64  // what varies from one taking to the next: leaves, lights, guests
	Pan   float32 // the photographer's place, -1..1
}

// composition is how a picture is made: a back that is drawn once for a burst
// (small if it is out of focus) and a front that is drawn for every frame.
type composition struct {
	upright bool // portrait format
	action  bool // much motion: short bursts make sense of it
	far     bool // nobody's eyes can be seen
	asleep  int  // how many people, from the first, have their eyes shut on purpose
	light   paint.Light
	depth   float32 // blur of the back, units
	iso     int
	back    func(c *paint.Canvas, r *rand.Rand)
	front   func(c *paint.Canvas, a act)
}

// act is the moment in time of one frame.
type act struct {
	t      float32 // seconds since the first frame of the burst
	seed   uint64
	blink  int // index of the person whose eyes are shut, -1 for nobody
	pan    float32
	person *int // counts persons as they are drawn, so that blink can find one
}

// lids gives the next person's eyes, and smile how much he or she smiles now.
func (a act) lids() float32 {
	*a.person++
	if *a.person-1 == a.blink {
		return 1
	}
	return 0.05 + 0.05*wave(a.t*1.3+float32(*a.person))
}

func (a act) smile(base float32) float32 {
	return min(max(base+0.22*wave(a.t*0.9+float32(*a.person)*1.7+float32(a.seed%7)), 0), 1)
}

func wave(t float32) float32 { return float32(math.Sin(float64(t) * 2 * math.Pi)) }

func (s Scene) list() []composition {
	switch s {
	case Preparations:
		return preparations()
	case Ceremony:
		return ceremony()
	case Formals:
		return formals()
	case Portraits:
		return portraits()
	case Dinner:
		return dinner()
	case Speeches:
		return speeches()
	case FirstDance:
		return firstDance()
	}
	return party()
}

// Set is a view whose back has been drawn.
type Set struct {
	view View
	comp composition
	back *paint.Canvas
}

// The pixel size of a drawn frame on its long and short side.
const (
	LongSide  = 1620
	ShortSide = 1080
)

// Prepare draws the back of a view.
func (v View) Prepare() *Set {
	s := &Set{view: v, comp: v.comp()}
	w, h := LongSide, ShortSide
	if s.comp.upright {
		w, h = h, w
	}
	// What is out of focus needs no resolution.
	div := 1
	if s.comp.depth >= 5 {
		div = 2
	}
	back := paint.New(w/div, h/div)
	back.Light = s.comp.light
	s.comp.back(back, rand.New(rand.NewPCG(v.Seed, uint64(v.Scene))))
	back.Blur(s.comp.depth / 2)
	s.back = paint.New(w, h)
	s.back.Copy(back)
	s.back.Light = s.comp.light
	return s
}

// Upright reports whether the picture is in portrait format.
func (s *Set) Upright() bool { return s.comp.upright }

// ISO is the sensitivity that this light asks for.
func (s *Set) ISO() int { return s.comp.iso }

// People tells which person may blink in this view: how many the front has.
func (s *Set) People() int {
	n := 0
	tiny := paint.New(30, 20)
	if s.comp.upright {
		tiny = paint.New(20, 30)
	}
	s.comp.front(tiny, act{blink: -1, person: &n, pan: s.view.Pan, seed: s.view.Seed})
	return n
}

// Shows reports whether shut eyes of that person are a fault here, and big
// enough to be seen: not in a kiss, not on people far away.
func (s *Set) Shows(person int) bool { return person >= s.comp.asleep && !s.comp.far }

// Frame draws the view t seconds into its burst onto c, which must have the
// size of Canvas. blink is the person with shut eyes, -1 for nobody.
func (s *Set) Frame(c *paint.Canvas, t float32, blink int) {
	c.Copy(s.back)
	c.Light = s.comp.light
	n := 0
	s.comp.front(c, act{t: t, seed: s.view.Seed, blink: blink, pan: s.view.Pan, person: &n})
}

// Canvas makes a canvas that fits the view's frames.
func (s *Set) Canvas() *paint.Canvas { return paint.New(s.back.W, s.back.H) }

// Upright reports whether the view is in portrait format.
func (v View) Upright() bool { return v.comp().upright }

// Action reports whether there is so much motion that one takes a burst.
func (v View) Action() bool { return v.comp().action }

func (v View) comp() composition {
	list := v.Scene.list()
	return list[v.Kind%len(list)]
}
