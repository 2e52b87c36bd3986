package recall

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
	"garner/cull/closing/record"
)

// What goes into a part comes out of it, row by row.
func TestPartsComeBack(t *testing.T) {
	stamp := func(t *rapid.T) cull.Stamp {
		if rapid.Bool().Draw(t, "timeless") {
			return cull.Stamp{ZoneIs: cull.ZoneUnknown}
		}
		return cull.Stamp{Wall: time.Unix(rapid.Int64Range(-6e10, 2e11).Draw(t, "seconds"), rapid.Int64Range(0, 1e9-1).Draw(t, "ns")).UTC(), Digits: rapid.IntRange(0, 9).Draw(t, "digits"),
			Zone: rapid.IntRange(-840, 840).Draw(t, "zone"), ZoneIs: cull.ZoneKnown}
	}
	rapid.Check(t, func(t *rapid.T) {
		a := about{Job: rapid.String().Draw(t, "job"), Passes: []string{"keep", "album"}, Scenes: []string{"01", "02"}}
		texts := rapid.SliceOfN(rapid.StringOf(rapid.RuneFrom([]rune("aÄß1/\ufffd"))), 0, 3)
		var entries []entry
		for range rapid.IntRange(0, 9).Draw(t, "frames") {
			e := entry{id: rapid.Uint64().Draw(t, "id"), name: rapid.String().Draw(t, "name") + "\xff", others: texts.Draw(t, "others"), taken: stamp(t), corrected: stamp(t),
				moment: rapid.Int().Draw(t, "moment"), scene: rapid.IntRange(-1, 1).Draw(t, "scene"), body: -1, thumb: record.Span{Offset: rapid.Int64().Draw(t, "offset"), Length: 5},
				answers: []cull.Answer{cull.Answer(rapid.IntRange(0, 3).Draw(t, "answer")), cull.Yes}}
			for _, p := range texts.Draw(t, "files") {
				e.files = append(e.files, file{Kind(rapid.IntRange(1, 5).Draw(t, "kind")), p})
			}
			entries = append(entries, e)
		}
		key := [32]byte{1, 2}
		text, err := encodePart(a, entries, key)
		if err != nil {
			t.Fatal(err)
		}
		p, err := openPart(bytes.NewReader(text), int64(len(text)))
		if err != nil || p.rows != len(entries) || p.key != key {
			t.Fatal(p, err)
		}
		if got, err := p.about(); err != nil || !reflect.DeepEqual(got.Passes, a.Passes) || !reflect.DeepEqual(got.Scenes, a.Scenes) {
			t.Fatalf("%+v, %v", got, err)
		}
		c, err := p.columns()
		if err != nil {
			t.Fatal(err)
		}
		for row, e := range entries {
			d, err := p.detail(row)
			want := detail{name: e.name, taken: e.taken, corrected: e.corrected, moment: e.moment, thumb: e.thumb}
			want.others, want.files = append(want.others, e.others...), append(want.files, e.files...)
			if err != nil || !reflect.DeepEqual(d, want) {
				t.Fatalf("%+v, want %+v: %v", d, want, err)
			}
			scene := uint16(noScene)
			if e.scene >= 0 {
				scene = uint16(e.scene)
			}
			if c.id(row) != e.id || c.scene(row) != scene || c.bodies[row] != noBody || cull.Answer(c.answers[0][row]) != e.answers[0] || (c.time(row) == noTime) == e.corrected.Known() {
				t.Fatalf("row %d of %+v", row, entries)
			}
		}
	})
}

// FuzzPart opens anything as a part: with sums that are made right, so that what is
// behind them is reached.
func FuzzPart(f *testing.F) {
	b := wedding(f, f.TempDir(), "Job", 1)
	b.write()
	r, err := record.Open(b.dir)
	if err != nil {
		f.Fatal(err)
	}
	text, err := bagPart(f.Context(), r, [32]byte{})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add(text[:headerBytes])
	f.Fuzz(func(t *testing.T, text []byte) {
		resum(text)
		p, err := openPart(bytes.NewReader(text), int64(len(text)))
		if err != nil {
			return
		}
		a, err := p.about()
		if err != nil {
			return
		}
		c, err := p.columns()
		if err != nil {
			t.Fatalf("columns of right sums: %v", err)
		}
		for _, q := range []Query{{Name: "0001"}, {Name: "1"}, {Scene: "k"}, {Body: "A"}, {Passes: []Answered{{"keep", cull.Yes}}}, {From: weddingDay}} {
			filter, may := q.filterFor(&a, "")
			if !may {
				continue
			}
			rows, err := filter.rows(p, &c)
			if err != nil {
				continue
			}
			for _, row := range rows {
				d, err := p.detail(int(row))
				if err != nil {
					continue
				}
				place := &place{dir: t.TempDir()}
				place.hit(&a, &c, d, int(row))
				for _, file := range place.filesOf(d) {
					if file.there() {
						t.Fatalf("%q is there, in an empty folder", file.Path)
					}
				}
			}
		}
	})
}

// resum makes the sums of a header and of its sections right, as far as there are any.
func resum(b []byte) {
	if len(b) < headerBytes {
		return
	}
	le := binary.LittleEndian
	at := uint64(headerBytes)
	for i := range sections {
		n := le.Uint64(b[52+8*i:])
		if n > uint64(len(b))-at {
			break
		}
		if i != detailsAt {
			le.PutUint32(b[52+8*sections+4*i:], crc32.Checksum(b[at:at+n], castagnoli))
		}
		at += n
	}
	le.PutUint32(b[headerBytes-4:], crc32.Checksum(b[:headerBytes-4], castagnoli))
}
