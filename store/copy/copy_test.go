package copy_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// content is bytes that are nowhere alike, so that a piece out of place shows.
func content(n int) []byte {
	rng := rand.New(rand.NewPCG(uint64(n), 42))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(rng.Uint32())
	}
	return b
}

const card = "/card/DCIM/IMG_0001.CR3"

// on returns a file system with the card's file on it, and the usual job.
func on(opt vfstest.Options, data []byte) (*vfstest.Mem, copy.Job) {
	m := vfstest.New(opt)
	m.Put(card, data)
	return m, copy.Job{Source: card, Dests: []string{"/one/A/IMG_0001.CR3", "/two/A/IMG_0001.CR3"}}
}

func run(t *testing.T, m vfs.FS, job copy.Job) (copy.Result, error) {
	t.Helper()
	before := runtime.NumGoroutine()
	res, err := copy.File(context.Background(), m, job)
	if after := runtime.NumGoroutine(); after > before {
		time.Sleep(10 * time.Millisecond) // goroutines that have said Done may still be on their way out
		if after = runtime.NumGoroutine(); after > before {
			t.Errorf("%d goroutines before, %d after", before, after)
		}
	}
	if len(res.Dests) != len(job.Dests) {
		t.Fatalf("%d results for %d targets", len(res.Dests), len(job.Dests))
	}
	bad := 0
	for i, d := range res.Dests {
		if d.Path != job.Dests[i] {
			t.Errorf("result %d is of %s", i, d.Path)
		}
		if (d.State == copy.Failed) != (d.Err != nil) {
			t.Errorf("%s is %v with error %v", d.Path, d.State, d.Err)
		}
		if d.Err != nil {
			bad++
		}
	}
	if (bad > 0) != (err != nil) {
		t.Errorf("%d failed targets and error %v", bad, err)
	}
	return res, err
}

// expectTidy checks that nothing but the final names is there.
func expectTidy(t *testing.T, m *vfstest.Mem) {
	t.Helper()
	for _, dir := range []string{"/one/A", "/two/A"} {
		for _, n := range m.Names(dir) {
			if store.IsPartial(n) {
				t.Errorf("left behind: %s/%s", dir, n)
			}
		}
	}
}

func expectFile(t *testing.T, m *vfstest.Mem, path string, want []byte) {
	t.Helper()
	got, ok := m.Get(path)
	switch {
	case !ok && want != nil:
		t.Errorf("%s is missing", path)
	case ok && want == nil:
		t.Errorf("%s is there, %d bytes", path, len(got))
	case !bytes.Equal(got, want):
		t.Errorf("%s holds other content (%d bytes, want %d)", path, len(got), len(want))
	}
}

// The digests are the example values of FIPS 180-4; the sizes lie on both sides
// of the buffer's.
func TestDigestOfCopies(t *testing.T) {
	for in, want := range map[string]string{
		"":    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
		"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
		strings.Repeat("a", 1_000_000):                             "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
	} {
		m, job := on(vfstest.Options{}, []byte(in))
		res, err := run(t, m, job)
		if err != nil || store.Hex(res.Sum) != want || res.Size != int64(len(in)) {
			t.Errorf("%d bytes: %s, %d, %v", len(in), store.Hex(res.Sum), res.Size, err)
		}
	}
}

func TestSizes(t *testing.T) {
	const buf = 1 << 20
	for _, n := range []int{0, 1, buf - 1, buf, buf + 1, 4*buf - 1, 4 * buf, 9*buf + 5} {
		m, job := on(vfstest.Options{}, content(n))
		var progress int64
		job.Progress = func(n int64) { progress += n }
		res, err := run(t, m, job)
		if err != nil {
			t.Fatal(err)
		}
		if res.Sum != sha256.Sum256(content(n)) || progress != int64(n) {
			t.Errorf("%d bytes: digest %x, progress %d", n, res.Sum, progress)
		}
		for _, d := range res.Dests {
			if d.State != copy.Copied || !d.Bypassed || d.Cloned || !d.Times {
				t.Errorf("%d bytes: %+v", n, d)
			}
			expectFile(t, m, d.Path, content(n))
		}
		expectTidy(t, m)
	}
}

