package evidence

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"garner/cull"
)

func yes() *bool { v := true; return &v }

// shot is a frame of a scene as it comes out of a file.
func shot(id string, fnumber, seconds float64, iso int, luma float64) cull.Frame {
	return cull.Frame{ID: cull.ID(id), Shot: cull.Shot{FNumber: fnumber, Seconds: seconds, ISO: iso}, Luma: luma, HasFingerprint: true}
}

// EV of known settings: handbook values and worked rows (APEX, Exif annex C: EV100 =
// log2(N²/t) - log2(S/100)).
func TestEV100(t *testing.T) {
	for _, c := range []struct {
		name    string
		n, t    float64
		iso     int
		want    float64
		allowed float64
	}{
		{"f/1 1 s", 1, 1, 100, 0, 1e-4},
		{"f/16 1/125", 16, 1. / 125, 100, 14.966, 1e-3},
		{"sunny 16", 16, 1. / 100, 100, 14.64, 0.01},
		{"f/8 1/125", 8, 1. / 125, 100, 12.97, 0.01},
		{"f/5.6 1/250", 5.6, 1. / 250, 100, 12.94, 0.01},
		{"f/4 1/500", 4, 1. / 500, 100, 12.97, 0.01},
		{"f/2.8 1/200 ISO 3200", 2.8, 1. / 200, 3200, 5.61, 0.01},
		{"f/1.4 1/60 ISO 6400", 1.4, 1. / 60, 6400, 0.88, 0.015},
	} {
		f := Of(shot("1", c.n, c.t, c.iso, 0.4), nil, true)
		if !f.HasEV || math.Abs(f.EV100-c.want) > c.allowed {
			t.Errorf("%s: %v, %v; want %v", c.name, f.EV100, f.HasEV, c.want)
		}
	}
	flash := shot("1", 8, 1./125, 100, 0.4)
	flash.Shot.Flash = yes()
	if f := Of(flash, nil, true); f.HasEV || f.EV100 != 0 || !f.Flash {
		t.Errorf("with flash: %+v", f)
	}
	if f := Of(shot("1", 0, 1, 100, 0.4), nil, true); f.HasEV {
		t.Errorf("without an aperture: %+v", f)
	}
}

// The decoding of sRGB, at the code values for which it is published (IEC 61966-2-1).
func TestLinear(t *testing.T) {
	for code, want := range map[float64]float64{0: 0, 1: .00030353, 10: .00303527, 11: .00334654, 64: .05126946, 118: .18116424,
		127: .21223076, 128: .21586050, 186: .49102085, 188: .50288646, 255: 1} {
		if got := linear(code / 255); math.Abs(got-want) > 1e-7 {
			t.Errorf("linear(%v) = %v, want %v", code, got, want)
		}
	}
}

