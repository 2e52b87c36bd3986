// Package icc reads the colour profiles that cameras, phones and editors put into
// pictures, as the International Color Consortium lays them out (ICC.1:2010 and
// ICC.1:2022), and says how their colours become those of another space.
//
// For previews there is the kind with three curves and a matrix, which is what describes
// the working spaces that a camera can be set to: sRGB, Adobe RGB (1998), Display P3 and
// others of that form. Parse reads those and refuses all else.
//
// For finished pictures there is a Converter, which also reads grey profiles and those
// that describe grey, RGB or CMYK by tables, the way Little CMS reads them, and gives
// linear light of sRGB, Display P3 or Adobe RGB. Encode writes profiles of those to embed.
//
// # Security
//
// Input is untrusted. Every offset is checked against the profile's bytes before
// it is used, no count decides an allocation, and whatever numbers a profile
// holds, the curves of a Profile are finite and lie between 0 and 1, and the light that
// a Converter gives is finite.
package icc

// FormatError says that the data are not a well-formed profile.
type FormatError string

// Error implements error.
func (e FormatError) Error() string { return "icc: invalid format: " + string(e) }

// UnsupportedError says that a profile is of a kind that is not read.
type UnsupportedError string

// Error implements error.
func (e UnsupportedError) Error() string { return "icc: unsupported: " + string(e) }