// One read of the source feeds all: a second target costs no read more.
func TestSourceIsReadOnce(t *testing.T) {
	reads := func(dests ...string) (n int) {
		m, job := on(vfstest.Options{}, content(3<<20))
		job.Dests = dests
		if _, err := run(t, m, job); err != nil {
			t.Fatal(err)
		}
		for _, e := range m.Log() {
			if e.Op == vfstest.OpRead && e.Path == card {
				n++
			}
		}
		return n
	}
	one, three := reads("/a/x"), reads("/a/x", "/b/x", "/c/x")
	if one != three || one == 0 {
		t.Errorf("%d reads for one target, %d for three", one, three)
	}
}

// The order of the steps is what the contract rests on.
func TestOrderOfSteps(t *testing.T) {
	m, job := on(vfstest.Options{}, content(100))
	m.Put("/one/A/keep", nil)
	job.Dests = job.Dests[:1]
	if _, err := run(t, m, job); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range m.Log() {
		if !strings.HasPrefix(e.Path, "/one") || e.Op == vfstest.OpStat || e.Op == vfstest.OpClose {
			continue
		}
		if n := len(got); n == 0 || got[n-1] != string(e.Op) {
			got = append(got, string(e.Op))
		}
	}
	want := "create, preallocate, write, chtimes, sync, open, drop cache, read, rename, syncdir"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("%s\nwant %s", s, want)
	}
}

func TestPresentIsNotCopiedAgain(t *testing.T) {
	m, job := on(vfstest.Options{}, content(2<<20))
	if _, err := run(t, m, job); err != nil {
		t.Fatal(err)
	}
	writes := m.Count(vfstest.OpWrite)
	if err := m.Remove("/two/A/IMG_0001.CR3"); err != nil {
		t.Fatal(err)
	}
	res, err := run(t, m, job)
	if err != nil || res.Dests[0].State != copy.Present || res.Dests[1].State != copy.Copied {
		t.Errorf("%+v, %v", res.Dests, err)
	}
	if !res.Dests[0].Bypassed || !res.Dests[0].Times {
		t.Errorf("%+v", res.Dests[0])
	}
	if again := m.Count(vfstest.OpWrite) - writes; again != writes/2 {
		t.Errorf("%d writes for the one missing target, %d for two", again, writes)
	}
}

func TestExistingFileIsNeverOverwritten(t *testing.T) {
	data := content(5000)
	for name, other := range map[string][]byte{
		"same size, one bit": flip(data, 12345),
		"shorter by one":     data[:len(data)-1],
		"longer by one":      append(bytes.Clone(data), 0),
		"empty":              {},
	} {
		m, job := on(vfstest.Options{}, data)
		m.Put(job.Dests[0], other)
		res, err := run(t, m, job)
		if !errors.Is(err, store.ErrDiffers) || !errors.Is(res.Dests[0].Err, store.ErrDiffers) || store.Class(err) != store.Differs {
			t.Errorf("%s: %v", name, err)
		}
		expectFile(t, m, job.Dests[0], other)
		if res.Dests[1].State != copy.Copied {
			t.Errorf("%s: the other target is %v: %v", name, res.Dests[1].State, res.Dests[1].Err)
		}
		expectFile(t, m, job.Dests[1], data)
		expectTidy(t, m)
	}
}

func flip(b []byte, bit int) []byte {
	b = bytes.Clone(b)
	b[bit/8] ^= 1 << (bit % 8)
	return b
}

// Somebody makes the target while it is being copied.
func TestTargetAppears(t *testing.T) {
	data := content(5000)
	for _, c := range []struct {
		appears []byte
		state   copy.State
	}{{data, copy.Present}, {flip(data, 7), copy.Failed}, {data[:10], copy.Failed}} {
		m, job := on(vfstest.Options{}, data)
		job.Dests = job.Dests[:1]
		m.Inject(vfstest.Fault{Op: vfstest.OpRename, Do: func(p string) { m.Put(p, c.appears) }})
		res, err := run(t, m, job)
		if res.Dests[0].State != c.state || c.state == copy.Failed && !errors.Is(err, store.ErrDiffers) {
			t.Errorf("%v, %v, want %v", res.Dests[0].State, err, c.state)
		}
		expectFile(t, m, job.Dests[0], c.appears)
		expectTidy(t, m)
	}
}

