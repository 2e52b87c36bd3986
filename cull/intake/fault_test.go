package intake

import (
	"bytes"
	"errors"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"garner/store"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
	"garner/store/volume"
)

// mishap is something that goes wrong while fifty files are taken in.
type mishap struct {
	name    string
	opt     vfstest.Options
	before  func(m *vfstest.Mem) // the run begins
	planned func(m *vfstest.Mem) // the cards have been looked at, nothing is copied yet

	failed  []string // of the card; nil = none, "*" = any number, but one
	why     string   // part of the reason
	down    string   // part of why a destination was given up; "" = none was
	safe    bool     // it makes no difference in the end
	missing bool     // what failed may have reached one of the destinations
}

// big is a file of which only the middle is not in its ends.
const big = "/card/PRIVATE/CLIP/BIG.MP4"

// third is a picture of the middle of the card.
const third = "DCIM/100LUMOR/LUM_0003.DNG"

func mishaps() []mishap {
	fault := func(f vfstest.Fault) func(*vfstest.Mem) { return func(m *vfstest.Mem) { m.Inject(f) } }
	below := func(p string) string { return strings.TrimPrefix(p, "/card/") }
	return []mishap{
		{name: "nothing", safe: true},
		{name: "a read error in the middle", before: func(m *vfstest.Mem) { m.Break(big, 200_000) },
			failed: []string{below(big)}, why: "at byte"},
		{name: "a read error at the beginning", before: func(m *vfstest.Mem) { m.Break("/card/"+third, 0) },
			failed: []string{third}, why: syscall.EIO.Error()},
		{name: "a read error that passes", planned: fault(vfstest.Fault{Op: vfstest.OpRead, Path: third, Err: syscall.EIO}), safe: true},
		{name: "a read error while the card is looked at", before: fault(vfstest.Fault{Op: vfstest.OpRead, Path: third, Err: syscall.EIO}), safe: true},
		{name: "a card that is pulled out", planned: func(m *vfstest.Mem) {
			m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: "/card/", N: 30, Err: syscall.ENODEV, Do: func(string) {
				m.Inject(vfstest.Fault{Path: "/card", Stay: true, Err: syscall.ENODEV})
			}})
		}, failed: []string{"*"}, why: "no longer there"},
		{name: "a file that changes after it was looked at", planned: func(m *vfstest.Mem) {
			data, _ := m.Get("/card/" + third)
			data[len(data)/2] ^= 1
			m.Put("/card/"+third, data)
		}, failed: []string{third}, why: "changed while it was read"},
		{name: "a file that changes while it is read", planned: func(m *vfstest.Mem) {
			for n := range 3 { // and again, however often it is tried
				m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: below(big), N: 1 + n, Stay: true, Do: func(string) {
					data, _ := m.Get(big)
					data[len(data)/2]++
					m.Put(big, data)
				}})
			}
		}, failed: []string{below(big)}, why: "changed while it was read"},
		{name: "a file that is gone when its turn comes", planned: func(m *vfstest.Mem) {
			m.Remove("/card/" + third)
		}, failed: []string{third}, why: "no such file"},
		{name: "a full disk", planned: fault(vfstest.Fault{Op: vfstest.OpWrite, Path: "/also/", N: 12, Stay: true, Err: syscall.ENOSPC}),
			failed: []string{"*"}, why: "/also/copy", down: syscall.ENOSPC.Error(), missing: true},
		{name: "a full disk of the job", planned: fault(vfstest.Fault{Op: vfstest.OpWrite, Path: "/job/", N: 12, Stay: true, Err: syscall.ENOSPC}),
			failed: []string{"*"}, why: "/job", down: syscall.ENOSPC.Error(), missing: true},
		{name: "a disk that turns read-only", planned: func(m *vfstest.Mem) {
			for _, op := range []vfstest.Op{vfstest.OpCreate, vfstest.OpMkdir, vfstest.OpRename, vfstest.OpWrite} {
				m.Inject(vfstest.Fault{Op: op, Path: "/also/", N: 9, Stay: true, Err: syscall.EROFS})
			}
		}, failed: []string{"*"}, why: "/also/copy", down: syscall.EROFS.Error(), missing: true},
		{name: "a disk that is gone", planned: fault(vfstest.Fault{Path: "/also", N: 90, Stay: true, Err: syscall.ENODEV}),
			failed: []string{"*"}, why: "/also/copy", down: syscall.ENODEV.Error(), missing: true},
		{name: "a write error", planned: fault(vfstest.Fault{Op: vfstest.OpWrite, Path: "/also/copy/A/.LUM_0003.DNG", Stay: true, Err: syscall.EIO}),
			failed: []string{third}, why: "/also/copy", missing: true},
		{name: "a sync error", planned: fault(vfstest.Fault{Op: vfstest.OpSync, Path: "/also/copy/A/.LUM_0003.DNG", Stay: true, Err: syscall.EIO}),
			failed: []string{third}, why: "/also/copy", missing: true},
		{name: "a medium that flips a bit after the sync", planned: func(m *vfstest.Mem) {
			m.Inject(vfstest.Fault{Op: vfstest.OpDropCache, Path: "/also/copy/A/.LUM_0003.DNG", Stay: true, Do: func(p string) { m.Rot(p, 8*700+3) }})
		}, failed: []string{third}, why: "content is not what was expected", missing: true},
		{name: "FAT", opt: vfstest.Options{FAT: true}, safe: true},
		{name: "no way past the cache", opt: vfstest.Options{NoBypass: true}, safe: true},
	}
}

