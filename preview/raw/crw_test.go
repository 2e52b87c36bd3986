package raw_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"path/filepath"
	"testing"
	"time"

	"garner/preview/exif"
	"garner/preview/internal/craft"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// heapRecord is one record of a heap block.
type heapRecord struct {
	typ  uint16
	data []byte
}

// heapBlock writes a block: values, directory, offset of the directory. Records
// whose type has 0x4000 keep their value in the directory.
func heapBlock(order binary.AppendByteOrder, records ...heapRecord) []byte {
	var values, dir []byte
	dir = order.AppendUint16(dir, uint16(len(records)))
	for _, r := range records {
		dir = order.AppendUint16(dir, r.typ)
		if r.typ&0xC000 == 0x4000 {
			dir = append(dir, append(append([]byte(nil), r.data...), make([]byte, 8-len(r.data))...)...)
			continue
		}
		dir = order.AppendUint32(order.AppendUint32(dir, uint32(len(r.data))), uint32(len(values)))
		values = append(values, r.data...)
	}
	at := uint32(len(values))
	return order.AppendUint32(append(values, dir...), at)
}

func crwFile(order binary.AppendByteOrder, heap []byte) []byte {
	const head = 26
	b := []byte("II")
	if order.AppendUint16(nil, 1)[0] == 0 {
		b = []byte("MM")
	}
	b = append(order.AppendUint32(b, head), "HEAPCCDR"...)
	return append(append(b, make([]byte, head-len(b))...), heap...)
}

// d60 is a file with the records of the reference reader's tables.
func d60(order binary.AppendByteOrder, model string) (data []byte, jpeg int) {
	full, thumb := craft.JPEG(sof0, 1536, 1024, 400), craft.JPEG(sof0, 160, 120, 90)
	u32 := func(vs ...uint32) (b []byte) {
		for _, v := range vs {
			b = order.AppendUint32(b, v)
		}
		return b
	}
	u16 := func(n int, at map[int]int16) (b []byte) {
		for i := range n {
			b = order.AppendUint16(b, uint16(at[i]))
		}
		return b
	}
	minus := int32(-90)
	camera := heapBlock(order,
		heapRecord{0x080A, []byte("Canon\x00" + model + "\x00")},
		heapRecord{0x080B, []byte("Firmware Version 1.0.4\x00")},
		heapRecord{0x3004, heapBlock(order, heapRecord{0x580B, u32(305465770)})},
	)
	shot := heapBlock(order,
		heapRecord{0x5029, u16(4, map[int]int16{1: 70 * 2})},
		heapRecord{0x102A, u16(25, map[int]int16{1: 32, 2: 160, 6: -20, 21: 160, 22: 7*32 + 12})},
		heapRecord{0x102D, u16(32, map[int]int16{23: 200 * 2, 24: 70 * 2, 25: 2})},
		heapRecord{0x50B4, u16(1, map[int]int16{0: 2})},
	)
	props := heapBlock(order,
		heapRecord{0x1810, u32(3072, 2048, math.Float32bits(1), uint32(minus), 8, 24, 257)},
		heapRecord{0x580E, u32(1023000000, 0)}, // without the words of the zone
		heapRecord{0x5817, u32(1060023)},
		heapRecord{0x2807, camera},
		heapRecord{0x300B, shot},
	)
	return crwFile(order, heapBlock(order,
		heapRecord{0x2005, make([]byte, 500)}, heapRecord{0x2007, full}, heapRecord{0x2008, thumb}, heapRecord{0x300A, props},
	)), len(full)
}

// Types of the records and what their numbers mean: the tables of the reference
// reader exiftool.
func TestCRW(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		data, n := d60(order, "Canon EOS D60")
		f, err := located(t, data)
		if err != nil {
			t.Fatal(err)
		}
		whole, cut := spots(f)
		if f.Kind != "CRW" || len(whole) != 2 || whole[0] != (spot{26 + 500, int64(n), 1536, 1024}) || whole[1].width != 160 || cut != nil {
			t.Errorf("%s %v, %v, %v", f.Kind, whole, cut, f.Problems)
		}
		m := f.Meta
		if m.Make != "Canon" || m.Model != "Canon EOS D60" || m.Serial != "0305465770" || m.Software != "Firmware Version 1.0.4" || m.Counter != 1060023 {
			t.Errorf("body %+v", m)
		}
		if m.Width != 3072 || m.Height != 2048 || m.Orientation != 8 || m.ColorSpace != "Adobe RGB" || m.Lens != "70-200mm" || m.FocalLength != 70 {
			t.Errorf("picture %+v", m)
		}
		// 160/32 = 5 doublings of 100/32, one more of automatic gain; 7 1/3 and 5 EV.
		if m.ISO != 200 || !near(m.FNumber, math.Sqrt(32)) || !near(m.Seconds, math.Exp2(-22.0/3)) || m.Bias == nil || !near(*m.Bias, -2.0/3) {
			t.Errorf("exposure %+v", m)
		}
		if want := time.Date(2002, 6, 2, 6, 40, 0, 0, time.UTC); !m.Taken.Wall.Equal(want) || m.Taken.HasZone {
			t.Errorf("taken %+v", m.Taken)
		}
		holdProblem(t, f, "", "")
	}
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

