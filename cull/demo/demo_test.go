package demo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"image/jpeg"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

func shoot(t testing.TB, n int, seed int64) (string, Summary) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "job")
	sum, err := Make(context.Background(), dir, Options{Frames: n, Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	return dir, sum
}

// tree lists every file with the digest of its content.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		h := sha256.Sum256(b)
		rel, err := filepath.Rel(dir, path)
		files[filepath.ToSlash(rel)] = hex.EncodeToString(h[:])
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestSameSeedSameBytes(t *testing.T) {
	a, _ := shoot(t, 4, 8)
	// Another number of workers must not show.
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	b, _ := shoot(t, 4, 8)
	one, two := tree(t, a), tree(t, b)
	if len(one) != len(two) || len(one) < 4 {
		t.Fatalf("%d and %d files", len(one), len(two))
	}
	for name, digest := range one {
		if two[name] != digest {
			t.Errorf("%s differs between two runs", name)
		}
	}
}

// embedded decodes every JPEG that begins anywhere in the file. Inside
// entropy-coded data FF is followed by 00 (ITU-T T.81 §B.1.1.5), so FF D8 FF is
// always the beginning of one.
func embedded(t *testing.T, b []byte) (sizes [][2]int) {
	t.Helper()
	for at := 0; ; at++ {
		i := bytes.Index(b[at:], []byte{0xFF, 0xD8, 0xFF})
		if i < 0 {
			return sizes
		}
		at += i
		img, err := jpeg.Decode(bytes.NewReader(b[at:]))
		if err != nil {
			sizes = append(sizes, [2]int{})
			continue
		}
		sizes = append(sizes, [2]int{img.Bounds().Dx(), img.Bounds().Dy()})
	}
}

func TestTheFiles(t *testing.T) {
	dir, sum := shoot(t, 20, 0)
	files := tree(t, dir)

	t.Run("summary", func(t *testing.T) {
		var n int64
		for name := range files {
			st, err := os.Stat(filepath.Join(dir, filepath.FromSlash(name)))
			if err != nil {
				t.Fatal(err)
			}
			n += st.Size()
		}
		if sum.Frames != 20 || len(sum.Truth) != 20 || sum.Files != len(files) || sum.Bytes != n || sum.OffsetSeconds != 440 {
			t.Errorf("summary says %d frames, %d truths, %d files, %d bytes; there are %d files, %d bytes", sum.Frames, len(sum.Truth), sum.Files, sum.Bytes, len(files), n)
		}
		// The default of 120 frames has 300 MB to stay in.
		if per := n / 20; per*DefaultFrames > 300e6 {
			t.Errorf("%d bytes a frame are too many", per)
		}
	})

	t.Run("nothing unexplained", func(t *testing.T) {
		left := map[string]bool{}
		for name := range files {
			left[name] = true
		}
		digests := map[string]string{}
		for _, f := range sum.Truth {
			for _, p := range f.Paths {
				if !left[p] {
					t.Errorf("%s is missing", p)
				}
				delete(left, p)
				if other := digests[files[p]]; other != "" {
					t.Errorf("%s and %s have the same bytes", p, other)
				}
				digests[files[p]] = p
			}
		}
		var rest []string
		for name := range left {
			rest = append(rest, filepath.Ext(name))
		}
		slices.Sort(rest)
		if !slices.Equal(rest, []string{".TXT", ".WAV"}) {
			t.Errorf("besides the frames there are %v", left)
		}
	})

	t.Run("pictures decode", func(t *testing.T) {
		full, screen, thumb := [2]int{2400, 1600}, [2]int{1620, 1080}, [2]int{thumbW, thumbH}
		want := map[string][][2]int{
			".CR3": {thumb, screen, full}, ".DNG": {thumb, full, screen}, ".RAF": {full, thumb}, ".JPG": {full, thumb},
		}
		broken := 0
		for _, f := range sum.Truth {
			for _, p := range f.Paths {
				b, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(p)))
				if err != nil {
					t.Fatal(err)
				}
				got := embedded(t, b)
				if f.Broken {
					broken++
					if !slices.Equal(got, [][2]int{{}}) {
						t.Errorf("%s is meant to be broken but has %v", p, got)
					}
					continue
				}
				if !slices.Equal(got, want[filepath.Ext(p)]) {
					t.Errorf("%s holds %v, want %v", p, got, want[filepath.Ext(p)])
				}
			}
		}
		if broken != 1 {
			t.Errorf("%d broken frames", broken)
		}
	})

	t.Run("dates", func(t *testing.T) {
		for _, f := range sum.Truth {
			st, err := os.Stat(filepath.Join(dir, filepath.FromSlash(f.Paths[0])))
			if err != nil {
				t.Fatal(err)
			}
			shown := f.Time
			if f.Body == "B" {
				shown = shown.Add(440 * time.Second)
			}
			if d := st.ModTime().Sub(shown.Add(-2 * time.Hour)); d > time.Second || d < -2*time.Second {
				t.Errorf("%s is dated %v off its capture time", f.Paths[0], d)
			}
		}
	})

	t.Run("exiftool", func(t *testing.T) { askExiftool(t, dir, sum) })
}

func TestProgressCountsEveryFrame(t *testing.T) {
	var seen []int
	_, err := Make(context.Background(), t.TempDir(), Options{Frames: 3, Progress: func(done, total int) {
		if total != 3 {
			t.Errorf("total is %d", total)
		}
		seen = append(seen, done)
	}})
	if err != nil || !slices.Equal(seen, []int{1, 2, 3}) {
		t.Errorf("progress was %v, error %v", seen, err)
	}
}

func TestRefusals(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Make(context.Background(), dir, Options{Frames: 1}); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder with a file in it gives %v", err)
	}
	for _, n := range []int{-1, MaxFrames + 1} {
		if _, err := Make(context.Background(), t.TempDir(), Options{Frames: n}); err == nil {
			t.Errorf("%d frames were made", n)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Make(ctx, t.TempDir(), Options{Frames: 2}); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled context gives %v", err)
	}
}

// RIFF WAVE: sizes in the header must match the file.
func TestVoiceNoteIsAWave(t *testing.T) {
	b := voiceNote()
	u32 := func(i int) int { return int(b[i]) | int(b[i+1])<<8 | int(b[i+2])<<16 | int(b[i+3])<<24 }
	if string(b[:4]) != "RIFF" || string(b[8:16]) != "WAVEfmt " || u32(4) != len(b)-8 || string(b[36:40]) != "data" || u32(40) != len(b)-44 {
		t.Errorf("header is % x", b[:44])
	}
}

// BenchmarkMake makes the default demo; the budget is 20 s and 300 MB on two
// cores.
func BenchmarkMake(b *testing.B) {
	for range b.N {
		dir := filepath.Join(b.TempDir(), "job")
		sum, err := Make(context.Background(), dir, Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(sum.Bytes)/1e6, "MB")
	}
}
