package station

import (
	"testing"

	"garner/cull"
	"garner/preview/jpeg"
)

// thirds is a picture that is white, grey and black from left to right.
func thirds(w, h, sub int, grey bool) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(w, h, sub, sub, grey)
	m.Rows = h
	for y := range h {
		for x := range w {
			m.Y[y*m.YStride+x] = []byte{255, 128, 0}[x*3/w]
		}
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = 128, 128
	}
	return m
}

// What is clipped is hatched in two ways that differ without colour: dark lines that
// rise to the right on the highlights, bright ones that fall on the shadows. Nothing
// else changes, and the picture that was given least of all.
func TestHatching(t *testing.T) {
	for _, size := range [][2]int{{1500, 1000}, {160, 106}, {48, 32}} {
		for _, grey := range []bool{false, true} {
			for o, want := range map[Overlay][2]bool{{High: true}: {true, false}, {Low: true}: {false, true}, {true, true}: {true, true}, {}: {}} {
				w, h := size[0], size[1]
				m := thirds(w, h, 2, grey)
				before := copyOf(m)
				out := o.draw(m)
				if !o.on() {
					if out != m {
						t.Error("nothing to draw, and yet another picture")
					}
					continue
				}
				third := w / 3 / 2 * 2
				count := func(from, to int, fits func(byte) bool) float64 {
					n := 0
					for y := range h {
						for x := from; x < to; x++ {
							if fits(out.Y[y*out.YStride+x]) {
								n++
							}
						}
					}
					return float64(n) / float64((to-from)*h)
				}
				dark, bright := count(0, third, func(v byte) bool { return v == 0 }), count(w-third, w, func(v byte) bool { return v == 255 })
				if got := [2]bool{dark > 0.3 && dark < 0.55, bright > 0.3 && bright < 0.55}; got != want {
					t.Errorf("%v %v grey %v: lines on %.2f of the highlights, %.2f of the shadows", size, o, grey, dark, bright)
				}
				if n := count(third+2, w-third-2, func(v byte) bool { return v != 128 }); n > 0 {
					t.Errorf("%v %v: %.2f of what is not clipped changed", size, o, n)
				}
				// One up and one to the right is the same line on the highlights, one down
				// on the shadows.
				for y := 1; y < h-1; y++ {
					for x := 1; x < third-1; x++ {
						if out.Y[y*out.YStride+x] != out.Y[(y-1)*out.YStride+x+1] {
							t.Fatalf("%v %v: the lines do not rise at %d,%d", size, o, x, y)
						}
						if s := w - third + x; out.Y[y*out.YStride+s] != out.Y[(y+1)*out.YStride+s+1] {
							t.Fatalf("%v %v: the lines do not fall at %d,%d", size, o, s, y)
						}
					}
				}
				if string(m.Y) != string(before.Y) || string(m.Cb) != string(before.Cb) {
					t.Error("the picture that was given has changed")
				}
			}
		}
	}
}

// A hatched picture is another thing to be seen: until it is drawn nothing is decided,
// and the same key brings back the very picture that was there.
func TestOverlayArms(t *testing.T) {
	p := sit(t, shoot(t, true), Options{AsItIs: true})
	plain := p.look()
	p.desk.Do(Overlay{High: true}, Press{Key: "c", At: p.now})
	p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
	p.says("nothing decided")
	p.now = p.now.Add(1e10)
	p.wait()
	p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
	p.says("nothing decided")
	hatched := p.look()
	if hatched.ID == plain.ID || hatched.Picture == plain.Picture || !hatched.Overlay.High || !hatched.Whole {
		t.Errorf("hatched: %+v", hatched.Overlay)
	}
	p.press(Overlay{High: true})
	if back := p.look(); back.Picture != plain.Picture || back.Overlay.on() {
		t.Error("the picture is not the one that was there")
	}
	// It stays on from frame to frame, close and in the fan.
	p.press(Overlay{Low: true}, Walk{cull.NextMoment})
	if s := p.look(); !s.Overlay.Low || s.Source != nil {
		t.Errorf("on the next frame: %+v", s.Overlay)
	}
	if n := len(p.decided(cull.KeepPass)); n != 0 {
		t.Errorf("%d decided", n)
	}
}

func BenchmarkHatch(b *testing.B) {
	m := thirds(1500, 1000, 2, false)
	for b.Loop() {
		Overlay{true, true}.draw(m)
	}
}
