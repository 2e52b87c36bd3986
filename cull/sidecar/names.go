package sidecar

import (
	"path"
	"slices"
	"strings"
)

// Style says how sidecars are named.
type Style string

// Short replaces the extension (IMG_0001.xmp; XMP Part 3, "External storage of
// metadata": the main document's name with the extension .xmp). Full keeps it
// (IMG_0001.CR3.xmp), which some editors look for instead.
const (
	Short Style = "short"
	Full  Style = "full"
	Both  Style = "both"
)

const extension = ".xmp"

// Names returns the sidecars of a main file ("/"-separated path or name) in a
// style, each once.
func Names(mainFile string, style Style) []string {
	switch short, full := shortName(mainFile), mainFile+extension; {
	case style == Full || short == full:
		return []string{full}
	case style == Both:
		return []string{short, full}
	default:
		return []string{short}
	}
}

func shortName(mainFile string) string {
	dir, base := path.Split(mainFile)
	ext := path.Ext(base)
	if ext == base { // a name that is nothing but an extension
		ext = ""
	}
	return dir + strings.TrimSuffix(base, ext) + extension
}

// Existing returns which files of the main file's folder are sidecars of it
// under either name, whatever the case of the letters ("IMG_0001.XMP"), in the
// spelling of the listing: short before full, the exact spelling first. The
// listing holds names of the same form as mainFile (both paths, or both names).
func Existing(mainFile string, listing []string) []string {
	var out []string
	for _, want := range Names(mainFile, Both) {
		var found []string
		for _, have := range listing {
			if strings.EqualFold(have, want) {
				found = append(found, have)
			}
		}
		slices.SortFunc(found, func(a, b string) int {
			if (a == want) != (b == want) {
				if a == want {
					return -1
				}
				return 1
			}
			return strings.Compare(a, b)
		})
		out = append(out, slices.Compact(found)...)
	}
	return out
}

// Targets returns the sidecars to write for a frame: every one that exists under
// either name, so that they never disagree, and with Both, or where there is
// none, those of the style. Where the short name is shared (see Shared) it
// belongs to nobody, and only the full one counts.
func Targets(mainFile string, style Style, listing []string, shared bool) []string {
	full := mainFile + extension
	out := Existing(mainFile, listing)
	if shared {
		style = Full
		out = slices.DeleteFunc(out, func(s string) bool { return !strings.EqualFold(s, full) })
	}
	if len(out) > 0 && style != Both {
		return out
	}
	for _, want := range Names(mainFile, style) {
		if !slices.ContainsFunc(out, func(s string) bool { return strings.EqualFold(s, want) }) {
			out = append(out, want)
		}
	}
	return out
}

// Shared tells which main files must not use their short sidecar name, because
// a main file of another frame would claim the same: IMG_0001.CR3 and IMG_0001.JPG
// of two bodies in one folder. mains maps each main file's path to its frame's id.
// Letters that differ in case alone are the same, for file systems on which
// they are.
func Shared(mains map[string]string) map[string]bool {
	claims := map[string][]string{} // folded name → main files
	for file := range mains {
		for _, n := range Names(file, Both) {
			claims[fold(n)] = append(claims[fold(n)], file)
		}
	}
	out := map[string]bool{}
	for file, id := range mains {
		for _, other := range claims[fold(shortName(file))] {
			if mains[other] != id {
				out[file] = true
			}
		}
	}
	return out
}

// fold makes names equal that differ in case alone.
func fold(s string) string { return strings.ToLower(strings.ToUpper(s)) }
