package exif

import (
	"bytes"
	"encoding/binary"
	"strings"

	"garner/preview/tiff"
)

// Maker is the layout of a maker note.
type Maker string

// The layouts that are read. Maker notes have no published standard; these follow
// the tables of the reference reader exiftool.
const (
	Canon     Maker = "Canon"
	Nikon     Maker = "Nikon"
	Sony      Maker = "Sony"
	Olympus   Maker = "Olympus" // Epson's have the same form
	Pentax    Maker = "Pentax"
	Panasonic Maker = "Panasonic"
	Fujifilm  Maker = "Fujifilm"
	Samsung   Maker = "Samsung"
	Minolta   Maker = "Minolta"
	Casio     Maker = "Casio"
)

// note is a maker note's first directory: whose layout, which reader, where.
type note struct {
	maker Maker
	r     *tiff.Reader
	off   int64
}

// noteHead is how a maker note may begin: a signature, how far the directory lies
// behind it, and whether its offsets count from the note instead of from the
// structure around it. orderAt is where "II" or "MM" stands, 0 = nowhere.
type noteHead struct {
	signature string
	maker     Maker
	skip      int64
	own       bool
	orderAt   int
}

func noteHeads() []noteHead {
	return []noteHead{
		{"Nikon\x00\x01", Nikon, 8, false, 0},
		{"SONY DSC ", Sony, 12, false, 0},
		{"SONY CAM ", Sony, 12, false, 0},
		{"SONY MOBILE", Sony, 12, false, 0},
		{"VHAB     ", Sony, 12, false, 0},
		{"OLYMPUS\x00", Olympus, 12, true, 8},
		{"OM SYSTEM\x00", Olympus, 16, true, 12},
		{"OLYMP\x00", Olympus, 8, false, 0},
		{"EPSON\x00", Olympus, 8, false, 0},
		{"CAMER\x00", Olympus, 8, false, 0},
		{"MINOL\x00", Minolta, 8, false, 0},
		{"AOC\x00", Pentax, 6, false, 4},
		{"PENTAX \x00", Pentax, 10, true, 8},
		{"QVC\x00", Casio, 6, false, 0},
		{"Panasonic\x00", Panasonic, 12, false, 0},
		{"LEICA\x00\x00\x00", Panasonic, 8, false, 0},
	}
}

// openNote recognises the maker note in a field of the Exif IFD, by its first
// bytes, else by the make.
func openNote(r *tiff.Reader, e *tiff.Entry, maker string) (note, bool) {
	const headLen = 18
	// The first bytes do: a note whose declared end lies past the structure's may
	// still be read as far as it goes.
	head, err := r.Source().UpTo(e.Offset, headLen)
	if err != nil || e.Size < headLen || len(head) < headLen {
		return note{}, false
	}
	end := r.Base() + r.Size()
	switch {
	case bytes.HasPrefix(head, []byte("Nikon\x00\x02")):
		// A TIFF structure of its own, header and all, behind ten bytes.
		h, err := tiff.ParseHeader(head[10:])
		base := e.Offset + 10
		return note{Nikon, r.Within(base, end-base, order(h.Order, r)), h.First}, err == nil
	case bytes.HasPrefix(head, []byte("FUJIFILM")):
		off := int64(binary.LittleEndian.Uint32(head[8:]))
		return note{Fujifilm, r.Within(e.Offset, end-e.Offset, binary.LittleEndian), off}, true
	}
	for _, h := range noteHeads() {
		if !bytes.HasPrefix(head, []byte(h.signature)) {
			continue
		}
		ord := r.Order()
		if h.orderAt > 0 {
			switch string(head[h.orderAt:][:2]) {
			case "II":
				ord = binary.LittleEndian
			case "MM":
				ord = binary.BigEndian
			}
		}
		if h.own {
			return note{h.maker, r.Within(e.Offset, end-e.Offset, ord), h.skip}, true
		}
		return note{h.maker, r.Within(r.Base(), r.Size(), ord), e.Offset - r.Base() + h.skip}, true
	}
	// A program that rewrote the file in the other byte order left the note alone.
	if swapped(head, r.Order()) {
		r = r.Within(r.Base(), r.Size(), other(r.Order()))
	}
	if !directory(head, r.Order()) {
		return note{}, false
	}
	return bareNote(r, e.Offset-r.Base(), strings.ToUpper(maker))
}

// swapped reports whether a directory's count only makes sense in the other byte
// order: maker notes have fewer than 256 entries.
func swapped(dir []byte, o binary.ByteOrder) bool {
	return o.Uint16(dir) > 0xFF && other(o).Uint16(dir) <= 0xFF
}

// directory reports whether bytes can be the beginning of one: some hundred entries
// at most, the first of a type that TIFF 6.0 §2 knows. Bodies without a directory
// in their note write text or numbers of their own there.
func directory(b []byte, o binary.ByteOrder) bool {
	count, typ := o.Uint16(b), o.Uint16(b[4:])
	return count > 0 && count <= 0xFF && typ >= uint16(tiff.Byte) && typ <= uint16(tiff.IFDPtr)
}

func other(o binary.ByteOrder) binary.ByteOrder {
	if o == binary.ByteOrder(binary.BigEndian) {
		return binary.LittleEndian
	}
	return binary.BigEndian
}

// bareNote is a note that begins with its directory.
func bareNote(r *tiff.Reader, off int64, maker string) (note, bool) {
	for _, m := range []struct {
		make  string
		maker Maker
	}{
		{"CANON", Canon}, {"NIKON", Nikon}, {"SONY", Sony}, {"SAMSUNG", Samsung},
		{"MINOLTA", Minolta}, {"KONICA MINOLTA", Minolta},
	} {
		if strings.HasPrefix(maker, m.make) {
			return note{m.maker, r, off}, true
		}
	}
	return note{}, false
}

func order(o binary.ByteOrder, r *tiff.Reader) binary.ByteOrder {
	if o == nil {
		return r.Order()
	}
	return o
}
