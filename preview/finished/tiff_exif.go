package finished

import (
	"encoding/binary"

	"garner/preview/exif"
	"garner/preview/tiff"
)

// This file copies what the directories of a TIFF say of the exposure and the place
// into a structure of its own, as a JPEG embeds it (CIPA DC-008 §4.5), so that whoever
// takes it over need not hold a file of hundreds of megabytes.

const (
	tagMake      = 0x010F
	tagModel     = 0x0110
	tagShot      = 0x8769
	tagMakerNote = 0x927C // whose offsets are those of the whole file
	tagInterop   = 0xA005

	maxExifValue = 4 << 10
	maxExifAll   = 60 << 10
)

// exifOf returns the structure, nil if the directory says nothing of the two.
func exifOf(d exif.Dir) []byte {
	w := exifCopy{order: d.R.Order(), b: []byte("II*\x00\x00\x00\x00\x00")}
	if w.order == binary.ByteOrder(binary.BigEndian) {
		copy(w.b, "MM\x00*")
	}
	main := &tiff.IFD{}
	for _, tag := range []uint16{tagMake, tagModel} {
		if e := d.Find(tag); e != nil {
			main.Entries = append(main.Entries, *e)
		}
	}
	r := tiff.NewReader(d.R.Source(), d.R.Base(), d.R.Size(), w.order) // which has not seen them
	var to []pointer
	for _, tag := range []uint16{tagShot, tagGPS} {
		at, ok := d.Find(tag).Int()
		if !ok {
			continue
		}
		if ifd, err := r.IFD(at); err == nil {
			to = append(to, pointer{tag, w.directory(ifd.Entries, nil)})
		}
	}
	if len(to) == 0 {
		return nil
	}
	w.order.PutUint32(w.b[4:], w.directory(main.Entries, to))
	return w.b
}

// pointer is an entry that says where a directory is.
type pointer struct {
	tag uint16
	at  uint32
}

type exifCopy struct {
	order binary.ByteOrder
	b     []byte
}

// directory appends copies of entries, as they are in order, and says where they are.
func (w *exifCopy) directory(entries []tiff.Entry, to []pointer) uint32 {
	var values [][]byte
	var kept []tiff.Entry
	room := maxExifAll - len(w.b)
	for i := range entries {
		e := &entries[i]
		v, err := e.Bytes(maxExifValue)
		room -= 12 + len(v)
		if e.Tag == tagMakerNote || e.Tag == tagInterop || e.Size == 0 || e.Size > maxExifValue || err != nil || room < 0 {
			continue
		}
		kept, values = append(kept, *e), append(values, v)
	}
	at := len(w.b)
	w.u16(len(kept) + len(to))
	behind := at + 2 + 12*(len(kept)+len(to)) + 4
	for i, e := range kept {
		w.u16(int(e.Tag))
		w.u16(int(e.Type))
		w.u32(int(e.Count))
		if v := values[i]; len(v) <= 4 {
			w.b = append(append(w.b, v...), make([]byte, 4-len(v))...)
		} else {
			w.u32(behind)
			behind += len(v)
		}
	}
	for _, p := range to {
		w.u16(int(p.tag))
		w.u16(int(tiff.Long))
		w.u32(1)
		w.u32(int(p.at))
	}
	w.u32(0)
	for _, v := range values {
		if len(v) > 4 {
			w.b = append(w.b, v...)
		}
	}
	return uint32(at)
}

func (w *exifCopy) u16(v int) {
	w.b = append(w.b, 0, 0)
	w.order.PutUint16(w.b[len(w.b)-2:], uint16(v))
}

func (w *exifCopy) u32(v int) {
	w.b = append(w.b, 0, 0, 0, 0)
	w.order.PutUint32(w.b[len(w.b)-4:], uint32(v))
}
