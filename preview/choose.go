package preview

import (
	"cmp"
	"slices"

	"garner/preview/raw"
)

// RenditionPixels is the size of an embedded JPEG from which on a file needs no
// rendition of its own: about what a screen shows.
const RenditionPixels = 1_500_000

// RenditionEdge is the long edge of a rendition in pixels: 1500 by 1000 of a 3:2
// frame.
const RenditionEdge = 1500

// Codec is the version of the code that makes thumbnails and renditions, for
// the keys of a cache. It rises when their pixels change.
const Codec = 2

// NeedsRendition reports whether a file shows nothing of RenditionPixels by
// itself, so that a picture made from it should be kept.
func NeedsRendition(previews []raw.Preview) bool {
	for _, p := range previews {
		if p.Whole && readable(p) && p.Width*p.Height >= RenditionPixels {
			return false
		}
	}
	return true
}

// Best returns the smallest whole embedded JPEG whose long edge is at least
// longEdge pixels, else the largest whole one; longEdge 0 asks for the largest.
// Without any it returns the largest that is cut off, and false if there is
// none at all.
func Best(previews []raw.Preview, longEdge int) (raw.Preview, bool) {
	all := inOrder(previews, longEdge)
	if len(all) == 0 {
		return raw.Preview{}, false
	}
	return all[0], true
}

// inOrder returns the previews in the order in which they are tried: those that
// are big enough from the smallest up, the smaller ones from the largest down,
// and then what is cut off, since part of a picture is better than none.
func inOrder(previews []raw.Preview, longEdge int) []raw.Preview {
	var out []raw.Preview
	for _, p := range previews {
		if readable(p) {
			out = append(out, p)
		}
	}
	rank := func(p raw.Preview) int {
		switch {
		case !p.Whole:
			return 2
		case longEdge <= 0 || max(p.Width, p.Height) < longEdge:
			return 1
		}
		return 0
	}
	slices.SortStableFunc(out, func(a, b raw.Preview) int {
		if c := cmp.Compare(rank(a), rank(b)); c != 0 {
			return c
		}
		c := cmp.Compare(a.Width*a.Height, b.Width*b.Height)
		if rank(a) > 0 {
			c = -c
		}
		if c == 0 {
			c = cmp.Compare(a.Offset, b.Offset)
		}
		return c
	})
	return out
}

// readable reports whether a preview can be tried at all: package jpeg decodes
// 8 bits a sample.
func readable(p raw.Preview) bool {
	return p.Offset >= 0 && p.Length > 0 && (p.Precision == 0 || p.Precision == 8)
}

// scaleFor returns the strongest of the scales 8, 4, 2 and 1 that leaves a long
// edge of at least longEdge.
func scaleFor(width, height, longEdge int) int {
	if longEdge <= 0 {
		return 1
	}
	for _, n := range []int{8, 4, 2} {
		if max(width, height)/n >= longEdge {
			return n
		}
	}
	return 1
}
