package plan

import (
	"bytes"
	"fmt"
	"path"
	"reflect"
	"sort"
	"testing"
	"time"

	"garner/cull/scan"
	"garner/testdata/testcard"
)

// frames are the frames from, …, to-1 of a body, without those named.
func frames(ext string, from, to int, without ...int) []made {
	var out []made
next:
	for n := from; n < to; n++ {
		for _, w := range without {
			if n == w {
				continue next
			}
		}
		out = append(out, made{path: fmt.Sprintf("DCIM/100X/L_%04d%s", n, ext), n: n})
	}
	return out
}

func TestSlots(t *testing.T) {
	other := func(files []made) []made {
		for i := range files {
			files[i].serial = "2002"
		}
		return files
	}
	for _, tt := range []struct {
		name    string
		sources []Source
		want    []Slots
	}{
		{"mirrored, nothing missing", []Source{card(t, frames(".CR3", 1, 9)...), card(t, frames(".CR3", 1, 9)...)},
			[]Slots{{A: 0, B: 1, Letter: "A", Shared: 8, Missing: []string{}}}},
		{"mirrored, the second lacks two", []Source{card(t, frames(".CR3", 1, 9)...), card(t, frames(".CR3", 1, 9, 3, 5)...)},
			[]Slots{{A: 0, B: 1, Letter: "A", Shared: 6, Missing: []string{"A/L_0003", "A/L_0005"}}}},
		{"raw and JPEG, both lack one", []Source{card(t, frames(".CR3", 1, 9, 4)...), card(t, frames(".JPG", 1, 9, 3)...)},
			[]Slots{{A: 0, B: 1, Letter: "A", Shared: 6, Missing: []string{"A/L_0003"}}, {A: 1, B: 0, Letter: "A", Shared: 6, Missing: []string{"A/L_0004"}}}},
		{"a slot that was full earlier", []Source{card(t, frames(".CR3", 1, 9)...), card(t, frames(".JPG", 1, 7)...)},
			[]Slots{{A: 0, B: 1, Letter: "A", Shared: 6, Missing: []string{"A/L_0007", "A/L_0008"}}}},
		{"a slot's next card", []Source{card(t, frames(".CR3", 1, 9)...), card(t, frames(".JPG", 1, 5)...), card(t, frames(".JPG", 5, 9)...)},
			[]Slots{{A: 0, B: 1, Letter: "A", Shared: 4, Missing: []string{}}, {A: 0, B: 2, Letter: "A", Shared: 4, Missing: []string{}}}},
		{"another body under the same names", []Source{card(t, frames(".CR3", 1, 9)...), card(t, other(frames(".CR3", 1, 9))...)}, nil},
		{"one card after the other, a frame on both", []Source{card(t, frames(".CR3", 1, 9)...), card(t, frames(".CR3", 8, 20)...)}, nil},
		{"one source", []Source{card(t, frames(".CR3", 1, 9)...)}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if p := Make(tt.sources, nil, Options{Letters: letters}); !reflect.DeepEqual(p.Slots, tt.want) {
				t.Errorf("%+v, wanted %+v", p.Slots, tt.want)
			}
		})
	}
	t.Run("what the days leave out is not missing", func(t *testing.T) {
		a, b := frames(".CR3", 1, 9), frames(".CR3", 1, 8)
		a[7].n = 24 * 3600
		p := Make([]Source{card(t, a...), card(t, b...)}, nil, Options{Letters: letters, Days: []string{"2026-06-13"}})
		if want := []Slots{{A: 0, B: 1, Letter: "A", Shared: 7, Missing: []string{}}}; !reflect.DeepEqual(p.Slots, want) {
			t.Errorf("%+v", p.Slots)
		}
		if want := []map[string]int{{"2026-06-13": 7, "2026-06-14": 1}, {"2026-06-13": 7}}; !reflect.DeepEqual(p.Days, want) {
			t.Errorf("days %v", p.Days)
		}
	})
}

// Real camera files, looked at as the engine does: raw on one slot and JPEG on the
// other, of two bodies under one name each.
func TestRealFiles(t *testing.T) {
	look := func(serial, ext string, damage bool) Source {
		s := Source{Name: "card", DCIM: true}
		files := testcard.Card(t, func(string, []byte, time.Time) {}, testcard.Run{Folder: "DCIM/100LMRFV", First: 1, Count: 3, Ext: []string{ext}, Shot: testcard.Shot{Serial: serial, Size: 40000}})
		for name, data := range files {
			if damage && path.Base(name) == "LMR_0002.CR3" {
				data = append(bytes.Clone(data[:39000]), make([]byte, 1000)...)
			}
			shot, err := scan.Look(bytes.NewReader(data), name, int64(len(data)))
			if err != nil {
				t.Fatal(err)
			}
			f := File{Path: name, Size: int64(len(data)), Mod: testcard.Start(), Shot: shot}
			copy(f.Ends[:], data[len(data)-32:])
			f.Ends[0] ^= shot.Head[0]
			s.Files = append(s.Files, f)
		}
		sort.Slice(s.Files, func(i, j int) bool { return s.Files[i].Path < s.Files[j].Path })
		return s
	}
	sources := []Source{look("1001", ".CR3", false), look("1001", ".JPG", false), look("2002", ".CR3", false), look("1001", ".CR3", true)}
	p := Make(sources, nil, Options{Letters: map[string]string{sources[0].Files[0].Shot.Body.Key: "A", sources[2].Files[0].Shot.Body.Key: "B"}, Damaged: secondDamaged})
	var got []string
	for _, st := range p.Steps {
		got = append(got, actionNames[st.Action]+" "+st.To)
	}
	want := []string{"copy A/LMR_0001.CR3", "copy A/LMR_0002.CR3", "copy A/LMR_0003.CR3", "copy A/LMR_0001.JPG", "copy A/LMR_0002.JPG", "copy A/LMR_0003.JPG",
		"copy B/LMR_0001.CR3", "copy B/LMR_0002.CR3", "copy B/LMR_0003.CR3", "known A/LMR_0001.CR3", "aside aside/A/LMR_0002.CR3", "known A/LMR_0003.CR3"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%q", got)
	}
}

func BenchmarkMake(b *testing.B) {
	var files, mirror []made
	for i := range 25000 {
		for _, ext := range []string{".CR3", ".JPG"} {
			files = append(files, made{path: fmt.Sprintf("DCIM/%03dX/L_%04d%s", 100+i/9999, i%9999, ext), n: i})
		}
	}
	mirror = files
	sources := []Source{card(b, files...), card(b, mirror...)}
	for b.Loop() {
		if p := Make(sources, nil, Options{Letters: letters}); len(p.Steps) != 100000 {
			b.Fatal(len(p.Steps))
		}
	}
}