// TestMishaps holds, for each, what is said; that nothing wrong stands under a final
// name; that the card is as it was; that it is called safe only when nothing was
// lost; and that the next run, with the trouble over, completes it.
func TestMishaps(t *testing.T) {
	for _, tt := range mishaps() {
		t.Run(tt.name, func(t *testing.T) {
			files := fiftyFiles(t)
			files[big] = bytes.Repeat([]byte("all the speeches "), 30_000)
			m := cardOn(t, tt.opt, files)
			if tt.before != nil {
				tt.before(m)
			}
			// A path that is no part of the job's: faults go by parts of paths.
			also := func(o *Options) { o.Also = []string{"/also/copy"} }
			rep, err := takeIn(m, func(o *Options) {
				also(o)
				o.Event = func(e Event) {
					if e.Kind == Planned && tt.planned != nil {
						tt.planned(m)
					}
				}
			})
			if err != nil {
				t.Fatal(err)
			}
			tt.judge(t, rep)
			now := onCard(m, files)
			for _, root := range []string{"/job", "/also/copy"} {
				if s := right(m, root, join(files, now), false); s != "" {
					t.Error(s)
				}
			}

			m.Heal()
			for p, data := range files { // what broke is read again, what was lost is back
				m.Break(p, 1<<40)
				if _, there := m.Get(p); !there {
					m.Put(p, data)
				}
			}
			now = onCard(m, files)
			rep, err = takeIn(m, also)
			if err != nil || rep.Bad() > 0 || !rep.Cards[0].Safe {
				t.Fatalf("the next run: %v, %q, %+v", err, rep.Cards[0].Why, rep.Cards[0].Failed)
			}
			for _, root := range []string{"/job", "/also/copy"} {
				if s := right(m, root, now, true); s != "" {
					t.Error(s)
				}
				if s := manifests(m, root, now); s != "" {
					t.Error(s)
				}
			}
		})
	}
}

// judge holds what a run reported.
func (tt mishap) judge(t *testing.T, rep Report) {
	t.Helper()
	card := rep.Cards[0]
	if card.Safe != tt.safe || card.Safe != (len(card.Why) == 0) {
		t.Errorf("safe is %v, because of %q", card.Safe, card.Why)
	}
	var failed []string
	for _, f := range card.Failed {
		failed = append(failed, f.Path)
		if f.State != Failed {
			t.Errorf("%s is %q", f.Path, f.State)
		}
	}
	slices.Sort(failed)
	if any := len(tt.failed) == 1 && tt.failed[0] == "*"; any && len(failed) == 0 || !any && !slices.Equal(failed, tt.failed) {
		t.Errorf("failed are %v, want %v", failed, tt.failed)
	}
	if tt.why != "" && !slices.ContainsFunc(card.Failed, func(f File) bool { return strings.Contains(f.Why, tt.why) }) {
		t.Errorf("%q is not said: %+v", tt.why, card.Failed)
	}
	down := 0
	for _, d := range rep.Destinations {
		if d.Down != "" {
			down++
			if tt.down == "" || !strings.Contains(d.Down, tt.down) {
				t.Errorf("%s was given up: %s", d.Root, d.Down)
			}
		}
	}
	if down != map[bool]int{true: 1}[tt.down != ""] {
		t.Errorf("%d destinations were given up", down)
	}
	if rep.Bad() != len(card.Failed) {
		t.Errorf("Bad says %d", rep.Bad())
	}
}

