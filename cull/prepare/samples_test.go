package prepare

import (
	"bytes"
	"encoding/binary"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

// copyTree copies the regular files below from.
func copyTree(t *testing.T, from, to string) (n int) {
	t.Helper()
	err := filepath.WalkDir(from, func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return err
		}
		rel, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		n++
		dst := filepath.Join(to, rel)
		if err := os.MkdirAll(filepath.Dir(dst), 0o777); err != nil {
			return err
		}
		return os.WriteFile(dst, b, 0o666)
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// Real files, stubs and hostile ones of many makers in one folder: every file
// is in a frame or among the others, and every frame has a picture or says why
// not.
func TestEverySampleIsAccountedFor(t *testing.T) {
	s := newShoot(t)
	n := copyTree(t, filepath.Join(testneed.Samples(t), "raw"), filepath.Join(s.dir, "raw"))
	for _, module := range []string{"github.com/evanoberholster/imagemeta", "github.com/bep/imagemeta"} {
		dir := testneed.Module(t, module)
		for _, sub := range []string{"testImages", "testdata/images"} {
			if _, err := os.Stat(filepath.Join(dir, sub)); err == nil {
				n += copyTree(t, filepath.Join(dir, sub), filepath.Join(s.dir, filepath.Base(filepath.Dir(dir)), sub))
			}
		}
	}
	sum := s.run(Options{Workers: 2})
	files := 0
	for name, f := range s.frames() {
		files += len(f.Files)
		if f.HasFingerprint == (len(f.Problems) > 0 && !f.CanBeShown()) {
			t.Errorf("%s: fingerprint %v, problems %v", name, f.HasFingerprint, f.Problems)
		}
		if f.HasFingerprint {
			if key, ok := ThumbKey(f); !ok || key == "" {
				t.Errorf("%s has a fingerprint and no thumbnail", name)
			}
		}
	}
	if files+sum.Others != n {
		t.Errorf("%d files, %d of them in frames and %d others", n, files, sum.Others)
	}
	if sum.Frames < 20 || sum.Made < 10 {
		t.Errorf("%+v", sum)
	}
	t.Logf("%d files: %d frames, %d shown, %d not", n, sum.Frames, sum.Made, sum.Failed)
}

// 20000x14000 in a file of 1 MB: the frame is there, says what is wrong, shows
// its thumbnail, and nobody allocates 280 MP.
func TestASizeThatCannotBe(t *testing.T) {
	s := newShoot(t)
	s.raw("L1.DNG", shot("1", 0, 1), 900, 600, 1)
	path := filepath.Join(s.dir, "L1.DNG")
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	size := binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(nil, 600), 900)
	at := bytes.Index(b, size) // height and width in the frame header
	if at < 0 || b[at-5] != 0xFF {
		t.Fatal("no frame header found")
	}
	binary.BigEndian.PutUint16(b[at:], 14000)
	binary.BigEndian.PutUint16(b[at+2:], 20000)
	b = append(b, make([]byte, max(0, 1<<20-len(b)))...)
	if err := os.WriteFile(path, b, 0o666); err != nil {
		t.Fatal(err)
	}
	sum := s.run(Options{})
	f := s.frames()["L1"]
	if sum.Made != 1 || !f.CanBeShown() || s.thumb(f).Rect.Dx() != 160 {
		t.Errorf("%+v, %+v", sum, f.Problems)
	}
	said := false
	for _, p := range f.Problems {
		said = said || p.Code == "preview-broken"
	}
	if !said {
		t.Errorf("nothing is said: %v", f.Problems)
	}
}
