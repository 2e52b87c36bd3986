package finished_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/finished"
	"garner/testdata/testneed"
)

// reference is a PNG as the standard library reads it, on white, with the channels
// of p.
func reference(t *testing.T, b []byte, channels int) []uint16 {
	t.Helper()
	m, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	var px []uint16
	for y := m.Bounds().Min.Y; y < m.Bounds().Max.Y; y++ {
		for x := m.Bounds().Min.X; x < m.Bounds().Max.X; x++ {
			// RGBA gives multiplied samples: laying them on white is adding what lacks.
			r, g, bl, a := m.At(x, y).RGBA()
			px = append(px, []uint16{uint16(r + 65535 - a), uint16(g + 65535 - a), uint16(bl + 65535 - a)}[:channels]...)
		}
	}
	return px
}

// Every form of PNG of the suite that the standard library is tested with gives what
// it decodes to.
func TestPNGsOfTheSuite(t *testing.T) {
	out, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(strings.TrimSpace(string(out)), "src/image/png/testdata/pngsuite", "*.png"))
	if len(files) == 0 {
		t.Skip("this Go has no test files")
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		samePNG(t, filepath.Base(f), b)
	}
}

func samePNG(t *testing.T, name string, b []byte) {
	t.Helper()
	p, err := finished.Open(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	got, err := rowsOf(p)
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	// Multiplying rounds once more.
	if d, at := farthest(got, reference(t, b, p.Channels())); d > 1 || d > 0 && !p.Alpha {
		t.Errorf("%s: off by %d at %d", name, d, at)
	}
}

// PNGs of libvips (libpng, libspng): depths, palettes, alpha, interlaced and not. A
// picture that the standard library decodes the same way is taken.
func TestPNGsOfLibvips(t *testing.T) {
	t.Parallel()
	vips := testneed.Tool(t, "vips")
	for _, m := range []struct {
		channels, photometric int
		extra                 bool
	}{{1, 1, false}, {2, 1, true}, {3, 2, false}, {4, 2, true}} {
		for _, bits := range []int{8, 16} {
			px := scene(83, 61, m.channels, bits)
			var tif []byte
			if m.extra {
				tif = baseTIFF(binary.LittleEndian, 83, 61, m.channels, bits, m.photometric, px, extra(2))
			} else {
				tif = baseTIFF(binary.LittleEndian, 83, 61, m.channels, bits, m.photometric, px)
			}
			for _, args := range [][]string{{"--filter", "all"}, {"--interlace"}, {"--palette", "--interlace"}} {
				if args[0] != "--interlace" && (bits == 16 || m.channels < 3) {
					continue // each takes libvips a while to start
				}
				b := run(t, tif, ".png", vips, append([]string{"pngsave", "IN", "OUT"}, args...)...)
				name := fmt.Sprint(m.channels, bits, args)
				samePNG(t, name, b)
				if args[0] == "--palette" || m.extra {
					continue
				}
				if d, at := farthest(mustRows(t, b), px); d > 0 {
					t.Errorf("%s: off by %d at %d of what went in", name, d, at)
				}
			}
		}
	}
}

// Interlaced PNGs so small that there are passes without pixels.
func TestSmallWovenPNGs(t *testing.T) {
	t.Parallel()
	vips := testneed.Tool(t, "vips")
	for _, s := range [][2]int{{1, 1}, {1, 5}, {9, 3}} {
		tif := baseTIFF(binary.LittleEndian, s[0], s[1], 3, 8, 2, scene(s[0], s[1], 3, 8))
		samePNG(t, fmt.Sprint(s), run(t, tif, ".png", vips, "pngsave", "IN", "OUT", "--interlace"))
	}
}

// A cut, and a changed byte where a sum watches over it, are errors.
func TestPNGsCutOffOrBroken(t *testing.T) {
	var buf bytes.Buffer
	m := image.NewNRGBA(image.Rect(0, 0, 41, 43))
	for i, v := range scene(41, 43, 4, 8) {
		m.Pix[i] = byte(v)
	}
	if err := png.Encode(&buf, m); err != nil {
		t.Fatal(err)
	}
	b := buf.Bytes()
	mustRows(t, b)
	for n := 0; n < len(b); n += 1 + len(b)/211 {
		p, err := finished.Open(bytes.NewReader(b[:n]), int64(n))
		if err == nil {
			_, err = rowsOf(p)
		}
		if err == nil || n > 8 && !strings.Contains(err.Error(), "cut off") {
			t.Fatalf("cut at %d of %d: %v", n, len(b), err)
		}
		bad := bytes.Clone(b)
		bad[n] ^= 0x10
		p, err = finished.Open(bytes.NewReader(bad), int64(len(bad)))
		if err == nil {
			_, err = rowsOf(p)
		}
		if err == nil && n < len(b)-12 { // IEND has nothing that counts
			t.Fatalf("a changed byte at %d of %d went by", n, len(b))
		}
	}
}
