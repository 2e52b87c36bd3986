package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// mayImport is the architecture: each package and what of this module it may
// import (STYLE of the house: cull decides, preview sees, store keeps). A
// trailing /* stands for everything below. DO NOT CHANGE THIS TABLE TO FIX A
// BUILD: a new arrow is a decision and belongs into DEVELOPERS.md too.
var mayImport = map[string][]string{
	"testdata/testneed":   {},
	"testdata/testface":   {"testdata/testneed"}, // what the packages of the networks say
	"testdata/testday":    {"cull"},              // an invented day and the truth about it
	"testdata/testterm":   {},
	"testdata/testfat":    {"store/vfs", "testdata/testneed"},
	"testdata/testcard":   {"preview/build"},
	"testdata/testcolour": {}, // CIEDE2000
	"testdata/testjob":    {"cull", "cull/demo", "cull/job", "cull/prepare", "preview/build"},

	"preview/internal/bin":      {},
	"preview/internal/marker":   {"preview/internal/bin"},
	"preview/internal/craft":    {}, // test files, put together byte by byte
	"preview/internal/ifd":      {"preview/tiff"},
	"preview/tiff":              {"preview/internal/bin"},
	"preview/bmff":              {"preview/internal/bin"},
	"preview/exif":              {"preview/internal/bin", "preview/tiff"},
	"preview/raw":               {"preview/internal/bin", "preview/internal/marker", "preview/tiff", "preview/bmff", "preview/exif"},
	"preview/xmp":               {},
	"preview/jpeg":              {"preview/jpeg/internal/dct", "preview/jpeg/internal/entropy", "preview/jpeg/internal/reach"},
	"preview/jpeg/internal/dct": {}, // transforms of 8x8 blocks, in Go and in assembly
	"preview/icc":               {},
	"preview/pix":               {"preview/jpeg", "preview/icc"},
	"preview/pix/overlay":       {"preview/jpeg", "preview/pix"},                                                            // how pictures differ, place by place
	"preview/render":            {"preview/finished", "preview/icc", "preview/imprint", "preview/jpeg", "preview/resample"}, // all sizes of a picture from one decode
	"preview/resample":          {"preview/jpeg", "preview/resample/internal/lanes"},
	"preview/imprint":           {"preview/exif", "preview/icc", "preview/internal/bin", "preview/internal/ifd", "preview/jpeg", "preview/tiff", "preview/xmp"},                          // a finished file: pixels, stamp, metadata
	"preview/finished":          {"preview/internal/bin", "preview/tiff", "preview/exif", "preview/xmp", "preview/jpeg", "preview/icc"},                                                  // what an editor gives back
	"preview/small":             {"preview/exif", "preview/icc", "preview/imprint", "preview/internal/ifd", "preview/jpeg", "preview/pix", "preview/raw", "preview/tiff", "preview/xmp"}, // what stays of a raw file that is not kept
	"preview/proofs":            {"preview/jpeg"},                                                                                                                                        // what a client chooses from
	"preview/face":              {"preview/face/*", "preview/jpeg", "preview/pix"},
	"preview/face/models":       {}, // weights of published networks, packed, with their licences
	"preview/cache":             {},
	"preview/sched":             {},
	"preview/build":             {},
	"preview/term":              {"preview/jpeg", "preview/pix", "preview/term/sixel"},
	"preview/term/sixel":        {},
	"preview":                   {"preview/raw", "preview/exif", "preview/jpeg", "preview/icc", "preview/pix", "preview/cache", "preview/small"},
	"preview/measure":           {"preview", "preview/face", "preview/jpeg", "preview/pix"}, // focus, light and faces of one file

	"preview/resample/internal/lanes": {},                           // inner loops, in Go and in assembly
	"preview/face/internal/nn":        {},                           // layers, in Go and in assembly
	"preview/face/internal/graph":     {"preview/face/internal/nn"}, // a .tflite file as something to run
	"preview/face/internal/likeness":  {"preview/face/internal/nn"}, // the network of templates
	"preview/jpeg/internal/entropy":   {},                           // Huffman codes of blocks, in Go and in assembly
	"preview/jpeg/internal/reach":     {},                           // what blocks may amount to, in Go and in assembly

	"store":                     {},
	"store/vfs":                 {"store"},
	"store/vfs/vfstest":         {"store", "store/vfs"},
	"store/atomicfile":          {"store", "store/vfs"},
	"store/copy":                {"store", "store/vfs"},
	"store/manifest":            {"store", "store/vfs", "store/atomicfile"},
	"store/archive":             {"store", "store/vfs", "store/atomicfile", "store/copy"},
	"store/volume":              {"store", "store/vfs"},
	"store/catalog":             {"store", "store/vfs"},
	"store/catalog/catalogtest": {"store/catalog"},
	"store/erasable":            {"store", "store/vfs", "store/catalog"}, // the catalogue's lock

	"cull":            {},
	"cull/group":      {"cull"},
	"cull/sidecar":    {"cull", "preview/xmp"},
	"cull/scan":       {"cull", "preview/raw", "preview/exif", "preview/small"},
	"cull/gaps":       {},
	"cull/job":        {"cull", "cull/gaps", "store", "store/*"},
	"cull/prepare":    {"cull", "cull/job", "cull/marks", "cull/scan", "cull/group", "preview", "preview/*", "store"},
	"cull/measure":    {"cull", "cull/evidence", "cull/job", "cull/people", "cull/prepare", "preview", "preview/*"},
	"cull/people":     {"cull", "cull/job", "store", "store/*"},
	"cull/marks":      {"cull", "cull/handoff", "cull/job", "preview/xmp"},
	"cull/decide":     {"cull", "cull/job"},
	"cull/clocks":     {"cull", "cull/clocks/match", "cull/group", "cull/job"},
	"cull/scenes":     {"cull", "cull/job"},
	"cull/returned":   {"cull", "cull/job", "cull/prepare", "preview/exif", "preview/finished", "preview/icc", "preview/jpeg", "preview/pix", "preview/pix/overlay", "preview/sched", "preview/xmp"},
	"cull/review":     {"cull"},
	"cull/way":        {"cull", "cull/closing", "cull/job", "cull/output"},
	"cull/verify":     {"cull", "cull/job", "store", "store/*"},
	"cull/evidence":   {"cull", "cull/group"},
	"cull/output":     {"cull", "cull/intake/plan", "cull/job", "cull/returned", "preview/exif", "preview/finished", "preview/icc", "preview/imprint", "preview/proofs", "preview/render", "preview/resample", "preview/sched", "store", "store/*"},
	"cull/handoff":    {"cull", "cull/evidence", "cull/job", "cull/sidecar", "store", "store/*"},
	"cull/station":    {"cull", "cull/evidence", "cull/handoff", "cull/job", "cull/marks", "cull/measure", "cull/output", "cull/prepare", "cull/returned", "cull/review", "preview", "preview/jpeg", "preview/pix", "preview/sched"},
	"cull/tui":        {"cull", "cull/prepare", "cull/review", "cull/station", "cull/tui/*", "preview/term"},
	"cull/tui/pane":   {"cull"},
	"cull/tui/quiet":  {},
	"cull/demo":       {"cull/demo/*", "preview/build"},
	"cull/demo/paint": {},
	"cull/demo/stage": {"cull/demo/paint"},

	"cull/closing/reopen": {"cull", "cull/closing/record", "cull/job", "cull/prepare", "preview/sched", "preview/small", "store", "store/*"}, // bags checked, and made jobs again
	"cull/closing/record": {"cull", "cull/evidence", "store/vfs"},                                                                            // what a bag says of its job
	"cull/recall":         {"cull", "cull/closing/record", "cull/intake/plan", "cull/job", "cull/output", "cull/people", "cull/prepare", "cull/recall/faces", "cull/recall/like", "cull/returned", "preview/jpeg", "preview/sched", "store", "store/copy", "store/vfs"},
	"cull/closing":        {"cull", "cull/closing/record", "cull/intake/plan", "cull/job", "cull/output", "cull/prepare", "cull/returned", "cull/scan", "preview/exif", "preview/jpeg", "preview/raw", "preview/sched", "preview/small", "store", "store/*"},
	// The one package that deletes originals.
	"cull/closing/free": {"cull", "cull/closing/record", "cull/intake/plan", "cull/job", "cull/prepare", "cull/returned", "preview/exif", "preview/jpeg", "preview/pix", "preview/raw", "preview/small", "store", "store/*"},
	"cull/recall/faces": {"cull", "cull/people", "cull/returned", "preview", "preview/face", "preview/jpeg", "preview/measure", "preview/pix", "store"}, // faces described for one question
	"cull/recall/like":  {"cull", "preview/jpeg", "preview/pix", "preview/pix/overlay", "preview/sched"},                                                // likeness among the frames of many jobs

	"cull/clocks/match": {"cull", "cull/group"},
	"cull/timeline":     {"cull"},
	"cull/timeline/day": {"cull", "cull/group", "cull/job", "cull/timeline", "store/atomicfile", "store/vfs"},

	"cull/intake/plan":  {"cull", "cull/scan"},
	"cull/intake":       {"cull", "cull/gaps", "cull/intake/plan", "cull/job", "cull/scan", "preview/jpeg", "preview/raw", "store", "store/*"},
	"cull/intake/awake": {},
	"cull/intake/watch": {"store/vfs"},

	// The commands parse flags and print; all work is in cull/*.
	"cmd/garner": {"cull", "cull/*"},
}