// onCard is what the card holds now.
func onCard(m *vfstest.Mem, files map[string][]byte) map[string][]byte {
	now := map[string][]byte{}
	for p := range files {
		if data, ok := m.Get(p); ok {
			now[p] = data
		}
	}
	return now
}

// join are the contents of both; where one path has two, both count.
func join(a, b map[string][]byte) map[string][]byte {
	all := map[string][]byte{}
	for p, data := range a {
		all[p] = data
	}
	for p, data := range b {
		if !bytes.Equal(a[p], data) {
			all[p+" now"] = data
		}
	}
	return all
}

// A full destination concerns it alone: everything is at the other one.
func TestFullDestinationLeavesTheOther(t *testing.T) {
	files := fiftyFiles(t)
	m := cardOn(t, vfstest.Options{}, files)
	m.Inject(vfstest.Fault{Op: vfstest.OpWrite, Path: "/also/job/A", N: 5, Stay: true, Err: syscall.ENOSPC})
	rep, err := takeIn(m, nil)
	if err != nil || rep.Cards[0].Safe {
		t.Fatalf("%v, safe %v", err, rep.Cards[0].Safe)
	}
	if s := right(m, "/job", files, true); s != "" {
		t.Error(s)
	}
}

// chopped is a file system that gives a few bytes at a time, as read(2) may.
type chopped struct {
	vfs.FS
	most int
	cut  string // a file that ends early, whatever its size says
}

type choppedFile struct {
	vfs.File
	most int
	left int // bytes that are still given; negative = all
}

func (c chopped) Open(name string) (vfs.File, error) {
	f, err := c.FS.Open(name)
	if err != nil {
		return nil, err
	}
	left := -1
	if c.cut != "" && strings.HasSuffix(name, c.cut) {
		left = 2000
	}
	return &choppedFile{f, c.most, left}, nil
}

func (f *choppedFile) Read(p []byte) (int, error) {
	if f.left >= 0 {
		p = p[:min(len(p), f.left)]
		if len(p) == 0 {
			return f.File.ReadAt(nil, 1<<40) // the end
		}
	}
	n, err := f.File.Read(p[:min(len(p), f.most)])
	if f.left >= 0 {
		f.left -= n
	}
	return n, err
}

func TestShortReads(t *testing.T) {
	files := fiftyFiles(t)
	m := cardOn(t, vfstest.Options{}, files)
	rep, err := takeIn(m, func(o *Options) { o.FS = chopped{FS: m, most: 700} })
	if err != nil || rep.Bad() > 0 || !rep.Cards[0].Safe {
		t.Fatalf("%v, %+v", err, rep.Cards[0])
	}
	for _, root := range []string{"/job", "/also/job"} {
		if s := right(m, root, files, true); s != "" {
			t.Error(s)
		}
	}
}

