package station

import (
	"fmt"

	"garner/cull"
	"garner/cull/evidence"
)

// focusFacts say how sharp the frame is, where that was measured, and how it stands
// in its moment.
func (d *Desk) focusFacts(h Here) []Fact {
	m := d.measured.of[h.Frame.ID]
	if !m.Focus.Known() {
		if _, on := d.Measuring(); on {
			return []Fact{{"sharpness", "not measured yet"}}
		}
		return nil
	}
	var out []Fact
	s, where := evidence.Judged(m)
	switch {
	case !s.Known():
		out = append(out, Fact{"sharpness", "there is no edge that it could be judged by"})
	default:
		out = append(out, Fact{"sharpness", fmt.Sprintf("%s: edges blurred by %.1f px, %s", where, s.Blur, sharpWords(s))},
			Fact{"compared by", fmt.Sprintf("edges %.2f px, fine structure %.3g, noise %.1f of 255", s.Edge, s.Energy, s.Noise)})
	}
	if m.Focus.Small {
		out = append(out, Fact{"measured on", fmt.Sprintf("a JPEG of %d x %d: too small to judge focus by", m.Focus.Width, m.Focus.Height)})
	}
	if why := d.compared(h.Frame.ID).Why; why != "" {
		out = append(out, Fact{"in its burst", why})
	}
	return out
}

func sharpWords(s cull.Sharpness) string {
	switch {
	case s.Blur > evidence.SoftFrom:
		return fmt.Sprintf("soft (from %.1f)", evidence.SoftFrom)
	case s.Blur < evidence.SharpUpTo:
		return fmt.Sprintf("sharp (below %.1f)", evidence.SharpUpTo)
	}
	return fmt.Sprintf("neither sharp (below %.1f) nor soft (from %.1f)", evidence.SharpUpTo, evidence.SoftFrom)
}

// clippedFacts say how much of the preview is clipped.
func (d *Desk) clippedFacts(h Here) []Fact {
	l := d.measured.of[h.Frame.ID].Light
	if !l.Known() {
		return nil
	}
	return []Fact{
		{"clipped", fmt.Sprintf("in the preview: highlights %s, in one channel %s; the raw may have more", percent(l.Highlights), percent(l.AnyHigh))},
		{"black", "in the preview: " + percent(l.Shadows)},
	}
}

// percent is a share of a picture in words.
func percent(share float64) string {
	switch {
	case share <= 0:
		return "none"
	case share < 0.001:
		return "less than 0.1 %"
	case share < 0.1:
		return fmt.Sprintf("%.1f %%", 100*share)
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// maxFaceFacts is how many faces the facts tell of, the largest.
const maxFaceFacts = 8

// faceFacts tell of the faces of the frame, one by one.
func (d *Desk) faceFacts(h Here) []Fact {
	found := d.measured.of[h.Frame.ID].Faces
	if !found.Known() {
		return nil
	}
	if len(found.List) == 0 {
		return []Fact{{"faces", "none found"}}
	}
	var out []Fact
	for i, f := range found.List {
		if i == maxFaceFacts {
			out = append(out, Fact{"", fmt.Sprintf("and %d smaller ones", len(found.List)-i)})
			break
		}
		text := fmt.Sprintf("%.0f px high", f.H*float64(found.Height))
		if eyes := d.eyeWords(h.Frame.ID, i); eyes != "" {
			text += ", " + eyes
		}
		if f.Known() && f.Blur > 0 {
			text += fmt.Sprintf(", edges %.1f px", f.Blur)
		}
		if f.Clipped >= 0.05 {
			text += fmt.Sprintf(", red clipped on %s", percent(f.Clipped))
		}
		out = append(out, Fact{fmt.Sprintf("face %d of %d", i+1, len(found.List)), text})
	}
	return out
}

// markedFacts are what the frame was marked with in the body and in sidecars.
func (d *Desk) markedFacts(h Here) []Fact {
	var out []Fact
	for i, m := range d.Marks(h.Frame) {
		label := "marked"
		if i > 0 {
			label = ""
		}
		out = append(out, Fact{label, m})
	}
	return out
}