func TestFoldersAndLinksAreNoTargets(t *testing.T) {
	m, job := on(vfstest.Options{}, content(100))
	m.Put("/one/A/IMG_0001.CR3/inside", nil)
	m.Put("/two/A/elsewhere", content(100))
	if err := m.Symlink("elsewhere", "/two/A/IMG_0001.CR3"); err != nil {
		t.Fatal(err)
	}
	res, _ := run(t, m, job)
	for _, d := range res.Dests {
		if !errors.Is(d.Err, store.ErrDiffers) || strings.Contains(d.Err.Error(), "\n") {
			t.Errorf("%q", d.Err)
		}
	}
}

func TestOneFileIsNotTwoCopies(t *testing.T) {
	m, job := on(vfstest.Options{FAT: true}, content(100))
	job.Dests = []string{"/one/A/IMG_0001.CR3", "/ONE/a/img_0001.cr3"}
	res, err := run(t, m, job)
	if !errors.Is(err, store.ErrSameFile) || res.Dests[0].State == res.Dests[1].State {
		t.Errorf("two spellings of one name: %+v, %v", res.Dests, err)
	}
	for _, dests := range [][]string{{"/one/x", "/one/./x"}, {card}, {"/card/../card/DCIM/IMG_0001.CR3"}, {"/CARD/dcim/img_0001.cr3"}, nil} {
		job.Dests = dests
		_, err := copy.File(context.Background(), m, job)
		if err == nil || len(dests) > 0 && !errors.Is(err, store.ErrSameFile) {
			t.Errorf("%q: %v", dests, err)
		}
	}
	expectFile(t, m, card, content(100))
}

func TestExpect(t *testing.T) {
	data := content(3000)
	sum := sha256.Sum256(data)
	m, job := on(vfstest.Options{}, data)
	job.Expect = &sum
	if _, err := run(t, m, job); err != nil {
		t.Error(err)
	}
	m, job = on(vfstest.Options{}, flip(data, 0))
	job.Expect = &sum
	res, err := run(t, m, job)
	if !errors.Is(err, store.ErrMismatch) || res.Sum != sha256.Sum256(flip(data, 0)) {
		t.Errorf("%v, %x", err, res.Sum)
	}
	expectFile(t, m, job.Dests[0], nil)
	expectTidy(t, m)
}

func TestClone(t *testing.T) {
	data := content(2 << 20)
	for _, can := range []bool{true, false} {
		m, job := on(vfstest.Options{Clones: can}, data)
		job.AllowClone = true
		res, err := run(t, m, job)
		if err != nil || res.Sum != sha256.Sum256(data) {
			t.Errorf("%v, %x", err, res.Sum)
		}
		for _, d := range res.Dests {
			if d.Cloned != can || d.State != copy.Copied || !d.Bypassed || !d.Times {
				t.Errorf("clones %v: %+v", can, d)
			}
			expectFile(t, m, d.Path, data)
		}
		if wrote := m.Count(vfstest.OpWrite) > 0; wrote == can {
			t.Errorf("clones %v: %d writes", can, m.Count(vfstest.OpWrite))
		}
		if m.Count(vfstest.OpSync) < 2 {
			t.Error("the clones were not synced")
		}
	}
}

func TestTimes(t *testing.T) {
	for _, fat := range []bool{false, true} {
		m, job := on(vfstest.Options{FAT: fat}, content(10))
		when := time.Date(2026, 6, 13, 14, 2, 11, 130e6, time.UTC)
		if err := m.Chtimes(card, when); err != nil {
			t.Fatal(err)
		}
		res, err := run(t, m, job)
		if err != nil || !res.Dests[0].Times {
			t.Errorf("%+v, %v", res.Dests[0], err)
		}
		info, err := m.Stat(job.Dests[0])
		if err != nil || info.ModTime().Sub(when).Abs() > 2*time.Second || !fat && !info.ModTime().Equal(when) {
			t.Errorf("FAT %v: %v, %v", fat, info.ModTime(), err)
		}
	}
}

// A file system that can't keep times gets its copy all the same, and it is said.
func TestTimesThatCannotBeKept(t *testing.T) {
	m, job := on(vfstest.Options{}, content(10))
	old := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC)
	if err := m.Chtimes(card, old); err != nil {
		t.Fatal(err)
	}
	m.Inject(vfstest.Fault{Op: vfstest.OpChtimes, Path: "/one/", Stay: true, Err: os.ErrPermission})
	res, err := run(t, m, job)
	if err != nil || res.Dests[0].Times || !res.Dests[1].Times {
		t.Errorf("%+v, %v", res.Dests, err)
	}
}

