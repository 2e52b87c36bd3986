package testterm

import (
	"bytes"
	"compress/zlib"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi/kitty"
)

// ramp is a picture whose every pixel differs.
func ramp(w, h int) *image.NRGBA {
	im := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			im.SetNRGBA(x, y, color.NRGBA{uint8(x * 7), uint8(y * 5), uint8(x + y), 255})
		}
	}
	return im
}

func rgb(im *image.NRGBA) []byte {
	var out []byte
	for i := 0; i < len(im.Pix); i += 4 {
		out = append(out, im.Pix[i:i+3]...)
	}
	return out
}

func deflate(b []byte) []byte {
	var buf bytes.Buffer
	w := zlib.NewWriter(&buf)
	w.Write(b)
	w.Close()
	return buf.Bytes()
}

func apc(control string, payload []byte) string {
	return "\x1b_G" + control + ";" + base64.StdEncoding.EncodeToString(payload) + "\x1b\\"
}

// chunks sends the payload in pieces as "Remote client" has it.
func chunks(control string, payload []byte) string {
	s, out := base64.StdEncoding.EncodeToString(payload), ""
	for first := true; first || s != ""; first = false {
		n := min(len(s), 4096)
		more := 1
		if n == len(s) {
			more = 0
		}
		if first {
			out += fmt.Sprintf("\x1b_G%s,m=%d;%s\x1b\\", control, more, s[:n])
		} else {
			out += fmt.Sprintf("\x1b_Gm=%d;%s\x1b\\", more, s[:n])
		}
		s = s[n:]
	}
	return out
}

func same(a, b *image.NRGBA) bool {
	return a != nil && b != nil && a.Bounds() == b.Bounds() && bytes.Equal(a.Pix, b.Pix)
}

func TestTransmission(t *testing.T) {
	dir := t.TempDir()
	want := ramp(60, 40)
	var asPNG bytes.Buffer
	png.Encode(&asPNG, want)
	file := func(name string, data []byte) []byte {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return []byte(path)
	}
	for _, c := range []struct{ name, in string }{
		{"f=24", chunks("i=3,f=24,s=60,v=40", rgb(want))},
		{"f=32 is the default", chunks("i=3,s=60,v=40", want.Pix)},
		{"zlib", chunks("i=3,f=24,s=60,v=40,o=z", deflate(rgb(want)))},
		{"png", chunks("i=3,f=100", asPNG.Bytes())},
		{"file", apc("i=3,f=24,s=60,v=40,t=f", file("a", rgb(want)))},
		{"part of a file", apc("i=3,f=24,s=60,v=40,t=f,O=5,S=7200", file("b", append([]byte("12345"), append(rgb(want), "more"...)...)))},
		{"temporary file", apc("i=3,f=24,s=60,v=40,t=t", file("tty-graphics-protocol-x", rgb(want)))},
		{"twice under one id", chunks("i=3,f=24,s=1,v=1", []byte{1, 2, 3}) + chunks("i=3,f=24,s=60,v=40", rgb(want))},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 4)
			g.Write([]byte(c.in))
			got := g.Images()
			if len(got) != 1 || got[0].ID != 3 || !same(got[0].Pix, want) {
				t.Errorf("got %d images", len(got))
			}
			if len(g.Complaints()) > 0 || g.Text() != "" {
				t.Error(g.Complaints(), g.Text())
			}
		})
	}
	if _, err := os.Stat(filepath.Join(dir, "tty-graphics-protocol-x")); err == nil {
		t.Error("the temporary file was not deleted")
	}
	if _, err := os.Stat(filepath.Join(dir, "a")); err != nil {
		t.Error("the file that is not temporary was deleted")
	}
}

