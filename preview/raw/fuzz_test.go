package raw_test

import (
	"encoding/binary"
	"testing"

	"garner/preview/internal/craft"
)

// FuzzLocate holds what Locate promises of any bytes (see located): limits of
// reading, whole previews inside the file that begin with SOI, order and roles,
// a nil File on error, the same answer twice.
func FuzzLocate(f *testing.F) {
	for _, build := range []shape{
		cr2, nef("NIKON", "NIKON D810"), arw("SONY", "ILCE-7M4"), dng("GoPro"), sub("SAMSUNG", "NX1"), plain,
	} {
		for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
			b := craft.NewTIFF(order)
			first, _ := build(b)
			f.Add(b.Bytes(first))
		}
	}
	b := craft.NewTIFF(binary.BigEndian)
	first, _ := pef(b)
	f.Add(b.Bytes(first))
	b = craft.NewVersion(binary.LittleEndian, 0x4F52)
	first, _ = orf(b)
	f.Add(b.Bytes(first))
	b = craft.NewVersion(binary.LittleEndian, 0x55)
	first, _ = rw2("Panasonic")(b)
	f.Add(b.Bytes(first))
	tiff, _, _ := thumbed(func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x0112, 6)} })
	f.Add(craft.JPEG(sof0, 600, 400, 20, craft.Exif(tiff), craft.XMP(`xmp:Rating="4"`), craft.MPF(tiff)))
	f.Add([]byte("FUJIFILMCCD-RAW 0201FF383501"))
	f.Add([]byte("\x00\x00\x00\x18ftypcrx \x00\x00\x00\x01crx isom"))
	f.Add([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"))
	f.Add([]byte("FOVb\x00\x00\x02\x00"))
	f.Add([]byte("\x00MRM\x00\x00\x00\x20\x00PRD"))
	f.Add([]byte("II\x1a\x00\x00\x00HEAPCCDR\x02\x00\x01\x00"))
	for _, data := range containerSeeds() {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) { located(t, data) })
}
