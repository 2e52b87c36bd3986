package watch

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// desk is a machine with folders, a mount table and a clock.
type desk struct {
	mem    *vfstest.Mem
	mounts map[string]string // root → source
	now    time.Time
	said   []string
}

func newDesk() *desk {
	d := &desk{mem: vfstest.New(vfstest.Options{}), mounts: map[string]string{"/": "/dev/sda1"}, now: time.Date(2026, 6, 13, 14, 0, 0, 0, time.UTC)}
	d.mem.Put("/media/anna/.keep", nil)
	d.mem.Put("/drop/.keep", nil)
	return d
}

func (d *desk) table() (all []vfs.Mount, err error) {
	for root, source := range d.mounts {
		all = append(all, vfs.Mount{Root: root, Source: source, Type: "exfat"})
	}
	return all, nil
}

func (d *desk) options() Options {
	return Options{FS: d.mem, Mounts: d.table, Quiet: 2 * time.Second, Now: func() time.Time { return d.now },
		Say: func(s string) { d.said = append(d.said, s) }}
}

func (d *desk) insert(root, source string, files ...string) {
	d.mounts[root] = source
	for _, f := range files {
		d.mem.Put(root+"/"+f, []byte(f))
	}
}

func (d *desk) pull(t *testing.T, root string) {
	t.Helper()
	delete(d.mounts, root)
	d.remove(t, root)
}

func (d *desk) remove(t *testing.T, path string) {
	t.Helper()
	if entries, err := d.mem.ReadDir(path); err == nil {
		for _, e := range entries {
			d.remove(t, path+"/"+e.Name())
		}
	}
	if err := d.mem.Remove(path); err != nil {
		t.Fatal(err)
	}
}

// after lets time go by, looks, and returns what is told.
func (d *desk) after(w *watcher, seconds float64, dirs ...string) (told []string) {
	d.now = d.now.Add(time.Duration(seconds * float64(time.Second)))
	w.look(dirs)
	w.o.Cards = func(_ context.Context, roots []string) error {
		told = append(told, "cards "+strings.Join(roots, " "))
		return nil
	}
	w.o.Files = func(_ context.Context, root string, paths []string) error {
		told = append(told, "files "+root+": "+strings.Join(paths, " "))
		return nil
	}
	for do := w.next(); do != nil; do = w.next() {
		_ = do(context.Background())
	}
	return told
}

func want(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("told %q, want %q", got, want)
	}
}

