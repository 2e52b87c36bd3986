package icc

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// Our conversion against Little CMS (Debian package liblcms2-utils), relative
// colorimetric and without its own precalculation: within one code value, for
// the corners of the cube, greys and random colours.
func TestAgainstLittleCMS(t *testing.T) {
	tool := testneed.Tool(t, "transicc")
	seed := rand.Uint64()
	random := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	var colours [][3]uint8
	for i := range 8 {
		colours = append(colours, [3]uint8{uint8(i & 1 * 255), uint8(i >> 1 & 1 * 255), uint8(i >> 2 * 255)})
	}
	for i := range 256 {
		colours = append(colours, [3]uint8{uint8(i), uint8(i), uint8(i)})
	}
	for range 1500 {
		v := random.Uint32()
		colours = append(colours, [3]uint8{uint8(v), uint8(v >> 8), uint8(v >> 16)})
		colours = append(colours, [3]uint8{uint8(v) / 8, uint8(v>>8) / 8, uint8(v>>16) / 8}) // where the curve is steep
	}
	profiles := map[string][]byte{}
	for _, s := range publishedSpaces() {
		profiles[s.name] = s.writer().bytes()
	}
	odd := publishedSpaces()[2].writer()
	profiles["three curves, version 2 name"] = odd.with("desc", descType("odd")).with("rTRC", curvType(0, 9000, 31000, 65535)).with("gTRC", paraType(0, 1.8)).with("bTRC", paraType(4, 2.2, 0.9, 0.1, 0.2, 0.1, 0, 0)).bytes()
	for name, b := range profiles {
		p := parsed(t, b)
		for i, want := range transicc(t, tool, b, colours) {
			got := p.Convert(colours[i])
			for k := range got {
				if math.Abs(float64(got[k])-want[k]) > 1 {
					t.Errorf("%s: %v becomes %v, with Little CMS %.2f", name, colours[i], got, want)
					break
				}
			}
		}
	}
}

// transicc converts colours to sRGB.
func transicc(t *testing.T, tool string, profile []byte, colours [][3]uint8) [][3]float64 {
	t.Helper()
	path := filepath.Join(t.TempDir(), "in.icc")
	if err := os.WriteFile(path, profile, 0o600); err != nil {
		t.Fatal(err)
	}
	var in strings.Builder
	for _, c := range colours {
		fmt.Fprintf(&in, "%d %d %d\n", c[0], c[1], c[2])
	}
	cmd := exec.Command(tool, "-n", "-t1", "-c0", "-s", "-i", path, "-o", "*sRGB")
	cmd.Stdin = strings.NewReader(in.String())
	var out, say bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &say
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %s", err, say.Bytes())
	}
	var to [][3]float64
	for range colours {
		var c [3]float64
		if _, err := fmt.Fscan(&out, &c[0], &c[1], &c[2]); err != nil {
			t.Fatalf("after %d colours: %v: %s", len(to), err, say.Bytes())
		}
		to = append(to, c)
	}
	return to
}
