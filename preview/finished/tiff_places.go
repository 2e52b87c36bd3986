package finished

import (
	"encoding/binary"
	"math"

	"garner/preview/tiff"
)

// tiffBody is how a TIFF's samples lie in the file.
type tiffBody struct {
	order       binary.ByteOrder
	compression int
	predictor   bool // horizontal differencing
	reversed    bool // the bits of each byte run from the lowest
	planar      bool // each channel by itself
	bytes       int  // of a sample
	samples     int  // in a pixel of the file
	invert      bool // white is zero
	palette     []int64
	alpha       int // which sample is alpha; 0 = none
	associated  bool

	tiled         bool
	partW, partH  int // of a strip or tile
	across, down  int // strips or tiles in one plane
	offsets, size []int64
}

// maxParts bounds the tables of strips and tiles: single rows of the highest
// picture in five planes, tiles of 16x16 of the largest one by far.
const maxParts = 1 << 21

// places reads the tables of strips or tiles and holds them against the file.
func (t *tiffBody) places(p *Picture, d *tiff.IFD) error {
	offsets, counts := d.Find(tagStripOffsets), d.Find(tagStripCounts)
	t.partW, t.partH = p.Width, min(number(d, tagRowsPerStrip, p.Height), p.Height)
	if e := d.Find(tagTileOffsets); e != nil || d.Find(tagTileWidth) != nil {
		t.tiled = true
		if counts = d.Find(tagTileCounts); e != nil {
			offsets = e // some writers put tiles into the fields of strips
		}
		t.partW, t.partH = number(d, tagTileWidth, 0), number(d, tagTileHeight, 0)
	}
	if t.partW < 1 || t.partH < 1 || t.partW > 2*maxSide || t.partH > 2*maxSide || offsets == nil {
		return FormatError("a broken TIFF: it does not say where its rows are")
	}
	t.across, t.down = (p.Width+t.partW-1)/t.partW, (p.Height+t.partH-1)/t.partH
	n := int64(t.across) * int64(t.down)
	if t.planar {
		n *= int64(t.samples)
	}
	switch {
	case n > maxParts:
		return &SizeError{p.Width, p.Height, "in more strips or tiles than are read"}
	case int64(offsets.Count) < n || counts != nil && int64(counts.Count) < n:
		return FormatError("a broken TIFF: strips or tiles are missing")
	case !offsets.Inside() || counts != nil && !counts.Inside():
		return &TruncatedError{0, p.Height}
	}
	t.offsets = offsets.Ints(int(n))
	switch {
	case len(t.offsets) != int(n): // texts or fractions, say
	case counts != nil:
		t.size = counts.Ints(int(n))
	default:
		if err := t.guess(p, int(n)); err != nil {
			return err
		}
	}
	if len(t.offsets) != int(n) || len(t.size) != int(n) {
		return FormatError("a broken TIFF: its tables of strips or tiles cannot be read")
	}
	return t.inside(p)
}

// guess makes the table of sizes that very old writers left out: what is stored
// plainly has a size that is known, and a single strip may take the whole file.
func (t *tiffBody) guess(p *Picture, n int) error {
	for i := range n {
		switch {
		case t.compression == plain && !t.tiled:
			rows := min(t.partH, p.Height-i%t.down*t.partH)
			t.size = append(t.size, int64(rows)*t.rowBytes())
		case n == 1:
			t.size = append(t.size, p.size-t.offsets[0])
		default:
			return FormatError("a broken TIFF: it does not say how long its strips are")
		}
	}
	return nil
}

// rowBytes is one row of a strip or tile before compression.
func (t *tiffBody) rowBytes() int64 {
	n := int64(t.partW) * int64(t.bytes)
	if !t.planar {
		n *= int64(t.samples)
	}
	return n
}

// maxRatio is more than any of the codings can amount to: LZW, whose longest
// strings have 3,838 bytes in a code of 12 bits, reaches 2,560.
const maxRatio = 3000

// inside holds that every part that will be read lies in the file, and that there
// are data enough.
func (t *tiffBody) inside(p *Picture) error {
	total := int64(0)
	for i, off := range t.offsets {
		if t.planar && !t.wanted(p, i/(t.across*t.down)) {
			continue
		}
		n := t.size[i]
		if off < 0 || n < 0 || off > p.size || n > p.size-off {
			first := i % (t.across * t.down) / t.across * t.partH
			return &TruncatedError{min(first, p.Height), p.Height}
		}
		total += n
	}
	raw := p.pixels() * int64(t.bytes) * int64(t.used(p))
	if t.compression == plain && total < raw || total < raw/maxRatio {
		return &SizeError{p.Width, p.Height, "more than the data can hold"}
	}
	if t.memory(p) > math.MaxInt32 {
		return &SizeError{p.Width, p.Height, "tiles too large to be read"}
	}
	return nil
}

// wanted says whether plane c is read at all.
func (t *tiffBody) wanted(p *Picture, c int) bool {
	return t.palette != nil || c < p.Channels() || t.alpha > 0 && c == t.alpha
}

// used is how many samples of a pixel are read.
func (t *tiffBody) used(p *Picture) int {
	n := p.Channels()
	if t.palette != nil {
		n = 1
	}
	if t.alpha > 0 {
		n++
	}
	return n
}

func (t *tiffBody) memory(p *Picture) int64 {
	const unpackers = 256 << 10
	planes := int64(1)
	if t.planar {
		planes = int64(t.used(p))
	}
	n := 16*int64(len(t.offsets)) + planes*(unpackers+t.rowBytes()) + int64(p.Width)*int64(t.samples)*4
	if t.tiled {
		n += t.bandSamples(p) * 2
	}
	return n
}

// bandSamples is how many samples a row of tiles holds.
func (t *tiffBody) bandSamples(p *Picture) int64 {
	return int64(min(t.partH, p.Height)) * int64(p.Width) * int64(t.samples)
}
