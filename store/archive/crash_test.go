package archive_test

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"garner/store"
	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// scene is a growing that is interrupted: of a bag that has some files, or of none.
type scene struct {
	opt    vfstest.Options
	before int // files that the bag has; 0: there is no bag
}

// start gives the disk before, and what is to be done on it. The README changes, so
// that tag files are exchanged too.
func (s scene) start(t testing.TB) (*vfstest.Mem, archive.Growth) {
	m := vfstest.New(s.opt)
	puts := frames(m.Put, "A/1.CR3", "A/2.CR3", "B/3.CR3", "A/4.CR3")
	m.Put("/one/disk", nil)
	m.Put("/two/disk", nil)
	if s.before > 0 {
		g := growth(puts[:s.before], "/one/bag", "/two/bag")
		_, err := archive.Grow(ctx, m, g)
		must(t, err)
	}
	return m, growth(puts, "/one/bag", "/two/bag")
}

// listed are the payload files of a bag, or none.
func listed(m *vfstest.Mem, dir string) []string {
	b, err := archive.Open(m, dir)
	if err != nil {
		return nil
	}
	return b.Files()
}

// judge looks at a bag after an interruption: it is valid, or says in one sentence
// that it was interrupted; all that it had is listed and right; and what was promised
// is there.
func judge(m *vfstest.Mem, dir string, had []string, p archive.Place, all int) string {
	r, err := archive.Check(ctx, m, dir, nil)
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, archive.ErrNoBag):
		if len(had) > 0 || p.Dir != "" && p.Err == nil {
			return "the bag is gone: " + err.Error()
		}
		return ""
	case err != nil:
		return err.Error()
	}
	for _, f := range r.Findings {
		if f.Fault && (f.Kind != archive.Growing || !r.Bag.Growing) {
			return f.String()
		}
	}
	if r.Valid() == r.Bag.Growing {
		return "an interruption is not told"
	}
	now := r.Bag.Files()
	for _, path := range had {
		if !slices.Contains(now, path) {
			return path + " is listed no more"
		}
	}
	if r.Files != len(now) {
		return fmt.Sprintf("%d of %d files are right", r.Files, len(now))
	}
	if p.Dir != "" && p.Err == nil && len(now) != all {
		return fmt.Sprintf("was done, and lists %d files of %d", len(now), all)
	}
	return ""
}

// crashes lets the power fail before each operation of a growing, looks at many disks
// that could be left, and returns what is wrong with them. The next growing, which is
// interrupted once more on some, must end in the same bytes as an undisturbed one.
func crashes(t testing.TB, s scene, wrap func(vfs.FS) vfs.FS, seeds uint64) (wrong []string, points int) {
	m, g := s.start(t)
	before := m.Count("")
	_, err := archive.Grow(ctx, wrap(m), g)
	must(t, err)
	points = m.Count("") - before
	undisturbed := bags(m)
	for n := 0; n <= points; n += step() {
		m, g := s.start(t)
		had := listed(m, "/one/bag")
		m.PowerOffAfter(n)
		places, _ := archive.Grow(ctx, wrap(m), g)
		for seed := range seeds {
			rng := rand.New(rand.NewPCG(seed, uint64(n)))
			c := m.CrashClone(rng)
			say := func(what string) {
				wrong = append(wrong, fmt.Sprintf("power off after %d of %d operations, seed %d: %s", n, points, seed, what))
			}
			for i, p := range places {
				if what := judge(c, g.Dirs[i], had, p, len(g.Puts)); what != "" {
					say(p.Dir + ": " + what)
				}
			}
			if seed%2 == 1 { // again
				c.PowerOffAfter(rng.IntN(points))
				again, _ := archive.Grow(ctx, wrap(c), g)
				c = c.CrashClone(rng)
				for i, p := range again {
					if what := judge(c, g.Dirs[i], had, p, len(g.Puts)); what != "" {
						say(p.Dir + ": interrupted twice: " + what)
					}
				}
			}
			if _, err := archive.Grow(ctx, c, g); err != nil {
				say("going on: " + err.Error())
			} else if !maps.Equal(bags(c), undisturbed) {
				say("other bytes than undisturbed: " + fmt.Sprint(slices.Sorted(maps.Keys(bags(c)))))
			}
		}
	}
	return wrong, points
}

// step is 1: every operation counts. Beside the race detector some must do.
func step() int {
	if testing.Short() {
		return 13
	}
	return 1
}

// bags is all that lies on both disks.
func bags(m *vfstest.Mem) map[string]string {
	all := tree(m, "/one")
	maps.Copy(all, tree(m, "/two"))
	return all
}

func same(fsys vfs.FS) vfs.FS { return fsys }

func TestCrash(t *testing.T) {
	seeds := uint64(2)
	if n, err := strconv.ParseUint(os.Getenv("GARNER_CRASH_SEEDS"), 10, 32); err == nil {
		seeds = n
	}
	for name, s := range map[string]scene{"new": {}, "grown": {before: 2}, "grown on FAT": {vfstest.Options{FAT: true}, 2}} {
		t.Run(name, func(t *testing.T) {
			wrong, points := crashes(t, s, same, seeds)
			for _, w := range wrong[:min(len(wrong), 10)] {
				t.Error(w)
			}
			if points < 300 {
				t.Errorf("only %d crash points: the test does not see the steps", points)
			}
			t.Logf("%d crash points", points)
		})
	}
}

