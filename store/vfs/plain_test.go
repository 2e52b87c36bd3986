//go:build linux || darwin

package vfs

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"garner/store"
)

func TestOpenPlain(t *testing.T) {
	dir := t.TempDir()
	file, pipe, link := filepath.Join(dir, "file"), filepath.Join(dir, "pipe"), filepath.Join(dir, "link")
	if err := errors.Join(os.WriteFile(file, []byte("text"), 0o666), syscall.Mkfifo(pipe, 0o666), os.Symlink(file, link)); err != nil {
		t.Fatal(err)
	}
	f, info, err := OpenPlain(file)
	if err != nil || info.Size() != 4 {
		t.Fatal(info, err)
	}
	if b, err := io.ReadAll(f); string(b) != "text" || err != nil {
		t.Errorf("%q %v", b, err)
	}
	f.Close()
	for _, path := range []string{pipe, link, dir} {
		if _, _, err := OpenPlain(path); !errors.Is(err, store.ErrNotRegular) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, _, err := OpenPlain(filepath.Join(dir, "none")); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
	// One that takes the place of a file after it was looked at is not waited for either.
	for _, path := range []string{pipe, link} {
		opened := make(chan error)
		go func() {
			f, err := openAtOnce(path)
			if err == nil {
				f.Close()
			}
			opened <- err
		}()
		select {
		case <-opened:
		case <-time.After(20 * time.Second):
			t.Fatalf("%s is waited for", path)
		}
	}
}

// Whoever writes and sets the time back is found out by the other one.
func TestTouched(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, []byte("text"), 0o666); err != nil {
		t.Fatal(err)
	}
	before, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := os.Stat(path); Touched(again) != Touched(before) || Touched(before) == 0 {
		t.Errorf("%d, then %d", Touched(before), Touched(again))
	}
	for range 100 { // clocks of file systems tick
		if err := errors.Join(os.WriteFile(path, []byte("toxt"), 0o666), os.Chtimes(path, before.ModTime(), before.ModTime())); err != nil {
			t.Fatal(err)
		}
		after, err := os.Stat(path)
		if err != nil || !after.ModTime().Equal(before.ModTime()) {
			t.Fatal(after, err)
		}
		if Touched(after) != Touched(before) {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Error("it is as if nobody had written")
}
