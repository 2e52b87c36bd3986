package finished

import (
	"bytes"
	"fmt"
	"slices"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/tiff"
)

// This file reads the directory of a TIFF's picture: TIFF 6.0 §8 (fields), §13 to
// §16 (CMYK, tiles, extra samples), Technical Notes for deflate.

// Tags of TIFF 6.0 and of what is embedded.
const (
	tagSubfileType        = 254
	tagWidth              = 256
	tagHeight             = 257
	tagBits               = 258
	tagCompression        = 259
	tagPhotometric        = 262
	tagFillOrder          = 266
	tagStripOffsets       = 273
	tagOrientation        = 274
	tagSamples            = 277
	tagRowsPerStrip       = 278
	tagStripCounts        = 279
	tagPlanar             = 284
	tagPredictor          = 317
	tagColorMap           = 320
	tagTileWidth          = 322
	tagTileHeight         = 323
	tagTileOffsets        = 324
	tagTileCounts         = 325
	tagInkSet             = 332
	tagExtraSamples       = 338
	tagSampleFormat       = 339
	tagXMP                = 700
	tagIPTC               = 33723
	tagResources          = 34377
	tagProfile            = 34675
	maxEmbedded           = 16 << 20 // bytes of one thing
	tiffReads             = 512
	tiffBytes       int64 = 96 << 20 // of everything that is no sample
)

func (p *Picture) openTIFF() error {
	src := bin.NewSource(p.r, p.size, tiffReads, tiffBytes)
	first, d, pages, err := p.tiffDirectory(src)
	if err != nil {
		return err
	}
	if pages > 1 {
		p.remark(fmt.Sprintf("has %d pages, of which the first counts", pages))
	}
	t := &tiffBody{order: d.R.Order()}
	if err := p.tiffFields(t, d.IFD); err != nil {
		return err
	}
	if err := t.places(p, d.IFD); err != nil {
		return err
	}
	p.body = t
	if e := d.Find(tagProfile); e != nil {
		p.setProfile(embedded(e))
	}
	p.XMP, _ = embedded(d.Find(tagXMP))
	if p.IPTC, _ = embedded(d.Find(tagIPTC)); len(p.IPTC) >= 4 && p.IPTC[0] != 0x1C && p.IPTC[3] == 0x1C {
		p.IPTC = swapped(p.IPTC)
	} else if p.IPTC == nil {
		b, _ := embedded(d.Find(tagResources))
		p.IPTC = iptcResource(b)
	}
	p.Exif = exifOf(first)
	return nil
}

// tiffDirectory finds the first directory and that of the first full picture, and takes
// what the structure says of the exposure. §8: bit 0 of NewSubfileType marks a reduced
// picture, bit 2 a mask.
func (p *Picture) tiffDirectory(src *bin.Source) (first, found exif.Dir, pages int, err error) {
	m, err := p.tags(src, func(d exif.Dir) {
		if d.Kind != exif.DirMain {
			return
		}
		if d.Index == 0 {
			first = d
		}
		if t, _ := d.Find(tagSubfileType).Int(); t&5 != 0 {
			return
		}
		if pages++; pages == 1 {
			found = d
		}
	})
	switch {
	case err != nil:
		return first, found, 0, err
	case pages == 0 && p.cut:
		return first, found, 0, &TruncatedError{}
	case pages == 0:
		return first, found, 0, UnsupportedError("a TIFF in which there is no full picture")
	case found.Cut:
		return first, found, 0, &TruncatedError{}
	}
	if o := number(found.IFD, tagOrientation, m.Orientation); o >= 1 && o <= 8 {
		p.Orientation = o
	}
	return first, found, pages, nil
}

// swapped turns round every four bytes: some writers declare IPTC's data to be
// numbers of 32 bits, and put them into the order of the file.
func swapped(b []byte) []byte {
	out := bytes.Clone(b[:len(b)&^3])
	for i := 0; i < len(out); i += 4 {
		slices.Reverse(out[i : i+4])
	}
	return out
}

// embedded returns the bytes of a field.
func embedded(e *tiff.Entry) ([]byte, error) {
	switch {
	case e == nil:
		return nil, nil
	case e.Size > maxEmbedded:
		return nil, UnsupportedError("is larger than is read")
	}
	b, err := e.Bytes(maxEmbedded)
	if err != nil {
		return nil, FormatError("lies outside of the file")
	}
	return b, nil
}

// number is a field that has one value.
func number(d *tiff.IFD, tag uint16, otherwise int) int {
	if v, ok := d.Find(tag).Int(); ok && v >= 0 && v <= 1<<31-1 {
		return int(v)
	}
	return otherwise
}

