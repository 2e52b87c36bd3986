package finished

import (
	"bytes"
	"errors"
	"strings"
	"unicode/utf8"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/tiff"
)

// Tags of IFD0 that are texts (TIFF 6.0 §8), and the one that points to places.
const (
	tagDocumentName = 0x010D
	tagDescription  = 0x010E
	tagArtist       = 0x013B
	tagCopyright    = 0x8298
	tagGPS          = 0x8825
)

// tags takes what a TIFF structure says into Meta and shows its directories. The
// structure is a whole file or what Exif embeds.
func (p *Picture) tags(src *bin.Source, visit func(exif.Dir)) (exif.Meta, error) {
	m := exif.NewMeta()
	err := exif.Walk(src, 0, src.Size(), exif.RootIFD0, &m, exif.Visitor{Dir: func(d exif.Dir) {
		if d.Kind == exif.DirMain && d.Index == 0 {
			p.texts0(d)
		}
		visit(d)
	}, Fault: func(_ string, fault error) {
		p.cut = p.cut || errors.Is(fault, bin.ErrEnd)
	}})
	if failed := src.Failed(); failed != nil {
		err = failed
	}
	if err != nil {
		return m, err
	}
	t := &p.Meta
	t.Taken, t.Make, t.Model, t.Serial, t.Software = m.Taken, m.Make, m.Model, m.Serial, m.Software
	if p.ColorSpace == "" && m.ColorSpace != "uncalibrated" {
		p.ColorSpace = m.ColorSpace
	}
	return m, nil
}

// texts0 takes the texts of IFD0.
func (p *Picture) texts0(d exif.Dir) {
	m := &p.Meta
	m.Caption = exifText(d.Find(tagDescription))
	m.Creator = exifText(d.Find(tagArtist))
	m.Copyright = exifText(d.Find(tagCopyright))
	m.source(exifText(d.Find(tagDocumentName)))
	if at, ok := d.Find(tagGPS).Int(); ok {
		// Bodies without a receiver write the directory with its version alone.
		if gps, err := d.R.IFD(at); err == nil {
			m.GPS = gps.Find(2) != nil // GPSLatitude
		}
	}
}

// exifText reads a string of up to maxText bytes. Of a copyright in two parts,
// photographer's and editor's, the first counts that says something (CIPA DC-008
// §4.6.4).
func exifText(e *tiff.Entry) string {
	if e == nil {
		return ""
	}
	b, err := e.Bytes(maxText)
	if err != nil {
		return ""
	}
	for part := range bytes.SplitSeq(b, []byte{0}) {
		if s := strings.TrimSpace(anyText(part)); s != "" {
			return s
		}
	}
	return ""
}

// anyText reads bytes of a coding that nobody names: UTF-8 if they can be, else
// Latin-1.
func anyText(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	return latin1(b)
}

func latin1(b []byte) string {
	r := make([]rune, len(b))
	for i, c := range b {
		r[i] = rune(c)
	}
	return string(r)
}
