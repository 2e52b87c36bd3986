package catalog_test

import (
	"fmt"
	"testing"
	"time"

	"garner/store/catalog"
	"garner/store/catalog/catalogtest"
)

func sampleFrame(i int) catalog.Frame {
	at := time.Date(2026, 6, 13, 14, 2, 11, 130e6, time.UTC).Add(time.Duration(i) * 700 * time.Millisecond)
	name := fmt.Sprintf("A/IMG_%04d", i)
	bias, flash := -1.0/3, false
	return catalog.Frame{
		Name: name, Kind: "CR3", Body: "serial:Camera Six:012021001234",
		Files: []catalog.File{
			{Path: name + ".CR3", Role: "main", Kind: "CR3", Size: 25e6, Mod: at, Head: fmt.Sprintf("%064x", i)},
			{Path: name + ".JPG", Role: "jpeg", Kind: "JPEG", Size: 9e6, Mod: at, Head: fmt.Sprintf("%064x", -i)},
		},
		Taken: catalog.Stamp{Wall: at, Digits: 2, Zone: 120, ZoneIs: 1},
		Shot: catalog.Shot{Orientation: 6, Seconds: 1.0 / 250, FNumber: 2.8, ISO: 1600, Bias: &bias, Flash: &flash, FocalLength: 85,
			Lens: "85 mm f/1.4", Make: "Maker", Model: "Camera Six", Serial: "012021001234", Width: 6000, Height: 4000, Counter: int64(i)},
		Previews: []catalog.Preview{
			{File: name + ".CR3", Role: "full", Offset: 65536, Length: 4e6, Width: 6000, Height: 4000, Whole: true},
			{File: name + ".CR3", Role: "screen", Offset: 4096, Length: 3e5, Width: 1620, Height: 1080, Whole: true},
			{File: name + ".JPG", Role: "thumb", Offset: 1024, Length: 1e4, Width: 160, Height: 120, Whole: true},
		},
		Fingerprint: 0x0123456789abcdef * uint64(i+1), HasFingerprint: true, Luma: 0.42,
	}
}

func sampleID(i int) string { return fmt.Sprintf("%016x", uint64(i+1)*0x9e3779b97f4a7c15) }

func fill(t testing.TB, db *catalog.DB, frames int) {
	t.Helper()
	err := db.Update(func(tx *catalog.Tx) error {
		layout := catalog.Layout{Scenes: []catalog.Scene{{ID: 0, Name: "01", First: sampleID(0)}}}
		for i := range frames {
			f, id := sampleFrame(i), sampleID(i)
			if err := tx.Frames().Put(id, f); err != nil {
				return err
			}
			for _, file := range f.Files {
				if err := tx.Paths().Put(file.Path, catalog.Path{Frame: id, Size: file.Size, Mod: file.Mod, Head: file.Head}); err != nil {
					return err
				}
			}
			layout.Places = append(layout.Places, catalog.Place{Frame: id, Moment: i / 4, Kind: 1, Corrected: f.Taken})
		}
		return tx.Layout().Put(layout)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func BenchmarkEmptyView(b *testing.B) {
	db := catalogtest.New(b)
	for b.Loop() {
		if err := db.View(func(*catalog.Tx) error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkUpdateOne(b *testing.B) {
	db := catalogtest.New(b)
	fill(b, db, 10000)
	n := uint64(0)
	for b.Loop() {
		n++
		if err := db.Update(func(tx *catalog.Tx) error { return tx.Journal().Put(catalog.SeqKey(n), catalog.Entry{Line: "x"}) }); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExamine10000(b *testing.B) {
	db := catalogtest.New(b)
	fill(b, db, 10000)
	for b.Loop() {
		if err := db.Examine(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLayout10000(b *testing.B) {
	db := catalogtest.New(b)
	fill(b, db, 10000)
	for b.Loop() {
		err := db.View(func(tx *catalog.Tx) error {
			l, err := tx.Layout().Get()
			if len(l.Places) != 10000 {
				b.Fatal(len(l.Places))
			}
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFrames10000(b *testing.B) {
	db := catalogtest.New(b)
	fill(b, db, 10000)
	for b.Loop() {
		n := 0
		err := db.View(func(tx *catalog.Tx) error {
			return tx.Frames().Each(func(string, catalog.Frame) error { n++; return nil })
		})
		if err != nil || n != 10000 {
			b.Fatal(n, err)
		}
	}
}
