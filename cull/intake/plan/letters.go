package plan

import "garner/cull/scan"

// lettering finds the letters of a source's objects.
type lettering struct {
	letters map[string]string // body key → letter
}

func (l lettering) of(e *scan.Exposure) string {
	if e == nil {
		return ""
	}
	return l.letters[e.Body.Key]
}

// give gives each object its letter and returns that of most of them. A picture
// whose body is unknown stays unknown; what is no picture goes by its neighbours:
// on a card by the nearest object of its folder, on a drive by most of its folder.
func (l lettering) give(objects []*object, dcim bool) string {
	sure := make([]bool, len(objects))
	most := tally{}
	folders := map[string]tally{}
	for i, o := range objects {
		for _, f := range o.files {
			sure[i] = sure[i] || f.shot != nil
		}
		o.letter = l.ofObject(o)
		sure[i] = sure[i] || o.letter != ""
		if o.letter == "" {
			continue
		}
		most[o.letter]++
		if folders[o.dir] == nil {
			folders[o.dir] = tally{}
		}
		folders[o.dir][o.letter]++
	}
	near := func(int) string { return "" }
	if dcim {
		near = nearest(objects)
	}
	majority := most.first()
	for i, o := range objects {
		if sure[i] {
			continue
		}
		if dcim {
			o.letter = near(i)
		} else {
			o.letter = folders[o.dir].first()
		}
		if o.letter == "" {
			o.letter = majority
		}
	}
	return majority
}

// ofObject is the letter of the object's leading picture, else of any of its files.
func (l lettering) ofObject(o *object) string {
	if lead := o.lead(); lead != nil && l.of(lead.shot) != "" {
		return l.of(lead.shot)
	}
	for _, f := range o.files {
		if letter := l.of(f.shot); letter != "" {
			return letter
		}
	}
	for _, f := range o.files {
		if f.src.Shot.Known() && l.of(&f.src.Shot) != "" { // a thumbnail's
			return l.of(&f.src.Shot)
		}
	}
	return ""
}

// nearest finds the letter of the nearest object of the same folder; of two that
// are as near, the earlier one's.
func nearest(objects []*object) func(int) string {
	type at struct{ before, after int }
	near := make([]at, len(objects))
	last := map[string]int{}
	for i, o := range objects {
		near[i] = at{-1, -1}
		if j, ok := last[o.dir]; ok {
			near[i].before = j
		}
		if o.letter != "" {
			last[o.dir] = i
		}
	}
	clear(last)
	for i := len(objects) - 1; i >= 0; i-- {
		if j, ok := last[objects[i].dir]; ok {
			near[i].after = j
		}
		if objects[i].letter != "" {
			last[objects[i].dir] = i
		}
	}
	given := make([]string, len(objects))
	for i, o := range objects {
		given[i] = o.letter
	}
	return func(i int) string {
		b, a := near[i].before, near[i].after
		switch {
		case b < 0 && a < 0:
			return ""
		case b < 0 || a >= 0 && a-i < i-b:
			return given[a]
		}
		return given[b]
	}
}

// tally counts votes.
type tally map[string]int

// first is what most voted for, of equals the first by name.
func (t tally) first() string {
	best := ""
	for name, n := range t {
		if best == "" || n > t[best] || n == t[best] && name < best {
			best = name
		}
	}
	return best
}

// split takes a drive's objects apart whose pictures are of several bodies: there
// a folder may hold two second shooters' files under one name.
func (l lettering) split(objects []*object) []*object {
	var out []*object
	for _, o := range objects {
		var parts []*object
		main := *o
		main.files = nil
		letter := l.ofObject(o)
		other := map[string]*object{}
		for _, f := range o.files {
			own := l.of(f.shot)
			if own == "" || own == letter {
				main.files = append(main.files, f)
				continue
			}
			p := other[own]
			if p == nil {
				part := *o
				part.files = nil
				p = &part
				other[own] = p
				parts = append(parts, p)
			}
			p.files = append(p.files, f)
		}
		if len(parts) == 0 {
			out = append(out, o)
			continue
		}
		out = append(append(out, &main), parts...)
	}
	return out
}
