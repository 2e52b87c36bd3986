package raw

import "strings"

// This file tells the families of TIFF-based raw files apart: by the header where
// it has a mark, else by the maker, else by the layout.

// kind names the family.
func (t *tiffFile) kind() Kind {
	maker, model := strings.ToUpper(t.out.Meta.Make), strings.ToUpper(t.out.Meta.Model)
	is := func(prefix string) bool { return strings.HasPrefix(maker, prefix) }
	mark := ""
	if len(t.head) >= 12 {
		mark = string(t.head[8:12])
	}
	switch {
	case t.version == versionPanasonic && is("LEICA"):
		return "RWL"
	case t.version == versionPanasonic:
		return "RW2"
	case t.version != versionTIFF:
		return "ORF"
	case t.dng && is("GOPRO"):
		return "GPR"
	case t.dng:
		return "DNG"
	case t.cr2:
		return "CR2"
	case mark == "IIII" || mark == "MMMM":
		return "IIQ"
	case !t.sensor && !t.reduced:
		return "TIFF"
	case is("NIKON") && strings.Contains(model, "COOLPIX"):
		return "NRW"
	case is("SONY") && (model == "DSC-R1" || model == "DSC-V3" || model == "DSC-F828"):
		return "SR2"
	}
	for _, f := range makers() {
		if is(f.maker) {
			return f.kind
		}
	}
	return t.layout()
}

type makerKind struct {
	maker string
	kind  Kind
}

// makers lists who writes which kind, by the beginning of tag Make in capitals.
func makers() []makerKind {
	return []makerKind{
		{"NIKON", "NEF"}, {"SONY", "ARW"}, {"PENTAX", "PEF"}, {"ASAHI", "PEF"}, {"RICOH", "PEF"},
		{"SAMSUNG", "SRW"}, {"HASSELBLAD", "3FR"}, {"SEIKO EPSON", "ERF"},
		{"PHASE ONE", "IIQ"}, {"LEAF", "IIQ"}, {"MAMIYA", "IIQ"},
	}
}

// layout names the family whose arrangement a file of an unknown maker has: what
// matters is that it is raw, and that somebody can tell how it was read.
func (t *tiffFile) layout() Kind {
	switch {
	case !t.sensor:
		return "TIFF"
	case t.mosaic:
		return "PEF" // sensor data in IFD0, JPEGs chained behind it
	case t.pointer:
		return "ARW" // a JPEG in IFD0, sensor data in a SubIFD
	default:
		return "NEF" // a thumbnail in IFD0, JPEGs and sensor data in SubIFDs
	}
}
