package erasable_test

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"garner/store"
	"garner/store/erasable"
	"garner/store/vfs"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv("ERASABLE_TEST_CHILD"); dir != "" {
		child(dir)
		return
	}
	os.Exit(m.Run())
}

func in(dir string) erasable.File {
	return erasable.File{FS: vfs.OS{}, Path: filepath.Join(dir, "f"), Begins: begins, MaxSize: 1 << 20}
}

// content is what the n-th replacement writes: no part of it is in another one.
func content(n int) []byte {
	b := []byte(begins)
	r := rand.New(rand.NewPCG(uint64(n), 1))
	for len(b) < 40_000 {
		b = fmt.Appendf(b, "%016x", r.Uint64())
	}
	return b
}

// child replaces and says so, until it is killed.
func child(dir string) {
	for n := 1; ; n++ {
		unlock, err := in(dir).Lock()
		if err == nil {
			err = in(dir).Replace(content(n))
		}
		if err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		unlock()
		fmt.Println(n)
	}
}

// Killed at any instant, the file is the last content that was promised or a later
// one, whole, and after settling no file of the folder has any of another one.
func TestKilled(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a killed child's files take a moment to close")
	}
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	dir := t.TempDir()
	left := 0
	for round := range 25 {
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), "ERASABLE_TEST_CHILD="+dir)
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		promised := 0
		until := 1 + r.IntN(5)
		for promised < until && lines.Scan() {
			if promised, err = strconv.Atoi(lines.Text()); err != nil {
				t.Fatal(lines.Text())
			}
		}
		time.Sleep(time.Duration(r.IntN(1500)) * time.Microsecond)
		_ = c.Process.Kill()
		for lines.Scan() {
			promised, _ = strconv.Atoi(lines.Text())
		}
		_ = c.Wait()

		f := in(dir)
		unlock, err := f.Lock() // the dead one's has ended with it
		if err != nil {
			t.Fatal(err)
		}
		if f.LeftOver() {
			left++
		}
		if err := f.Settle(); err != nil {
			t.Fatal(err)
		}
		got, err := f.Read()
		unlock()
		if err != nil || !bytes.Equal(got, content(promised)) && !bytes.Equal(got, content(promised+1)) {
			t.Fatalf("seed %d, round %d: promised %d, %d bytes are there: %v", seed, round, promised, len(got), err)
		}
		names, _ := filepath.Glob(filepath.Join(dir, "*"))
		if len(names) != 2 { // the file and its lock
			t.Errorf("seed %d, round %d: %v", seed, round, names)
		}
	}
	t.Logf("%d of 25 kills left something to settle", left)
}

func TestRefusesWhatIsNotOurs(t *testing.T) {
	dir := t.TempDir()
	victim := filepath.Join(dir, "victim")
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	read := func() string {
		b, _ := os.ReadFile(victim)
		return string(b)
	}
	write(victim, "somebody's picture")
	f := in(dir)
	for _, name := range []string{f.Path, f.Path + ".new", f.Path + ".old"} {
		if err := os.Symlink(victim, name); err != nil {
			t.Skip("no links here")
		}
		for _, err := range []error{f.Settle(), f.Remove(), f.Replace(content(1))} {
			if !errors.Is(err, store.ErrNotRegular) {
				t.Errorf("%s is a link: %v", filepath.Base(name), err)
			}
		}
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	}
	// A file with a second name, as unpacking somebody's archive may make it.
	if err := os.Link(victim, f.Path+".old"); err != nil {
		t.Skip("no second names here")
	}
	if err := f.Settle(); err != nil || read() != "somebody's picture" || f.LeftOver() {
		t.Errorf("%v, %q", err, read())
	}
	write(f.Path, string(make([]byte, 1<<20+1)))
	if _, err := f.Read(); !errors.Is(err, erasable.ErrTooLarge) {
		t.Errorf("%v", err)
	}
}

func TestModeAndBusy(t *testing.T) {
	f := in(t.TempDir())
	if b, err := f.Read(); b != nil || err != nil || f.Exists() {
		t.Errorf("%v, %v", b, err)
	}
	for n := range 2 {
		if err := f.Replace(content(n)); err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(f.Path)
		if err != nil || info.Mode().Perm() != 0o600 && runtime.GOOS != "windows" {
			t.Errorf("%v, %v", info.Mode(), err)
		}
	}
	if b, err := f.Read(); err != nil || !bytes.Equal(b, content(1)) {
		t.Errorf("%d bytes, %v", len(b), err)
	}
	unlock, err := f.Lock()
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error)
	go func() {
		second, err := f.Lock() // two goroutines exclude each other too
		if err == nil {
			second()
		}
		done <- err
	}()
	select {
	case err := <-done:
		t.Errorf("locked twice: %v", err)
	case <-time.After(20 * time.Millisecond):
	}
	unlock()
	if err := <-done; err != nil {
		t.Error(err)
	}
}
