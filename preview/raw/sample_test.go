package raw_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	_ "github.com/bep/imagemeta"             // its test pictures: truncated real raw files
	_ "github.com/evanoberholster/imagemeta" // its test pictures: real raw files

	"garner/preview/raw"
	"garner/testdata/testneed"
)

func wholeModule(t testing.TB, name string) []byte {
	t.Helper()
	return sample(t, filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages", name))
}

func cutModule(t testing.TB, name string) []byte {
	t.Helper()
	return sample(t, filepath.Join(testneed.Module(t, "github.com/bep/imagemeta"), "testdata", "images", filepath.FromSlash(name)))
}

func sample(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// expected is what is known of a real file from outside this package.
type expected struct {
	name       string
	kind       raw.Kind
	whole, cut []spot
	code       string // a problem that must be listed
}

func (e expected) hold(t *testing.T, data []byte) {
	t.Helper()
	f, err := located(t, data)
	if err != nil {
		t.Fatal(err)
	}
	whole, cut := spots(f)
	if f.Kind != e.kind || fmt.Sprint(whole) != fmt.Sprint(e.whole) || fmt.Sprint(cut) != fmt.Sprint(e.cut) {
		t.Errorf("%s: whole %v, cut off %v\nwant %s: %v, %v\n%v", f.Kind, whole, cut, e.kind, e.whole, e.cut, f.Problems)
	}
	if e.code != "" && !has(f, e.code) {
		t.Errorf("problems %v, want %s", f.Problems, e.code)
	}
	if e.code == "" && len(f.Problems) != 0 {
		t.Errorf("problems %v", f.Problems)
	}
}

// Places and sizes of the real files of module github.com/evanoberholster/imagemeta
// v0.3.1, taken with exiftool and by looking at the bytes.
func TestRealFiles(t *testing.T) {
	for _, e := range []expected{
		{"NEF.exif", "NEF", []spot{{1189376, 2287892, 6000, 4000}, {184320, 1004813, 1620, 1080}, {27136, 98230, 570, 375}}, nil, ""},
		{"ARW.exif", "ARW", []spot{{163891, 1129868, 1616, 1080}, {47796, 4193, 160, 120}}, nil, ""},
		{"CR2.exif", "CR2", []spot{{42308, 296899, 2784, 1856}, {36684, 5622, 160, 120}}, nil, ""},
		{"Hero8.GPR", "GPR", nil, nil, raw.ProblemNoPreview},
		{"JPEG.jpg", "JPEG", []spot{{0, 352469, 1000, 563}, {840, 12917, 256, 144}}, nil, ""},
	} {
		t.Run(e.name, func(t *testing.T) { e.hold(t, wholeModule(t, e.name)) })
	}
}

// The truncated real files of module github.com/bep/imagemeta v1.0.1: what exiftool
// says of the declared places, held against the file's length.
func TestTruncatedRealFiles(t *testing.T) {
	for _, e := range []expected{
		{"sample.arw", "ARW", []spot{{32770, 3598, 160, 120}}, []spot{{155683, 530370, 0, 0}}, raw.ProblemCutOff},
		{"sample.cr2", "CR2", []spot{{11264, 7291, 160, 120}}, []spot{{18944, 871523, 1600, 1200}}, raw.ProblemCutOff},
		{"sample.nef", "NEF", nil, nil, raw.ProblemNoPreview},
		{"sample.dng", "DNG", nil, nil, raw.ProblemNoPreview},
		{"bep/jølstravatnet.pef", "PEF", []spot{{73952, 53753, 720, 480}, {153088, 6540, 160, 120}}, []spot{{28516704, 2809866, 0, 0}}, raw.ProblemCutOff},
	} {
		t.Run(e.name, func(t *testing.T) { e.hold(t, cutModule(t, e.name)) })
	}
}

func TestSmallSamples(t *testing.T) {
	dir := filepath.Join(testneed.Samples(t), "raw")
	for _, e := range []expected{
		{"tika_testARW.arw", "ARW", []spot{{385, 676, 64, 48}, {1061, 644, 32, 24}}, nil, raw.ProblemNoTime},
		{"tika_testCR2.cr2", "CR2", []spot{{289, 676, 64, 48}, {965, 644, 32, 24}}, nil, raw.ProblemNoTime},
		{"tika_testDNG.dng", "DNG", []spot{{1080, 676, 64, 48}}, nil, raw.ProblemNoTime},
		{"tika_testNEF.nef", "NEF", []spot{{1246, 676, 64, 48}}, nil, ""},
		{"tika_testPEF.pef", "PEF", []spot{{984, 676, 64, 48}, {340, 644, 32, 24}}, nil, raw.ProblemNoTime},
		{"Panasonic.rw2", "RW2", []spot{{1536, 10785, 8, 8}}, nil, raw.ProblemNotJPEG},
		{"Nikon.nef", "NEF", nil, nil, raw.ProblemNotJPEG},
		{"issue_839_poc.rw2", "RW2", nil, nil, raw.ProblemBadCount},
	} {
		t.Run(e.name, func(t *testing.T) { e.hold(t, sample(t, filepath.Join(dir, e.name))) })
	}
}

// Every file of the samples' folder: whatever it is, the promises hold.
func TestEverySample(t *testing.T) {
	for _, path := range sampleFiles(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			if f, err := located(t, sample(t, path)); err == nil && f.Kind == "" {
				t.Error("no kind")
			}
		})
	}
}

func sampleFiles(t testing.TB) []string {
	paths, err := filepath.Glob(filepath.Join(testneed.Samples(t), "raw", "*"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no samples: %v", err)
	}
	return paths
}

// What exiftool prints for the same files, written down so that it is held
// without the tool.
func TestMetadataOfRealFiles(t *testing.T) {
	f, err := located(t, wholeModule(t, "NEF.exif"))
	if err != nil {
		t.Fatal(err)
	}
	m := f.Meta
	if m.Make != "NIKON CORPORATION" || m.Model != "NIKON D7100" || m.Serial != "7302381" || m.Counter != 205 {
		t.Errorf("body: %+v", m)
	}
	if want := time.Date(2013, 9, 3, 9, 45, 16, 400_000_000, time.UTC); !m.Taken.Wall.Equal(want) || m.Taken.Digits != 2 || m.Taken.HasZone {
		t.Errorf("time: %+v", m.Taken)
	}
	if m.Seconds != 1.0/30 || m.FNumber != 8 || m.ISO != 100 || m.FocalLength != 50 || m.ColorSpace != "sRGB" || m.Orientation != 1 {
		t.Errorf("exposure: %+v", m)
	}
	if f, err = located(t, wholeModule(t, "CR2.exif")); err != nil {
		t.Fatal(err)
	}
	if m = f.Meta; m.Serial != "600005" || m.Lens != "EF50mm f/1.2L USM" || m.ColorSpace != "Adobe RGB" || m.Width != 5616 || m.Height != 3744 {
		t.Errorf("Canon: %+v", m)
	}
}
