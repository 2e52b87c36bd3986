package raw_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
)

// containerSeeds has a whole file of each container that is no TIFF structure.
func containerSeeds() [][]byte {
	jpeg := craft.JPEG(sof0, 1620, 1080, 60)
	full := uint64(len(small(trak(crawEntry("JPEG"), oneSample(len(jpeg)), 0))) + 8)
	block, _ := ttw()
	canon, _ := d60(binary.LittleEndian, "Canon EOS D60")
	return [][]byte{
		small(craft.Join(uuidBox(canonUUID, cmt(), thmb(jpeg)), trak(crawEntry("JPEG"), oneSample(len(jpeg)), full)),
			uuidBox(xmpUUID, []byte(`<a xmp:Rating="3"/>`)), uuidBox(previewUUID, craft.U32(0, 1), prvw(len(jpeg), jpeg))),
		heifFile("heix", 1, [][]byte{ispe(6192, 4128), craft.Box("irot", []byte{3}), craft.Box("imir", []byte{1})},
			heifItem{1, "hvc1\x00", make([]byte, 50), []byte{0x81, 0x82, 0x83}, 0}, heifItem{2, "jpeg\x00", jpeg, nil, 0},
			heifItem{3, "Exif\x00", exifItem("", 1), nil, 0}, heifItem{4, "mime\x00application/rdf+xml\x00", []byte("xmp:Rating"), nil, 0}),
		rafFile(exifJPEG(1920, 1280), rafDir(rafSize(0x0100, 3296, 4992))),
		mrwFile(prd(), block),
		x3fFile(2, 90, x3fSection{"IMA2", x3fImage(18, exifJPEG(640, 480))}, x3fSection{"PROP", x3fProps("ISO", "100", "TIME", "1")}),
		x3fFile(4, 0, x3fSection{"IMAG", x3fImage(18, jpeg)}),
		canon,
	}
}

// What the real files cost; the promise is 16 reads and 128 KiB.
func TestContainersNeedFewReads(t *testing.T) {
	for _, r := range containerFiles(t) {
		c := &craft.Counter{R: bytes.NewReader(r.data)}
		f, err := raw.Locate(c, int64(len(r.data)))
		if err != nil || has(f, raw.ProblemReadLimit) {
			t.Errorf("%s: %+v, %v", filepath.Base(r.path), f, err)
		}
		if c.Reads > 8 || c.Bytes > 64<<10 {
			t.Errorf("%s: %d reads, %d bytes", filepath.Base(r.path), c.Reads, c.Bytes)
		}
	}
}

// Mutants of the real files and of the made ones, with shifted offsets and counts
// in their beginnings and ends, hold every promise; so do their beginnings.
func TestContainerMutants(t *testing.T) {
	const seed = 20260614
	data, rounds := containerSeeds(), 300
	for i, d := range data {
		mutants(t, d, fmt.Sprint("made ", i), rounds, rand.New(rand.NewPCG(seed, uint64(i))))
	}
	for i, r := range containerFiles(t) {
		mutants(t, r.data, filepath.Base(r.path), rounds/10, rand.New(rand.NewPCG(seed+1, uint64(i))))
	}
}

func mutants(t *testing.T, d []byte, name string, rounds int, rng *rand.Rand) {
	for n := range rounds {
		m := mutate(d, rng)
		switch {
		case n%5 == 0:
			m = m[:rng.IntN(min(len(m), 64<<10)+1)]
		case n%3 == 0 && len(m) > 64: // the directories of two kinds are at the end
			at := len(m) - 4 - rng.IntN(min(len(m)-8, 4<<10))
			binary.LittleEndian.PutUint32(m[at:], rng.Uint32()>>rng.IntN(32))
		}
		t.Run(fmt.Sprint(name, " mutant ", n), func(t *testing.T) { located(t, m) })
	}
}

// Tables of a HEIF file that fill the whole read limit cost memory in proportion
// to what was read, whatever their counts say.
func TestContainerMemoryIsBounded(t *testing.T) {
	var infe, props [][]byte
	for i := range 1200 {
		infe = append(infe, craft.FullBox("infe", 2, 0, craft.U16(uint16(i), 0), []byte("hvc1\x00")))
		props = append(props, craft.U16(uint16(i)), []byte{16}, bytes.Repeat([]byte{1}, 16))
	}
	ipma := craft.FullBox("ipma", 0, 0, craft.U32(0xFFFFFFFF), craft.Join(props...))
	data := craft.Join(craft.Box("ftyp", []byte("heic"), craft.U32(0), []byte("heic")), craft.FullBox("meta", 0, 0,
		craft.FullBox("iinf", 0, 0, craft.U16(0xFFFF), craft.Join(infe...)),
		craft.Box("iprp", craft.Box("ipco", craft.Box("irot", []byte{1})), ipma, ipma, ipma),
		craft.FullBox("iloc", 1, 0, craft.U16(0x4440, 0xFFFF), bytes.Repeat([]byte{0, 1}, 20_000))))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := raw.Locate(bytes.NewReader(data), int64(len(data))); err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	if n := after.TotalAlloc - before.TotalAlloc; n > 8<<20 {
		t.Errorf("%d bytes were allocated", n)
	}
}
