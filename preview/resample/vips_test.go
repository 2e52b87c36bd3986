package resample

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"garner/preview/jpeg"
	"garner/testdata/testcolour"
	"garner/testdata/testneed"
)

// linear decodes a photograph to linear light.
func linear(t testing.TB, path string) (picture, []byte) {
	t.Helper()
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	m, err := jpeg.Decode(file, jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	planes, err := NewPlanes(m)
	if err != nil {
		t.Fatal(err)
	}
	p := picture{m.Width, m.Height, make([]float32, m.Width*m.Height*channels)}
	rgb := make([]byte, len(p.v))
	for y := range m.Height {
		planes.Row(rgb[y*p.w*channels:], y)
	}
	newTable(func(code float64) float64 { return light(code * 255) }).linear(p.v, rgb)
	return p, rgb
}

// Photographs made smaller by the same kernel as libvips (Debian package
// libvips-tools; vips reduce --kernel lanczos3 of linear light, which is the
// definition with weights worked out for some parts of a pixel and the same edges):
// the light, and the codes of its sRGB.
func TestAgainstVips(t *testing.T) {
	tool := testneed.Tool(t, "vips")
	photos, err := filepath.Glob(filepath.Join(testneed.Samples(t), "photos", "*.jpg"))
	if err != nil || len(photos) == 0 {
		t.Fatal("no photographs", err)
	}
	dir := t.TempDir()
	vips := func(args ...string) {
		t.Helper()
		cmd := exec.Command(tool, args...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("vips %v: %v: %s", args, err, out)
		}
	}
	for i, photo := range photos {
		p, rgb := linear(t, photo)
		if err := os.WriteFile(filepath.Join(dir, "in.ppm"), append(fmt.Appendf(nil, "P6\n%d %d\n255\n", p.w, p.h), rgb...), 0o600); err != nil {
			t.Fatal(err)
		}
		vips("colourspace", "in.ppm", "linear.v", "scrgb")
		long := []int{1600, 1000, 300}[i%3]
		plan, err := Size{Kind: LongEdge, W: long}.Plan(p.w, p.h, 1)
		if err != nil {
			t.Fatal(err)
		}
		got := resample(t, p, whole1(p, plan.W, plan.H))[0]
		vips("reduce", "linear.v", "small.v", fmt.Sprintf("%.12f", float64(p.w)/float64(plan.W)), fmt.Sprintf("%.12f", float64(p.h)/float64(plan.H)), "--kernel", "lanczos3")
		vips("rawsave", "small.v", "small.raw")
		raw, err := os.ReadFile(filepath.Join(dir, "small.raw"))
		if err != nil || len(raw) != 4*len(got.v) {
			t.Fatalf("%d bytes for %d values, %v", len(raw), len(got.v), err)
		}
		theirs := newPicture(plan.W, plan.H, func(x, y, c int) float64 {
			return float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[4*((y*plan.W+x)*channels+c):])))
		})
		db, worst := psnr(got, theirs)
		mean, most := distance(got, theirs)
		said := fmt.Sprintf("%s to %d x %d: light %.1f dB, furthest code %d, CIEDE2000 mean %.4f, largest %.2f", filepath.Base(photo), plan.W, plan.H, db, worst, mean, most)
		t.Log(said)
		if db < 75 || worst > 3 || mean > 0.05 || most > 3 {
			t.Error(said)
		}
	}
}

// distance is the mean and the largest CIEDE2000 of the codes.
func distance(a, b picture) (mean, most float64) {
	x, y := codes(a), codes(b)
	lab := func(c []byte) [3]float64 {
		return testcolour.LabOfSRGB([3]float64{float64(c[0]) / 255, float64(c[1]) / 255, float64(c[2]) / 255})
	}
	for i := 0; i < len(x); i += channels {
		if p, q := x[i:i+channels], y[i:i+channels]; !bytes.Equal(p, q) {
			d := testcolour.CIEDE2000(lab(p), lab(q))
			mean, most = mean+d, max(most, d)
		}
	}
	return mean / float64(a.w*a.h), most
}

// psnr is of the light, 1 being the peak; worst is the largest difference of codes.
func psnr(a, b picture) (db float64, worst int) {
	sum := 0.0
	x, y := codes(a), codes(b)
	for i, v := range a.v {
		d := float64(v) - float64(b.v[i])
		sum += d * d
		c := int(x[i]) - int(y[i])
		worst = max(worst, c, -c)
	}
	return -10 * math.Log10(sum/float64(len(a.v))), worst
}