// TestAnswers is "Querying support and available transmission mediums".
func TestGraphicsAnswers(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "tty-graphics-protocol-q")
	if err := os.WriteFile(name, []byte{1, 2, 3}, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, in, want string }{
		{"query", apc("i=31,s=1,v=1,a=q,t=d,f=24", []byte{0, 0, 0}), "\x1b_Gi=31;OK\x1b\\"},
		{"query of a temporary file", apc("i=31,s=1,v=1,a=q,t=t,f=24", []byte(name)), "\x1b_Gi=31;OK\x1b\\"},
		{"query of a missing file", apc("i=31,s=1,v=1,a=q,t=t,f=24", []byte(filepath.Join(dir, "none"))), "\x1b_Gi=31;EBADF:"},
		{"query of missing shared memory", apc("i=31,s=1,v=1,a=q,t=s,f=24", []byte("/no-such-object-here")), "\x1b_Gi=31;EBADF:"},
		{"a device is no picture", apc("i=31,s=1,v=1,a=q,t=f,f=24", []byte("/dev/zero")), "\x1b_Gi=31;EBADF:"},
		{"too little", apc("i=31,s=2,v=1,f=24", []byte{0, 0, 0}), "\x1b_Gi=31;ENODATA:"},
		{"too much", apc("i=31,s=1,v=1,f=24", []byte{0, 0, 0, 0}), "\x1b_Gi=31;EFBIG:"},
		{"too large", apc("i=31,s=99999,v=1,f=24", []byte{0, 0, 0}), "\x1b_Gi=31;EINVAL:"},
		{"stored", apc("i=31,s=1,v=1,f=24", []byte{0, 0, 0}), "\x1b_Gi=31;OK\x1b\\"},
		{"no id, no answer", apc("s=1,v=1,f=24", []byte{0, 0, 0}), ""},
		{"q=1", apc("i=31,s=1,v=1,f=24,q=1", []byte{0, 0, 0}), ""},
		{"q=1, failure", apc("i=31,s=2,v=1,f=24,q=1", []byte{0, 0, 0}), "\x1b_Gi=31;ENODATA"},
		{"q=2, failure", apc("i=31,s=2,v=1,f=24,q=2", []byte{0, 0, 0}), ""},
		{"place nothing", "\x1b_Ga=p,i=9,p=2\x1b\\", "\x1b_Gi=9,p=2;ENOENT:"},
		{"a number gets an id", apc("I=13,s=1,v=1,f=24", []byte{0, 0, 0}), "\x1b_Gi=4294967295,I=13;OK\x1b\\"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, got := New(10, 4), ""
			g.Answer(Kitty(), func(a Answer) { got += string(a.Bytes) })
			g.Write([]byte(c.in))
			if !strings.HasPrefix(got, c.want) || c.want == "" && got != "" {
				t.Errorf("got %q, want %q", got, c.want)
			}
			if strings.Contains(c.in, "a=q") && len(g.Images()) > 0 {
				t.Error("a query stored its picture")
			}
		})
	}
	if _, err := os.Stat(name); err == nil {
		t.Error("the query left its temporary file")
	}
}

func TestSharedMemory(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("shared memory has names in the file system on Linux alone")
	}
	name := fmt.Sprintf("garner-testterm-%d", os.Getpid())
	path := "/dev/shm/" + name
	want := ramp(5, 3)
	if err := os.WriteFile(path, append(rgb(want), make([]byte, 100)...), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Remove(path) })
	g := New(10, 4)
	g.Write([]byte(apc("i=3,f=24,s=5,v=3,t=s", []byte("/"+name))))
	if got := g.Images(); len(got) != 1 || !same(got[0].Pix, want) {
		t.Errorf("got %d images", len(got))
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("the object was not unlinked")
	}
}

// cells writes placeholder cells of an area: the colour is the id.
func cells(id, cols, rows int) string {
	var b strings.Builder
	for row := range rows {
		fmt.Fprintf(&b, "\x1b[38;5;%dm%c%c%c", id, kitty.Placeholder, kitty.Diacritic(row), kitty.Diacritic(0))
		b.WriteString(strings.Repeat(string(kitty.Placeholder), cols-1) + "\x1b[39m\r\n")
	}
	return b.String()
}