// onlyIn says which package alone may import a library.
var onlyIn = map[string]string{
	"go.etcd.io/bbolt":                   "store/catalog",
	"github.com/spf13/cobra":             "cmd/garner",
	"github.com/charmbracelet/bubbletea": "cull/tui",
	"github.com/corona10/goimagehash":    "preview/pix",
	"github.com/disintegration/imaging":  "preview/pix",
}

// maxLines is the hard limit of a file that is not a test or a table.
const maxLines = 600

type goFile struct {
	path, pkg string
	test      bool
	ast       *ast.File
	lines     int
}

func moduleFiles(t *testing.T) []goFile {
	t.Helper()
	root := "../.."
	var files []goFile
	err := filepath.WalkDir(root, func(p string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && p != root && strings.HasPrefix(d.Name(), ".") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(p, ".go") {
			return nil
		}
		src, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), p, src, parser.ImportsOnly|parser.ParseComments)
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(root, p)
		rel = filepath.ToSlash(rel)
		files = append(files, goFile{rel, filepath.ToSlash(filepath.Dir(rel)), strings.HasSuffix(rel, "_test.go"), f, strings.Count(string(src), "\n")})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 50 {
		t.Fatalf("only %d Go files found: the walk is broken", len(files))
	}
	return files
}

func TestImportDirections(t *testing.T) {
	for _, f := range moduleFiles(t) {
		if f.test {
			continue // a test may stand anywhere
		}
		allowed, known := mayImport[f.pkg]
		if !known {
			t.Errorf("%s: package %s is not in the table of import directions", f.path, f.pkg)
			continue
		}
		for _, im := range f.ast.Imports {
			path, _ := strconv.Unquote(im.Path.Value)
			for lib, pkg := range onlyIn {
				if (path == lib || strings.HasPrefix(path, lib+"/")) && f.pkg != pkg {
					t.Errorf("%s imports %s, which only %s may", f.path, path, pkg)
				}
			}
			in, ours := strings.CutPrefix(path, "garner/")
			if !ours {
				if f.pkg == "cull" && strings.Contains(strings.SplitN(path, "/", 2)[0], ".") {
					t.Errorf("%s imports %s: cull uses the standard library alone", f.path, path)
				}
				continue
			}
			if !slices.ContainsFunc(allowed, func(a string) bool { return covers(a, in) }) {
				t.Errorf("%s imports %s, which %s may not", f.path, in, f.pkg)
			}
		}
	}
}

