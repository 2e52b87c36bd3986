package finished

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	stdjpeg "image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"garner/testdata/testneed"
)

// tall is a JPEG of three bands, 4:2:0, with something everywhere.
func tall(t *testing.T) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 90, 2*bandRows+77))
	for i := range m.Pix {
		m.Pix[i] = byte(i*i>>9 + i%4*50)
	}
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Bands give the very rows that the whole picture gives, seams included.
func TestBandsAreTheWhole(t *testing.T) {
	src := tall(t)
	p, err := Open(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		t.Fatal(err)
	}
	var whole, bands []uint16
	keep := func(to *[]uint16) func(int, []uint16) error {
		return func(_ int, row []uint16) error { *to = append(*to, row...); return nil }
	}
	if err := p.Rows(context.Background(), keep(&whole)); err != nil {
		t.Fatal(err)
	}
	if err := p.body.(*jpegBody).bandedRows(context.Background(), p, src, keep(&bands)); err != nil {
		t.Fatal(err)
	}
	if len(whole) != p.Width*p.Height*3 || !slices.Equal(whole, bands) {
		t.Errorf("%d and %d samples, which differ", len(whole), len(bands))
	}
}

// A cut in the last band is known before its first row is given.
func TestBandsCutOff(t *testing.T) {
	src := tall(t)
	cut := src[:len(src)*9/10]
	p, err := Open(bytes.NewReader(cut), int64(len(cut)))
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	err = p.body.(*jpegBody).bandedRows(context.Background(), p, cut, func(int, []uint16) error { rows++; return nil })
	var short *TruncatedError
	if !errors.As(err, &short) || short.Height != p.Height || short.Rows < rows || rows == 0 {
		t.Errorf("%d rows, then %v", rows, err)
	}
}

// A picture whose rows cannot be had one by one, here for its three scans, is decoded as
// a whole instead of once for each band.
func TestBandsOfScans(t *testing.T) {
	in := fmt.Appendf(nil, "P6\n90 %d\n255\n", 2*bandRows+77)
	for i := range 90 * (2*bandRows + 77) * 3 {
		in = append(in, byte(i/97+i%3*60))
	}
	scans := filepath.Join(t.TempDir(), "scans")
	if err := os.WriteFile(scans, []byte("0;\n1;\n2;\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(testneed.Tool(t, "cjpeg"), "-scans", scans)
	cmd.Stdin = bytes.NewReader(in)
	src, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	p, err := Open(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		t.Fatal(err)
	}
	j := p.body.(*jpegBody)
	var whole, bands []uint16
	keep := func(to *[]uint16) func(int, []uint16) error {
		return func(_ int, row []uint16) error { *to = append(*to, row...); return nil }
	}
	if err := errors.Join(p.Rows(context.Background(), keep(&whole)), j.bandedRows(context.Background(), p, src, keep(&bands))); err != nil {
		t.Fatal(err)
	}
	if len(whole) != p.Width*p.Height*3 || !slices.Equal(whole, bands) || !j.atOnce {
		t.Errorf("%d and %d samples, at once: %v", len(whole), len(bands), j.atOnce)
	}
}
