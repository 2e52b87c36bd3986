package station

import (
	"garner/cull"
	"garner/cull/evidence"
)

// light is what is known of the light of the scene under the cursor. It is worked
// out beside the desk, and stays until that of another scene, or after another
// decision, is there.
type light struct {
	of      lightOf
	known   evidence.Scene
	running bool
	grey    map[cull.ID]bool // frames with a black-and-white rendition, as they were then; nil = not read yet
}

// lightOf is what the light of a scene depends on.
type lightOf struct {
	first   cull.ID // of the scene
	scene   int
	seq     uint64
	layouts int
}

// lightNews is what came of it.
type lightNews struct {
	of    lightOf
	scene evidence.Scene
	grey  map[cull.ID]bool
}

// WantLight says that the light of the scene under the cursor is looked at.
func (d *Desk) WantLight() {
	p, ok := d.session.Place(d.session.Cursor())
	s, has := d.sceneOf(d.session.Cursor())
	of := lightOf{s.First, p.Scene, d.session.LastSeq(), d.layouts}
	if !ok || !has || d.light.running || d.light.of == of {
		return
	}
	d.light.running = true
	places, at := d.session.Layout().Places, d.session.CursorIndex()
	from, to := at, at
	for from > 0 && places[from-1].Scene == p.Scene {
		from--
	}
	for to < len(places) && places[to].Scene == p.Scene {
		to++
	}
	frames := make([]evidence.Frame, 0, to-from)
	for _, p := range places[from:to] {
		frames = append(frames, evidence.Of(d.frames[p.Frame], nil, d.session.Outcome(p.Frame) == cull.Yes))
	}
	grey := d.light.grey
	if d.light.of.layouts != of.layouts {
		grey = nil // preparation went on
	}
	d.beside(func() {
		if grey == nil {
			grey = d.readGrey()
		}
		for i := range frames {
			frames[i].Grey = grey[frames[i].ID]
		}
		n := lightNews{of, evidence.Light(frames), grey}
		d.mail.put(func(news *News) { news.light = &n })
	})
}

// readGrey finds the frames whose rendition is black-and-white. One that cannot be
// read has a colour.
func (d *Desk) readGrey() map[cull.ID]bool {
	grey := map[cull.ID]bool{}
	looks, err := d.job.Looks()
	if err != nil {
		return grey
	}
	for id, l := range looks {
		if l.Known() && l.Grey {
			grey[id] = true
		}
	}
	return grey
}

func (d *Desk) takeLight(n lightNews) {
	d.light = light{of: n.of, known: n.scene, grey: n.grey}
	d.version++
}

// lightFacts say how even the light of the scene is, and how the frame lies in it.
func (d *Desk) lightFacts(h Here) []Fact {
	s, ok := d.sceneOf(h.Frame.ID)
	if !ok || d.light.of.first != s.First || d.light.of.scene != h.Place.Scene {
		return nil // of another scene
	}
	var out []Fact
	for _, p := range evidence.Words(d.light.known, h.Frame.ID, d.name) {
		out = append(out, Fact{p.Label, p.Value})
	}
	return out
}
