package cache

import (
	"bufio"
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// childDir names the variable that makes this test program write into a cache
// until it is killed.
const childDir = "GARNER_TEST_CACHE_CHILD"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		writeUntilKilled(dir)
	}
	os.Exit(m.Run())
}

// writeUntilKilled says each key on stdout when it is in the cache.
func writeUntilKilled(dir string) {
	c := Open(dir, roomy)
	for i := 0; ; i++ {
		key := fmt.Sprintf("%d-%d", os.Getpid(), i)
		if err := c.PutThumb(key, body(key, 20_000)); err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		if err := c.PutRendition(key, body(key, 60_000)); err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		fmt.Println(key)
	}
}

// Killed at any instant, a writer leaves no wrong entry, and every entry that
// it had said to be there is there: the system keeps what was written.
func TestKilledWhileWriting(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many programs")
	}
	dir := t.TempDir()
	seed := rand.Uint64()
	rnd := rand.New(rand.NewPCG(seed, 0))
	var said []string
	for range 15 {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), childDir+"="+dir)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		for n := rnd.IntN(25); n >= 0 && lines.Scan(); n-- {
			if strings.HasPrefix(lines.Text(), "error") {
				t.Fatal(lines.Text())
			}
			said = append(said, lines.Text())
		}
		cmd.Process.Kill()
		for lines.Scan() {
			said = append(said, lines.Text()) // written before the kill came
		}
		cmd.Wait()

		c := Open(dir, roomy)
		for _, key := range said {
			if got, ok := c.Thumb(key); !ok || !bytes.Equal(got, body(key, 20_000)) {
				t.Fatalf("seed %d: thumbnail %s: hit %v, %d bytes", seed, key, ok, len(got))
			}
			if got, ok := c.Rendition(key); !ok || !bytes.Equal(got, body(key, 60_000)) {
				t.Fatalf("seed %d: rendition %s: hit %v, %d bytes", seed, key, ok, len(got))
			}
		}
		for key := range c.index {
			if got, ok := c.Thumb(key); ok && !bytes.Equal(got, body(key, 20_000)) {
				t.Fatalf("seed %d: %s is there and wrong", seed, key)
			}
		}
		if s := c.Stats(); s.Bad != 0 {
			t.Fatalf("seed %d: %+v", seed, s)
		}
	}
}

// Left-over temporary files take room, so they must go when room is needed.
func TestLeftOverTemporaryFilesGo(t *testing.T) {
	dir := t.TempDir()
	c := Open(dir, Options{MaxDisk: 5000})
	if err := c.PutRendition("a", make([]byte, 1000)); err != nil {
		t.Fatal(err)
	}
	left := filepath.Join(dir, renditionName("b")+".1-1.tmp")
	if err := os.MkdirAll(filepath.Dir(left), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(left, make([]byte, 2000), 0o666); err != nil {
		t.Fatal(err)
	}
	c = Open(dir, Options{MaxDisk: 5000})
	for i := range 4 {
		if err := c.PutRendition(fmt.Sprint(i), make([]byte, 1000)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := os.Lstat(left); err == nil {
		t.Error("it is still there")
	}
	if got := taken(t, dir); got > 5000 {
		t.Errorf("%d bytes on the disk", got)
	}
}