// covers reports whether the table entry a allows the package p.
func covers(a, p string) bool {
	if below, ok := strings.CutSuffix(a, "/*"); ok {
		return strings.HasPrefix(p, below+"/")
	}
	return a == p
}

// mayRemove lists who removes files or folders, and which. An original of a job is
// removed by cull/closing/free alone: whoever is added here says what else it removes.
var mayRemove = map[string]string{
	"cull/closing/free": "originals, after proof; partials of its small pictures",

	"cull/closing/reopen": "its own note opening.txt in the state of the job that it makes; partials in there",

	"cmd/garner":       "what it made a moment ago and nobody used: an empty job, half a demo",
	"cull/handoff":     "sidecars that a handoff wrote and nobody changed since",
	"cull/intake":      "partials in folders that it copies to",
	"cull/job":         "people.db",
	"cull/output":      "partials in the folders of sets",
	"cull/people":      "people.db",
	"cull/recall":      "the index of a shelf, which it makes",
	"preview/cache":    "renditions",
	"preview/term":     "pictures that it made for the terminal",
	"store/archive":    "growing.txt, and what an interrupted growing left that no manifest lists",
	"store/atomicfile": "partials",
	"store/catalog":    "a catalogue that was being made anew",
	"store/copy":       "partials",
	"store/erasable":   "former content of its own file",
	"store/vfs":        "what it is told to; partials",
}

