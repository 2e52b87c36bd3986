package output

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"garner/cull/job"
	"garner/preview/build"
	"garner/store/vfs"
)

// TestMain lets a test run this binary as a program that cuts the sets of a job, and
// kills itself at the n-th step that it takes on the disk or says how many there were.
func TestMain(m *testing.M) {
	if dir := os.Getenv("GARNER_TEST_RENDER"); dir != "" {
		at, _ := strconv.Atoi(os.Getenv("GARNER_TEST_KILL_AT"))
		j, err := job.Open(dir, job.Options{Who: "test", Command: "render", Settings: testSettings})
		if err == nil {
			sets, _ := Choose(Sets(testSettings), strings.Fields(os.Getenv("GARNER_TEST_SETS")))
			m := &mortal{FS: vfs.OS{}, at: int64(at)}
			_, err = run(context.Background(), j, Options{Workers: 2, Sets: sets}, m)
			fmt.Println(m.n.Load())
		}
		if err != nil {
			println(err.Error())
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func text(s string) *string { return &s }

// testSettings ask for small sets, numbered.
var testSettings = job.Settings{
	Credit: "Berg & Söhne",
	Sets: map[string]job.SetSettings{
		"lab":    {Name: text("{number}-{name}")},
		"online": {LongEdge: to(60)},
		"screen": {Fit: &job.Dimensions{W: 90, H: 60}},
	},
	Stamp: job.StampSettings{Text: text("Berg")},
}

// finishedPicture is a picture as an editor gives it back, taken at a time by a body.
func finishedPicture(t testing.TB, shade int, at string, serial string) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 120, 80))
	for y := range 80 {
		for x := range 120 {
			v := 120 + 60*math.Sin(float64(x*(1+shade%5))/9)*math.Cos(float64(y+shade)/7)
			m.SetRGBA(x, y, color.RGBA{uint8(v), uint8(v * 0.9), uint8(shade * 3), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	wall, err := time.Parse("2006-01-02T15:04:05", at)
	if err != nil {
		t.Fatal(err)
	}
	s := build.Shot{Make: "Lumora", Model: "Lumora Five", Serial: serial, Width: 120, Height: 80, Taken: build.Clock{Wall: wall, Zone: 120, HasZone: true}}
	data, err := build.JPEG(s, build.Pictures{Full: b.Bytes(), Thumb: b.Bytes()}, false)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// put writes a file below a folder, at a fixed time.
func put(t testing.TB, path string, data []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 6, 20, 12, 0, 0, len(data), time.UTC)
	if err := os.Chtimes(path, at, at); err != nil {
		t.Fatal(err)
	}
}

// bench is a job with finished pictures and what a run said of it.
type bench struct {
	t        testing.TB
	dir      string
	settings job.Settings
	lines    []Line
}

func newBench(t testing.TB) *bench {
	return &bench{t: t, dir: t.TempDir(), settings: testSettings}
}

func (b *bench) put(path string, data []byte) {
	put(b.t, filepath.Join(b.dir, FinishedFolder, filepath.FromSlash(path)), data)
}

func (b *bench) run(o Options) (Summary, error) { return b.runOn(o, vfs.OS{}) }

func (b *bench) runOn(o Options, fsys vfs.FS) (Summary, error) {
	b.t.Helper()
	j, err := job.Open(b.dir, job.Options{Who: "test", Command: "render", Settings: b.settings})
	if err != nil {
		b.t.Fatal(err)
	}
	defer j.Close()
	b.lines = nil
	o.Line = func(l Line) { b.lines = append(b.lines, l) }
	return run(context.Background(), j, o, fsys)
}

// must is run without failures.
func (b *bench) must(o Options) Summary {
	b.t.Helper()
	sum, err := b.run(o)
	if err != nil || sum.Failures() > 0 {
		b.t.Fatalf("%v, %d failures: %+v", err, sum.Failures(), b.lines)
	}
	return sum
}

// names are those of a set's files, by picture.
func (b *bench) names(set string) map[string]string {
	names := map[string]string{}
	for _, l := range b.lines {
		if l.Set == set && l.Picture != "" {
			names[l.Picture] = l.File
		}
	}
	return names
}

// tree is what lies in sets/, with the bytes.
func (b *bench) tree() map[string]string { return treeOf(b.t, filepath.Join(b.dir, SetsFolder)) }

func treeOf(t testing.TB, base string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(base, func(p string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) && p == base {
			return nil
		}
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(p)
		rel, _ := filepath.Rel(base, p)
		files[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// mortal ends the process, as a power cut would, at the n-th change of the disk.
type mortal struct {
	vfs.FS
	at int64
	n  counter
}

func (m *mortal) step() {
	if m.n.next() == m.at {
		if self, err := os.FindProcess(os.Getpid()); err == nil {
			_ = self.Kill()
		}
		select {}
	}
}

func (m *mortal) OpenFile(name string, flag int, perm fs.FileMode) (vfs.File, error) {
	m.step()
	f, err := m.FS.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	return &mortalFile{f, m}, nil
}

func (m *mortal) Rename(from, to string) error {
	m.step()
	err := m.FS.Rename(from, to)
	m.step()
	return err
}

func (m *mortal) Mkdir(name string, perm fs.FileMode) error {
	m.step()
	return m.FS.Mkdir(name, perm)
}

type mortalFile struct {
	vfs.File
	m *mortal
}

// Write writes half, so that a kill can leave half.
func (f *mortalFile) Write(p []byte) (int, error) {
	n, err := f.File.Write(p[:len(p)/2])
	f.m.step()
	if err != nil {
		return n, err
	}
	k, err := f.File.Write(p[len(p)/2:])
	return n + k, err
}

func (f *mortalFile) Sync() error {
	f.m.step()
	return f.File.Sync()
}
