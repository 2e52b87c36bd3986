package build

import (
	"encoding/binary"
	"encoding/hex"
)

// This file writes the CR3 layout, after the published description of its
// boxes: ftyp, moov with the maker's uuid box, a track that holds the full JPEG and
// one of the sensor's data, a uuid box with XMP, a uuid box with the screen-size
// JPEG, mdat.

// The extended types of the three uuid boxes.
const (
	uuidMaker   = "85c0b687820f11e08111f4ce462b6a48"
	uuidXMP     = "be7acfcb97a942e89c71999491e3afac"
	uuidPreview = "eaf42b5e1c984b88b9fbb7dc406e4d16"
)

// CR3 writes the CR3 layout: p.Full in the first track's sample, p.Screen in
// the PRVW box, p.Thumb in the THMB box, p.Sensor in the second track's,
// which is left out where there is none.
func CR3(s Shot, p Pictures) ([]byte, error) {
	if err := check(s, p); err != nil {
		return nil, err
	}
	ftyp := box("ftyp", []byte("crx "), u32s(1), []byte("crx isom"))
	xmp := uuidBox(uuidXMP, xmpPacket(s))
	prvw := previewBox(p.Screen)
	meta, err := metaTIFFs(s)
	if err != nil {
		return nil, err
	}
	// Lengths do not depend on the offsets inside, so one dry run gives the
	// places and the second run writes them.
	moovLen := len(moov(s, p, meta, places{}))
	at := places{xmp: uint64(len(ftyp) + moovLen)}
	at.xmpLen, at.prvwLen = uint64(len(xmp)), uint64(len(prvw))
	at.prvw = at.xmp + at.xmpLen
	at.mdat = at.prvw + at.prvwLen
	at.mdatLen = 16 + uint64(len(p.Full)) + uint64(len(p.Sensor))

	out := make([]byte, 0, at.mdat+at.mdatLen)
	out = append(out, ftyp...)
	out = append(out, moov(s, p, meta, at)...)
	out = append(out, xmp...)
	out = append(out, prvw...)
	// The large form of the size (§4.2), as cameras write it whatever the length.
	out = append(out, u32s(1)...)
	out = append(out, "mdat"...)
	out = append(out, u64s(at.mdatLen)...)
	out = append(out, p.Full...)
	return append(out, p.Sensor...), nil
}

// places are the positions and lengths of the top-level boxes behind moov.
type places struct{ xmp, xmpLen, prvw, prvwLen, mdat, mdatLen uint64 }

// metaTIFFs makes CMT1..CMT4: IFD0, Exif, maker note and GPS, each a TIFF of
// its own. The maker note holds only the image type: the makers' own tags
// belong to the makers.
func metaTIFFs(s Shot) ([4][]byte, error) {
	var out [4][]byte
	order := binary.LittleEndian
	ifd0 := newIFD(order)
	describe(ifd0, s)
	ifd0.short(0x0100, uint16(s.Width))
	ifd0.short(0x0101, uint16(s.Height))
	ifd0.short(0x0102, 8, 8, 8)
	ifd0.short(0x0103, 6)
	exif := exifIFD(ifd0, s)
	exif.undefined(0x9101, []byte{1, 2, 3, 0})
	exif.undefined(0xA000, []byte("0100"))
	exif.long(0xA002, uint32(s.Width))
	exif.long(0xA003, uint32(s.Height))
	note := newIFD(order)
	note.ascii(0x0006, s.Model)
	gps := newIFD(order)
	gps.bytes(0x0000, 2, 3, 0, 0)
	for i, d := range []*ifd{ifd0, exif, note, gps} {
		b, err := d.tiff(2)
		if err != nil {
			return out, err
		}
		out[i] = b
	}
	return out, nil
}

