package pane_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/muesli/termenv"

	"garner/cull/tui/pane"
)

var update = flag.Bool("update", false, "rewrite the golden files")

var sizes = []struct{ w, h int }{{80, 24}, {120, 40}, {200, 60}}

var looks = []struct {
	name    string
	profile termenv.Profile
	dark    bool
}{
	{"none", termenv.Ascii, true},
	{"colour", termenv.TrueColor, true},
}

// golden compares text with a file. Escapes are written as \e, so that a
// difference can be read.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	got = strings.ReplaceAll(got, "\x1b", `\e`)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("%s (-want +got; -update rewrites it):\n%s", path, d)
	}
}

// A bar at the end shows where a line ends.
func joined(lines []string) string { return strings.Join(lines, "|\n") + "|\n" }

func TestPanes(t *testing.T) {
	for _, look := range looks {
		st := pane.NewStyles(look.profile, look.dark)
		for _, size := range sizes {
			var b strings.Builder
			for _, s := range sampleParts(st, size.w, size.h) {
				fmt.Fprintf(&b, "== %s\n%s", s.name, joined(s.lines))
			}
			golden(t, fmt.Sprintf("panes_%d_%s", size.w, look.name), b.String())
		}
	}
}

func TestScreen(t *testing.T) {
	for _, look := range looks {
		st := pane.NewStyles(look.profile, look.dark)
		for _, size := range sizes {
			lines := sampleScreen(st, size.w, size.h)
			exact(t, "the screen", lines, size.w, size.h)
			golden(t, fmt.Sprintf("screen_%dx%d_%s", size.w, size.h, look.name), joined(lines))
		}
	}
}
