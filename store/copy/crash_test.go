package copy_test

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// crashes lets the power fail before each operation of a copy to two places,
// looks at many disks that could be left, and returns what is wrong with them.
// The property: a final name that is there is whole and right; a target reported
// as done is there; the source is untouched; and the same job brings it to an end.
func crashes(opt vfstest.Options, wrap func(vfs.FS) vfs.FS, seeds uint64) (wrong []string, points int) {
	data := content(2500)
	start := func() (*vfstest.Mem, copy.Job) {
		m, job := on(opt, data)
		m.Put("/one/A/keep", nil) // one folder is there, the other has to be made
		job.AllowClone = true
		return m, job
	}
	m, job := start()
	if _, err := copy.File(context.Background(), wrap(m), job); err != nil {
		return []string{err.Error()}, 0
	}
	points = m.Count("")
	for n := 0; n <= points; n++ {
		m, job := start()
		m.PowerOffAfter(n)
		res, _ := copy.File(context.Background(), wrap(m), job)
		for seed := range seeds {
			c := m.CrashClone(rand.New(rand.NewPCG(seed, uint64(n))))
			if s := judge(c, job, res, data); s != "" {
				wrong = append(wrong, fmt.Sprintf("power off after %d operations, seed %d: %s", n, seed, s))
			}
		}
	}
	return wrong, points
}

func judge(c *vfstest.Mem, job copy.Job, res copy.Result, data []byte) string {
	if b, _ := c.Get(job.Source); !bytes.Equal(b, data) {
		return "the source changed"
	}
	for _, d := range res.Dests {
		b, ok := c.Get(d.Path)
		if ok && !bytes.Equal(b, data) {
			return fmt.Sprintf("%s has %d bytes that are not the source's", d.Path, len(b))
		}
		if d.State != copy.Failed && !ok {
			return fmt.Sprintf("%s was %v and is gone", d.Path, d.State)
		}
	}
	for _, dir := range []string{"/one/A", "/two/A"} {
		if _, err := vfs.Sweep(c, dir); err != nil {
			return err.Error()
		}
		for _, n := range c.Names(dir) {
			if store.IsPartial(n) {
				return "not swept: " + n
			}
		}
	}
	if _, err := copy.File(context.Background(), c, job); err != nil {
		return "going on: " + err.Error()
	}
	return ""
}

func same(fsys vfs.FS) vfs.FS { return fsys }

func TestCrash(t *testing.T) {
	for name, opt := range map[string]vfstest.Options{"plain": {}, "clones": {Clones: true}, "FAT": {FAT: true}} {
		wrong, points := crashes(opt, same, 25)
		for _, w := range wrong {
			t.Errorf("%s: %s", name, w)
		}
		if points < 30 {
			t.Errorf("%s: only %d crash points: the test does not see the steps", name, points)
		}
	}
}

// Without syncs the same test has to find faults, or it shows nothing.
func TestCrashTestFindsMissingSyncs(t *testing.T) {
	for _, l := range vfstest.Lazies() {
		for _, opt := range []vfstest.Options{{}, {Clones: true}} {
			wrong, _ := crashes(opt, l.On, 25)
			if len(wrong) == 0 {
				t.Errorf("%+v, without syncs (of files %v, of folders %v) nothing was found wrong", opt, l.File, l.Folder)
			}
		}
	}
}
