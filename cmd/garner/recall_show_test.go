//go:build linux || darwin

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"garner/testdata/testjob"
	"garner/testdata/testterm"
)

const soughtFrames = 6

// lookAgain opens the fan of six frames of a job and waits until all are seen.
func lookAgain(t *testing.T, a testterm.Answerer, dir string, more ...string) *testterm.Run {
	t.Helper()
	home := t.TempDir()
	r := testterm.Setup{Cols: 100, Rows: 30, Answerer: a, Env: []string{asProgram, "HOME=" + home, "XDG_CONFIG_HOME=" + home, "XDG_CACHE_HOME=" + home}}.
		Start(t, append([]string{os.Args[0], "recall", dir, "--most", "6", "--show"}, more...)...)
	r.WaitText(`frame 1 of 6`)
	r.WaitFor(func(g *testterm.Grid) bool { return tilesIn(g) == soughtFrames })
	return r
}

var underTile = regexp.MustCompile(`VRNH\d{4}`)

// tilesIn counts the frames whose name stands right below a picture.
func tilesIn(g *testterm.Grid) int {
	n := 0
	_, rows := g.Size()
	for row := 3; row < rows; row++ { // below the heading
		text := g.Row(row)
		for _, at := range underTile.FindAllStringIndex(text, -1) {
			if pictured(g, utf8.RuneCountInString(text[:at[0]]), row-1) {
				n++
			}
		}
	}
	return n
}

// pictured reports whether a cell shows part of a picture.
func pictured(g *testterm.Grid, col, row int) bool {
	if _, ok := g.PlacementAt(col, row); ok {
		return true
	}
	c := g.Cell(col, row)
	return !c.BG.IsDefault() || strings.ContainsAny(c.Rune, "▀▄█")
}

// leftShow checks that the program ended as it should, and the terminal is as it was.
func leftShow(t *testing.T, r *testterm.Run, want int) {
	t.Helper()
	if code, _ := r.Exit(); code != want {
		t.Errorf("exit code %d, want %d:\n%s", code, want, r.Text())
	}
	if err := r.Snapshot().Clean(); err != nil {
		t.Errorf("left behind: %v", err)
	}
	if c := r.Snapshot().Complaints(); len(c) > 0 {
		t.Errorf("the terminal complains: %v", c)
	}
}

// What was found is looked at, one is chosen, and on leaving it is copied, alone and byte
// for byte.
func TestRecallShowOnTerminals(t *testing.T) {
	deaf := testterm.Answerer{Deaf: true}
	for name, a := range map[string]testterm.Answerer{"kitty": testterm.Kitty(), "xterm": testterm.XTerm(), "deaf": deaf} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir, out := testjob.Template(t, stationFrames, true), filepath.Join(t.TempDir(), "For Anna")
			r := lookAgain(t, a, dir, "--take", out)
			r.Key("right")
			r.WaitText(`frame 2 of 6`)
			chosen, _, _ := strings.Cut(r.Snapshot().Row(0), " ")
			r.Key("t")
			r.WaitText(`1 to be copied into .*For`)
			r.Resize(80, 24)
			r.WaitText(`frame 2 of 6`)
			r.Key("enter")
			r.WaitFor(func(g *testterm.Grid) bool { return tilesIn(g) == 0 && pictured(g, 40, 12) })
			if _, err := os.Stat(out); err == nil {
				t.Error("something is copied before one leaves")
			}
			r.Key("q")
			leftShow(t, r, 0)
			if text := strings.Join(strings.Fields(r.Text()), " "); !strings.Contains(text, "copied as 24-true-") {
				t.Errorf("it does not say what was copied:\n%s", r.Text())
			}
			files, err := os.ReadDir(out)
			if err != nil || len(files) != 1 {
				t.Fatalf("copied: %v, %v; want one file", files, err)
			}
			if want := "24-true-" + strings.ReplaceAll(chosen, "/", "-"); !strings.HasPrefix(files[0].Name(), want) {
				t.Errorf("copied is %s, and chosen was %s", files[0].Name(), chosen)
			}
			sameAsOriginal(t, dir, filepath.Join(out, files[0].Name()))
		})
	}
}

// sameAsOriginal holds a copy against the file of the job that its name tells:
// JOB-BODY-NAME.
func sameAsOriginal(t *testing.T, dir, path string) {
	t.Helper()
	body, name, ok := strings.Cut(strings.TrimPrefix(filepath.Base(path), filepath.Base(dir)+"-"), "-")
	if !ok {
		t.Fatalf("the copy is called %s", filepath.Base(path))
	}
	want, err := os.ReadFile(filepath.Join(dir, body, name))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s: %v, %d bytes, not those of the original, %d", path, err, len(got), len(want))
	}
}

// Ctrl+C leaves without a copy, says how many frames had been chosen, and gives the
// terminal back.
func TestRecallShowInterrupted(t *testing.T) {
	dir, out := testjob.Template(t, stationFrames, true), filepath.Join(t.TempDir(), "For Anna")
	r := lookAgain(t, testterm.Kitty(), dir, "--take", out)
	r.Key("T")
	r.WaitText(`6 to be copied`)
	r.Key("ctrl+c")
	leftShow(t, r, 130)
	if text := r.Text(); !strings.Contains(text, "interrupted; 6 frames chosen and not copied") {
		t.Errorf("it does not say what was chosen:\n%s", text)
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("something was copied")
	}
}
