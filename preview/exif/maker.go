package exif

import (
	"fmt"
	"strings"

	"garner/preview/tiff"
)

// This file takes the few maker-note fields that matter and are stored in plain:
// serial numbers, counters, ratings, lens names. Tag numbers are those of the
// tables of the reference reader exiftool.

// noteSubs are the tags of a maker note that point to further directories.
func noteSubs(m Maker) []uint16 {
	switch m {
	case Nikon:
		return []uint16{NikonPreview}
	case Olympus:
		return []uint16{olympusEquipment, OlympusCamera, OlympusMain}
	case Samsung:
		return []uint16{SamsungPreview}
	}
	return nil
}

// Tags of maker-note directories that hold embedded JPEGs; Dir.Index of a
// DirNoteSub is one of them.
const (
	NikonPreview   = 0x0011
	OlympusCamera  = 0x2020
	OlympusMain    = 0x4000 // what older bodies keep in the note itself
	SamsungPreview = 0x0035

	olympusEquipment = 0x2010
)

// note reads a maker note and the directories it points to.
func (w *walker) note(n note) {
	ifd, ok := w.read(n.r, n.off, Dir{Kind: DirNote, Maker: n.maker, What: "maker note"})
	if !ok {
		return
	}
	switch n.maker {
	case Canon:
		w.canon(ifd)
	case Nikon:
		w.nikon(ifd)
	default:
		w.other(n.maker, ifd)
	}
	for _, tag := range noteSubs(n.maker) {
		e := ifd.Find(tag)
		off, ok := e.Int()
		if !ok {
			continue
		}
		// Early Olympus bodies write the directory itself as the field's value.
		if e.Type == tiff.Undefined && e.Size > 4 {
			off = e.Offset - n.r.Base()
		}
		d := Dir{Kind: DirNoteSub, Index: int(tag), Maker: n.maker, What: fmt.Sprintf("maker note's directory %#x", tag)}
		sub, ok := w.read(n.r, off, d)
		switch {
		case !ok:
		case tag == olympusEquipment:
			setSerial(&w.m.Serial, sub.Find(0x0101))
			setLensName(&w.m.Lens, sub.Find(0x0203))
		case tag == OlympusMain:
			w.other(Olympus, sub)
		}
	}
}

func (w *walker) canon(d *tiff.IFD) {
	m := w.m
	if v, ok := d.Find(0x000C).Int(); ok && m.Serial == "" && v > 0 {
		m.Serial = canonSerial(m.Model, v)
	}
	// Folder and file number, 1060023 for 106-0023. Newer bodies leave it out.
	if v, ok := d.Find(0x0008).Int(); ok && m.Counter == 0 && v > 0 {
		m.Counter = v
	}
	setLensName(&m.Lens, d.Find(0x0095))
	w.noteColor(d.Find(0x00B4))
	w.canonPlace(d.Find(0x0026))
}

// canonSerial writes the number as it stands on the body: four hexadecimal and
// five decimal digits on the D30, six and more digits on the EOS-1D line, ten
// elsewhere.
func canonSerial(model string, v int64) string {
	switch {
	case strings.HasSuffix(model, "EOS D30"):
		return fmt.Sprintf("%04x%05d", v>>16, v&0xFFFF)
	case strings.Contains(model, "EOS-1D"):
		return fmt.Sprintf("%06d", v)
	}
	return fmt.Sprintf("%010d", v)
}

func (w *walker) nikon(d *tiff.IFD) {
	m := w.m
	setSerial(&m.Serial, d.Find(0x001D))
	if m.Serial == "" { // older bodies: "NO= 12345678"
		s := d.Find(0x00A0).Text()
		m.Serial = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(s, "NO="), "No="))
	}
	// 4294965247 is the maker's "not available".
	if v, ok := d.Find(0x00A7).Int(); ok && m.Counter == 0 && v > 0 && v != 4294965247 {
		m.Counter = v
	}
	if v := d.Find(0x0002); v != nil && m.ISO == 0 {
		if n := v.Ints(2); len(n) == 2 && n[1] > 0 {
			m.ISO = int(n[1])
		}
	}
	setLens(&m.Lens, d.Find(0x0084))
	w.noteColor(d.Find(0x001E))
}

// noteColor takes 1 for sRGB and 2 for Adobe RGB where Exif does not know.
func (w *walker) noteColor(e *tiff.Entry) {
	if v, ok := e.Int(); ok && (w.m.ColorSpace == "" || w.m.ColorSpace == "uncalibrated") && (v == 1 || v == 2) {
		w.m.ColorSpace = colorSpace(v)
	}
}

func (w *walker) other(maker Maker, d *tiff.IFD) {
	m := w.m
	switch maker {
	case Sony:
		w.noteRating(d.Find(0x2002))
		w.sonyPlace(d.Find(0x2027))
	case Olympus:
		setSerial(&m.Serial, d.Find(0x0404))
		setSerial(&m.Serial, d.Find(0x101A))
	case Pentax:
		setSerial(&m.Serial, d.Find(0x0229))
	case Panasonic:
		// Not the number on the body, but one of this body alone: enough to tell two
		// of a model apart.
		setSerial(&m.Serial, d.Find(0x0025))
		setLensName(&m.Lens, d.Find(0x0051))
	case Fujifilm:
		setSerial(&m.Serial, d.Find(0x0010)) // as Panasonic's
		w.noteRating(d.Find(0x1431))
		// The highest bit is a flag.
		if v, ok := d.Find(0x1438).Int(); ok && m.Counter == 0 {
			m.Counter = v & 0x7FFF
		}
	case Samsung:
		setSerial(&m.Serial, d.Find(0xA002))
	}
}

func (w *walker) noteRating(e *tiff.Entry) {
	if v, ok := e.Int(); ok && w.m.Rating == 0 && v >= 0 && v <= 5 {
		w.m.Rating = int(v)
	}
}
