package icc

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	_ "github.com/kovidgoyal/imaging/colorconv" // keeps the module, whose profiles are read below, required

	"garner/testdata/testcolour"
	"garner/testdata/testneed"
)

// profiles are those that the conversion is held against Little CMS with, by folder:
// those of the Go module and those of Debian's icc-profiles-free and libgs-common.
func profiles(t *testing.T) []string {
	t.Helper()
	var list []string
	for _, dir := range []string{
		filepath.Join(testneed.Module(t, "github.com/kovidgoyal/imaging"), "prism/meta/icc/test-profiles"),
		testneed.Folder(t, "/usr/share/color/icc", "icc-profiles-free"),
		testneed.Folder(t, "/usr/share/color/icc/ghostscript", "libgs-common"),
	} {
		files, err := filepath.Glob(filepath.Join(dir, "*.[iI][cC][cCmM]"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %d profiles, %v", dir, len(files), err)
		}
		list = append(list, files...)
	}
	return list
}

// samples are colours in so many channels: the 24 patches, the corners, greys, dark ones
// and others.
func samples(channels int, random *rand.Rand) []uint16 {
	var s []uint16
	add := func(v ...uint16) { s = append(s, v[:channels]...) }
	for _, p := range testcolour.Patches() {
		r, g, b := uint16(p[0])*257, uint16(p[1])*257, uint16(p[2])*257
		if channels == 4 {
			add(65535-r, 65535-g, 65535-b, 0)
			k := 65535 - max(r, g, b)
			add(65535-r-k, 65535-g-k, 65535-b-k, k)
			continue
		}
		add(r, g, b)
	}
	for i := range 1 << channels {
		add(uint16(i&1*65535), uint16(i>>1&1*65535), uint16(i>>2&1*65535), uint16(i>>3*65535))
	}
	for i := range 33 {
		v := uint16(min(i*2048, 65535))
		add(v, v, v, 0)
		add(0, 0, 0, v)
	}
	for range 150 {
		v := random.Uint64()
		add(uint16(v), uint16(v>>16), uint16(v>>32), uint16(v>>48))
		add(uint16(v)/8, uint16(v>>16)/8, uint16(v>>32)/8, uint16(v>>48)/8)
	}
	return s
}

// The limits of ΔE00 against Little CMS; and what rounding alone, to sixteen bits of
// XYZ where there are tables, stays below. Profiles that say roughly what the space says
// are taken for it, and may differ by more.
const (
	meanLimit, worstLimit       = 0.5, 1.5
	meanRounding, worstRounding = 0.1, 0.5
)

// Every profile of the lists, through its matrix or its tables, in both intents and with
// and without the black point, into each of the spaces.
func TestConverterAgainstLittleCMS(t *testing.T) {
	tool := testneed.Tool(t, "transicc")
	seed := rand.Uint64()
	random := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	paths := profiles(t)
	dir := t.TempDir()
	for name, b := range made() {
		path := filepath.Join(dir, name+".icc")
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	out := map[Space]string{SpaceSRGB: "*sRGB"}
	for _, s := range []Space{SpaceDisplayP3, SpaceAdobeRGB} {
		out[s] = filepath.Join(dir, s.String()+".icc")
		if err := os.WriteFile(out[s], Encode(s), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	kinds := map[string]int{}
	for i, path := range paths {
		name := filepath.Base(path)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		info, err := Read(b)
		if err != nil {
			// Those of Lab or XYZ numbers, and one that stands for no device.
			if !slices.Contains([]string{"CineLogCurve.icc", "ITULab.icc", "LCMSLABI.ICM", "LCMSXYZI.ICM", "lab.icc"}, name) {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		n := info.Channels
		src := samples(n, random)
		for k, o := range []struct {
			Options
			to    Space
			flags string
		}{
			{Options{}, SpaceSRGB, "-t0"},
			{Options{Intent: Relative}, SpaceDisplayP3, "-t1"},
			{Options{Intent: Relative, BlackPoint: true}, SpaceSRGB, "-t1 -b"},
			{Options{}, SpaceAdobeRGB, "-t0 -b"}, // the profile written is of version 2
		} {
			c := converter(t, b, n, o.to, o.Options)
			if kindOf(c) == "matrix" && k > 0 && k != 1+i%3 { // all intents are one
				continue
			}
			kinds[kindOf(c)]++
			lin := make([]float32, len(src)/n*3)
			c.Linear(lin, src)
			want := reference(t, tool, path, out[o.to], src, n, strings.Fields(o.flags)...)
			mean, worst, at := difference(lin, want, o.to)
			patches := len(testcolour.Patches())
			mean24, worst24, _ := difference(lin[:3*patches], want[:patches], o.to)
			t.Logf("%-32s %-6s %-10v %-6s mean %.4f, max %.4f; 24 patches: mean %.4f, max %.4f", name, kindOf(c), o.to, o.flags, mean, worst, mean24, worst24)
			meanLimit, worstLimit := meanLimit, worstLimit
			if !c.Same() {
				meanLimit, worstLimit = meanRounding, worstRounding
			}
			if max(mean, mean24) > meanLimit || max(worst, worst24) > worstLimit {
				t.Errorf("%s %v %s: mean %.3f, max %.3f for %v: %v, with Little CMS %v", name, o.to, o.flags, mean, worst, src[at*n:][:n], lin[3*at:][:3], want[at])
			}
		}
	}
	for _, k := range []string{"matrix", "tables", "grey", "CMYK"} {
		if kinds[k] < 12 {
			t.Errorf("only %d conversions of the kind %s", kinds[k], k)
		}
	}
}

func kindOf(c *Converter) string {
	switch {
	case c.channels == 4:
		return "CMYK"
	case c.channels == 1:
		return "grey"
	case c.chain != nil:
		return "tables"
	}
	return "matrix"
}

// difference compares light of the space with its codes from 0 to 255.
func difference(lin []float32, want [][3]float64, s Space) (mean, worst float64, at int) {
	p := Profile{Matrix: s.matrix()}
	for i, w := range want {
		var a, b [3]float64
		for k := range a {
			a[k], b[k] = clip(float64(lin[3*i+k])), s.Light(w[k]/255)
		}
		d := testcolour.CIEDE2000(testcolour.LabOfXYZ(p.Matrix.Times(a), d50()), testcolour.LabOfXYZ(p.Matrix.Times(b), d50()))
		mean += d / float64(len(want))
		if !(d <= worst) {
			worst, at = d, i
		}
	}
	return mean, worst, at
}

// reference is Little CMS without its own precalculation, clipping what the space does
// not have.
func reference(t *testing.T, tool, from, to string, src []uint16, channels int, flags ...string) (out [][3]float64) {
	t.Helper()
	full := 255.0
	if channels == 4 {
		full = 100
	}
	var in strings.Builder
	for i, v := range src {
		fmt.Fprintf(&in, "%.6f", float64(v)/65535*full)
		if in.WriteByte(' '); i%channels == channels-1 {
			in.WriteByte('\n')
		}
	}
	cmd := exec.Command(tool, append(flags, "-n", "-c0", "-s", "-i", from, "-o", to)...)
	cmd.Stdin = strings.NewReader(in.String())
	var say bytes.Buffer
	cmd.Stderr = &say
	b, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s", from, err, say.Bytes())
	}
	r := bytes.NewReader(b)
	for range len(src) / channels {
		var c [3]float64
		if _, err := fmt.Fscan(r, &c[0], &c[1], &c[2]); err != nil {
			t.Fatalf("%s: after %d colours: %v: %s", from, len(out), err, say.Bytes())
		}
		out = append(out, c)
	}
	return out
}