// The D30 has its number on the body as 04x05d; on the compacts the record holds
// something else.
func TestCRWSerial(t *testing.T) {
	for model, want := range map[string]string{"Canon EOS D30": "123502474", "Canon PowerShot G2": "", "Canon EOS 10D": "0305465770"} {
		data, _ := d60(binary.LittleEndian, model)
		if f, err := located(t, data); err != nil || f.Meta.Serial != want {
			t.Errorf("%s: %q, want %q", model, f.Meta.Serial, want)
		}
	}
}

func TestCRWTime(t *testing.T) {
	le := binary.LittleEndian
	minus := int32(-5 * 3600)
	for _, c := range []struct {
		words []byte
		zone  int
		has   bool
		known bool
	}{
		{le32(1023000000, uint32(minus), 1<<31), -300, true, true},
		{le32(1023000000, 3600, 0), 0, false, true},
		{le32(1023000000, 99*3600, 1<<31), 0, false, true},
		{le32(0, 0, 0), 0, false, false},
		{le32(math.MaxUint32, 0, 0), 0, false, false},
		{nil, 0, false, false},
	} {
		f, err := located(t, crwFile(le, heapBlock(le, heapRecord{0x180E, c.words})))
		if err != nil {
			t.Fatal(err)
		}
		got := f.Meta.Taken
		if got.Known() != c.known || got.Zone != c.zone || got.HasZone != c.has {
			t.Errorf("%x: %+v", c.words, got)
		}
	}
	bias := le32(math.Float32bits(1.5))
	f, _ := located(t, crwFile(le, heapBlock(le, heapRecord{0x1818, bias})))
	if b := f.Meta.Bias; b == nil || *b != 1.5 {
		t.Errorf("%+v", f.Meta)
	}
	f, _ = located(t, crwFile(le, heapBlock(le, heapRecord{0x1818, le32(math.Float32bits(float32(math.NaN())))})))
	if f.Meta.Bias != nil || f.Meta.Flash != exif.FlashUnknown {
		t.Errorf("%+v", f.Meta)
	}
}

func TestCRWDamage(t *testing.T) {
	le := binary.LittleEndian
	jpeg := craft.JPEG(sof0, 1536, 1024, 100)
	good := heapBlock(le, heapRecord{0x2007, jpeg})
	end := func(v uint32) []byte { return crwFile(le, append(good[:len(good)-4:len(good)-4], le32(v)...)) }
	// one is a block of one record with any numbers.
	one := func(typ uint16, length, off uint32) []byte {
		dir := le.AppendUint16(le.AppendUint16(nil, 1), typ)
		return crwFile(le, craft.Join(make([]byte, 20), dir, le32(length, off, 20)))
	}
	// cut is a block whose JPEG is said to be longer than the file.
	cut := crwFile(le, bytes.Clone(good))
	le.PutUint32(cut[len(cut)-12:], 1<<20)
	var wide []heapRecord
	for range 40 {
		wide = append(wide, heapRecord{0x300A, heapBlock(le)})
	}
	deep := heapBlock(le, heapRecord{0x2007, jpeg})
	for range 20 {
		deep = heapBlock(le, heapRecord{0x300A, deep})
	}
	for _, c := range []struct {
		name       string
		data       []byte
		code, says string
	}{
		{"header alone", crwFile(le, nil), raw.ProblemBadPlace, "outside the file"},
		{"heap past the end", []byte("II\xFF\xFF\xFF\xFFHEAPCCDR\x00\x00"), raw.ProblemBadPlace, "outside the file"},
		{"directory past the end", end(math.MaxUint32), raw.ProblemBadPlace, "outside its block"},
		{"directory in the JPEG", end(1), raw.ProblemBadCount, "records"},
		{"JPEG cut off", cut, raw.ProblemCutOff, "JpgFromRaw"},
		{"JPEG that is none", one(0x2007, 20, 0), raw.ProblemNotJPEG, "JpgFromRaw"},
		{"record past its block", one(0x300A, 1<<20, 0), raw.ProblemBadPlace, "0x300a"},
		{"record at 4 GiB", one(0x0805, 8, math.MaxUint32), raw.ProblemBadPlace, "0x805"},
		{"block that is itself", one(0x300A, 36, 0), raw.ProblemLoop, "already read"},
		{"block of nothing", one(0x300A, 0, 0), raw.ProblemBadPlace, "outside the file"},
		{"very wide", crwFile(le, heapBlock(le, wide...)), raw.ProblemTooMuch, "too many"},
		{"very deep", crwFile(le, deep), raw.ProblemTooMuch, "too many"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, c.data)
			if err != nil {
				t.Fatal(err)
			}
			holdProblem(t, f, c.code, c.says)
		})
	}
}

// A whole raw file of the module, and a hostile one of another reader's tests.
func TestCRWRealFile(t *testing.T) {
	e := expected{"CRW.CRW", "CRW", []spot{{3305054, 281610, 1440, 960}}, nil, ""}
	e.hold(t, wholeModule(t, e.name))
	if dir := testneed.Samples(t); dir != "" {
		f, err := located(t, sample(t, filepath.Join(dir, "raw", "issue_1097_poc.crw")))
		if err != nil || f.Kind != "CRW" || len(f.Problems) == 0 {
			t.Errorf("%+v, %v", f, err)
		}
	}
}