// TestPlaceholders is "Unicode placeholders".
func TestPlaceholders(t *testing.T) {
	want := ramp(30, 40)
	send := chunks("i=42,f=24,s=30,v=40,q=2", rgb(want)) + "\x1b_Ga=p,U=1,i=42,c=3,r=2,q=2\x1b\\"
	area := image.Rect(0, 0, 3, 2)
	ph, d := string(kitty.Placeholder), func(n int) string { return string(kitty.Diacritic(n)) }
	for _, c := range []struct{ name, in, err string }{
		{"first cells named, others follow", send + cells(42, 3, 2), ""},
		{"every cell named", send + "\x1b[38;5;42m" + ph + d(0) + d(0) + ph + d(0) + d(1) + ph + d(0) + d(2) + "\r\n" + ph + d(1) + d(0) + ph + d(1) + d(1) + ph + d(1) + d(2), ""},
		{"rows named", send + "\x1b[38;5;42m" + ph + d(0) + ph + d(0) + ph + d(0) + "\r\n" + ph + d(1) + ph + ph, ""},
		{"24 bits of colour", send + "\x1b[38;2;0;0;42m" + ph + d(0) + ph + ph + "\r\n" + ph + d(1) + ph + ph, ""},
		{"another colour is another picture", send + "\x1b[38;5;42m" + ph + d(0) + ph + "\x1b[38;5;43m" + ph, "2,0"},
		{"not transmitted", cells(42, 3, 2), "no picture"},
		{"not placed", chunks("i=42,f=24,s=30,v=40,q=2", rgb(want)) + cells(42, 3, 2), "no picture"},
		{"a cell overwritten", send + cells(42, 3, 2) + "\x1b[2;2Hx", "1,1"},
		{"sent again drops the placement", send + chunks("i=42,f=24,s=30,v=40,q=2", rgb(want)) + cells(42, 3, 2), "no picture"},
		{"clearing the screen keeps the data", send + cells(42, 3, 2) + "\x1b[2J\x1b[H" + cells(42, 3, 2), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 4)
			g.Write([]byte(c.in))
			got, err := g.PictureIn(area)
			if c.err != "" {
				if err == nil || !strings.Contains(err.Error(), c.err) {
					t.Errorf("got %v, want %q", err, c.err)
				}
				return
			}
			if err != nil || !same(got, want) {
				t.Errorf("not the picture: %v\n%s", err, g.Styled())
			}
			if g.Row(0) != "░░░" {
				t.Errorf("row %q", g.Row(0))
			}
		})
	}
}

func TestPlaceholderHighByte(t *testing.T) {
	id := uint32(5<<24 | 42)
	g := New(10, 4)
	g.Write([]byte(chunks(fmt.Sprintf("i=%d,f=24,s=1,v=1", id), []byte{1, 2, 3}) + fmt.Sprintf("\x1b_Ga=p,U=1,i=%d,c=2,r=1\x1b\\", id)))
	g.Write(fmt.Appendf(nil, "\x1b[38;5;42m%c%c%c%c%c", kitty.Placeholder, kitty.Diacritic(0), kitty.Diacritic(0), kitty.Diacritic(5), kitty.Placeholder))
	if p, ok := g.PlacementAt(1, 0); !ok || p.Image != id || p.Col != 1 {
		t.Errorf("got %v %+v", ok, p.Placement)
	}
}

// TestPlacement is classic placement: "Display images on screen", "Deleting
// images", "Interaction with other terminal actions".
func TestPlacement(t *testing.T) {
	want := ramp(30, 40) // 3x2 cells of 10x20
	send := chunks("i=7,f=24,s=30,v=40,q=2", rgb(want))
	put := "\x1b_Ga=p,i=7,p=1,c=3,r=2,C=1,q=2\x1b\\"
	for _, c := range []struct {
		name, in string
		area     image.Rectangle // empty: shown nowhere
		images   int
	}{
		{"at the cursor", send + "\x1b[2;3H" + put, image.Rect(2, 1, 5, 3), 1},
		{"size from the pixels", send + "\x1b_Ga=p,i=7,q=2\x1b\\", image.Rect(0, 0, 3, 2), 1},
		{"sent and shown", chunks("a=T,i=7,f=24,s=30,v=40,q=2", rgb(want)), image.Rect(0, 0, 3, 2), 1},
		{"the same placement moves", send + put + "\x1b[2;3H" + put, image.Rect(2, 1, 5, 3), 1},
		{"text leaves it", send + put + "\x1b[Habc\x1b[K", image.Rect(0, 0, 3, 2), 1},
		{"scrolls with the text", send + "\x1b[2;1H" + put + "\x1b[4;1H\n", image.Rect(0, 0, 3, 2), 1},
		{"ED 2 takes it away", send + put + "\x1b[2J", image.Rectangle{}, 1},
		{"d=i keeps the data", send + put + "\x1b_Ga=d,d=i,i=7\x1b\\", image.Rectangle{}, 1},
		{"d=I frees it", send + put + "\x1b_Ga=d,d=I,i=7\x1b\\", image.Rectangle{}, 0},
		{"another placement stays", send + put + "\x1b_Ga=d,d=i,i=7,p=2\x1b\\", image.Rect(0, 0, 3, 2), 1},
		{"d=a", send + put + "\x1b_Ga=d\x1b\\", image.Rectangle{}, 1},
		{"d=A", send + put + "\x1b_Ga=d,d=A\x1b\\", image.Rectangle{}, 0},
		{"entering the alternate screen", send + put + "\x1b[?1049h", image.Rectangle{}, 0},
		{"and back", send + put + "\x1b[?1049h\x1b[?1049l", image.Rect(0, 0, 3, 2), 1},
		{"the alternate screen's are cleared", "\x1b[?1049h" + send + put + "\x1b[?1049l\x1b[?1049h", image.Rectangle{}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 4)
			g.Write([]byte(c.in))
			if n := len(g.Images()); n != c.images {
				t.Errorf("%d images, want %d", n, c.images)
			}
			for row := range 4 {
				for col := range 10 {
					_, ok := g.PlacementAt(col, row)
					if in := image.Pt(col, row).In(c.area); ok != in {
						t.Errorf("cell %d,%d: %v, want %v", col, row, ok, in)
					}
				}
			}
			if c.area.Empty() {
				return
			}
			if got, err := g.PictureIn(c.area); err != nil || !same(got, want) {
				t.Errorf("not the picture: %v", err)
			}
		})
	}
}

