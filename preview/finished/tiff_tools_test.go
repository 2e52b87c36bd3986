package finished_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/finished"
	"garner/preview/internal/craft"
	"garner/testdata/testneed"
)

// What libtiff's tiffcp makes of a picture, in every coding, order of bytes, order of
// channels, in strips and tiles, reads as the picture that it was given.
func TestTIFFsOfLibtiff(t *testing.T) {
	t.Parallel()
	tool := testneed.Tool(t, "tiffcp")
	const w, h = 83, 61
	codings := []string{"none", "lzw", "lzw:2", "zip", "zip:2", "packbits"}
	layouts := [][]string{{"-s", "-r", "1"}, {"-s", "-r", "7"}, {"-s", "-r", "61"}, {"-t", "-w", "16", "-l", "16"}, {"-t", "-w", "32", "-l", "48"}, {"-t", "-w", "128", "-l", "128"}}
	tried := 0
	for _, m := range []struct {
		name                  string
		channels, photometric int
		model                 finished.Model
	}{{"grey", 1, 1, finished.Grey}, {"rgb", 3, 2, finished.RGB}, {"cmyk", 4, 5, finished.CMYK}} {
		for _, bits := range []int{8, 16} {
			px := scene(w, h, m.channels, bits)
			base := baseTIFF(binary.LittleEndian, w, h, m.channels, bits, m.photometric, px)
			for i, coding := range codings {
				for k, layout := range layouts {
					n := i + k + tried
					args := append([]string{"-c", coding, "-p", []string{"contig", "separate"}[n/2%2], []string{"-B", "-L"}[n%2]}, layout...)
					if n%5 == 0 {
						args = append(args, "-f", "lsb2msb")
					}
					name := fmt.Sprint(m.name, bits, args)
					from := base
					if bits == 16 && args[3] == "separate" {
						if layout[0] == "-t" {
							continue // tiffcp mixes the bytes up; see TestPlanarTiles
						}
						from = planarTIFF(binary.BigEndian, w, h, m.channels, bits, m.photometric, px)
					}
					b := run(t, from, ".tif", tool, append(args, "IN", "OUT")...)
					p := open(t, b)
					if p.Format != finished.TIFF || p.Width != w || p.Height != h || p.Bits != bits || p.Model != m.model || p.Alpha || len(p.Remarks) > 0 {
						t.Errorf("%s: %+v", name, p)
					}
					got, err := rowsOf(p)
					if err != nil {
						t.Errorf("%s: %v", name, err)
						continue
					}
					if d, at := farthest(got, px); d > 0 {
						t.Errorf("%s: off by %d at %d", name, d, at)
					}
				}
				tried++
			}
		}
	}
}

// Tiles of 16 bits, each channel by itself, as TIFF 6.0 §15 lays them out; packed by
// the standard library, since libtiff's tools cannot make them.
func TestPlanarTiles(t *testing.T) {
	const w, h, tw, th, n = 83, 61, 32, 48, 3
	px := scene(w, h, n, 16)
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		c := craft.NewTIFF(order)
		var at, size []uint32
		for plane := range n {
			for y := 0; y < h; y += th {
				for x := 0; x < w; x += tw {
					var b bytes.Buffer
					z := zlib.NewWriter(&b)
					for i := range tw * th {
						v := [2]byte{0xAB, 0xCD} // what fills a tile up is nobody's business
						if sx, sy := x+i%tw, y+i/tw; sx < w && sy < h {
							order.PutUint16(v[:], px[(sy*w+sx)*n+plane])
						}
						z.Write(v[:])
					}
					z.Close()
					at, size = append(at, c.Blob(b.Bytes())), append(size, uint32(b.Len()))
				}
			}
		}
		b := c.Bytes(c.IFD(0, c.Long(256, w), c.Long(257, h), c.Short(258, 16, 16, 16), c.Short(259, 8), c.Short(262, 2),
			c.Short(277, n), c.Short(284, 2), c.Short(322, tw), c.Short(323, th), c.Long(324, at...), c.Long(325, size...)))
		if d, i := farthest(mustRows(t, b), px); d > 0 {
			t.Errorf("%v: off by %d at %d", order, d, i)
		}
	}
}

// Photographs' frames that the Go project keeps beside its TIFF decoder, with the
// same picture as PNG.
func TestTIFFsOfOthers(t *testing.T) {
	dir := filepath.Join(testneed.Module(t, "golang.org/x/image"), "testdata")
	want := decoded(t, filepath.Join(dir, "video-001.png"))
	for name, tolerance := range map[string]int{
		"video-001.tiff": 0, "video-001-uncompressed.tiff": 0, "video-001-strip-64.tiff": 0, "video-001-tile-64x64.tiff": 0,
		"video-001-16bit.tiff": 257, "no_rps.tiff": -1, "no_compress.tiff": -1, "blue-purple-pink.lzwcompressed.tiff": -1,
		"video-001-gray.tiff": -1, "video-001-gray-16bit.tiff": -1, "video-001-paletted.tiff": -1,
	} {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		got := mustRows(t, b)
		if tolerance < 0 {
			continue
		}
		if d, at := farthest(got, want); d > tolerance {
			t.Errorf("%s: off by %d at %d", name, d, at)
		}
	}
}

// decoded is a PNG by the standard library, as RGB.
func decoded(t *testing.T, path string) []uint16 {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	var px []uint16
	for y := m.Bounds().Min.Y; y < m.Bounds().Max.Y; y++ {
		for x := m.Bounds().Min.X; x < m.Bounds().Max.X; x++ {
			r, g, b, _ := m.At(x, y).RGBA()
			px = append(px, uint16(r), uint16(g), uint16(b))
		}
	}
	return px
}

// A cut anywhere in a TIFF is an error that says so.
func TestTIFFsCutOff(t *testing.T) {
	tool := testneed.Tool(t, "tiffcp")
	base := baseTIFF(binary.LittleEndian, 83, 61, 3, 8, 2, scene(83, 61, 3, 8))
	for _, coding := range []string{"none", "lzw:2", "zip", "packbits"} {
		b := run(t, base, ".tif", tool, "-c", coding, "-r", "9", "IN", "OUT")
		for n := 0; n < len(b); n += 1 + len(b)/97 {
			p, err := finished.Open(bytes.NewReader(b[:n]), int64(n))
			if err == nil {
				_, err = rowsOf(p)
			}
			if err == nil || n > 8 && !strings.Contains(err.Error(), "cut off") && !strings.Contains(err.Error(), "broken") {
				t.Fatalf("%s cut at %d of %d: %v", coding, n, len(b), err)
			}
		}
	}
}