// A file stands where one of the card's would go, or comes to stand there after the
// plan was made: it stays, and the card's is not lost.
func TestExistingFileIsKept(t *testing.T) {
	for _, tt := range []struct {
		name string
		when EventKind // 255 = before the run
		at   string
		data func(own []byte) []byte
	}{
		{"before, other size", 255, "/job", func([]byte) []byte { return []byte("mine") }},
		{"before, the same size", 255, "/job", flipped},
		{"before, at the other destination", 255, "/also/job", flipped},
		{"after the plan was made", Planned, "/job", flipped},
		{"after the plan was made, at the other destination", Planned, "/also/job", func([]byte) []byte { return []byte("mine") }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			files := fiftyFiles(t)
			m := cardOn(t, vfstest.Options{}, files)
			target := tt.at + "/A/" + path.Base(third)
			mine := tt.data(files["/card/"+third])
			if tt.when == 255 {
				m.Put(target, mine)
			}
			rep, err := takeIn(m, func(o *Options) {
				o.Event = func(e Event) {
					if e.Kind == tt.when && tt.when == Planned {
						m.Put(target, mine)
					}
				}
			})
			if err != nil {
				t.Fatal(err)
			}
			if now, _ := m.Get(target); !bytes.Equal(now, mine) {
				t.Fatal("it was written over")
			}
			card := rep.Cards[0]
			if card.Safe == (rep.Bad() > 0) || card.Safe != (len(card.Why) == 0) {
				t.Errorf("safe %v, why %q, failed %+v", card.Safe, card.Why, card.Failed)
			}
			if !card.Safe {
				// It is listed, and the next run settles it.
				if rep.Bad() != 1 || card.Failed[0].Path != third {
					t.Errorf("failed: %+v", card.Failed)
				}
				rep, err = takeIn(m, nil)
				if tt.at != "/job" && err == nil && rep.Bad() == 1 && strings.Contains(rep.Cards[0].Failed[0].Why, store.ErrDiffers.Error()) {
					// All destinations have one path for a file, and the job has it there
					// already: a person has to move what is in the way.
					if err := m.Rename(target, target+".mine"); err != nil {
						t.Fatal(err)
					}
					rep, err = takeIn(m, nil)
				}
				if err != nil || rep.Bad() > 0 || !rep.Cards[0].Safe {
					t.Fatalf("the next run: %v, %q, %+v", err, rep.Cards[0].Why, rep.Cards[0].Failed)
				}
			}
			all := join(files, map[string][]byte{"mine": mine})
			for _, root := range []string{"/job", "/also/job"} {
				want := files
				if root == tt.at {
					want = all
				}
				if s := right(m, root, want, true); s != "" {
					t.Error(s)
				}
			}
		})
	}
}

// flipped is the same file with one other byte in the middle, which is in both ends
// of so small a file.
func flipped(own []byte) []byte {
	data := slices.Clone(own)
	data[len(data)/2] ^= 1
	return data
}

// Two destinations on one disk are one copy, and a disk of memory is said.
func TestOneDiskIsOneCopy(t *testing.T) {
	m := cardOn(t, vfstest.Options{}, fiftyFiles(t))
	rep, err := takeIn(m, func(o *Options) { o.Also = []string{"/job beside"} })
	if err != nil || !rep.Cards[0].Safe {
		t.Fatalf("two disks: %v, %q", err, rep.Cards[0].Why)
	}
	m = cardOn(t, vfstest.Options{}, fiftyFiles(t))
	rep, err = takeIn(m, func(o *Options) { o.VolumeOf = oneDisk })
	if err != nil || rep.Cards[0].Safe || rep.Devices != 1 || rep.Bad() > 0 {
		t.Errorf("one disk: %v, safe %v, %d devices", err, rep.Cards[0].Safe, rep.Devices)
	}
}

// Links, folders that can't be opened: listed, and the card is not safe.
func TestThingsThatAreNoFiles(t *testing.T) {
	files := fiftyFiles(t)
	for name, spoil := range map[string]func(m *vfstest.Mem) (path, why string){
		"a link": func(m *vfstest.Mem) (string, string) {
			_ = m.Symlink("LUM_0001.DNG", "/card/DCIM/100LUMOR/LUM_0999.DNG")
			return "DCIM/100LUMOR/LUM_0999.DNG", "link"
		},
		"a folder that can't be opened": func(m *vfstest.Mem) (string, string) {
			m.Put("/card/DCIM/102LUMOR/LUM_0001.DNG", cardFile(t, "1001", 77))
			m.Inject(vfstest.Fault{Op: vfstest.OpReadDir, Path: "/card/DCIM/102LUMOR", Stay: true, Err: fs.ErrPermission})
			return "DCIM/102LUMOR", "permission"
		},
		"a folder with a bad sector": func(m *vfstest.Mem) (string, string) {
			m.Put("/card/DCIM/102LUMOR/LUM_0001.DNG", cardFile(t, "1001", 77))
			m.Inject(vfstest.Fault{Op: vfstest.OpReadDir, Path: "/card/DCIM/102LUMOR", Stay: true, Err: syscall.EIO})
			return "DCIM/102LUMOR", syscall.EIO.Error()
		},
	} {
		t.Run(name, func(t *testing.T) {
			m := cardOn(t, vfstest.Options{}, files)
			p, why := spoil(m)
			rep, err := takeIn(m, nil)
			if err != nil {
				t.Fatal(err)
			}
			card := rep.Cards[0]
			if card.Safe || len(card.Why) == 0 || rep.Bad() != 1 || card.Failed[0].Path != p || !strings.Contains(card.Failed[0].Why, why) {
				t.Errorf("safe %v, why %q, %+v", card.Safe, card.Why, card.Failed)
			}
			if s := right(m, "/job", files, true); s != "" {
				t.Error(s)
			}
		})
	}
}

