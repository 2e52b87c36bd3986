package pane_test

import (
	"testing"

	"github.com/muesli/termenv"

	"garner/cull"
	"garner/cull/tui/pane"
)

func bigRibbon(scenes, each int) pane.Ribbon {
	var r pane.Ribbon
	for i := range scenes {
		s := pane.Span{Frames: make([]cull.Answer, each), Here: -1}
		for k := range s.Frames {
			s.Frames[k] = cull.Answer((i*7 + k*k/11) % 4)
		}
		r.Scenes = append(r.Scenes, s)
	}
	r.Scenes[scenes/2].Here = each / 2
	return r
}

// BenchmarkRibbon is a job of 10,000 frames in 40 scenes, and one whose every
// frame is a scene.
func BenchmarkRibbon(b *testing.B) {
	st := pane.NewStyles(termenv.TrueColor, true)
	for _, c := range []struct {
		name string
		r    pane.Ribbon
	}{{"40 scenes", bigRibbon(40, 250)}, {"10000 scenes", bigRibbon(10000, 1)}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.r.Line(st, 200)
			}
		})
	}
}

func BenchmarkScreen(b *testing.B) {
	st := pane.NewStyles(termenv.TrueColor, true)
	b.ReportAllocs()
	for b.Loop() {
		sampleScreen(st, 200, 60)
	}
}
