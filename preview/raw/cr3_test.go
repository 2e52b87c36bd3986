package raw_test

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// uuidBox is a box of an extended type given in hexadecimal digits.
func uuidBox(id string, parts ...[]byte) []byte {
	u, err := hex.DecodeString(id)
	if err != nil {
		panic(err)
	}
	return craft.Box("uuid", append([][]byte{u}, parts...)...)
}

const (
	canonUUID   = "85c0b687820f11e08111f4ce462b6a48"
	previewUUID = "eaf42b5e1c984b88b9fbb7dc406e4d16"
	xmpUUID     = "be7acfcb97a942e89c71999491e3afac"
)

// sized is a JPEG of exactly n bytes.
func sized(n, w, h int) []byte {
	bare := len(craft.JPEG(sof0, w, h, 0))
	return craft.JPEG(sof0, w, h, n-bare)
}

// thmb and prvw have the fields of the published description: the JPEG lies at
// byte 24 of both.
func thmb(jpeg []byte) []byte {
	return craft.FullBox("THMB", 0, 0, craft.U16(160, 120), craft.U32(uint32(len(jpeg))), craft.U16(1, 0), jpeg)
}

func prvw(length int, jpeg []byte) []byte {
	return craft.Box("PRVW", craft.U32(0), craft.U16(1, 1620, 1080, 1), craft.U32(uint32(length)), jpeg)
}

// crawEntry is a sample entry with the maker's four bytes more than the standard's
// 78, and the child that tells the coding.
func crawEntry(child string) []byte {
	return craft.FullBox("stsd", 0, 0, craft.U32(1), craft.Box("CRAW", make([]byte, 82), craft.FullBox(child, 0, 0)))
}

func trak(stsd, stsz []byte, offset uint64) []byte {
	return craft.Box("trak", craft.Box("mdia", craft.Box("minf", craft.Box("stbl", stsd, stsz, craft.FullBox("co64", 0, 0, craft.U32(1), craft.U64(offset))))))
}

func oneSample(n int) []byte { return craft.FullBox("stsz", 0, 0, craft.U32(uint32(n), 1)) }

// cmt are IFD0, the Exif IFD and the maker note.
func cmt() []byte {
	le := binary.LittleEndian
	ifd0, ex, note := craft.NewTIFF(le), craft.NewTIFF(le), craft.NewTIFF(le)
	return craft.Join(
		craft.Box("CMT1", ifd0.Bytes(ifd0.IFD(0, ifd0.Text(0x010F, "Canon"), ifd0.Text(0x0110, "Canon EOS M50"), ifd0.Short(0x0112, 8)))),
		craft.Box("CMT2", ex.Bytes(ex.IFD(0, ex.Rational(0x829A, 1, 250), ex.Text(0x9003, "2018:02:21 12:08:56"), ex.Text(0x9291, "21"), ex.Text(0x9011, "+01:00")))),
		craft.Box("CMT3", note.Bytes(note.IFD(0, note.Long(0x0008, 1000023), note.Long(0x000C, 12345)))),
	)
}

// The layout of the published worked file (EOS M50): ftyp at 0 of 0x18 bytes, moov
// to 0x6b88, the XMP box of 0x10018 bytes, the preview box of 0x56d90, mdat at
// 0x6d930 with its data at 0x6d940; JPEGs of 3,200,751, 355,672 and 16,547 bytes.
func m50() []byte {
	const moovEnd, xmpLen, mdatData = 0x6b88, 0x10018, 0x6d940
	full, screen, thumb := sized(3200751, 6000, 4000), sized(355672, 1620, 1080), sized(16547, 160, 120)
	packet := make([]byte, xmpLen-24)
	copy(packet, `<x:xmpmeta><rdf:Description xmp:Rating="3"/></x:xmpmeta>`)
	moov := craft.Join(
		uuidBox(canonUUID, craft.Box("CNCV", make([]byte, 30)), cmt(), thmb(thumb)),
		trak(crawEntry("JPEG"), oneSample(len(full)), mdatData),
		trak(crawEntry("CMP1"), oneSample(5), mdatData+uint64(len(full))),
	)
	pad := make([]byte, moovEnd-0x18-8-len(moov)-8)
	return craft.Join(
		craft.Box("ftyp", []byte("crx "), craft.U32(1), []byte("crx isom")),
		craft.Box("moov", moov, craft.Box("free", pad)),
		uuidBox(xmpUUID, packet),
		uuidBox(previewUUID, craft.U32(0, 1), prvw(len(screen), screen)),
		craft.Box64("mdat", full, make([]byte, 5)),
	)
}

