package jpeg

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/jpeg/internal/dct"
	"garner/testdata/testneed"
)

// tool runs a tool that has to be content: no warning, no error.
func tool(t testing.TB, input []byte, output io.Writer, name string, args ...string) {
	t.Helper()
	cmd := exec.Command(testneed.Tool(t, name), args...)
	var said bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = bytes.NewReader(input), output, &said
	if err := cmd.Run(); err != nil || said.Len() > 0 {
		t.Fatalf("%s: %v: %s", name, err, said.String())
	}
}

// spread are sizes that have every width and every height from 1 to 40.
func spread() (sizes [][2]int) {
	for w := 1; w <= 40; w++ {
		sizes = append(sizes, [2]int{w, 1 + w*17%40})
	}
	return sizes
}

// djpeg reads every sampling without a warning, and its luma is what it was.
func TestEncodeForDjpeg(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, 11))
	for _, s := range samplings {
		for _, size := range spread() {
			m := invented(rng, size[0], size[1], s)
			var out bytes.Buffer
			tool(t, encoded(t, m, 100), &out, "djpeg", "-grayscale", "-dct", "int")
			if most, _ := difference(t, pgm(t, out.Bytes()), m, m.Height); most > 3 {
				t.Errorf("%v of %v: luma differs by %d", size, s, most)
			}
		}
	}
}

// exiftool says the size, the sampling and the version, and finds no fault.
func TestEncodeForExiftool(t *testing.T) {
	const seed = 12
	rng := rand.New(rand.NewPCG(seed, 12))
	dir := t.TempDir()
	want := map[string]string{}
	for _, s := range samplings {
		for _, size := range spread() {
			m := invented(rng, size[0], size[1], s)
			name := fmt.Sprintf("%d-%d-%d-%d.jpg", s[0], s[1], m.Width, m.Height)
			if err := os.WriteFile(filepath.Join(dir, name), encoded(t, m, 1+rng.IntN(100)), 0o600); err != nil {
				t.Fatal(err)
			}
			want[name] = fmt.Sprintf("%d %d Baseline DCT, Huffman coding 8 %d 1.02 OK", m.Width, m.Height, map[bool]int{true: 1, false: 3}[m.Grey()])
			if !m.Grey() {
				want[name] += fmt.Sprintf(" %d %d", s[0], s[1])
			}
		}
	}
	var out bytes.Buffer
	tool(t, nil, &out, "exiftool", "-q", "-m", "-validate", "-p",
		"$filename=$imagewidth $imageheight $encodingprocess $bitspersample $colorcomponents $jfifversion $validate ${ycbcrsubsampling#}", dir)
	got := 0
	for line := range strings.Lines(out.String()) {
		name, said, _ := strings.Cut(strings.TrimSpace(line), "=")
		if said = strings.TrimSpace(said); said != want[name] {
			t.Errorf("%s: %q, want %q", name, said, want[name])
		}
		got++
	}
	if got != len(want) {
		t.Errorf("%d files of %d", got, len(want))
	}
}

// The inverse transforms are djpeg's, bit by bit, at every scale: djpeg reads
// what the same coefficients were written as.
func TestInverseAgainstDjpeg(t *testing.T) {
	m := photo(t)
	m.Width, m.Height = m.Width&^7, m.Height&^7
	m.Cb, m.Cr = nil, nil
	for _, quality := range []int{20, 80, 98} {
		b := encoded(t, m, quality)
		q := annexK1.scaled(quality)
		var z dct.Quantiser
		z.Set(&q)
		across := m.Width / 8
		row, nonzero := make([]dct.Block, across), make([]uint64, across)
		planes := map[int][]byte{}
		for n := 1; n <= 8; n *= 2 {
			planes[n] = make([]byte, m.Width/n*m.Height/n)
		}
		for y := 0; y < m.Height; y += 8 {
			dct.ForwardRow(row, nonzero, m.Y[y*m.YStride:], m.YStride, &z)
			for i := range row {
				byColumns := row[i]
				for k := range byColumns {
					row[i][k] = byColumns[k%8*8+k/8]
				}
				planes[8][y/8*across+i] = dct.Inverse1(row[i][0], q[0])
			}
			dct.Inverse8Row(planes[1][y*m.Width:], m.Width, row, &q)
			dct.Inverse4Row(planes[2][y/2*m.Width/2:], m.Width/2, row, &q)
			dct.Inverse2Row(planes[4][y/4*m.Width/4:], m.Width/4, row, &q)
		}
		for n := 1; n <= 8; n *= 2 {
			var out bytes.Buffer
			tool(t, b, &out, "djpeg", "-grayscale", "-dct", "int", "-scale", fmt.Sprint("1/", n))
			want := pgm(t, out.Bytes())
			got := &Image{Width: m.Width / n, Height: m.Height / n, YStride: m.Width / n, Y: planes[n]}
			if most, mean := difference(t, got, want, want.Height); most != 0 {
				t.Errorf("quality %d, 1/%d: differs by at most %d, %.5f in the mean", quality, n, most, mean)
			}
		}
	}
}