func TestCards(t *testing.T) {
	const root = "/media/anna/CARD"
	t.Run("mounted, pulled, mounted again", func(t *testing.T) {
		d := newDesk()
		w := newWatcher(d.options())
		want(t, d.after(w, 1, "/media/anna"))
		d.insert(root, "/dev/sdb1", "DCIM/100CANON/IMG_0001.CR3")
		want(t, d.after(w, 1, "/media/anna"), "cards "+root)
		want(t, d.after(w, 1, "/media/anna"))
		d.pull(t, root)
		want(t, d.after(w, 1, "/media/anna"))
		d.insert(root, "/dev/sdb1", "DCIM/100CANON/IMG_0001.CR3")
		want(t, d.after(w, 1, "/media/anna"), "cards "+root)
	})
	t.Run("two at once", func(t *testing.T) {
		d := newDesk()
		w := newWatcher(d.options())
		d.insert(root, "/dev/sdb1", "dcim/100CANON/IMG_0001.CR3")
		d.insert(root+"1", "/dev/sdc1", "PRIVATE/M4ROOT/CLIP/C0001.MP4")
		want(t, d.after(w, 1, "/media/anna"), "cards "+root+" "+root+"1")
	})
	t.Run("exchanged between two looks", func(t *testing.T) {
		d := newDesk()
		w := newWatcher(d.options())
		d.insert(root, "/dev/sdb1", "DCIM/100CANON/IMG_0001.CR3")
		d.after(w, 1, "/media/anna")
		d.pull(t, root)
		d.insert(root, "/dev/sdb1", "DCIM/101CANON/IMG_0001.CR3")
		want(t, d.after(w, 1, "/media/anna"), "cards "+root)
	})
	t.Run("pulled before its turn", func(t *testing.T) {
		d := newDesk()
		w := newWatcher(d.options())
		d.insert(root, "/dev/sdb1", "DCIM/100CANON/IMG_0001.CR3")
		w.look([]string{"/media/anna"})
		d.pull(t, root)
		want(t, d.after(w, 1, "/media/anna"))
	})
	t.Run("the watched folder itself", func(t *testing.T) {
		d := newDesk()
		w := newWatcher(d.options())
		want(t, d.after(w, 1, root)) // not there yet
		d.insert(root, "/dev/sdb1", "DCIM/100CANON/IMG_0001.CR3")
		want(t, d.after(w, 1, root), "cards "+root)
	})
	t.Run("a disk is no card", func(t *testing.T) {
		d := newDesk()
		w := newWatcher(d.options())
		d.insert("/media/anna/Backup", "/dev/sdd1", "Job 0612/A/IMG_0001.CR3")
		for range 5 {
			want(t, d.after(w, 2, "/media/anna"))
		}
		if len(d.said) != 1 || !strings.Contains(d.said[0], "Backup is mounted") {
			t.Errorf("said %q", d.said)
		}
	})
	t.Run("where things go to", func(t *testing.T) {
		d := newDesk()
		o := d.options()
		o.Except = []string{"/drop/job/", "/media/anna/SSD"}
		w := newWatcher(o)
		d.insert("/media/anna/SSD", "/dev/sde1", "DCIM/100CANON/IMG_0001.CR3")
		d.mem.Put("/drop/job/A/IMG_0001.CR3", []byte("x"))
		d.mem.Put("/drop/new.CR3", []byte("x"))
		want(t, d.after(w, 1, "/drop", "/media/anna"))
		want(t, d.after(w, 2, "/drop", "/media/anna"), "files /drop: new.CR3")
	})
}

// A folder with DCIM that somebody copies in is told when nothing changes any more.
func TestCardFolderBeingCopied(t *testing.T) {
	d := newDesk()
	w := newWatcher(d.options())
	d.mem.Put("/drop/card 1/DCIM/100CANON/IMG_0001.CR3", []byte("one"))
	want(t, d.after(w, 1, "/drop"))
	d.mem.Put("/drop/card 1/DCIM/100CANON/IMG_0002.CR3", []byte("two"))
	want(t, d.after(w, 1.9, "/drop"))
	want(t, d.after(w, 1.9, "/drop"))
	want(t, d.after(w, 0.2, "/drop"), "cards /drop/card 1")
	want(t, d.after(w, 5, "/drop"))
	d.mem.Put("/drop/card 1/DCIM/100CANON/IMG_0002.CR3", []byte("two, longer"))
	want(t, d.after(w, 1, "/drop"))
	want(t, d.after(w, 2, "/drop"), "cards /drop/card 1")
}

func TestFiles(t *testing.T) {
	d := newDesk()
	w := newWatcher(d.options())
	d.mem.Put("/drop/a.CR3", []byte("a"))
	d.mem.Put("/drop/empty.CR3", nil)
	d.mem.Put("/drop/.a.CR3.upload", []byte("a"))
	d.mem.Put("/drop/Thumbs.db", []byte("a"))
	want(t, d.after(w, 0, "/drop"))
	d.mem.Put("/drop/a.CR3", []byte("aa")) // grows
	d.mem.Put("/drop/deep/er/b.CR3", []byte("b"))
	want(t, d.after(w, 1.5, "/drop"))
	want(t, d.after(w, 1.5, "/drop"))
	want(t, d.after(w, 0.5, "/drop"), "files /drop: a.CR3 deep/er/b.CR3")
	want(t, d.after(w, 9, "/drop"))

	// It went on after all: told again when it has stopped.
	d.mem.Put("/drop/a.CR3", []byte("aaa"))
	want(t, d.after(w, 1, "/drop"))
	want(t, d.after(w, 2, "/drop"), "files /drop: a.CR3")

	// Rewritten with the same size: its time has changed.
	d.mem.Put("/drop/a.CR3", []byte("bbb"))
	want(t, d.after(w, 1, "/drop"))
	want(t, d.after(w, 2, "/drop"), "files /drop: a.CR3")

	// Taken away and dropped again.
	d.remove(t, "/drop/a.CR3")
	want(t, d.after(w, 1, "/drop"))
	d.mem.Put("/drop/a.CR3", []byte("bbb"))
	want(t, d.after(w, 1, "/drop"))
	want(t, d.after(w, 2, "/drop"), "files /drop: a.CR3")
}