// A device that answers with the wrong bytes only the second time, when a file is
// hashed though it is known: the stored copies count, not what the index thinks.
func TestKnownFileIsReadBack(t *testing.T) {
	files := fiftyFiles(t)
	m := cardOn(t, vfstest.Options{}, files)
	if rep, err := takeIn(m, nil); err != nil || !rep.Cards[0].Safe {
		t.Fatal(err)
	}
	m.Rot("/also/job/A/LUM_0003.DNG", 8*9000)
	rep, err := takeIn(m, nil)
	if err != nil {
		t.Fatal(err)
	}
	if card := rep.Cards[0]; card.Safe && len(card.Failed) == 0 && card.Copied == 0 {
		t.Error("a stored copy rotted, and the card is called safe")
	}
	if data, _ := m.Get("/also/job/A/LUM_0003.DNG"); !bytes.Equal(data, files["/card/"+third]) {
		t.Error("the stored copy was written over")
	}
}

// Without room nothing is begun.
func TestNoRoomIsKnownBefore(t *testing.T) {
	files := fiftyFiles(t)
	total := 0
	for _, data := range files {
		total += len(data)
	}
	m := cardOn(t, vfstest.Options{Capacity: int64(total + total/2)}, files)
	rep, err := takeIn(m, nil)
	var room *RoomError
	if !errors.As(err, &room) || len(room.Lacks) == 0 {
		t.Fatalf("%v", err)
	}
	if rep.Cards[0].Safe || m.Count(vfstest.OpCreate) > 0 {
		t.Errorf("safe %v, %d files were made", rep.Cards[0].Safe, m.Count(vfstest.OpCreate))
	}
}

// A destination's folder is another one than at the beginning: a disk was taken away,
// and its mount point is a folder of some other disk. What goes there stands on no
// second device.
func TestDestinationIsAnotherFolder(t *testing.T) {
	for _, when := range []struct {
		name string
		now  func(e Event) bool
	}{
		{"before the first file", func(e Event) bool { return e.Kind == Planned }},
		{"in the middle", func(e Event) bool { return e.Kind == FileDone && e.Card.DoneFiles == 20 }},
		{"after the last file", func(e Event) bool { return e.Kind == FileDone && e.Card.DoneFiles == e.Card.Files }},
	} {
		t.Run(when.name, func(t *testing.T) {
			files := fiftyFiles(t)
			m := cardOn(t, vfstest.Options{}, files)
			m.Put("/also/job/from before.txt", []byte("mine"))
			var other atomic.Bool
			rep, err := takeIn(m, func(o *Options) {
				o.VolumeOf = func(p string) (volume.Volume, error) {
					if strings.HasPrefix(p, "/also") && other.Load() {
						return onDisks("/job")
					}
					return onDisks(p)
				}
				o.Event = func(e Event) {
					if !when.now(e) {
						return
					}
					other.Store(true)
					if err := m.Rename("/also", "/drawer"); err != nil {
						t.Error(err)
					}
					m.Put("/also/job/of another disk.txt", []byte("the mount point's own"))
				}
			})
			if err == nil && (rep.Cards[0].Safe || rep.Bad() == 0 && len(rep.Cards[0].Why) == 0) {
				t.Errorf("safe %v, because of %q", rep.Cards[0].Safe, rep.Cards[0].Why)
			}
			if err == nil {
				if s := right(m, "/job", files, true); s != "" {
					t.Error(s)
				}
			}
		})
	}
}