// tiffFields sets what the picture is and how its samples lie.
func (p *Picture) tiffFields(t *tiffBody, d *tiff.IFD) error {
	p.Width, p.Height = number(d, tagWidth, 0), number(d, tagHeight, 0)
	if err := p.admit(); err != nil {
		return err
	}
	t.compression = number(d, tagCompression, plain)
	t.planar = number(d, tagPlanar, 1) == 2
	t.predictor = number(d, tagPredictor, 1) == 2 && t.predicts()
	t.reversed = number(d, tagFillOrder, 1) == 2
	t.samples = number(d, tagSamples, 1)
	switch n := number(d, tagPredictor, 1); {
	case !t.known():
		return UnsupportedError(fmt.Sprintf("a TIFF compressed with %s, which is not read", compressionName(t.compression)))
	case n > 2 && t.predicts():
		return UnsupportedError("a TIFF with a predictor that is not read")
	case t.samples < 1 || t.samples > maxSamples:
		return UnsupportedError(fmt.Sprintf("a TIFF of %d channels, which is not read", t.samples))
	}
	if err := p.tiffBits(t, d); err != nil {
		return err
	}
	if err := p.tiffModel(t, d); err != nil {
		return err
	}
	t.extras(p, d.Find(tagExtraSamples))
	return nil
}

// maxSamples is more channels than editors keep: four of ink, alpha and masks.
const maxSamples = 32

// tiffBits wants the same number of bits in every channel, and whole numbers.
func (p *Picture) tiffBits(t *tiffBody, d *tiff.IFD) error {
	bits := []int64{1}
	if e := d.Find(tagBits); e != nil {
		bits = e.Ints(t.samples)
	}
	if len(bits) == 0 {
		return FormatError("a broken TIFF: its bits a sample cannot be read")
	}
	for _, b := range bits {
		if b != bits[0] {
			return UnsupportedError("a TIFF whose channels differ in bits, which is not read")
		}
	}
	if bits[0] != 8 && bits[0] != 16 {
		return UnsupportedError(fmt.Sprintf("a TIFF of %d bits a sample, which is not read", bits[0]))
	}
	if f := number(d, tagSampleFormat, 1); f != 1 && f != 4 { // 4 is "undefined"
		return UnsupportedError("a TIFF whose samples are no plain whole numbers, which is not read")
	}
	p.Bits = int(bits[0])
	t.bytes = p.Bits / 8
	return nil
}

// Photometric interpretations, §8 and later additions.
const (
	whiteIsZero = 0
	blackIsZero = 1
	inRGB       = 2
	inPalette   = 3
	separated   = 5
)

func (p *Picture) tiffModel(t *tiffBody, d *tiff.IFD) error {
	kind := number(d, tagPhotometric, -1)
	switch kind {
	case whiteIsZero, blackIsZero:
		p.Model, t.invert = Grey, kind == whiteIsZero
	case inRGB:
		p.Model = RGB
	case inPalette:
		p.Model = RGB
		e := d.Find(tagColorMap)
		if e != nil {
			t.palette = e.Ints(3 * 256)
		}
		// Some writers take the numbers of 16 bits for bytes (common practice of readers).
		if len(t.palette) > 0 && slices.Max(t.palette) < 256 {
			for i := range t.palette {
				t.palette[i] *= 257
			}
		}
		if p.Bits != 8 || t.samples != 1 || len(t.palette) != 3*256 {
			return FormatError("a broken TIFF: its palette cannot be")
		}
		return nil
	case separated:
		if number(d, tagInkSet, 1) != 1 {
			return UnsupportedError("a TIFF of inks other than CMYK, which is not read")
		}
		p.Model = CMYK
	case -1:
		return FormatError("a broken TIFF: it does not say what its samples are")
	default:
		return UnsupportedError(fmt.Sprintf("a TIFF of %s, which is not read", photometricName(kind)))
	}
	if t.samples < p.Channels() {
		return FormatError(fmt.Sprintf("a broken TIFF: %d channels of %s", t.samples, p.Model))
	}
	return nil
}

func photometricName(kind int) string {
	switch kind {
	case 6:
		return "YCbCr"
	case 8, 9, 10:
		return "Lab colours"
	case 32803, 34892:
		return "raw sensor data"
	}
	return fmt.Sprintf("photometric interpretation %d", kind)
}

// extras finds the alpha channel behind the colours (§18): value 1 is associated,
// 2 unassociated. What is neither is left out.
func (t *tiffBody) extras(p *Picture, e *tiff.Entry) {
	n := t.samples - p.Channels()
	if t.palette != nil || n <= 0 {
		return
	}
	var kinds []int64
	if e != nil {
		kinds = e.Ints(n)
	}
	for i, k := range kinds {
		if k == 1 || k == 2 {
			t.alpha, t.associated = p.Channels()+i, k == 1
			p.hasAlpha()
			n--
			break
		}
	}
	if n > 0 {
		p.remark(fmt.Sprintf("has %d more channels, which are left out", n))
	}
}

// hasAlpha notes that rows are composited.
func (p *Picture) hasAlpha() {
	p.Alpha = true
	p.remark("what is transparent is shown on white")
}