func TestCR3WorkedFile(t *testing.T) {
	f, err := located(t, m50())
	if err != nil {
		t.Fatal(err)
	}
	whole, cut := spots(f)
	want := []spot{{0x6d940, 3200751, 6000, 4000}, {0x16bd8, 355672, 1620, 1080}}
	if f.Kind != "CR3" || len(whole) != 3 || fmt.Sprint(whole[:2]) != fmt.Sprint(want) || whole[2].length != 16547 || cut != nil {
		t.Errorf("%s %v, cut off %v; want %v", f.Kind, whole, cut, want)
	}
	if len(f.Problems) != 0 {
		t.Errorf("problems %v", f.Problems)
	}
	m := f.Meta
	if m.Model != "Canon EOS M50" || m.Orientation != 8 || m.Seconds != 1.0/250 || m.Counter != 1000023 || m.Serial != "0000012345" || m.Rating != 3 {
		t.Errorf("%+v", m)
	}
	if m.Taken.Wall.Nanosecond() != 210_000_000 || m.Taken.Zone != 60 {
		t.Errorf("%+v", m.Taken)
	}
	if f.XMP != (raw.Segment{Offset: 0x6b88 + 24, Length: 0x10018 - 24}) {
		t.Errorf("packet %+v", f.XMP)
	}
}

// small is a CR3 of given boxes behind a moov of given content.
func small(moov []byte, rest ...[]byte) []byte {
	return craft.Join(craft.Box("ftyp", []byte("crx "), craft.U32(1), []byte("crx isom")), craft.Box("moov", moov), craft.Join(rest...))
}

func TestCR3Damage(t *testing.T) {
	jpeg := craft.JPEG(sof0, 1620, 1080, 300)
	preview := uuidBox(previewUUID, craft.U32(0, 1), prvw(len(jpeg), jpeg))
	free := craft.Box("free", make([]byte, 4000))
	list := craft.FullBox("stsz", 0, 0, craft.U32(0, 70, uint32(len(jpeg)), 9))
	// A track whose sample is the JPEG of the preview box at the end of the file.
	inPreview := func(stsd, stsz []byte) []byte {
		at := len(small(trak(stsd, stsz, 0))) + len(preview) - len(jpeg)
		return small(trak(stsd, stsz, uint64(at)), preview)
	}
	ctbo := func(off uint64) []byte {
		return craft.Box("CTBO", craft.U32(2), craft.U32(1), craft.U64(0, 0), craft.U32(2), craft.U64(off, 1))
	}
	broken := func(off uint64) []byte { // a top level that ends at a box of size 3
		return small(uuidBox(canonUUID, ctbo(off)), craft.U32(3), []byte("free"), make([]byte, 100), preview)
	}
	at := uint64(len(broken(0)) - len(preview))
	for _, c := range []struct {
		name         string
		data         []byte
		whole, total int
		code, says   string
	}{
		{"whole", small(cmt(), preview), 1, 1, "", ""},
		{"no moov", craft.Join(craft.Box("ftyp", []byte("crx "), craft.U32(1)), preview), 1, 1, raw.ProblemBadContainer, "no moov"},
		{"burst", inPreview(crawEntry("JPEG"), list), 1, 1, raw.ProblemSeveral, "70 pictures"},
		{"unknown coding that is a JPEG", inPreview(crawEntry("XXXX"), oneSample(len(jpeg))), 1, 1, "", ""},
		{"unknown coding that is none", small(trak(crawEntry("XXXX"), oneSample(99), 4), preview), 1, 1, "", ""},
		{"full JPEG past the end", small(trak(crawEntry("JPEG"), oneSample(1<<20), 1<<40), preview), 1, 2, raw.ProblemCutOff, "track"},
		{"full JPEG at 2^63", small(trak(crawEntry("JPEG"), oneSample(1<<20), 1<<63), preview), 1, 1, raw.ProblemBadPlace, "track"},
		{"track without tables", small(craft.Box("trak"), preview), 1, 1, raw.ProblemBadContainer, "track"},
		{"PRVW past its box", small(nil, uuidBox(previewUUID, craft.U32(0, 1), prvw(2000, jpeg)), free), 0, 0, raw.ProblemCutOff, "end of the box"},
		{"PRVW past the file", small(nil, uuidBox(previewUUID, craft.U32(0, 1), prvw(1<<30, jpeg))), 0, 1, raw.ProblemCutOff, "end of the file"},
		{"PRVW of other bytes", small(nil, uuidBox(previewUUID, craft.U32(0, 1), prvw(200, make([]byte, 200)))), 0, 0, raw.ProblemNotJPEG, "holds no JPEG"},
		{"PRVW too short", small(nil, uuidBox(previewUUID, craft.U32(0, 1), craft.Box("PRVW", make([]byte, 9)))), 0, 0, raw.ProblemNoPreview, ""},
		{"preview box too short", small(nil, uuidBox(previewUUID, craft.U32(0))), 0, 0, raw.ProblemBadPlace, "preview box"},
		{"list of boxes broken, index right", broken(at), 1, 1, raw.ProblemBadContainer, "list of boxes"},
		{"list of boxes broken, index wrong", broken(1 << 60), 0, 0, raw.ProblemNoPreview, ""},
		{"index leads to itself", broken(24), 0, 0, raw.ProblemNoPreview, ""},
		{"moov in moov in moov", small(bytes.Repeat(craft.Join(craft.U32(0), []byte("moov")), 500)), 0, 0, raw.ProblemNoPreview, ""},
		{"CMT1 is no TIFF", small(uuidBox(canonUUID, craft.Box("CMT1", []byte("not at all"))), preview), 1, 1, raw.ProblemBadContainer, "CMT1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, c.data)
			if err != nil {
				t.Fatal(err)
			}
			whole, cut := spots(f)
			if len(whole) != c.whole || len(whole)+len(cut) != c.total {
				t.Errorf("whole %v, cut off %v", whole, cut)
			}
			holdProblem(t, f, c.code, c.says)
		})
	}
}

