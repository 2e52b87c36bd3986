package station

import (
	"fmt"
	"maps"
	"testing"
	"time"

	"garner/cull"
)

// What preparation found, taken in by a desk of 10,000 frames: the person waits for
// it with the next key.
func BenchmarkTakeFilled10000(b *testing.B) {
	const n = 10_000
	frames := make(map[cull.ID]cull.Frame, n)
	var l cull.Layout
	for i := range n {
		id := cull.ID(fmt.Sprintf("%016x", i+1))
		if i%250 == 0 {
			l.Scenes = append(l.Scenes, cull.Scene{ID: len(l.Scenes), Name: cull.SceneNumber(len(l.Scenes)), First: id})
		}
		stamp := cull.Stamp{Wall: time.Date(2026, 6, 13, 11, 0, 0, 0, time.UTC).Add(time.Duration(i) * 3 * time.Second)}
		l.Places = append(l.Places, cull.Place{Frame: id, Moment: i / 4, Kind: cull.Burst, Scene: len(l.Scenes) - 1, Corrected: stamp})
		name := fmt.Sprintf("A/IMG_%04d", i)
		frames[id] = cull.Frame{ID: id, Name: name, Kind: "CR3", Taken: stamp, Files: []cull.File{{Path: name + ".CR3", Role: cull.RoleMain}}}
	}
	p := sit(b, shoot(b, true), Options{AsItIs: true})
	d := p.desk
	p.look()
	aliases := maps.Clone(d.aliases)
	for _, c := range []struct {
		name    string
		renamed bool
	}{{"more pictures", false}, {"more frames", true}} {
		b.Run(c.name, func(b *testing.B) {
			d.frames = maps.Clone(frames)
			d.session.SetLayout(l)
			d.session.Move(cull.LastFrame)
			few := map[cull.ID]cull.Frame{}
			for b.Loop() {
				d.o.AsItIs = true
				if c.renamed {
					few = frames
					d.frames = map[cull.ID]cull.Frame{}
				}
				layout := l
				d.takeFilled(filledNews{frames: few, layout: &layout, aliases: aliases})
			}
		})
	}
}
