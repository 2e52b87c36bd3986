// Command compare measures decoding, cropping and encoding of JPEGs side by side
// with the standard library's image/jpeg and with libjpeg-turbo (tjbench, to and
// from planes), in one run, interleaved, one core each, and prints the table that
// DEVELOPERS.md shows. Run it by file name on a machine that is doing nothing else:
//
//	taskset -c 1 go run .ci/compare/main.go
//
// The pictures are the 24 MP JPEG of a real NEF (test data of the module
// github.com/evanoberholster/imagemeta), the same with the noise of a high
// sensitivity at quality 92, and that enlarged to 45 MP.
package main

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	stdjpeg "image/jpeg"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"garner/preview/jpeg"
)

const rounds = 7

func main() {
	runtime.GOMAXPROCS(1)
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "compare:", err)
		os.Exit(1)
	}
}

func run() error {
	dir, err := os.MkdirTemp("", "compare")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	nef, err := realPreview()
	if err != nil {
		return err
	}
	noisy, err := grain(nef, 6000, 4000)
	if err != nil {
		return err
	}
	large, err := grain(nef, 8256, 5504)
	if err != nil {
		return err
	}
	fmt.Println("| what | garner | image/jpeg | ratio | libjpeg-turbo | ratio |")
	fmt.Println("|---|---|---|---|---|---|")
	for _, p := range []struct {
		name string
		src  []byte
	}{{"24 MP, 2.3 MB", nef}, {fmt.Sprintf("24 MP with grain, %.1f MB", float64(len(noisy))/1e6), noisy}} {
		if err := decodes(dir, p.name, p.src); err != nil {
			return err
		}
	}
	if err := crop(large); err != nil {
		return err
	}
	return encodes(dir, nef)
}

// realPreview is the JPEG at the place that exiftool reports for JpgFromRaw.
func realPreview() ([]byte, error) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/evanoberholster/imagemeta").Output()
	if err != nil {
		return nil, err
	}
	b, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(out)), "testImages", "NEF.exif"))
	if err != nil {
		return nil, err
	}
	for at := len(b) - 4; at > 0; at-- { // the last one in the file
		if b[at] == 0xFF && b[at+1] == 0xD8 && b[at+2] == 0xFF {
			if c, err := stdjpeg.DecodeConfig(bytes.NewReader(b[at:])); err == nil && c.Width == 6000 {
				return b[at:], nil
			}
		}
	}
	return nil, errors.New("the 24 MP preview was not found")
}

// grain enlarges a picture and adds noise of four levels, as of a high sensitivity.
func grain(src []byte, w, h int) ([]byte, error) {
	m, err := stdjpeg.Decode(bytes.NewReader(src))
	if err != nil {
		return nil, err
	}
	from := m.(*image.YCbCr)
	to := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	random := rand.New(rand.NewPCG(1, 2))
	for y := range h {
		for x := range w {
			sx, sy := x*from.Rect.Dx()/w, y*from.Rect.Dy()/h
			v := float64(from.Y[from.YOffset(sx, sy)]) + random.NormFloat64()*4
			to.Y[to.YOffset(x, y)] = uint8(min(max(v, 0), 255))
			c := from.COffset(sx, sy)
			to.Cb[to.COffset(x, y)], to.Cr[to.COffset(x, y)] = from.Cb[c], from.Cr[c]
		}
	}
	var b bytes.Buffer
	err = stdjpeg.Encode(&b, to, &stdjpeg.Options{Quality: 92})
	return b.Bytes(), err
}

func decodes(dir, name string, src []byte) error {
	file := filepath.Join(dir, "in.jpg")
	if err := os.WriteFile(file, src, 0o644); err != nil {
		return err
	}
	d, into := jpeg.NewDecoder(), &jpeg.Image{}
	for _, scale := range []int{1, 2, 4, 8} {
		var fault error
		ours := func() {
			if _, err := d.Decode(src, jpeg.Options{Scale: scale, Into: into}); err != nil {
				fault = err
			}
		}
		std := func() {
			if _, err := stdjpeg.Decode(bytes.NewReader(src)); err != nil {
				fault = err
			}
		}
		turbo := func() float64 { return tjbench(&fault, 24, file, "-yuv", "-scale", fmt.Sprintf("1/%d", scale)) }
		a, b, c := interleave(ours, std, turbo)
		if fault != nil {
			return fault
		}
		row(fmt.Sprintf("%s: decode at 1/%d", name, scale), a, b, c)
	}
	return nil
}