// holdProblem wants a problem of a code whose sentence has some words; with no
// code, none but a missing time.
func holdProblem(t *testing.T, f *raw.File, code, says string) {
	t.Helper()
	for _, p := range f.Problems {
		if p.Code == code && strings.Contains(p.Text, says) {
			return
		}
		if code == "" && p.Code != raw.ProblemNoTime {
			t.Errorf("problem %+v", p)
		}
	}
	if code != "" {
		t.Errorf("problems %v, want %s with %q", f.Problems, code, says)
	}
}

// Places of the samples, taken with exiftool and by looking at the bytes: of the
// first the full JPEG was taken out, the second is headers alone.
func TestCR3Samples(t *testing.T) {
	dir := filepath.Join(testneed.Samples(t), "raw")
	for _, e := range []expected{
		{"Canon-R6-pruned.CR3", "CR3", []spot{{102176, 389456, 1620, 1080}, {18288, 16008, 160, 120}}, []spot{{492032, 962675, 0, 0}}, raw.ProblemCutOff},
		{"CanonRaw.cr3", "CR3", nil, nil, raw.ProblemNoPreview},
	} {
		t.Run(e.name, func(t *testing.T) { e.hold(t, sample(t, filepath.Join(dir, e.name))) })
	}
}

// Up to seven zeros fill a box to a multiple of eight; the reference reader exiftool
// counts them as part of the JPEG. More is something else.
func TestCR3PaddedBox(t *testing.T) {
	jpeg := craft.JPEG(sof0, 1620, 1080, 300)
	for pad, want := range map[int]int{0: 0, 1: 1, 7: 7, 8: 0, 100: 0} {
		f, err := located(t, small(nil, uuidBox(previewUUID, craft.U32(0, 1), prvw(len(jpeg), append(bytes.Clone(jpeg), make([]byte, pad)...)))))
		if err != nil || len(f.Previews) != 1 || f.Previews[0].Length != int64(len(jpeg)+want) {
			t.Errorf("%d zeros: %+v, %v", pad, f, err)
		}
	}
}
