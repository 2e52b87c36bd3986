package testterm

import (
	"image"
	"runtime"
	"testing"
	"unicode/utf8"
)

// FuzzWrite: whatever is written, nothing panics, the screen stays a grid of
// cells that hold text, its questions can be answered, and the memory is
// bounded.
func FuzzWrite(f *testing.F) {
	for _, s := range streams() {
		f.Add([]byte(s.in), uint8(10), uint8(4))
	}
	f.Add([]byte(apc("a=T,i=1,f=24,s=1,v=1,c=2,r=2", []byte{1, 2, 3})+"\x1b[S\x1b_Ga=d,d=r,x=0,y=9\x1b\\"), uint8(3), uint8(3))
	f.Add([]byte(apc("i=1,s=2,v=2,o=z", deflate(make([]byte, 16)))+"\x1b_Ga=p,U=1,i=1\x1b\\"+cells(1, 3, 2)), uint8(3), uint8(3))
	f.Add([]byte("\x1bPtmux;\x1b\x1b[>q\x1b\\\x1b[?2026$p\x1b]11;?\x07\x1b[5n"), uint8(1), uint8(1))
	f.Fuzz(func(t *testing.T, in []byte, cols, rows uint8) {
		c, r := int(cols%40)+1, int(rows%20)+1
		g := New(c, r)
		// Names out of random bytes must not reach the machine's files.
		g.media = func(byte, string, int, int) ([]byte, error) { return make([]byte, 12), nil }
		answers := 0
		a := Kitty()
		a.Tmux = len(in)%2 == 1
		g.Answer(a, func(a Answer) { answers += len(a.Bytes) })
		half := len(in) / 2
		g.Write(in[:half])
		check(t, g)
		g.Resize(r, c)
		g.Write(in[half:])
		check(t, g)
		if limit := 1000 + 200*len(in); answers > limit {
			t.Errorf("%d bytes of answers to %d", answers, len(in))
		}
	})
}

func check(t *testing.T, g *Grid) {
	t.Helper()
	cols, rows := g.Size()
	if col, row, _ := g.Cursor(); col < 0 || col >= cols || row < 0 || row >= rows {
		t.Fatalf("cursor at %d,%d of %dx%d", col, row, cols, rows)
	}
	for i := range g.screens {
		if len(g.screens[i].lines) != rows {
			t.Fatalf("%d lines, not %d", len(g.screens[i].lines), rows)
		}
		for _, line := range g.screens[i].lines {
			if len(line) != cols {
				t.Fatalf("a line of %d cells, not %d", len(line), cols)
			}
			for c, cell := range line {
				if !utf8.ValidString(cell.Rune) || len(cell.Rune) > maxCluster || cell.Rune == "" && c == 0 {
					t.Fatalf("column %d holds %q", c, cell.Rune)
				}
			}
		}
	}
	g.Styled()
	g.Clean()
	g.Pixels(image.Rect(0, 0, cols, rows))
	g.PictureIn(image.Rect(0, 0, cols, rows))
	if again := g.Clone(); again.Styled() != g.Styled() {
		t.Fatal("a clone differs")
	}
}

// TestBoundedMemory feeds what would grow without limits.
func TestBoundedMemory(t *testing.T) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	g := New(10, 4)
	long := make([]byte, 1<<20)
	for i := range long {
		long[i] = 'x'
	}
	g.Write([]byte("\x1b]2;"))
	for range 100 {
		g.Write(long)
	}
	g.Write([]byte("\x1b\\e"))
	for range 1000 {
		g.Write([]byte("\u0301\x1b[>1u\x1b[?9999h"))
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 40<<20 {
		t.Errorf("%d MiB are held", grown>>20)
	}
	if len(g.Complaints()) > 100 || len(g.title) > 1000 {
		t.Error("complaints or title without limit")
	}
}
