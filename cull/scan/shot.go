package scan

import (
	"garner/cull"
	"garner/preview/exif"
	"garner/preview/raw"
)

// stampOf turns a file's capture time into ours.
func stampOf(t exif.Time) cull.Stamp {
	s := cull.Stamp{Wall: t.Wall, Digits: t.Digits, ZoneIs: cull.ZoneUnknown}
	if t.HasZone {
		s.Zone, s.ZoneIs = t.Zone, cull.ZoneKnown
	}
	return s
}

// shotOf turns a file's metadata into ours.
func shotOf(m exif.Meta) cull.Shot {
	s := cull.Shot{
		Orientation: m.Orientation, Seconds: m.Seconds, FNumber: m.FNumber, ISO: m.ISO, Bias: m.Bias,
		FocalLength: m.FocalLength, Lens: m.Lens, ManualWB: m.ManualWB, AutoBracket: m.ExposureMode == 2,
		Make: m.Make, Model: m.Model, Serial: m.Serial, Software: m.Software, Width: m.Width, Height: m.Height,
		Counter: m.Counter, Rating: m.Rating, Protected: m.Protected, ColorSpace: m.ColorSpace,
	}
	if m.Flash != exif.FlashUnknown {
		fired := m.Flash == exif.FlashFired
		s.Flash = &fired
	}
	if m.Subject.Given {
		s.SubjectX, s.SubjectY, s.SubjectGiven = m.Subject.X, m.Subject.Y, true
	}
	return s
}

// previewsOf lists a file's embedded JPEGs as previews of the frame.
func previewsOf(path string, loc *raw.File) []cull.Preview {
	ps := make([]cull.Preview, 0, len(loc.Previews))
	for _, p := range loc.Previews {
		ps = append(ps, cull.Preview{File: path, Role: string(p.Role), Offset: p.Offset, Length: p.Length,
			Width: p.Width, Height: p.Height, Whole: p.Whole})
	}
	return ps
}

// bodyKey names the body that took a picture; "" when nothing is known.
func bodyKey(s cull.Shot) string {
	switch {
	case s.Serial != "":
		return "serial:" + s.Model + ":" + s.Serial
	case s.Model != "":
		return "model:" + s.Model
	}
	return ""
}