func TestOffsets(t *testing.T) {
	const mid = 118. / 255                       // 0.181 of the light
	brighter := func(luma, ev float64) float64 { // luma of a rendition that got ev more light
		v := linear(luma) * math.Exp2(ev)
		return 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	lead := shot("lead", 4, 1./250, 400, mid)
	with := func(change func(*cull.Frame)) cull.Frame {
		f := lead
		f.ID = "other"
		change(&f)
		return f
	}
	for _, c := range []struct {
		name string
		f    cull.Frame
		ev   float64
		by   By
		odd  bool
	}{
		{"the same", with(func(f *cull.Frame) {}), 0, ByEV100, false},
		{"same settings, brighter subject", with(func(f *cull.Frame) { f.Luma = brighter(mid, 1) }), 0, ByEV100, false},
		{"same settings, the light went", with(func(f *cull.Frame) { f.Luma = brighter(mid, -2) }), -2, ByLuma, true},
		{"a third longer", with(func(f *cull.Frame) { f.Shot.Seconds, f.Luma = 1./200, brighter(mid, 0.3) }), math.Log2(250. / 200), ByEV100, false},
		{"bracket, two stops less", with(func(f *cull.Frame) { f.Shot.Seconds, f.Luma = 1./1000, brighter(mid, -1.8) }), -2, ByEV100, true},
		{"automatic exposure followed the light", with(func(f *cull.Frame) { f.Shot.Seconds, f.Luma = 1./1000, brighter(mid, 0.1) }), 0.1, ByLuma, false},
		{"flash", with(func(f *cull.Frame) { f.Shot.Flash, f.Luma = yes(), brighter(mid, 0.8) }), 0.8, ByLuma, true},
		{"no settings", with(func(f *cull.Frame) { f.Shot.ISO, f.Luma = 0, brighter(mid, -0.4) }), -0.4, ByLuma, false},
		{"no picture, same settings", with(func(f *cull.Frame) { f.HasFingerprint = false }), 0, ByEV100, false},
		{"no picture, other settings", with(func(f *cull.Frame) { f.HasFingerprint, f.Shot.ISO = false, 3200 }), 0, Unknown, false},
	} {
		o := offset(Of(lead, nil, true), Of(c.f, nil, true))
		if math.Abs(o.EV-c.ev) > 0.02 || o.By != c.by || o.Odd != c.odd {
			t.Errorf("%s: %+v, want %.2f by %q, odd %v", c.name, o, c.ev, c.by, c.odd)
		}
	}
	// With flash on both the luma decides, whatever the settings are.
	a, b := lead, with(func(f *cull.Frame) { f.Shot.Seconds, f.Luma = 1./60, brighter(mid, 0.2) })
	a.Shot.Flash, b.Shot.Flash = yes(), yes()
	if o := offset(Of(a, nil, true), Of(b, nil, true)); math.Abs(o.EV-0.2) > 0.02 || o.By != ByLuma {
		t.Errorf("flash on both: %+v", o)
	}
}

func TestLight(t *testing.T) {
	grey := &cull.Look{Method: 1, Grey: true}
	frame := func(id string, seconds, luma float64, kept bool) Frame {
		return Of(shot(id, 2.8, seconds, 800, luma), nil, kept)
	}
	in := []Frame{
		frame("dark", 1./500, 0.3, true), frame("mean", 1./250, 0.45, true), frame("dropped", 1./250, 0.46, false), frame("long", 1./200, 0.48, true),
	}
	s := Light(in)
	if s.Lead != "mean" || s.Frames != 4 || s.Kept != 3 || s.WithEV != 4 || s.Flash != 0 || s.WhiteBalance != AutomaticWB {
		t.Errorf("%+v", s)
	}
	if want := math.Log2(2.8*2.8*250) - 3; math.Abs(s.EV100-want) > 1e-9 {
		t.Errorf("%v EV, want %v", s.EV100, want)
	}
	if odd := s.Odd(); !slices.Equal(odd, []cull.ID{"dark"}) {
		t.Errorf("odd: %v of %+v", odd, s.Offsets)
	}
	if _, ok := s.Of("dropped"); ok || len(s.Offsets) != 3 {
		t.Errorf("offsets %+v", s.Offsets)
	}

	// One with flash among many without, and one in black-and-white, do not lead.
	flash := shot("flash", 2.8, 1./250, 800, 0.45)
	flash.Shot.Flash = yes()
	s = Light([]Frame{Of(flash, nil, true), Of(shot("grey", 2.8, 1./250, 800, 0.45), grey, true), frame("a", 1./250, 0.45, true), frame("b", 1./320, 0.42, true)})
	if s.Lead != "a" || s.Flash != 1 || s.Grey != 1 || s.WithEV != 3 {
		t.Errorf("%+v", s)
	}
	// All with flash: no EV at all, and the lead is the one of middle brightness.
	var flashes []Frame
	for i, luma := range []float64{0.2, 0.5, 0.4} {
		f := flash
		f.ID, f.Luma, f.Shot.Seconds, f.Shot.ManualWB = cull.ID('a'+rune(i)), luma, 1/float64(10+200*i), i == 0
		flashes = append(flashes, Of(f, nil, true))
	}
	if s = Light(flashes); s.WithEV != 0 || s.EV100 != 0 || s.Around != 0 || s.Lead != "c" || s.WhiteBalance != MixedWB {
		t.Errorf("%+v", s)
	}
	if s = Light(nil); s.Lead != "" || s.WhiteBalance != "" || Words(s, "", nil) != nil {
		t.Errorf("%+v", s)
	}
	if s = Light([]Frame{frame("a", 1, 0.4, false)}); s.Lead != "" || len(s.Offsets) != 0 {
		t.Errorf("nothing kept: %+v", s)
	}
}

func TestWords(t *testing.T) {
	name := func(id cull.ID) string { return "A/" + string(id) }
	in := []Frame{
		Of(shot("1", 2, 1./125, 800, 0.45), nil, true), Of(shot("2", 2, 1./125, 800, 0.45), nil, true), Of(shot("3", 2, 1./160, 800, 0.42), nil, true),
	}
	text := func(id cull.ID) string {
		var lines []string
		for _, p := range Words(Light(in), id, name) {
			lines = append(lines, p.Label+": "+p.Value)
		}
		return strings.Join(lines, "\n")
	}
	want := "even light: 6.0 EV ± 0.0, automatic white balance\nlead: A/1"
	if got := text("1"); got != want {
		t.Errorf("lead:\n%s\nwant\n%s", got, want)
	}
	if got, want := text("3"), want+"\nthis one: 0.4 EV darker than the lead, by its settings"; got != want {
		t.Errorf("third:\n%s\nwant\n%s", got, want)
	}
	in[2].Flash, in[2].HasEV, in[2].Luma, in[2].Grey = true, false, 0.8, true
	want = "light: 6.0 EV ± 0.0, without the flash in 1 of 3, automatic white balance\npreviews: black-and-white: 1 of 3; their colour is ignored\nlead: A/1\n" +
		"this one: 1.8 EV brighter than the lead, as the preview looks\nodd: 1 of 3 kept are more than 0.5 EV away from the lead"
	if got := text("3"); got != want {
		t.Errorf("flash:\n%s\nwant\n%s", got, want)
	}
}

// Whatever the frames are: the lead is a kept one, each kept one has an offset, no
// figure is not a number, and the order of the frames changes no offset's size
// unless the lead changes.
func TestLightOfAnything(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	for range 2000 {
		in := make([]Frame, r.IntN(12))
		kept := 0
		for i := range in {
			f := shot(string(rune('a'+i)), r.Float64()*16, r.ExpFloat64()/100, r.IntN(6400), r.Float64())
			f.HasFingerprint = r.IntN(4) > 0
			if r.IntN(3) == 0 {
				f.Shot.Flash = yes()
			}
			in[i] = Of(f, &cull.Look{Method: 1, Grey: r.IntN(4) == 0}, r.IntN(2) == 0)
			if in[i].Kept {
				kept++
			}
		}
		s := Light(in)
		if s.Kept != kept || len(s.Offsets) != kept || (s.Lead == "") != (kept == 0) {
			t.Fatalf("seed %d: %+v of %+v", seed, s, in)
		}
		if o, ok := s.Of(s.Lead); kept > 0 && (!ok || o.EV != 0) {
			t.Fatalf("seed %d: the lead is off by %+v", seed, o)
		}
		for _, o := range append(s.Offsets, Offset{EV: s.EV100}, Offset{EV: s.Around}) {
			if math.IsNaN(o.EV) || math.IsInf(o.EV, 0) {
				t.Fatalf("seed %d: %+v", seed, s)
			}
		}
	}
}