func crop(src []byte) error {
	index, err := jpeg.MakeIndex(src, nil)
	if err != nil {
		return err
	}
	d, into := jpeg.NewDecoder(), &jpeg.Image{}
	var fault error
	ours := func() {
		_, err := d.Decode(src, jpeg.Options{Into: into, Index: index, Crop: image.Rect(3300, 2200, 4900, 3200)})
		fault = errors.Join(fault, err)
	}
	std := func() {
		_, err := stdjpeg.Decode(bytes.NewReader(src))
		fault = errors.Join(fault, err)
	}
	a, b, _ := interleave(ours, std, nil)
	row(fmt.Sprintf("1600x1000 out of 45 MP with grain, %.1f MB, with its row index", float64(len(src))/1e6), a, b, 0)
	return fault
}

func encodes(dir string, src []byte) error {
	full, err := stdjpeg.Decode(bytes.NewReader(src))
	if err != nil {
		return err
	}
	y := full.(*image.YCbCr)
	// 2048 px of it, as 4:2:0, with no resizing that could favour anybody.
	part := image.NewYCbCr(image.Rect(0, 0, 2048, 1365), image.YCbCrSubsampleRatio420)
	for py := range 1365 {
		for px := range 2048 {
			part.Y[part.YOffset(px, py)] = y.Y[y.YOffset(px+1900, py+1300)]
			c := y.COffset(px+1900, py+1300)
			part.Cb[part.COffset(px, py)], part.Cr[part.COffset(px, py)] = y.Cb[c], y.Cr[c]
		}
	}
	ours420 := &jpeg.Image{Width: 2048, Height: 1365, Rows: 1365, Y: part.Y, Cb: part.Cb, Cr: part.Cr, YStride: part.YStride, CStride: part.CStride, SubX: 2, SubY: 2}
	ppm := filepath.Join(dir, "part.ppm")
	var b bytes.Buffer
	fmt.Fprintf(&b, "P6\n2048 1365\n255\n")
	for py := range 1365 {
		for px := range 2048 {
			r, g, bl, _ := part.At(px, py).RGBA()
			b.Write([]byte{byte(r >> 8), byte(g >> 8), byte(bl >> 8)})
		}
	}
	if err := os.WriteFile(ppm, b.Bytes(), 0o644); err != nil {
		return err
	}
	var fault error
	var out []byte
	ours := func() {
		out, err = jpeg.AppendEncode(out[:0], ours420, 85)
		fault = errors.Join(fault, err)
	}
	var w bytes.Buffer
	std := func() {
		w.Reset()
		fault = errors.Join(fault, stdjpeg.Encode(&w, part, &stdjpeg.Options{Quality: 85}))
	}
	turbo := func() float64 {
		return tjbench(&fault, 2048*1365/1e6, ppm, "85", "-yuv", "-subsamp", "420", "-componly")
	}
	a, c, t := interleave(ours, std, turbo)
	row(fmt.Sprintf("encode 2048x1365 at quality 85 (%d and %d bytes)", len(out), w.Len()), a, c, t)
	return fault
}

// interleave runs them in the order ABCCBA and returns medians in milliseconds.
func interleave(a, b func(), c func() float64) (ma, mb, mc float64) {
	var as, bs, cs []float64
	for i := range rounds {
		as = append(as, took(a), took(a))
		bs = append(bs, took(b))
		if c != nil && i%2 == 0 { // it takes its own median of half a second
			cs = append(cs, c())
		}
		as = append(as, took(a))
	}
	return median(as), median(bs), median(cs)
}

func took(f func()) float64 {
	runtime.GC()
	begin := time.Now()
	f()
	return float64(time.Since(begin).Microseconds()) / 1000
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// tjbench returns the milliseconds for one picture of so many megapixels; the
// figures that it prints are megapixels a second.
func tjbench(fault *error, megapixels float64, args ...string) float64 {
	out, err := exec.Command("tjbench", append(args, "-nowrite", "-quiet", "-benchtime", "0.5", "-warmup", "0.1")...).Output()
	if err != nil {
		*fault = errors.Join(*fault, err)
		return 0
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	f := strings.Fields(lines[len(lines)-1])
	// Decoding: "… 6000 4000 N/A N/A RATE …"; encoding: "… 2048 1365 PLANES RATE RATIO N/A".
	at := slices.Index(f, "N/A") + 2
	if slices.Contains(args, "-componly") {
		at = slices.Index(f, "2048") + 3
	}
	if at < len(f) {
		if rate, err := strconv.ParseFloat(f[at], 64); err == nil && rate > 0 {
			return megapixels / rate * 1000
		}
	}
	*fault = errors.Join(*fault, fmt.Errorf("tjbench said %q", lines[len(lines)-1]))
	return 0
}

func row(what string, ours, std, turbo float64) {
	if turbo == 0 {
		fmt.Printf("| %s | %.1f ms | %.1f ms | %.3f | | |\n", what, ours, std, ours/std)
		return
	}
	fmt.Printf("| %s | %.1f ms | %.1f ms | %.3f | %.1f ms | %.2f |\n", what, ours, std, ours/std, turbo, ours/turbo)
}
