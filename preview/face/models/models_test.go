package models

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"io"
	"os"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

var update = flag.Bool("update", false, "write the packed files anew")

// packed is every file that is built in; the sizes of what is built in are held to
// a limit, the 10 MB.
var packed = map[file][]byte{
	detector: detectorPacked, mesh: meshPacked, likeness: likenessPacked, manifest: manifestPacked,
}

func TestAllUnpack(t *testing.T) {
	total := 0
	for f, b := range packed {
		out, err := f.unpack(b)
		if err != nil {
			t.Fatal(err)
		}
		if len(out) != f.size {
			t.Errorf("%s: %d bytes, not %d", f.name, len(out), f.size)
		}
		total += len(b)
	}
	if total > 10e6 {
		t.Errorf("%d bytes are built in, over 10 MB", total)
	}
	for name, get := range map[string]func() ([]byte, error){"detector": Detector, "mesh": Mesh} {
		if b, err := get(); err != nil || string(b[4:8]) != "TFL3" {
			t.Errorf("%s: not a .tflite file (%v)", name, err)
		}
	}
}

// TestManifestFitsWeights adds the sizes of all tensors up.
func TestManifestFitsWeights(t *testing.T) {
	b, err := LikenessManifest()
	if err != nil {
		t.Fatal(err)
	}
	var groups []struct {
		Weights []struct {
			Dtype        string
			Shape        []int
			Quantization *struct{ Dtype string }
		}
	}
	if err := json.Unmarshal(b, &groups); err != nil || len(groups) != 1 {
		t.Fatalf("%d groups: %v", len(groups), err)
	}
	total := 0
	for _, w := range groups[0].Weights {
		n := 1
		for _, d := range w.Shape {
			n *= d
		}
		switch {
		case w.Quantization == nil && w.Dtype == "float32":
			n *= 4
		case w.Quantization == nil || w.Quantization.Dtype != "uint8":
			t.Fatalf("weights of another kind: %+v", w)
		}
		total += n
	}
	if total != likeness.size {
		t.Errorf("the manifest speaks of %d bytes, there are %d", total, likeness.size)
	}
}

// TestDamageIsAnError changes single bytes, cuts, and appends.
func TestDamageIsAnError(t *testing.T) {
	good := manifestPacked
	for _, at := range []int{0, 11, len(good) / 2, len(good) - 1} {
		bad := bytes.Clone(good)
		bad[at] ^= 0x40
		if _, err := manifest.unpack(bad); err == nil {
			t.Errorf("byte %d changed: no error", at)
		}
	}
	for _, n := range []int{0, 9, len(good) / 2, len(good) - 8, len(good) - 1} {
		if _, err := manifest.unpack(good[:n]); err == nil {
			t.Errorf("cut to %d bytes: no error", n)
		}
	}
	other := manifest
	other.sha256 = strings.Repeat("0", 64)
	if _, err := other.unpack(good); err == nil {
		t.Error("another sum: no error")
	}
	short := manifest
	short.size--
	if _, err := short.unpack(good); err == nil {
		t.Error("longer than said: no error")
	}
}

// sources is where each file comes from, as SOURCES.md says.
var sources = []struct {
	pkg, version, sha256 string
	files                map[string]file // by their path in the package; what is longer is cut
}{
	{"@mediapipe/face_detection", "0.4.1657300184", "a118cde74923dc4435257fbfbb613464a0f58d115dff6314d4ff96c8aebf6419",
		map[string]file{"package/face_detection_full_range.tflite": detector}},
	{"@mediapipe/face_mesh", "0.4.1657299874", "c08a7e0742a326285da666cf81d77c8b6f3a181a2ee948cadaf166008e0d3bc7",
		map[string]file{"package/face_mesh_solution_packed_assets.data": mesh}},
	{"@vladmandic/face-api", "1.7.15", "0d77fffeef362ef9c0939cf6c567f3a2e8e177f114fa257a3270cbd2e509b031",
		map[string]file{"package/model/face_recognition_model.bin": likeness,
			"package/model/face_recognition_model-weights_manifest.json": manifest}},
}

// TestSources makes the files again from the packages.
func TestSources(t *testing.T) {
	words, err := os.ReadFile("SOURCES.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sources {
		for _, said := range []string{s.pkg, s.version, s.sha256} {
			if !bytes.Contains(words, []byte(said)) {
				t.Errorf("SOURCES.md does not speak of %s", said)
			}
		}
		found := fromPackage(t, testneed.Package(t, s.pkg, s.version, s.sha256), s.files)
		if len(found) != len(s.files) {
			t.Errorf("%s: %d of %d files found", s.pkg, len(found), len(s.files))
		}
		for f, b := range found {
			sum := sha256.Sum256(b)
			if hex.EncodeToString(sum[:]) != f.sha256 {
				t.Errorf("%s of %s: sha256 %x", f.name, s.pkg, sum)
			}
			if *update {
				pack(t, f, b)
			} else if ours, err := f.unpack(packed[f]); err != nil || !bytes.Equal(ours, b) {
				t.Errorf("%s is not what %s has (%v)", f.name, s.pkg, err)
			}
		}
	}
}

// fromPackage reads files out of an npm package.
func fromPackage(t *testing.T, path string, files map[string]file) map[file][]byte {
	t.Helper()
	r, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	z, err := gzip.NewReader(r)
	if err != nil {
		t.Fatal(err)
	}
	found := map[file][]byte{}
	for a := tar.NewReader(z); ; {
		h, err := a.Next()
		if err == io.EOF {
			return found
		}
		if err != nil {
			t.Fatal(err)
		}
		if f, ok := files[h.Name]; ok {
			b := make([]byte, f.size)
			if _, err := io.ReadFull(a, b); err != nil {
				t.Fatal(err)
			}
			found[f] = b
		}
	}
}

// pack writes a file as it is built in: without a name or a time, so that it is
// the same again.
func pack(t *testing.T, f file, b []byte) {
	t.Helper()
	var out bytes.Buffer
	z, _ := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if _, err := z.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(f.name+".gz", out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
