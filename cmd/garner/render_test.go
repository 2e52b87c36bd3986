package main

import (
	"bufio"
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// finishedJob is a prepared job with so many finished pictures.
func finishedJob(t *testing.T, n int) string {
	t.Helper()
	dir, _ := smallJob(t, 1)
	m := image.NewRGBA(image.Rect(0, 0, 90, 60))
	if err := os.Mkdir(filepath.Join(dir, "finished"), 0o777); err != nil {
		t.Fatal(err)
	}
	for i := range n {
		for k := range m.Pix {
			m.Pix[k] = byte(k/9 + 31*i)
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, m, nil); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "finished", fmt.Sprintf("%03d.jpg", i)), b.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// The codes that scripts rely on, and what a person reads with them.
func TestRenderExitCodes(t *testing.T) {
	settings := func(text string) func(string) error {
		return func(dir string) error { return os.WriteFile(filepath.Join(dir, "garner.toml"), []byte(text), 0o666) }
	}
	for _, c := range []struct {
		name string
		make func(dir string) error
		args []string
		want int
		says string
	}{
		{"all", nil, nil, exitDone, "6 files from 2 pictures (lab, online, screen): 6 cut, 0 unchanged"},
		{"no set of that name", nil, []string{"--set", "onlin"}, exitUsage, "error: there is no set onlin; there are lab, online, proofs, screen"},
		{"a key that nobody knows", settings("goal = 5\n[sets.online]\nlong_egde = 2000\n"), nil, exitFailed, "error: garner.toml: line 3, column 1: sets.online.long_egde is no setting; long_edge may be meant"},
		{"a value that cannot be", settings("[sets.online]\nquality = 850\n"), nil, exitFailed, "error: garner.toml: line 2, column 11: quality is 850: it must be 1 to 100"},
		{"a table that is none", settings("[sets.online\n"), nil, exitFailed, "error: garner.toml: line 1, column "},
		{"a form that does not fit", settings("[sets.album]\nexact = [60, 60]\n"), nil, exitPartly,
			"sets/album: 2 files could not be made: the form is not that of 60 x 60 pixels, and nobody said that they may be cropped: 000.jpg, 001.jpg\ngarner: hint: crop = true in [sets.album]"},
		{"a table meant for another", settings("[stamps]\ntext = \"Berg\"\n"), nil, exitFailed, "error: garner.toml: line 1, column 2: stamps is no setting; stamp may be meant"},
		{"a stamp of nothing", settings("[stamp]\ncorner = \"top\"\n"), nil, exitPartly, "sets/online: 2 files could not be made: the stamp cannot be made: it has neither a text nor a picture"},
		{"no font", settings("[stamp]\ntext = \"Berg\"\nfont = \"Berg.ttf\"\n"), nil, exitPartly, "sets/online: 2 files could not be made: the stamp cannot be made: the font "},
		{"no font, and nothing else", settings("[stamp]\ntext = \"Berg\"\nfont = \"Berg.ttf\"\n"), []string{"--set", "online"}, exitFailed, "error: the stamp cannot be made: the font "},
		{"no folder", func(dir string) error {
			if err := os.Mkdir(filepath.Join(dir, "sets"), 0o777); err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(dir, "sets", "screen"), nil, 0o666)
		}, nil, exitPartly, "sets/screen: 2 files could not be made: its folder cannot be written: a file of that name stands in its place"},
		{"no folder at all", func(dir string) error { return os.WriteFile(filepath.Join(dir, "sets"), nil, 0o666) }, nil, exitFailed,
			"error: the folder sets cannot be written: a file of that name stands in its place"},
		{"a broken picture", func(dir string) error { return os.Truncate(filepath.Join(dir, "finished", "001.jpg"), 700) }, nil, exitPartly, "finished/001.jpg: a broken JPEG: "},
		{"a broken picture, before it is cut", func(dir string) error { return os.Truncate(filepath.Join(dir, "finished", "001.jpg"), 700) }, []string{"--dry-run"}, exitDone,
			"a finished picture cannot be read: 001.jpg (a broken JPEG: "},
		{"no pictures", func(dir string) error { return os.RemoveAll(filepath.Join(dir, "finished")) }, nil, exitFailed, "error: there is no finished picture"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := finishedJob(t, 2)
			if c.make != nil {
				if err := c.make(dir); err != nil {
					t.Fatal(err)
				}
			}
			run := garner(append([]string{"render", dir}, c.args...)...)
			msg, _ := run.CombinedOutput()
			if got := run.ProcessState.ExitCode(); got != c.want || !strings.Contains(string(msg), c.says) {
				t.Errorf("exit code %d, wanted %d with %q:\n%s", got, c.want, c.says, msg)
			}
		})
	}
}

// TestInterruptedRender interrupts a render that has cut its first file and cannot tell
// of all, because nobody reads on.
func TestInterruptedRender(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt here")
	}
	dir := finishedJob(t, 24)
	c := garner("render", dir, "--json")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var errs strings.Builder
	c.Stderr = &errs
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewReader(out)
	for line := ""; !strings.Contains(line, `"action":"written"`); {
		if line, err = lines.ReadString('\n'); err != nil {
			t.Fatal(err, errs.String())
		}
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	rest, err := io.ReadAll(lines)
	if err != nil {
		t.Fatal(err)
	}
	_ = c.Wait()
	if c.ProcessState.ExitCode() != exitInterrupted || !strings.Contains(errs.String(), "interrupted; what is done is kept, the same command goes on from here") {
		t.Errorf("exit code %d: %s", c.ProcessState.ExitCode(), errs.String())
	}
	if all := strings.Split(strings.TrimSpace(string(rest)), "\n"); !strings.Contains(all[len(all)-1], `"event":"done"`) {
		t.Errorf("the last line is %s", all[len(all)-1])
	}
	n := 0
	err = filepath.WalkDir(filepath.Join(dir, "sets"), func(path string, d fs.DirEntry, err error) error {
		if filepath.Ext(path) == ".jpg" {
			n++
		} else if !d.IsDir() && d.Name() != "names.jsonl" {
			t.Errorf("left behind: %s", path)
		}
		return err
	})
	if err != nil || n == 0 || n == 72 {
		t.Errorf("%d files, %v", n, err)
	}
	msg, err := garner("render", dir).CombinedOutput()
	if err != nil || !strings.Contains(string(msg), "72 files from 24 pictures") || strings.Contains(string(msg), "72 cut") {
		t.Errorf("%v: %s", err, msg)
	}
}