// Without syncs the same test has to find faults, or it shows nothing.
func TestCrashTestFindsMissingSyncs(t *testing.T) {
	for _, l := range vfstest.Lazies() {
		wrong, _ := crashes(t, scene{before: 2}, l.On, 1)
		if len(wrong) == 0 {
			t.Errorf("without syncs (of files %v, of folders %v) nothing was found wrong", l.File, l.Folder)
		}
	}
}

// After an interruption other files may be wanted, with other bytes: what is in no
// manifest is swept or put anew, what is in one is held to be the bag's.
func TestCrashThenOtherFiles(t *testing.T) {
	s := scene{before: 1}
	m, g := s.start(t)
	before := m.Count("")
	_, err := archive.Grow(ctx, m, g)
	must(t, err)
	done, refused := 0, 0
	for n := range m.Count("") - before {
		m, g := s.start(t)
		m.PowerOffAfter(n)
		archive.Grow(ctx, m, g)
		c := m.CrashClone(rand.New(rand.NewPCG(1, uint64(n))))
		c.Put("/job/A/2.CR3", []byte("edited meanwhile"))
		next := growth(nil, g.Dirs...)
		next.Puts = append(next.Puts, g.Puts[0], archive.Put{Path: "data/job/A/2.CR3", Source: "/job/A/2.CR3"})
		places, _ := archive.Grow(ctx, c, next)
		for i, p := range places {
			r, err := archive.Check(ctx, c, p.Dir, nil)
			must(t, err)
			switch {
			case p.Err == nil && len(r.Findings) == 0:
				if b, _ := c.Get(p.Dir + "/data/job/A/2.CR3"); string(b) != "edited meanwhile" {
					t.Errorf("%d: %q", n, b)
				}
				done++
			case errors.Is(p.Err, store.ErrDiffers):
				refused++
				if _, err := archive.Grow(ctx, c, archive.Growth{Dirs: g.Dirs[i : i+1], Puts: g.Puts[:1], Info: g.Info}); err != nil {
					t.Errorf("%d: %v", n, err)
				}
				if r, err := archive.Check(ctx, c, p.Dir, nil); err != nil || !r.Valid() {
					t.Errorf("%d: %v, %v", n, err, r.Findings)
				}
			default:
				t.Errorf("%d: %v, %v", n, p.Err, r.Findings)
			}
		}
	}
	if done == 0 || refused == 0 {
		t.Errorf("%d done, %d refused", done, refused)
	}
}

// Every operation fails once: the places that are said to be whole are, the others say
// so, and the next growing ends in the same bytes.
func TestFaults(t *testing.T) {
	for _, s := range []scene{{}, {before: 2}} {
		m, g := s.start(t)
		before := m.Count("")
		_, err := archive.Grow(ctx, m, g)
		must(t, err)
		points, undisturbed := m.Count("")-before, bags(m)
		failed := 0
		for n := 1; n <= points; n += step() {
			m, g := s.start(t)
			had := listed(m, "/one/bag")
			m.Inject(vfstest.Fault{N: n, Err: syscall.EIO})
			places, err := archive.Grow(ctx, m, g)
			m.Heal()
			if err != nil {
				failed++
			}
			for i, p := range places {
				if what := judge(m, g.Dirs[i], had, p, len(g.Puts)); what != "" {
					t.Errorf("operation %d of %d: %s: %s", n, points, p.Dir, what)
				}
			}
			if _, err := archive.Grow(ctx, m, g); err != nil {
				t.Errorf("operation %d of %d: going on: %v", n, points, err)
			} else if !maps.Equal(bags(m), undisturbed) {
				t.Errorf("operation %d of %d: other bytes than undisturbed", n, points)
			}
		}
		if failed < points/step()/2 {
			t.Errorf("%d of %d faults were noticed", failed, points)
		}
	}
}

// A bit that rots on one medium while it grows is found by the read-back.
func TestRotIsFound(t *testing.T) {
	m, g := scene{}.start(t)
	m.Inject(vfstest.Fault{Op: vfstest.OpSync, Path: "/one/bag/data/job/A", Do: func(p string) { m.Rot(p, 77) }})
	places, err := archive.Grow(ctx, m, g)
	if store.Class(err) != store.Mismatch || places[0].Err == nil || places[1].Err != nil {
		t.Errorf("%v", err)
	}
	m, g = scene{}.start(t)
	m.Inject(vfstest.Fault{Op: vfstest.OpSync, Path: "/two/bag/.manifest-sha512", Do: func(p string) { m.Rot(p, 77) }})
	places, err = archive.Grow(ctx, m, g)
	if store.Class(err) != store.Mismatch || places[1].Err == nil || places[0].Err != nil || !strings.Contains(err.Error(), "manifest-sha512.txt") {
		t.Errorf("%v", err)
	}
}
