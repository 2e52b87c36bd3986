package build_test

import (
	"bytes"
	"encoding/binary"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/build"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// heavy is the test's exposure with noise for sensor data, a byte for a pixel.
func heavy(t testing.TB) (build.Shot, build.Pictures) {
	s, p := exposure(), pictures(t)
	p.Sensor = make([]byte, s.Width*s.Height)
	_, _ = rand.NewChaCha8([32]byte{1}).Read(p.Sensor)
	return s, p
}

// The sensor's data lie in the file once and whole, behind what points to them,
// and a reader of previews finds the same as without them.
func TestSensorDataLieInTheirPlace(t *testing.T) {
	s, p := heavy(t)
	for i, l := range layouts {
		t.Run(l.name, func(t *testing.T) {
			b, err := l.write(s, p)
			if err != nil {
				t.Fatal(err)
			}
			at := bytes.Index(b, p.Sensor)
			if l.fileType == "JPEG" {
				if at >= 0 {
					t.Error("a JPEG holds sensor data")
				}
				return
			}
			if at < 0 || at != bytes.LastIndex(b, p.Sensor) {
				t.Fatalf("the sensor's data begin at %d, want one place", at)
			}
			if !pointedTo(b, uint64(at)) {
				t.Errorf("nothing in the file says %d, where the sensor's data begin", at)
			}
			f, err := raw.Locate(bytes.NewReader(b), int64(len(b)))
			if err != nil || len(f.Problems) > 0 {
				t.Fatalf("%v, problems %v", err, f.Problems)
			}
			light, err := l.write(exposure(), pictures(t))
			if err != nil {
				t.Fatal(err)
			}
			want, err := raw.Locate(bytes.NewReader(light), int64(len(light)))
			if err != nil {
				t.Fatal(err)
			}
			if len(f.Previews) != len(want.Previews) {
				t.Fatalf("%d previews, without sensor data %d", len(f.Previews), len(want.Previews))
			}
			for i, v := range f.Previews {
				w := want.Previews[i]
				if !bytes.Equal(b[v.Offset:v.Offset+v.Length], light[w.Offset:w.Offset+w.Length]) {
					t.Errorf("preview %d of %dx%d has other bytes", i, v.Width, v.Height)
				}
			}
			name := filepath.Join(t.TempDir(), "f."+layouts[i].ext)
			if err := os.WriteFile(name, b, 0o644); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command(testneed.Tool(t, "exiftool"), "-warning", "-error", "-a", "-s3", name).Output()
			if err != nil {
				t.Fatal(err)
			}
			for line := range strings.Lines(string(out)) {
				line = strings.TrimSpace(line)
				if !strings.HasPrefix(line, "[minor] Non-standard") {
					t.Errorf("exiftool says %q", line)
				}
			}
		})
	}
}

// pointedTo reports whether the place stands in the file as a number of 32 bits
// in either order; co64 has it in the last four bytes of eight.
func pointedTo(b []byte, at uint64) bool {
	return bytes.Contains(b, binary.BigEndian.AppendUint32(nil, uint32(at))) || bytes.Contains(b, binary.LittleEndian.AppendUint32(nil, uint32(at)))
}

// LibRaw reads a DNG by the specification: the sensor has the size that the body says.
func TestLibRawKnowsTheSensor(t *testing.T) {
	tool := testneed.Tool(t, "raw-identify")
	s, p := heavy(t)
	b, err := build.DNG(s, p, binary.LittleEndian)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "f.dng")
	if err := os.WriteFile(name, b, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "-v", name).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "Full size:    600 x 400") {
		t.Errorf("%v\n%s", err, out)
	}
}

// Rows of samples that do not fill the sensor would be read past their end.
func TestSensorDataOfAnotherSize(t *testing.T) {
	s, p := heavy(t)
	p.Sensor = p.Sensor[1:]
	for _, l := range layouts[:5] {
		if b, err := l.write(s, p); err == nil || b != nil || !strings.Contains(err.Error(), "239999 bytes of sensor data are not 600x400") {
			t.Errorf("%s: %d bytes and error %v", l.name, len(b), err)
		}
	}
}
