package raw

import (
	"bytes"
	"encoding/binary"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/internal/marker"
	"garner/preview/tiff"
)

// This file locates what a JPEG file holds: itself, the Exif thumbnail (Exif
// §4.5.5, IFD1), previews that the maker note points to, and the smaller pictures
// of a multi-picture index (CIPA DC-007 §5.2).

func isJPEG(head []byte) bool { return bytes.HasPrefix(head, []byte{0xFF, 0xD8, 0xFF}) }

func locateJPEG(s *scan) error {
	s.out.Kind = "JPEG"
	s.addCandidate(0, s.src.Size(), hint{what: "file itself"})
	info, err := s.insideJPEG(0, s.src.Size(), "file itself")
	if err != nil && info.SOF == 0 {
		s.fault(err, "JPEG's segments")
	}
	if m := &s.out.Meta; info.Width > 0 && info.Height > 0 {
		// An editor may have scaled the picture and left Exif's numbers behind.
		m.Subject = m.Subject.Scaled(m.Width, m.Height, info.Width, info.Height)
		m.Width, m.Height = info.Width, info.Height
	}
	s.multiPicture(info.MPF)
	return nil
}

// insideJPEG takes metadata, thumbnails and the XMP packet of the JPEG at off.
// What the file's Meta knows already stays.
func (s *scan) insideJPEG(off, length int64, what string) (marker.Info, error) {
	info, err := marker.Walk(s.src, off, off+length)
	if x := info.Exif; x.Length > 0 {
		v := exif.Visitor{
			Dir:   func(d exif.Dir) { s.jpegDir(d, what) },
			Fault: func(dir string, err error) { s.fault(err, dir) },
		}
		if err := exif.Walk(s.src, x.Offset, x.Length, exif.RootIFD0, &s.out.Meta, v); err != nil {
			s.fault(err, "Exif segment")
		}
	}
	s.setXMP(info.XMP.Offset, info.XMP.Length)
	return info, err
}

// jpegDir adds the pictures of one Exif directory of a JPEG.
func (s *scan) jpegDir(d exif.Dir, what string) {
	switch d.Kind {
	case exif.DirMain:
		s.pointed(d, hint{what: "thumbnail of the " + what})
	case exif.DirNote, exif.DirNoteSub:
		s.noteDir(d)
	}
}

// pointed adds the JPEG of tags 0x0201 and 0x0202 (TIFF 6.0 §22, Exif §4.6.4).
func (s *scan) pointed(d exif.Dir, h hint) {
	off, ok := d.Find(0x0201).Int()
	n, ok2 := d.Find(0x0202).Int()
	if ok && ok2 && off != 0xFFFFFFFF {
		s.addCandidate(d.R.Base()+off, n, h)
	}
}

// maxPictures is how many entries of a multi-picture index are looked at.
const maxPictures = 16

// multiPicture adds the "large thumbnails" of a multi-picture index. Its other
// pictures (depth, gain maps, second views) are no previews of this one.
func (s *scan) multiPicture(at marker.Place) {
	if at.Length == 0 {
		return
	}
	const what = "multi-picture index"
	h, err := tiff.ReadHeader(s.src, at.Offset)
	if err != nil {
		s.fault(err, what)
		return
	}
	r := tiff.NewReader(s.src, at.Offset, at.Length, h.Order)
	d, err := r.IFD(h.First)
	if err != nil {
		s.fault(err, what)
		return
	}
	e := d.Find(0xB002)
	if e == nil {
		return
	}
	const entry = 16
	b, err := e.Bytes(maxPictures * entry)
	if err != nil {
		s.fault(err, what)
		return
	}
	s.pictures(bin.NewCursor(b, h.Order), at.Offset)
}

// pictures reads MP entries: attributes, size, offset from the index's header, and
// two numbers of dependent pictures.
func (s *scan) pictures(c *bin.Cursor, base int64) {
	const entry, largeThumbnail = 16, 0x01
	for c.Left() >= entry {
		attr, size, off := c.U32(), c.U32(), c.U32()
		c.Skip(4)
		// Offset 0 is the file's first picture, which is known.
		if attr>>16&0xFF == largeThumbnail && off != 0 {
			s.addCandidate(base+int64(off), int64(size), hint{what: "multi-picture index"})
		}
	}
}

// isTIFF knows the byte order marks with the version of TIFF 6.0 or one of those
// that Panasonic ("U\0") and Olympus ("RO", "RS") put in its place.
func isTIFF(head []byte) bool {
	if len(head) < 8 {
		return false
	}
	var v uint16
	switch string(head[:2]) {
	case "II":
		v = binary.LittleEndian.Uint16(head[2:])
	case "MM":
		v = binary.BigEndian.Uint16(head[2:])
	}
	return v == versionTIFF || v == versionPanasonic || v == versionOlympus || v == versionOlympusS
}
