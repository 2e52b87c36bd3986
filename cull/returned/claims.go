package returned

import (
	"maps"
	"slices"
	"strings"

	"garner/cull"
)

// set is the indexes of frames, rising.
type set []int

func setOf(m map[int]bool) set { return slices.Sorted(maps.Keys(m)) }

func (s set) has(f int) bool { _, ok := slices.BinarySearch(s, f); return ok }

func (s set) and(t set) set {
	return slices.DeleteFunc(slices.Clone(s), func(f int) bool { return !t.has(f) })
}

// claim is what one kind of evidence says of a picture: the frames that it may show.
type claim struct {
	kind   kind
	frames set
	firm   bool // enough by itself where it names one frame
}

type kind uint8

const (
	byDocument kind = iota
	bySource
	byTime
	byName
)

// index finds frames by what pictures say.
type index struct {
	frames   []Frame
	byID     map[cull.ID]int
	document map[string][]int
	second   map[int64][]int // of the wall clocks, as they were and corrected
	instant  map[int64][]int // where the zone is known
	stems    map[string][]int
	moments  map[int]set
	letters  map[string]bool // of bodies, in lower case

	unnumbered map[string]bool // models whose serial numbers say nothing
}

func newIndex(frames []Frame) *index {
	x := &index{frames: frames, byID: map[cull.ID]int{}, document: map[string][]int{}, second: map[int64][]int{},
		instant: map[int64][]int{}, stems: map[string][]int{}, moments: map[int]set{}, letters: map[string]bool{}, unnumbered: map[string]bool{}}
	for i, f := range frames {
		x.byID[f.ID] = i
		x.moments[f.Moment] = append(x.moments[f.Moment], i)
		for _, d := range f.Documents {
			put(x.document, d, i)
		}
		for _, t := range []cull.Stamp{f.Taken, f.Corrected} {
			if t.Known() {
				put(x.second, t.Wall.Unix(), i)
				if t.ZoneIs != cull.ZoneUnknown {
					put(x.instant, t.Wall.Unix()-60*int64(t.Zone), i)
				}
			}
		}
		for _, p := range f.Files {
			put(x.stems, stemOf(p), i)
		}
		if f.Letter != "" {
			x.letters[strings.ToLower(f.Letter)] = true
		}
	}
	return x
}

// put adds a frame once.
func put[K comparable](m map[K][]int, key K, frame int) {
	if l := m[key]; len(l) == 0 || l[len(l)-1] != frame {
		m[key] = append(l, frame)
	}
}

// shortestID is how long an id must be to be one: the worked ones are 32 digits or more.
const shortestID = 16

// documents is the frames of which a picture says that it was made of them. Several
// ingredients are a merge and are given apart.
func (x *index) documents(p *Picture) (c claim, ingredients set) {
	c = claim{kind: byDocument, firm: true}
	named := map[int]bool{}
	for _, id := range p.Documents {
		if len(id) >= shortestID {
			for _, f := range x.document[id] {
				named[f] = true
			}
		}
	}
	parts := map[int]bool{}
	for _, ids := range p.Ingredients {
		for _, id := range ids {
			if found := x.document[id]; len(id) >= shortestID && len(found) == 1 {
				parts[found[0]] = true
			}
		}
	}
	c.frames = setOf(named)
	return c, setOf(parts)
}

// serialOf is a serial number as it is compared: editors pad it and change its case.
func serialOf(s string) string {
	return strings.TrimLeft(strings.ToLower(strings.TrimSpace(s)), "0 ")
}

// modelOf is a model as it is compared: with or without the maker before it.
func modelOf(made, model string) string {
	m := strings.Join(strings.Fields(strings.ToLower(model)), " ")
	maker, _, _ := strings.Cut(strings.TrimSpace(strings.ToLower(made)), " ")
	if rest, ok := strings.CutPrefix(m, maker+" "); ok && maker != "" && rest != "" {
		return rest
	}
	return m
}

// sameModel reports whether a picture and a frame name one model. Where one of them says
// no maker the other's counts: some editors write the model alone.
func sameModel(p *Picture, f *Frame) bool {
	made := func(own, other string) string {
		if strings.TrimSpace(own) == "" {
			return other
		}
		return own
	}
	return modelOf(made(p.Make, f.Make), p.Model) == modelOf(made(f.Make, p.Make), f.Model)
}

// otherNumbers is how many pictures of a model have numbers that no body of the job has
// before those are taken for numbers of another kind: maker notes have a body's number
// in forms of their own, and an internal one beside it. One or two such pictures are
// of somebody else's body.
const otherNumbers = 5

// heedNumbers finds the models of which no picture's serial number is one of the job's,
// although there are several: their numbers say nothing.
func (x *index) heedNumbers(pictures []Picture) {
	known := map[string]bool{}
	for _, f := range x.frames {
		known[serialOf(f.Serial)] = true
	}
	strange := map[string]int{}
	met := map[string]bool{}
	for i := range pictures {
		p := &pictures[i]
		model := modelOf(p.Make, p.Model)
		switch s := serialOf(p.Serial); {
		case s == "":
		case known[s]:
			met[model] = true
		default:
			strange[model]++
		}
	}
	for model, n := range strange {
		if n >= otherNumbers && !met[model] {
			x.unnumbered[model] = true
		}
	}
}

// otherBody says why a picture cannot be of a frame's body; "" = it can.
func (x *index) otherBody(p *Picture, f *Frame) string {
	a, b := serialOf(p.Serial), serialOf(f.Serial)
	if a != "" && b != "" && a != b && !x.unnumbered[modelOf(p.Make, p.Model)] {
		return "the serial number in it is not that of the body of " + f.Name
	}
	if p.Model != "" && f.Model != "" && !sameModel(p, f) {
		return "the camera named in it is not that of " + f.Name
	}
	return ""
}