// What cannot be read is said once, and the rest goes on.
func TestUnreadableFolder(t *testing.T) {
	d := newDesk()
	o := d.options()
	o.FS = deafFS{d.mem, "/drop/shut"}
	w := newWatcher(o)
	d.mem.Put("/drop/shut/a.CR3", []byte("a"))
	d.mem.Put("/drop/b.CR3", []byte("b"))
	for range 3 {
		d.after(w, 1, "/drop")
	}
	if len(d.said) != 1 || !strings.Contains(d.said[0], "refused") {
		t.Errorf("said %q", d.said)
	}
	if got := w.found["/drop/b.CR3"]; got == nil || !got.told {
		t.Error("the file beside it was not told")
	}
}

type deafFS struct {
	*vfstest.Mem
	shut string
}

func (f deafFS) ReadDir(name string) ([]fs.DirEntry, error) {
	if name == f.shut {
		return nil, errors.New(name + ": refused")
	}
	return f.Mem.ReadDir(name)
}

// TestRun: looking goes on while a card is being worked on; what comes meanwhile is
// told afterwards; the end waits for what is under way.
func TestRun(t *testing.T) {
	d := newDesk()
	o := d.options()
	ticks := make(chan time.Time)
	o.Ticks = ticks
	began, goOn := make(chan string), make(chan struct{})
	o.Cards = func(ctx context.Context, roots []string) error {
		began <- strings.Join(roots, " ")
		<-goOn
		return ctx.Err()
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error)
	d.insert("/media/anna/ONE", "/dev/sdb1", "DCIM/100CANON/IMG_0001.CR3")
	go func() { ended <- Run(ctx, []string{"/media/anna"}, o) }()
	if got := <-began; got != "/media/anna/ONE" {
		t.Fatalf("began with %q", got)
	}
	d.insert("/media/anna/TWO", "/dev/sdc1", "DCIM/100CANON/IMG_0001.CR3")
	ticks <- d.now // looks
	ticks <- d.now // has looked
	goOn <- struct{}{}
	if got := <-began; got != "/media/anna/TWO" {
		t.Fatalf("went on with %q", got)
	}
	stop()
	select {
	case err := <-ended:
		t.Fatalf("ended with %v before its call did", err)
	default:
	}
	goOn <- struct{}{}
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Errorf("ended with %v", err)
	}
}

// TestRunEndsWithTheError: what the call says ends the watch.
func TestRunEndsWithTheError(t *testing.T) {
	d := newDesk()
	o := d.options()
	o.Ticks = make(chan time.Time)
	refused := errors.New("refused")
	var got []string
	o.Cards = func(_ context.Context, roots []string) error { got = roots; return refused }
	d.insert("/media/anna/ONE", "/dev/sdb1", "DCIM/100CANON/IMG_0001.CR3")
	if err := Run(context.Background(), []string{"/media/anna"}, o); !errors.Is(err, refused) {
		t.Errorf("ended with %v", err)
	}
	if !reflect.DeepEqual(got, []string{"/media/anna/ONE"}) {
		t.Error(fmt.Sprint(got))
	}
}
