package raw_test

import (
	"encoding/binary"
	"math"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
)

func mrwBlock(name string, data []byte) []byte {
	return craft.Join([]byte("\x00"+name), craft.U32(uint32(len(data))), data)
}

func mrwFile(blocks ...[]byte) []byte {
	all := craft.Join(blocks...)
	return craft.Join([]byte("\x00MRM"), craft.U32(uint32(len(all))), all, make([]byte, 100))
}

// prd has the sensor's size with its borders and the picture's.
func prd() []byte {
	return mrwBlock("PRD", craft.Join([]byte("21810002"), craft.U16(2016, 3016, 2000, 3008), make([]byte, 8)))
}

// ttw is a TIFF structure whose maker note has a pointer to a JPEG in the block.
func ttw() ([]byte, int) {
	be := binary.BigEndian
	jpeg := craft.JPEG(sof0, 640, 480, 300)
	b := craft.NewTIFF(be)
	at := b.Blob(jpeg)
	noteAt := b.IFD(0, b.Long(0x0088, at), b.Long(0x0089, uint32(len(jpeg))))
	note := b.Long(0x927C, noteAt)
	note.Type, note.Count = 7, b.Len()-noteAt
	ex := b.IFD(0, b.Text(0x9003, "2005:06:07 08:09:10"), note)
	first := b.IFD(0, b.Text(0x010F, "KONICA MINOLTA"), b.Text(0x0110, "DYNAX 7D"), b.Short(0x0112, 8), b.Long(0x8769, ex))
	return mrwBlock("TTW", b.Bytes(first)), len(jpeg)
}

func TestMRW(t *testing.T) {
	block, n := ttw()
	f, err := located(t, mrwFile(prd(), block, mrwBlock("WBG", make([]byte, 12))))
	if err != nil {
		t.Fatal(err)
	}
	const ttwBody = 8 + 8 + 24 + 8
	whole, cut := spots(f)
	if f.Kind != "MRW" || len(whole) != 1 || whole[0] != (spot{ttwBody + 8, int64(n), 640, 480}) || cut != nil {
		t.Errorf("%s %v, %v, %v", f.Kind, whole, cut, f.Problems)
	}
	m := f.Meta
	if m.Width != 3008 || m.Height != 2000 || m.Model != "DYNAX 7D" || m.Orientation != 8 || m.Taken.Wall.Year() != 2005 {
		t.Errorf("%+v", m)
	}
	holdProblem(t, f, "", "")
}

func TestMRWDamage(t *testing.T) {
	block, _ := ttw()
	var many [][]byte
	for range 100 {
		many = append(many, mrwBlock("PAD", nil))
	}
	for _, c := range []struct {
		name       string
		data       []byte
		code, says string
	}{
		{"magic alone", []byte("\x00MRM"), raw.ProblemBadPlace, "header is cut off"},
		{"no blocks", mrwFile(), raw.ProblemNoPreview, ""},
		{"header past the end", craft.Join([]byte("\x00MRM"), craft.U32(math.MaxUint32), prd()), raw.ProblemBadPlace, "past the end"},
		{"block of 4 GiB", mrwFile(craft.Join([]byte("\x00TTW"), craft.U32(math.MaxUint32))), raw.ProblemBadPlace, `block "TTW"`},
		{"cut inside TTW", mrwFile(prd(), block)[:200], raw.ProblemBadPlace, "past the end"},
		{"TTW is no TIFF", mrwFile(mrwBlock("TTW", make([]byte, 40))), raw.ProblemBadContainer, "TTW"},
		{"very many blocks", mrwFile(many...), raw.ProblemTooMuch, "blocks"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, c.data)
			if err != nil {
				t.Fatal(err)
			}
			holdProblem(t, f, c.code, c.says)
		})
	}
	f, err := located(t, mrwFile(mrwBlock("PRD", make([]byte, 11)), prd()))
	if err != nil || f.Meta.Width != 3008 {
		t.Errorf("a short block before the right one: %+v, %v", f, err)
	}
}