func TestCancel(t *testing.T) {
	m, job := on(vfstest.Options{}, content(8<<20))
	ctx, cancel := context.WithCancel(context.Background())
	read := int64(0)
	job.Progress = func(n int64) {
		if read += n; read >= 2<<20 {
			cancel()
		}
	}
	res, err := copy.File(ctx, m, job)
	if !errors.Is(err, context.Canceled) || store.Class(err) != store.Stopped || read > 3<<20 {
		t.Errorf("%v after %d bytes", err, read)
	}
	for _, d := range res.Dests {
		if d.State != copy.Failed || d.Err == nil {
			t.Errorf("%+v", d)
		}
		expectFile(t, m, d.Path, nil)
	}
	expectTidy(t, m)
	if _, err := run(t, m, copy.Job{Source: card, Dests: job.Dests}); err != nil {
		t.Errorf("going on: %v", err)
	}
}

// On the real file system: the bytes, the times, and memory that does not grow
// with the file.
func TestOnDisk(t *testing.T) {
	dir := t.TempDir()
	src := filepath.Join(dir, "caf\u00e9 1.NEF")
	data := content(24 << 20)
	if err := os.WriteFile(src, data, 0o444); err != nil {
		t.Fatal(err)
	}
	when := time.Date(2026, 6, 13, 14, 2, 12, 0, time.UTC)
	if err := os.Chtimes(src, when, when); err != nil {
		t.Fatal(err)
	}
	job := copy.Job{Source: src, AllowClone: true, Dests: []string{filepath.Join(dir, "x", "y", "a.NEF"), filepath.Join(dir, "z", "a.NEF")}}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	res, err := run(t, vfs.OS{}, job)
	runtime.ReadMemStats(&after)
	if err != nil || res.Sum != sha256.Sum256(data) {
		t.Fatalf("%v, %x", err, res.Sum)
	}
	if got := after.TotalAlloc - before.TotalAlloc; got > 8<<20 {
		t.Errorf("%d bytes allocated for a file of %d", got, len(data))
	}
	for _, d := range res.Dests {
		got, err := os.ReadFile(d.Path)
		if err != nil || !bytes.Equal(got, data) {
			t.Errorf("%s: %d bytes, %v", d.Path, len(got), err)
		}
		info, err := os.Stat(d.Path)
		if err != nil || !info.ModTime().Equal(when) || !d.Times {
			t.Errorf("%s: %v, %v", d.Path, info, err)
		}
		bypassed, err := copy.Verify(context.Background(), vfs.OS{}, d.Path, res.Sum)
		t.Logf("bypassed %v, cloned %v; again %v", d.Bypassed, d.Cloned, bypassed)
		if err != nil {
			t.Error(err)
		}
	}
	if res, err = run(t, vfs.OS{}, job); err != nil || res.Dests[0].State != copy.Present {
		t.Errorf("again: %+v, %v", res.Dests[0], err)
	}
	for _, sub := range []string{"x/y", "z"} {
		if entries, _ := os.ReadDir(filepath.Join(dir, sub)); len(entries) != 1 {
			t.Errorf("left behind in %s: %v", sub, entries)
		}
	}
}

func TestReadBack(t *testing.T) {
	data := content(3<<20 + 17)
	m, _ := on(vfstest.Options{}, data)
	c, err := copy.ReadBack(context.Background(), m, card)
	if err != nil || c.Sum != sha256.Sum256(data) || c.Size != int64(len(data)) || !c.Bypassed {
		t.Errorf("%+v, %v", c, err)
	}
	if _, err := copy.Verify(context.Background(), m, card, c.Sum); err != nil {
		t.Error(err)
	}
	m.Rot(card, 8_000_000)
	if _, err := copy.Verify(context.Background(), m, card, c.Sum); !errors.Is(err, store.ErrMismatch) {
		t.Errorf("one bit rotten: %v", err)
	}
	if _, err := copy.ReadBack(context.Background(), m, "/card"); !errors.Is(err, store.ErrNotRegular) {
		t.Errorf("a folder: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if c, err := copy.ReadBack(ctx, m, card); !errors.Is(err, context.Canceled) || c != (copy.Content{}) {
		t.Errorf("%v, %+v", err, c)
	}
}

func ExampleState() {
	fmt.Println(copy.Copied, copy.Present, copy.Failed)
	// Output: copied present failed
}
