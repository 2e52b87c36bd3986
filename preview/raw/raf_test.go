package raw_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// rafFile has the header that public readers agree on: the JPEG's place at 84, the
// directory's at 92.
func rafFile(jpeg, dir []byte) []byte {
	const head = 148
	b := make([]byte, head)
	copy(b, "FUJIFILMCCD-RAW 0201FF383501X-T3")
	be := binary.BigEndian
	be.PutUint32(b[84:], head)
	be.PutUint32(b[88:], uint32(len(jpeg)))
	be.PutUint32(b[92:], uint32(head+len(jpeg)))
	be.PutUint32(b[96:], uint32(len(dir)))
	return craft.Join(b, jpeg, dir)
}

// rafDir has records of tag, length and value.
func rafDir(records ...[]byte) []byte {
	return craft.Join(craft.U32(uint32(len(records))), craft.Join(records...))
}

func rafSize(tag, h, w uint16) []byte { return craft.U16(tag, 4, h, w) }

// exifJPEG is a JPEG with Exif: a size, a time, and a thumbnail.
func exifJPEG(w, h int) []byte {
	thumb := craft.JPEG(sof0, 160, 120, 100)
	b := craft.NewTIFF(binary.LittleEndian)
	at := b.Blob(thumb)
	ifd1 := b.IFD(0, b.Long(0x0201, at), b.Long(0x0202, uint32(len(thumb))))
	ex := b.IFD(0, b.Text(0x9003, "2019:03:04 05:06:07"), b.Long(0xA002, uint32(w)), b.Long(0xA003, uint32(h)))
	return craft.JPEG(sof0, w, h, 900, craft.Exif(b.Bytes(b.IFD(ifd1, b.Text(0x010F, "FUJIFILM"), b.Short(0x0112, 6), b.Long(0x8769, ex)))))
}

func TestRAF(t *testing.T) {
	jpeg := exifJPEG(1920, 1280)
	for _, c := range []struct {
		name          string
		dir           []byte
		width, height int
	}{
		{"cropped size", rafDir(rafSize(0x0100, 3296, 4992), rafSize(0x0111, 3264, 4896)), 4896, 3264},
		{"in the other order", rafDir(rafSize(0x0111, 3264, 4896), rafSize(0x0100, 3296, 4992)), 4896, 3264},
		{"full size alone", rafDir(craft.U16(0x0131, 2, 7), rafSize(0x0100, 3296, 4992)), 4992, 3296},
		{"smaller than the JPEG", rafDir(rafSize(0x0111, 100, 100)), 1920, 1280},
		{"counts too far", craft.Join(craft.U32(0xFFFFFFFF), rafSize(0x0111, 3264, 4896)), 4896, 3264},
		{"record past the end", craft.Join(craft.U32(1), craft.U16(0x0111, 0xFFFF)), 1920, 1280},
		{"none", nil, 1920, 1280},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, rafFile(jpeg, c.dir))
			if err != nil {
				t.Fatal(err)
			}
			whole, cut := spots(f)
			if f.Kind != "RAF" || len(whole) != 2 || whole[0] != (spot{148, int64(len(jpeg)), 1920, 1280}) || whole[1].width != 160 || cut != nil {
				t.Errorf("%s %v, %v", f.Kind, whole, cut)
			}
			m := f.Meta
			if m.Width != c.width || m.Height != c.height || m.Model != "X-T3" || m.Make != "FUJIFILM" || m.Orientation != 6 || m.Taken.Wall.Year() != 2019 {
				t.Errorf("%+v", m)
			}
			holdProblem(t, f, "", "")
		})
	}
}

func TestRAFDamage(t *testing.T) {
	jpeg := exifJPEG(1920, 1280)
	good := rafFile(jpeg, rafDir(rafSize(0x0111, 3264, 4896)))
	at := func(pos int, v uint32) []byte {
		b := bytes.Clone(good)
		binary.BigEndian.PutUint32(b[pos:], v)
		return b
	}
	for _, c := range []struct {
		name       string
		data       []byte
		code, says string
	}{
		{"header cut off", good[:90], raw.ProblemBadPlace, "header is cut off"},
		{"magic alone", good[:16], raw.ProblemBadPlace, "header is cut off"},
		{"JPEG cut off", good[:148+len(jpeg)-50], raw.ProblemCutOff, "header"},
		{"no JPEG", at(88, 0), raw.ProblemNoPreview, ""},
		{"JPEG at 0", at(84, 0), raw.ProblemNoPreview, ""},
		{"JPEG at the file's own head", at(84, 8), raw.ProblemNotJPEG, "header"},
		{"JPEG past the end", at(84, math.MaxUint32-1), raw.ProblemNoPreview, ""},
		{"JPEG of 4 GiB", at(88, math.MaxUint32), raw.ProblemCutOff, "header"},
		{"directory past the end", at(92, math.MaxUint32), raw.ProblemBadPlace, "directory"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, c.data)
			if err != nil {
				t.Fatal(err)
			}
			holdProblem(t, f, c.code, c.says)
		})
	}
	f, _ := located(t, good[:148+len(jpeg)-50])
	if f.Meta.Taken.Wall.Year() != 2019 {
		t.Error("a JPEG that is cut off has its metadata at the front")
	}
}

func TestRAFSample(t *testing.T) {
	e := expected{"FujiFilm.raf", "RAF", []spot{{2704, 9362, 160, 120}, {148, 12167, 8, 8}}, nil, ""}
	e.hold(t, sample(t, filepath.Join(testneed.Samples(t), "raw", e.name)))
	// A hostile file of another reader's tests, with the magic put right so that it
	// gets past the first door.
	data := sample(t, filepath.Join(testneed.Samples(t), "raw", "issue_857_poc.raf"))
	copy(data, "FUJIFILMCCD-RAW ")
	if f, err := located(t, data); err != nil || f.Kind != "RAF" {
		t.Error(fmt.Sprint(f, err))
	}
}