func TestWhoRemovesFiles(t *testing.T) {
	found := map[string]bool{}
	for _, f := range moduleFiles(t) {
		if f.test || strings.HasPrefix(f.pkg, ".") || strings.HasPrefix(f.pkg, "testdata/") || f.pkg == "store/vfs/vfstest" {
			continue
		}
		whole, err := parser.ParseFile(token.NewFileSet(), filepath.Join("../..", f.path), nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(whole, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			s, ok := call.Fun.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			switch s.Sel.Name {
			case "Remove", "RemoveAll", "Unlink", "Unlinkat", "Rmdir", "DeleteFile", "Sweep":
				if _, may := mayRemove[f.pkg]; !may {
					t.Errorf("%s removes files (%s), and mayRemove does not say which", f.path, s.Sel.Name)
				}
				found[f.pkg] = true
			}
			return true
		})
	}
	for pkg := range mayRemove {
		if !found[pkg] {
			t.Errorf("%s does not remove files any more", pkg)
		}
	}
}

func TestEveryPackageSaysWhatItIs(t *testing.T) {
	doc, dirs := map[string]string{}, map[string]bool{}
	for _, f := range moduleFiles(t) {
		if f.test {
			continue
		}
		dirs[f.pkg] = true
		if f.ast.Doc != nil {
			doc[f.pkg] = f.ast.Doc.Text()
		}
	}
	for pkg := range dirs {
		if len(doc[pkg]) < 40 {
			t.Errorf("package %s has no doc comment that says what it is for", pkg)
		}
	}
}

func TestFileSizes(t *testing.T) {
	for _, f := range moduleFiles(t) {
		if !f.test && f.lines > maxLines {
			t.Errorf("%s has %d lines: a second idea lives in it (limit %d)", f.path, f.lines, maxLines)
		}
	}
}

func TestTopLevel(t *testing.T) {
	want := []string{"DEVELOPERS.md", "LICENSE", "README.md", "cmd", "cull", "go.mod", "go.sum", "preview", "store", "testdata"}
	entries, err := os.ReadDir("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if n := e.Name(); !strings.HasPrefix(n, ".") && n != "garner" && n != "garner.exe" && !slices.Contains(want, n) {
			t.Errorf("top level has %s; it holds only %v", n, want)
		}
	}
}
