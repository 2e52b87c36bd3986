package evidence

import (
	"strconv"
	"strings"

	"garner/cull"
)

// Measures is what JSON of JSONOf says, to five digits. What it cannot have said is
// taken for not measured.
func (o JSON) Measures() cull.Measures {
	var m cull.Measures
	if f := o.Focus; f != nil {
		m.Focus = cull.Focus{Method: methodOf("focus", f.Method), Width: f.Width, Height: f.Height, Small: f.Small}
		for _, s := range f.Spots[:min(len(f.Spots), cull.MaxSpots)] {
			by := cull.ByTile
			if s.By == "subject" {
				by = cull.BySubject
			}
			m.Focus.Spots = append(m.Focus.Spots, cull.Spot{Region: cull.Region(s.Region), By: by, Sharpness: s.Sharpness.sharpness()})
		}
	}
	if l := o.Light; l != nil {
		m.Light = cull.Light{Method: methodOf("light", l.Method), Highlights: l.Highlights, AnyHigh: l.AnyHigh, Shadows: l.Shadows}
	}
	if f := o.Faces; f != nil {
		m.Faces = cull.Faces{Method: methodOf("faces", f.Method), Width: f.Width, Height: f.Height}
		for _, c := range f.List[:min(len(f.List), cull.MaxFaces)] {
			m.Faces.List = append(m.Faces.List, c.face())
		}
	}
	return m
}

func (f jsonFace) face() cull.Face {
	c := cull.Face{Region: cull.Region(f.Region), Score: f.Score, Presence: f.Presence, EyeApart: f.Apart, Luma: f.Luma, Clipped: f.Clipped}
	for eyes, word := range eyesWords {
		if word == f.Eyes {
			c.Eyes = eyes
		}
	}
	if f.Opening != nil {
		c.Opening = *f.Opening
	}
	if f.Sharpness != nil {
		c.Sharpness = f.Sharpness.sharpness()
	}
	return c
}

func (s jsonSharpness) sharpness() cull.Sharpness {
	o := cull.Sharpness{Energy: s.Energy, Noise: s.Noise, Pixels: s.Side}
	if s.Edge != nil {
		o.Edge = *s.Edge
	}
	if s.Blur != nil {
		o.Blur = *s.Blur
	}
	return o
}

// methodOf is the number in a method's name; 0 for that of another kind.
func methodOf(kind, name string) uint8 {
	digits, ok := strings.CutPrefix(name, kind+"-")
	n, err := strconv.ParseUint(digits, 10, 8)
	if !ok || err != nil {
		return 0
	}
	return uint8(n)
}
