package tui

import (
	"slices"
	"testing"
	"time"

	"garner/cull/station"
	"garner/preview/term"
)

// open presses a key and returns how long it takes until the bytes of the last tile
// are there, and how many there are.
func (d *driver) open(key string) (time.Duration, int) {
	d.t.Helper()
	d.now = d.now.Add(time.Second)
	begin, bytes := time.Now(), 0
	d.m.Update(keyMsg(term.Key{Name: key, Text: key, At: d.now}))
	for {
		d.m.View()
		if len(d.waiting) > 0 {
			s := d.waiting[0]
			d.waiting = nil
			shown := s.Build()
			bytes += len(shown)
			d.write(shown)
			d.landed(s.ID, term.Drawn)
		}
		tiles := d.desk.Shot().Tiles
		if len(d.waiting) == 0 && !slices.ContainsFunc(tiles, func(t station.Tile) bool { return !t.Whole }) {
			return time.Since(begin), bytes
		}
		if len(d.waiting) == 0 {
			n, ok := d.desk.Next()
			if !ok {
				d.t.Fatal("no more news")
			}
			d.m.Update(newsMsg{n})
		}
	}
}

// The fan of a moment of 12 on a large screen: opened for the first time in a
// sitting, from the job's cache and its files, and opened again. What the terminal
// of the test takes to read the pictures is counted too. PERFORMANCE: 150 ms.
func BenchmarkFanOfTwelve(b *testing.B) {
	dir := moments(b, demoFrames, 12)
	var first, again, walk []time.Duration
	for b.Loop() {
		d := driveKittyAs(b, dir, 200, 59, Options{}, asItIs)
		if n := len(d.desk.Shot().Tiles); n != 0 {
			b.Fatal("the fan is open")
		}
		took, _ := d.open("f")
		first = append(first, took)
		d.settle()
		d.press("f")
		took, _ = d.open("f")
		again = append(again, took)
		took, bytes := d.open("right")
		if bytes > 100 {
			b.Fatalf("moving the cursor sends %d bytes", bytes)
		}
		walk = append(walk, took)
		d.settle()
		d.close()
	}
	for name, list := range map[string][]time.Duration{"first": first, "again": again, "walk": walk} {
		slices.Sort(list)
		b.ReportMetric(float64(list[len(list)/2].Microseconds())/1000, "p50-"+name+"-ms")
		b.ReportMetric(float64(list[len(list)-1].Microseconds())/1000, "max-"+name+"-ms")
	}
}
