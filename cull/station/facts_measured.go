package station

import (
	"fmt"

	"garner/cull"
)

// sharpFrom and softFrom are the widths of edges, in pixels, up to which a part is
// sharp, and from which it is soft.
const (
	sharpUpTo = 1.7
	softFrom  = 2.1
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
	s, where := sharpest(m)
	switch {
	case !s.Known():
		out = append(out, Fact{"sharpness", "there is no part that it could be judged by"})
	case s.Edge80 <= 0:
		out = append(out, Fact{"sharpness", where + ": no edge to judge it by"})
	default:
		out = append(out, Fact{"sharpness", fmt.Sprintf("%s: edges blurred by %.1f px, %s", where, s.Edge80, sharpWords(s))},
			Fact{"compared by", fmt.Sprintf("edges %.2f px, fine structure %.3g, noise %.1f of 255", s.Edge, s.Energy, s.Noise)})
	}
	if w, hh := m.Focus.Width, m.Focus.Height; w > 0 {
		text := fmt.Sprintf("the JPEG of %d x %d", w, hh)
		if m.Focus.Small {
			text += ": too small to judge focus by"
		}
		out = append(out, Fact{"measured on", text})
	}
	if why := d.compared(h.Frame.ID).Why; why != "" {
		out = append(out, Fact{"in its burst", why})
	}
	return out
}

// sharpest is the part of a frame that its focus is judged by: its largest face, else
// where the camera has its subject, else the sharpest.
func sharpest(m cull.Measures) (cull.Sharpness, string) {
	for _, f := range m.Faces.List {
		if f.Known() {
			return f.Sharpness, "largest face"
		}
	}
	var best cull.Spot
	for _, s := range m.Focus.Spots {
		if s.Known() && (!best.Known() || s.By < best.By || s.By == best.By && s.Edge80 > 0 && s.Edge80 < best.Edge80) {
			best = s
		}
	}
	if best.By == cull.BySubject {
		return best.Sharpness, "where the camera focused"
	}
	return best.Sharpness, "sharpest part"
}

func sharpWords(s cull.Sharpness) string {
	switch {
	case s.Edge80 > softFrom:
		return fmt.Sprintf("soft (from %.1f)", softFrom)
	case s.Edge80 < sharpUpTo:
		return fmt.Sprintf("sharp (below %.1f)", sharpUpTo)
	}
	return fmt.Sprintf("neither sharp (below %.1f) nor soft (from %.1f)", sharpUpTo, softFrom)
}

// clippedFacts say how much of the preview is clipped.
func (d *Desk) clippedFacts(h Here) []Fact {
	l := d.measured.of[h.Frame.ID].Light
	if !l.Known() {
		return nil
	}
	return []Fact{
		{"clipped in preview", fmt.Sprintf("highlights %s, in one channel %s; the raw may have more", percent(l.Highlights), percent(l.AnyHigh))},
		{"black in preview", percent(l.Shadows)},
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
		if f.Known() && f.Edge80 > 0 {
			text += fmt.Sprintf(", edges %.1f px", f.Edge80)
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
