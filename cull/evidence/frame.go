package evidence

import (
	"math"

	"garner/cull"
	"garner/cull/group"
)

// Frame is what is known of the light of one frame. Zero values mean unknown.
type Frame struct {
	ID   cull.ID
	Kept bool // it will be corrected; only such a frame is a lead or gets an offset

	EV100 float64 // exposure at ISO 100, high in bright light; meaningful if HasEV
	HasEV bool    // aperture, time and ISO are known and no flash fired
	Flash bool    // it fired

	Luma    float64 // mean of the rendition's coded luma, 0..1; meaningful if HasLuma
	HasLuma bool

	ManualWB bool
	Grey     bool // the rendition is black-and-white
}

// Of takes from a frame what is known of its light. Look may be nil.
func Of(f cull.Frame, look *cull.Look, kept bool) Frame {
	out := Frame{ID: f.ID, Kept: kept, Luma: f.Luma, HasLuma: f.HasFingerprint, ManualWB: f.Shot.ManualWB,
		Flash: f.Shot.Flash != nil && *f.Shot.Flash, Grey: look != nil && look.Known() && look.Grey}
	if !out.Flash {
		out.EV100, out.HasEV = group.EV100(f.Shot.FNumber, f.Shot.Seconds, f.Shot.ISO)
	}
	return out
}

// leastLuma is the luma below which a rendition is as good as black: how much light
// is missing cannot be told from it.
const leastLuma = 0.02

// light is the light of the rendition in EV, with an unknown constant: mid-grey
// stands for the whole. The luma is linearised first (IEC 61966-2-1).
func (f Frame) light() float64 { return math.Log2(linear(max(f.Luma, leastLuma))) }

// linear decodes an sRGB code value of 0..1 (IEC 61966-2-1).
func linear(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}