func moov(s Shot, p Pictures, meta [4][]byte, at places) []byte {
	ctbo := u32s(3)
	for i, v := range [][2]uint64{{at.xmp, at.xmpLen}, {at.prvw, at.prvwLen}, {at.mdat, at.mdatLen}} {
		ctbo = append(ctbo, u32s(uint32(i+1))...)
		ctbo = append(ctbo, u64s(v[0], v[1])...)
	}
	maker := uuidBox(uuidMaker,
		box("CNCV", []byte("CanonCR3_001/00.09.00/00.00.00")),
		box("CTBO", ctbo),
		box("CMT1", meta[0]), box("CMT2", meta[1]), box("CMT3", meta[2]), box("CMT4", meta[3]),
		thumbBox(p.Thumb))
	w, h := size(p.Full)
	tracks := [][]byte{track(s, 1, w, h, fullBox("JPEG", 0, 0), len(p.Full), at.mdat+16)}
	if p.Sensor != nil {
		tracks = append(tracks, track(s, 2, s.Width, s.Height, compression(s), len(p.Sensor), at.mdat+16+uint64(len(p.Full))))
	}
	mvhd := fullBox("mvhd", 0, 0, u32s(0, 0, 1, 1, 0x10000), u16s(0x100, 0), u32s(0, 0),
		u32s(unity[:]...), make([]byte, 24), u32s(uint32(len(tracks)+1)))
	return box("moov", append([][]byte{maker, mvhd}, tracks...)...)
}

// compression is the box CMP1, by which readers know the track of the sensor's
// data: the length of its header, its version, the size of the picture and of a
// tile, 14 bits a sample in four planes.
func compression(s Shot) []byte {
	w, h := uint32(s.Width), uint32(s.Height)
	return box("CMP1", u16s(0xFFFF, 0x30, 0x100, 0), u32s(w, h, w, h), []byte{14, 0x40, 0, 0}, make([]byte, 24))
}

// track is a track with a sample entry CRAW, whose child says what the sample is:
// JPEG, or sensor data. It has one sample, its length in stsz, its place in co64.
func track(s Shot, id uint32, w, h int, what []byte, length int, offset uint64) []byte {
	entry := box("CRAW", make([]byte, 6), u16s(1), make([]byte, 16), u16s(uint16(w), uint16(h)),
		u32s(72<<16, 72<<16, 0), u16s(1), make([]byte, 32), u16s(24, 0xFFFF, 3, 0),
		what)
	stbl := box("stbl",
		fullBox("stsd", 0, 0, u32s(1), entry),
		fullBox("stts", 0, 0, u32s(1, 1, 1)),
		fullBox("stsc", 0, 0, u32s(1, 1, 1, 1)),
		fullBox("stsz", 0, 0, u32s(uint32(length), 1)),
		fullBox("co64", 0, 0, u32s(1), u64s(offset)))
	minf := box("minf",
		fullBox("vmhd", 0, 1, make([]byte, 8)),
		box("dinf", fullBox("dref", 0, 0, u32s(1), fullBox("url ", 0, 1))),
		stbl)
	mdia := box("mdia",
		fullBox("mdhd", 0, 0, u32s(0, 0, 1, 1), u16s(0x55C4, 0)),
		fullBox("hdlr", 0, 0, u32s(0), []byte("vide"), make([]byte, 13)),
		minf)
	tkhd := fullBox("tkhd", 0, 7, u32s(0, 0, id, 0, 1, 0, 0), u16s(0, 0, 0, 0),
		u32s(unity[:]...), u32s(uint32(s.Width)<<16, uint32(s.Height)<<16))
	return box("trak", tkhd, mdia)
}

// thumbBox is THMB version 0: size, then the JPEG at byte 24 of the box.
func thumbBox(pic []byte) []byte {
	if pic == nil {
		return nil
	}
	w, h := size(pic)
	return fullBox("THMB", 0, 0, u16s(uint16(w), uint16(h)), u32s(uint32(len(pic))), u16s(1, 0), pic)
}

// previewBox is the top-level uuid box with PRVW, its JPEG at byte 24 of PRVW.
func previewBox(pic []byte) []byte {
	if pic == nil {
		return nil
	}
	w, h := size(pic)
	prvw := fullBox("PRVW", 0, 0, u16s(1, uint16(w), uint16(h), 1), u32s(uint32(len(pic))), pic)
	return uuidBox(uuidPreview, u32s(0, 1), prvw)
}

func uuidBox(id string, parts ...[]byte) []byte {
	b, err := hex.DecodeString(id)
	if err != nil {
		panic("build: a constant uuid is not hexadecimal") // cannot happen: the three constants above
	}
	return box("uuid", append([][]byte{b}, parts...)...)
}
