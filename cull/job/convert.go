package job

import (
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// The catalogue knows nothing of cull; this file turns the one's values into
// the other's. Numbers stored for words are never given to another word.

func zoneCode(z cull.ZoneState) uint8 {
	switch z {
	case cull.ZoneUnknown:
		return 1
	case cull.ZoneKnown:
		return 2
	case cull.ZoneSet:
		return 3
	}
	return 0
}

func zoneState(code uint8) cull.ZoneState {
	return [4]cull.ZoneState{"", cull.ZoneUnknown, cull.ZoneKnown, cull.ZoneSet}[code&3]
}

func kindCode(k cull.MomentKind) uint8 {
	switch k {
	case cull.Burst:
		return 1
	case cull.Series:
		return 2
	case cull.Single:
		return 3
	}
	return 0
}

func momentKind(code uint8) cull.MomentKind {
	return [4]cull.MomentKind{"", cull.Burst, cull.Series, cull.Single}[code&3]
}

// seriesKinds are the kinds of series in the order of their numbers.
func seriesKinds() []cull.SeriesKind {
	return []cull.SeriesKind{"", cull.Bracket, cull.Panorama, cull.FocusStack, cull.Together}
}

func seriesCode(k cull.SeriesKind) uint8 {
	return uint8(max(0, slices.Index(seriesKinds(), k)))
}

func seriesKind(code uint8) cull.SeriesKind {
	if kinds := seriesKinds(); int(code) < len(kinds) {
		return kinds[code]
	}
	return "" // of a later version
}

func toStamp(s cull.Stamp) catalog.Stamp {
	return catalog.Stamp{Wall: s.Wall, Digits: s.Digits, Zone: s.Zone, ZoneIs: zoneCode(s.ZoneIs)}
}

func fromStamp(s catalog.Stamp) cull.Stamp {
	return cull.Stamp{Wall: s.Wall, Digits: s.Digits, Zone: s.Zone, ZoneIs: zoneState(s.ZoneIs)}
}

func toFrame(f cull.Frame) catalog.Frame {
	out := catalog.Frame{
		Name: f.Name, Kind: f.Kind, Body: f.Body, Taken: toStamp(f.Taken), Shot: toShot(f.Shot),
		Fingerprint: f.Fingerprint, HasFingerprint: f.HasFingerprint, Luma: f.Luma,
	}
	for _, a := range f.Aliases {
		out.Aliases = append(out.Aliases, string(a))
	}
	for _, x := range f.Files {
		out.Files = append(out.Files, catalog.File{Path: x.Path, Role: string(x.Role), Kind: x.Kind, Size: x.Size, Mod: x.Mod, Head: x.Head, Of: catalog.Origin(x.Of)})
	}
	for _, p := range f.Previews {
		out.Previews = append(out.Previews, catalog.Preview(p))
	}
	for _, p := range f.Problems {
		out.Problems = append(out.Problems, catalog.Problem(p))
	}
	return out
}

func fromFrame(id string, f catalog.Frame) cull.Frame {
	out := cull.Frame{
		ID: cull.ID(id), Name: f.Name, Kind: f.Kind, Body: f.Body, Taken: fromStamp(f.Taken), Shot: fromShot(f.Shot),
		Aliases: sized[cull.ID](len(f.Aliases)), Files: sized[cull.File](len(f.Files)),
		Previews: sized[cull.Preview](len(f.Previews)), Problems: sized[cull.Problem](len(f.Problems)),
		Fingerprint: f.Fingerprint, HasFingerprint: f.HasFingerprint, Luma: f.Luma,
	}
	for i, a := range f.Aliases {
		out.Aliases[i] = cull.ID(a)
	}
	for i, x := range f.Files {
		out.Files[i] = cull.File{Path: x.Path, Role: cull.FileRole(x.Role), Kind: x.Kind, Size: x.Size, Mod: x.Mod, Head: x.Head, Of: cull.Origin(x.Of)}
	}
	for i, p := range f.Previews {
		out.Previews[i] = cull.Preview(p)
	}
	for i, p := range f.Problems {
		out.Problems[i] = cull.Problem(p)
	}
	return out
}

// sized is a list of n, nil for none.
func sized[T any](n int) []T {
	if n == 0 {
		return nil
	}
	return make([]T, n)
}

func toShot(s cull.Shot) catalog.Shot {
	return catalog.Shot{
		Orientation: s.Orientation, Seconds: s.Seconds, FNumber: s.FNumber, ISO: s.ISO, Bias: s.Bias, Flash: s.Flash,
		FocalLength: s.FocalLength, Lens: s.Lens, ManualWB: s.ManualWB, AutoBracket: s.AutoBracket,
		Make: s.Make, Model: s.Model, Serial: s.Serial, Software: s.Software, Width: s.Width, Height: s.Height,
		Counter: s.Counter, Rating: s.Rating, Protected: s.Protected,
		SubjectX: s.SubjectX, SubjectY: s.SubjectY, SubjectGiven: s.SubjectGiven, ColorSpace: s.ColorSpace,
	}
}

func fromShot(s catalog.Shot) cull.Shot {
	return cull.Shot{
		Orientation: s.Orientation, Seconds: s.Seconds, FNumber: s.FNumber, ISO: s.ISO, Bias: s.Bias, Flash: s.Flash,
		FocalLength: s.FocalLength, Lens: s.Lens, ManualWB: s.ManualWB, AutoBracket: s.AutoBracket,
		Make: s.Make, Model: s.Model, Serial: s.Serial, Software: s.Software, Width: s.Width, Height: s.Height,
		Counter: s.Counter, Rating: s.Rating, Protected: s.Protected,
		SubjectX: s.SubjectX, SubjectY: s.SubjectY, SubjectGiven: s.SubjectGiven, ColorSpace: s.ColorSpace,
	}
}

func toState(d cull.Decision) catalog.State {
	return catalog.State{Answer: uint8(d.Answer), Who: d.Who, At: d.At, Shown: d.Shown, Explicit: d.Explicit, Seq: d.Seq}
}

func fromState(s catalog.State) cull.Decision {
	return cull.Decision{Answer: cull.Answer(s.Answer), Who: s.Who, At: s.At, Shown: s.Shown, Explicit: s.Explicit, Seq: s.Seq}
}
