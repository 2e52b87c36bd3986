package evidence

import (
	"math"
	"slices"

	"garner/cull"
)

// Scene is what is known of the light of a scene.
type Scene struct {
	Frames int
	Kept   int

	WithEV       int     // frames whose settings tell of the light: all known and no flash
	EV100        float64 // the median of those; meaningful if WithEV > 0
	Around       float64 // half the range in which the middle four fifths of them lie, EV
	Flash        int     // frames with flash
	Grey         int     // frames with a black-and-white rendition
	WhiteBalance WhiteBalance

	Lead    cull.ID  // the kept frame to correct first; "" = none
	Offsets []Offset // of the kept frames, in the order given, the lead's among them
}

// WhiteBalance says how the white balance of frames was set.
type WhiteBalance string

// The modes of a scene.
const (
	AutomaticWB WhiteBalance = "automatic"
	ManualWB    WhiteBalance = "manual"
	MixedWB     WhiteBalance = "mixed"
)

// Offset is how much brighter a frame is than the lead.
type Offset struct {
	Frame cull.ID
	EV    float64 // positive = brighter; meaningful unless By is Unknown
	By    By
	Odd   bool // more than OddEV away: the lead's correction will not fit
}

// By says what an offset was told from.
type By string

// ByEV100 is from the settings, which are exact if the light was the same; ByLuma
// from the mean brightness of the renditions, which other things in the picture
// change as well.
const (
	ByEV100 By = "ev100"
	ByLuma  By = "luma"
	Unknown By = ""
)

// OddEV is the offset in EV above which a frame is odd.
const OddEV = 0.5

const (
	// Settings so near each other were chosen for the same light, unless the
	// renditions differ by more than another subject explains.
	sameSettings = 0.5
	otherSubject = 1.5
	// Settings further apart are believed as far as the renditions show it: a
	// bracket, exposure compensation.
	sameChange = 0.5
)

// Light sums up the light of a scene.
func Light(in []Frame) Scene {
	s := Scene{Frames: len(in)}
	var evs []float64
	manual := 0
	for _, f := range in {
		if f.Kept {
			s.Kept++
		}
		if f.HasEV {
			evs = append(evs, f.EV100)
		}
		if f.Flash {
			s.Flash++
		}
		if f.Grey {
			s.Grey++
		}
		if f.ManualWB {
			manual++
		}
	}
	if s.WithEV = len(evs); len(evs) > 0 {
		slices.Sort(evs)
		s.EV100 = median(evs)
		s.Around = (evs[(len(evs)-1)*9/10] - evs[len(evs)/10]) / 2
		s.Around = max(s.Around, 0)
	}
	switch {
	case len(in) == 0:
	case manual == 0:
		s.WhiteBalance = AutomaticWB
	case manual == len(in):
		s.WhiteBalance = ManualWB
	default:
		s.WhiteBalance = MixedWB
	}
	lead, ok := leadOf(in)
	if !ok {
		return s
	}
	s.Lead = lead.ID
	for _, f := range in {
		if f.Kept {
			s.Offsets = append(s.Offsets, offset(lead, f))
		}
	}
	return s
}

// Of returns the offset of a frame; false if it is not one of the kept ones.
func (s Scene) Of(id cull.ID) (Offset, bool) {
	for _, o := range s.Offsets {
		if o.Frame == id {
			return o, true
		}
	}
	return Offset{}, false
}

// Odd returns the kept frames that the lead's correction will not fit.
func (s Scene) Odd() []cull.ID {
	var out []cull.ID
	for _, o := range s.Offsets {
		if o.Odd {
			out = append(out, o.Frame)
		}
	}
	return out
}

// leadOf chooses the kept frame that stands for the most: with flash if most have
// it, in colour if any of those is, and of middle brightness in middle light. Of
// equals it is the first.
func leadOf(in []Frame) (Frame, bool) {
	candidates := slices.DeleteFunc(slices.Clone(in), func(f Frame) bool { return !f.Kept })
	if len(candidates) == 0 {
		return Frame{}, false
	}
	flash := 0
	for _, f := range candidates {
		if f.Flash {
			flash++
		}
	}
	most := 2*flash > len(candidates)
	candidates = prefer(candidates, func(f Frame) bool { return f.Flash == most })
	candidates = prefer(candidates, func(f Frame) bool { return !f.Grey })
	candidates = prefer(candidates, func(f Frame) bool { return f.HasLuma })
	var evs, lights []float64
	for _, f := range candidates {
		if f.HasEV {
			evs = append(evs, f.EV100)
		}
		if f.HasLuma {
			lights = append(lights, f.light())
		}
	}
	slices.Sort(evs)
	slices.Sort(lights)
	ev, light := median(evs), median(lights)
	best, least := candidates[0], math.Inf(1)
	for _, f := range candidates {
		d := 0.0
		if f.HasLuma {
			d += math.Abs(f.light() - light)
		}
		switch {
		case f.HasEV:
			d += math.Abs(f.EV100 - ev)
		case len(evs) > 0:
			d += OddEV
		}
		if d < least {
			best, least = f, d
		}
	}
	return best, true
}

// prefer keeps the frames that ok holds for, or all if there is none.
func prefer(in []Frame, ok func(Frame) bool) []Frame {
	var out []Frame
	for _, f := range in {
		if ok(f) {
			out = append(out, f)
		}
	}
	if len(out) == 0 {
		return in
	}
	return out
}

// offset is how much brighter f is than the lead. More light on the sensor than the
// lead had, in the same light, is a lower EV100.
func offset(lead, f Frame) Offset {
	o := Offset{Frame: f.ID}
	ev, luma := lead.EV100-f.EV100, f.light()-lead.light()
	settings := lead.HasEV && f.HasEV
	seen := lead.HasLuma && f.HasLuma
	switch apart := math.Abs(ev - luma); {
	case settings && seen && (math.Abs(ev) <= sameSettings && apart <= otherSubject || apart <= sameChange),
		settings && !seen && math.Abs(ev) <= sameSettings:
		o.EV, o.By = ev, ByEV100
	case seen:
		o.EV, o.By = luma, ByLuma
	}
	o.Odd = math.Abs(o.EV) > OddEV
	return o
}

// median is the middle of sorted values, 0 if there are none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	return v[(len(v)-1)/2]/2 + v[len(v)/2]/2
}
