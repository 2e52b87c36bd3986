package icc

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

// One row of 6000 pixels: 4000 of them are a picture of 24 megapixels.
func BenchmarkLinear(b *testing.B) {
	dir := filepath.Join(testneed.Module(b, "github.com/kovidgoyal/imaging"), "prism/meta/icc/test-profiles")
	for _, c := range []struct {
		name     string
		channels int
		bits     int
	}{
		{"displayp3.icc", 3, 8}, {"displayp3.icc", 3, 16}, {"lcms-check-lut.icc", 3, 8}, {"sRGB_ICC_v4_Appearance.icc", 3, 8},
		{"lcms-stress.icc", 3, 8}, {"jpegli.icc", 3, 8}, {"cmyk.icc", 4, 8}, {"gray-v2-lut.icc", 1, 8},
	} {
		profile, err := os.ReadFile(filepath.Join(dir, c.name))
		if err != nil {
			b.Fatal(err)
		}
		conv, err := NewConverter(profile, c.channels, SpaceSRGB, Options{})
		if err != nil {
			b.Fatal(err)
		}
		row := walk(6000*c.channels, c.channels, c.bits)
		dst := make([]float32, 3*6000)
		b.Run(c.name+map[int]string{8: "/8", 16: "/16"}[c.bits], func(b *testing.B) {
			for b.Loop() {
				conv.Linear(dst, row)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)*4, "ms/24MP")
		})
	}
}

// walk is a row whose neighbours are alike, as in photographs.
func walk(n, channels, bits int) []uint16 {
	random := rand.New(rand.NewPCG(1, 2))
	row := make([]uint16, n)
	for i := range row {
		v := 30000.0
		if i >= channels {
			v = float64(row[i-channels]) + random.NormFloat64()*1500
		}
		row[i] = uint16(min(max(v, 0), 65535))
		if bits == 8 {
			row[i] = row[i] >> 8 * 257
		}
	}
	return row
}

func BenchmarkNewConverter(b *testing.B) {
	dir := filepath.Join(testneed.Module(b, "github.com/kovidgoyal/imaging"), "prism/meta/icc/test-profiles")
	for _, name := range []string{"displayp3.icc", "sRGB2014.icc", "cmyk.icc", "gray-v2-lut.icc", "sRGB_ICC_v4_Appearance.icc"} {
		profile, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			b.Fatal(err)
		}
		info, err := Read(profile)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := NewConverter(profile, info.Channels, SpaceSRGB, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
