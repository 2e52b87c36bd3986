package preview

import (
	"garner/preview/icc"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// The names of colour spaces that metadata and Picture use.
const (
	SpaceSRGB     = "sRGB"
	SpaceAdobeRGB = "Adobe RGB"
)

// space is what the samples of one embedded JPEG mean.
type space struct {
	name    string       // "" = not known
	profile *icc.Profile // how they become sRGB; nil = they stay as they are
	trouble string       // why nothing is known of a profile that is there
}

// spaceOf asks the JPEG's own profile, and where it has none what the file's
// metadata said: Exif ColorSpace with the R03 of DCF 2.0, or the maker note.
// What neither tells is shown as it is, as nearly every such picture is sRGB.
func spaceOf(src []byte, said string) space {
	b, err := icc.FromJPEG(src)
	if err == nil && b == nil {
		if said == SpaceAdobeRGB {
			return space{name: said, profile: icc.AdobeRGB()}
		}
		return space{name: said}
	}
	var p *icc.Profile
	if err == nil {
		p, err = icc.Parse(b)
	}
	switch {
	case err != nil:
		return space{name: said, trouble: err.Error()}
	case p.IsSRGB():
		return space{name: SpaceSRGB}
	}
	return space{name: p.Description, profile: p}
}

// toSRGB converts a picture whose planes belong to nobody else.
func (s space) toSRGB(m *jpeg.Image) {
	if s.profile != nil {
		pix.ToSRGB(m, s.profile)
	}
}

// shown is the name of the space after toSRGB.
func (s space) shown() string {
	if s.profile != nil {
		return SpaceSRGB
	}
	return s.name
}

// from is the name of the space that toSRGB converts from.
func (s space) from() string {
	if s.profile == nil {
		return ""
	}
	if s.name == "" {
		return "a space without a name"
	}
	return s.name
}