func TestPlacementMovesTheCursor(t *testing.T) {
	for in, want := range map[string]image.Point{"C=1": {}, "C=0": {3, 1}} {
		g := New(10, 4)
		g.Write([]byte(chunks("a=T,i=7,f=24,s=30,v=40,"+in, rgb(ramp(30, 40)))))
		if col, row, _ := g.Cursor(); image.Pt(col, row) != want {
			t.Errorf("%s: cursor at %d,%d", in, col, row)
		}
	}
}

func TestGraphicsComplaints(t *testing.T) {
	big := bytes.Repeat([]byte{1, 2, 3}, 2000)
	for _, c := range []struct{ name, in, want string }{
		{"a chunk that is too long", apc("i=1,f=24,s=2000,v=1", big), "a chunk of 8000"},
		{"keys in a later chunk", "\x1b_Gi=1,f=24,s=2,v=1,m=1;AAAA\x1b\\\x1b_Gs=9,m=0;AAAA\x1b\\", "key s"},
		{"something between the chunks", "\x1b_Gi=1,f=24,s=2,v=1,m=1;AAAA\x1b\\\x1b_Ga=d\x1b\\", "between the chunks"},
		{"not base64", "\x1b_Gi=1,f=24,s=1,v=1;!!!!\x1b\\", "base64"},
		{"nonsense", "\x1b_Gxyz\x1b\\", "malformed"},
		{"unknown action", "\x1b_Ga=y,i=1\x1b\\", "action"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 4)
			g.Write([]byte(c.in))
			if got := strings.Join(g.Complaints(), "\n"); !strings.Contains(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// halfBlocks draws a picture with two pixels a cell.
func halfBlocks(im *image.NRGBA) string {
	var b strings.Builder
	for y := 0; y < im.Bounds().Dy(); y += 2 {
		for x := range im.Bounds().Dx() {
			u, l := im.NRGBAAt(x, y), im.NRGBAAt(x, y+1)
			fmt.Fprintf(&b, "\x1b[38;2;%d;%d;%d;48;2;%d;%d;%dm▀", u.R, u.G, u.B, l.R, l.G, l.B)
		}
		b.WriteString("\x1b[m\r\n")
	}
	return b.String()
}

func TestHalfBlocks(t *testing.T) {
	want := ramp(3, 4)
	g := New(10, 4)
	g.Write([]byte(halfBlocks(want)))
	got, err := g.Pixels(image.Rect(0, 0, 3, 2))
	if err != nil || !same(got, want) {
		t.Errorf("not the picture: %v", err)
	}
	g.Write([]byte("\x1b[2;2Hx"))
	if _, err := g.Pixels(image.Rect(0, 0, 3, 2)); err == nil {
		t.Error("a letter passed for a picture")
	}
	// xterm ctlseqs, "ISO-8613-6": the cube's steps are 0, 95, 135 and on.
	g.Write([]byte("\x1b[1;1H\x1b[38;5;214;48;5;232m▄"))
	if got, _ := g.Pixels(image.Rect(0, 0, 1, 1)); got.NRGBAAt(0, 0) != (color.NRGBA{8, 8, 8, 255}) || got.NRGBAAt(0, 1) != (color.NRGBA{255, 175, 0, 255}) {
		t.Errorf("got %v", got.Pix)
	}
}
