package output

import (
	"path/filepath"
	"syscall"
	"testing"
)

// Panoramas of 30,000 pixels take the memory of pictures with as many pixels, and not of
// squares as wide as they are: two of 21 megapixels at a time with three sets each.
func TestPanoramaMemory(t *testing.T) {
	b := newBench(t)
	b.put("one.jpg", rgbJPEG(t, 30_000, 700))
	b.put("two.jpg", rgbJPEG(t, 30_000, 699))
	c := child(t, b.dir, 0)
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage)
	if !ok {
		t.Fatal("the system does not tell what a program has used")
	}
	took := usage.Maxrss << 10
	t.Logf("%d MB", took>>20)
	if most := int64(300 << 20); took > most {
		t.Errorf("%d MB, more than %d", took>>20, most>>20)
	}
	for set, w := range map[string]int{"lab/0001-one": 30_000, "online/one": 60, "screen/two": 90} {
		if p := opened(t, filepath.Join(b.dir, SetsFolder, set+".jpg")); p.Width != w {
			t.Errorf("%s: %d by %d", set, p.Width, p.Height)
		}
	}
}
