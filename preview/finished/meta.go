package finished

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"strings"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/xmp"
)

// describe makes the Meta out of what Open found. Where several say the same thing,
// XMP comes before IPTC-IIM and that before Exif for texts, which is how editors
// keep them; for the exposure Exif comes first.
func (p *Picture) describe() {
	if p.Exif != nil && p.Format != TIFF { // of a TIFF they were read with its directories
		p.jpegExif()
	}
	fromExif := p.Meta
	p.Meta = Meta{Taken: fromExif.Taken, Make: fromExif.Make, Model: fromExif.Model, Serial: fromExif.Serial, GPS: fromExif.GPS}
	if p.XMP != nil {
		d, err := xmp.Parse(p.XMP)
		if err != nil {
			p.remark(fmt.Sprintf("its XMP cannot be read (%v)", err))
		} else {
			p.Meta.xmp(d)
		}
	}
	p.Meta.iptc(p.IPTC)
	m := &p.Meta
	for _, t := range []struct {
		to   *string
		text string
	}{
		{&m.Caption, fromExif.Caption}, {&m.Creator, fromExif.Creator}, {&m.Copyright, fromExif.Copyright},
		{&m.Software, fromExif.Software},
		{&m.Title, p.texts["Title"]}, {&m.Creator, p.texts["Author"]}, {&m.Caption, p.texts["Description"]},
		{&m.Copyright, p.texts["Copyright"]}, {&m.Software, p.texts["Software"]},
	} {
		setText(t.to, t.text)
	}
	m.source(fromExif.SourceNames...)
	p.texts = nil
}

// jpegExif reads an Exif structure that lies in memory.
func (p *Picture) jpegExif() {
	src := bin.NewSource(bytes.NewReader(p.Exif), int64(len(p.Exif)), tiffReads, tiffBytes)
	m, err := p.tags(src, func(exif.Dir) {})
	if err != nil {
		p.remark(fmt.Sprintf("its Exif cannot be read (%v)", err))
		return
	}
	if m.Orientation > 0 {
		p.Orientation = m.Orientation
	}
}

// setText keeps what is there.
func setText(to *string, s string) {
	if *to == "" {
		*to = s
	}
}

// source adds names of files, without folders of any system.
func (m *Meta) source(names ...string) {
	for _, s := range names {
		s = path.Base(strings.ReplaceAll(strings.TrimSpace(s), `\`, "/"))
		if s != "." && s != "/" && len(s) <= 255 && len(m.SourceNames) < maxSources && !slices.Contains(m.SourceNames, s) {
			m.SourceNames = append(m.SourceNames, s)
		}
	}
}

// Limits on lists; a merge has a few dozen frames.
const (
	maxSources  = 256
	maxKeywords = 1000
)
