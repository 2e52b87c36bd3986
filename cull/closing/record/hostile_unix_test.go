//go:build linux || darwin

package record

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// ways are all in which a record is read.
var ways = map[string]func(*Record) error{
	FramesName:   func(r *Record) error { return last(r.Frames()) },
	FilesName:    func(r *Record) error { return last(r.Files()) },
	PicturesName: func(r *Record) error { return last(r.Pictures()) },
	WroteName:    func(r *Record) error { return last(r.Wrote()) },
	JournalName:  func(r *Record) error { _, err := r.Journal(); return err },
	ThumbsName:   func(r *Record) error { _, err := r.Thumb(Span{0, 1}); return err },
}

func last[T any](list func(func(T, error) bool)) (last error) {
	for _, err := range list {
		last = err
	}
	return last
}

// A pipe in the place of a file is not waited for, and a link not followed.
func TestNoFilesInTheRecord(t *testing.T) {
	secret := filepath.Join(t.TempDir(), "secret")
	if err := os.WriteFile(secret, []byte("{\"v\":1,\"run\":1}\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	within := func(what string, do func() error) {
		t.Helper()
		done := make(chan error)
		go func() { done <- do() }()
		select {
		case err := <-done:
			if err == nil || !strings.Contains(err.Error(), "not a regular file") {
				t.Errorf("%s: %v", what, err)
			}
		case <-time.After(20 * time.Second):
			t.Fatalf("%s is waited for", what)
		}
	}
	for what, put := range map[string]func(path string) error{
		"a pipe": func(p string) error { return syscall.Mkfifo(p, 0o666) },
		"a link": func(p string) error { return os.Symlink(secret, p) },
	} {
		bag := t.TempDir()
		write(t, bag, 1, Content{})
		r, err := Open(bag)
		if err != nil {
			t.Fatal(err)
		}
		instead := func(name string) {
			p := filepath.Join(r.Dir, name)
			if err := os.Remove(p); err != nil {
				t.Fatal(err)
			}
			if err := put(p); err != nil {
				t.Fatal(err)
			}
		}
		for name, read := range ways {
			instead(name)
			within(what+" named "+name, func() error { return read(r) })
		}
		instead(JobName)
		within(what+" named "+JobName, func() error { _, err := Open(bag); return err })
	}
}
