package testface

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// TestPictureIsTheScripts makes the pictures here and in node.
func TestPictureIsTheScripts(t *testing.T) {
	node := testneed.Tool(t, "node")
	for _, name := range []string{"noise", "waves", "face", "four"} {
		for _, side := range []int{192, 150} {
			out := filepath.Join(t.TempDir(), name)
			script := `import { picture } from '` + filepath.ToSlash(filepath.Join(scripts(), "pictures.mjs")) + `';
import fs from 'node:fs';
const [name, side, out] = process.argv.slice(1);
const p = picture(name, +side, +side);
fs.writeFileSync(out, p.join(' '));`
			cmd := exec.Command(node, "--input-type=module", "-e", script, name, strconv.Itoa(side), out)
			if b, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%v %s", err, b)
			}
			b, err := os.ReadFile(out)
			if err != nil {
				t.Fatal(err)
			}
			want := strings.Fields(string(b))
			got := Picture(name, side)
			if len(got) != len(want) || len(got) != 3*side*side {
				t.Fatalf("%s: %d values here, %d there", name, len(got), len(want))
			}
			for i, v := range got {
				// Node writes a float32 as the float64 that it is.
				if w, err := strconv.ParseFloat(want[i], 64); err != nil || float64(v) != w {
					t.Fatalf("%s of %d: value %d is %v here and %v there", name, side, i, v, w)
				}
			}
		}
	}
}

// TestOffSees: a comparison that could not fail would be none.
func TestOffSees(t *testing.T) {
	for _, r := range Goldens(t, "mesh") {
		for _, o := range r.Outputs {
			got := make([]float32, o.Count)
			for i, v := range o.Values {
				got[i*o.Every] = v
			}
			if off := o.Off(got); off != 0 {
				t.Errorf("%s: off by %g from itself", o.Name, off)
			}
			got[0] += 0.002
			if off := o.Off(got); off < 0.0015 {
				t.Errorf("%s: off by %g where it is 0.002", o.Name, off)
			}
			got[0] = float32(math.NaN())
			if off := o.Off(got); off <= Tolerance {
				t.Errorf("%s: NaN is off by %g", o.Name, off)
			}
			if off := o.Off(got[1:]); off <= Tolerance {
				t.Errorf("%s: a value too few is off by %g", o.Name, off)
			}
		}
	}
	l := Layer{Count: 4, Sum: 0, Size: 4}
	if off := l.Off([]float32{1, -1, 1, -1}); off != 0 {
		t.Errorf("off by %g from itself", off)
	}
	for _, v := range [][]float32{{1, -1, 1, -1.01}, {2, -2, 2, -2}, {1, 1, 1, 1}, {1, -1, 1}, {1, -1, 1, float32(math.NaN())}} {
		if off := l.Off(v); !(off > Tolerance) {
			t.Errorf("%v is off by %g", v, off)
		}
	}
}
