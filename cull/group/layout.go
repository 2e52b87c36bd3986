package group

import "garner/cull"

// Layout puts frames in order and groups them into moments and scenes. It
// takes time in proportion to n log n.
func Layout(frames []Frame, o Options) cull.Layout {
	o = o.withDefaults()
	ms := moments(sorted(frames), o)
	starts := sceneStarts(ms, o)
	l := cull.Layout{Places: make([]cull.Place, 0, len(frames))}
	for i, m := range ms {
		if starts[i] {
			n := len(l.Scenes)
			l.Scenes = append(l.Scenes, cull.Scene{ID: n, Name: cull.SceneNumber(n), First: m.frames[0].ID})
		}
		for _, f := range m.frames {
			l.Places = append(l.Places, cull.Place{
				Frame: f.ID, Moment: i, Kind: m.kind, Scene: len(l.Scenes) - 1, Corrected: f.Time,
			})
		}
	}
	nameScenes(l, o.SceneNames)
	return l
}

// nameScenes gives a scene the name that hangs on one of its frames, the first
// where there are several.
func nameScenes(l cull.Layout, names map[cull.ID]string) {
	named := map[int]bool{}
	for _, p := range l.Places {
		if name := names[p.Frame]; name != "" && !named[p.Scene] {
			l.Scenes[p.Scene].Name = name
			named[p.Scene] = true
		}
	}
}
