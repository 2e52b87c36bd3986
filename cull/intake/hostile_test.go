package intake

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"

	"garner/store/vfs/vfstest"
	"garner/store/volume"
)

// What was not there when the card was looked at was never planned: a card that is
// written to meanwhile is not safe.
func TestCardChangesMeanwhile(t *testing.T) {
	for name, change := range map[string]func(m *vfstest.Mem){
		"a file more": func(m *vfstest.Mem) { m.Put("/card/DCIM/100LUMOR/LUM_0002.DNG", cardFile(t, "1001", 2)) },
		"a file rewritten": func(m *vfstest.Mem) {
			m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", append(cardFile(t, "1001", 1), "more"...))
		},
		"a file gone": func(m *vfstest.Mem) { m.Remove("/card/DCIM/100LUMOR/LUM_0001.DNG") },
		"a link more": func(m *vfstest.Mem) { m.Symlink("x", "/card/DCIM/link") },
	} {
		t.Run(name, func(t *testing.T) {
			m := vfstest.New(vfstest.Options{})
			m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", cardFile(t, "1001", 1))
			rep, err := takeIn(m, func(o *Options) {
				o.Event = func(e Event) {
					if e.Kind == FileDone {
						change(m)
					}
				}
			})
			if err != nil || rep.Cards[0].Copied != 1 || rep.Cards[0].Safe || !said(rep, "changed while it was taken in") {
				t.Errorf("%v, safe %v, why %q", err, rep.Cards[0].Safe, rep.Cards[0].Why)
			}
		})
	}
}

// Twins that differ in the middle are set apart once, however often and in whatever
// order their cards are put in.
func TestSetApartOnce(t *testing.T) {
	whole := largeFile(t, "1001", 1)
	clip := make([]byte, 600_000)
	other := slices.Clone(clip)
	other[300_000] = 1
	for name, twins := range map[string][2][]byte{"the second is damaged": {whole, zeroed(whole)}, "the first is damaged": {zeroed(whole), whole}} {
		t.Run(name, func(t *testing.T) {
			m := vfstest.New(vfstest.Options{})
			for i, root := range []string{"/card", "/slot"} {
				m.Put(root+"/DCIM/100LUMOR/LUM_0001.DNG", twins[i])
				m.Put(root+"/DCIM/100LUMOR/LUM_0002.MP4", [][]byte{clip, other}[i])
				m.Put(root+"/PRIVATE/C0001.MP4", [][]byte{clip, other}[i])
			}
			if _, err := takeIn(m, func(o *Options) { o.Sources = []string{"/card", "/slot"} }); err != nil {
				t.Fatal(err)
			}
			for _, sources := range [][]string{{"/card", "/slot"}, {"/slot"}, {"/slot", "/card"}, {"/card"}} {
				rep, err := takeIn(m, func(o *Options) { o.Sources = sources })
				if err != nil || rep.Bad() > 0 {
					t.Fatal(err, rep.Bad())
				}
				for _, c := range rep.Cards {
					if c.CopyBytes != 0 || c.Copied != 0 || !c.Safe {
						t.Errorf("%v: of %s %d bytes were copied again, %d files; safe %v %q", sources, c.Root, c.CopyBytes, c.Copied, c.Safe, c.Why)
					}
				}
			}
		})
	}
}

// A card can't prove itself, be it named as the job that has its files, or by a link
// in such a job.
func TestCardProvesNothingAboutItself(t *testing.T) {
	const sum = "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881  note.txt\n" // sha256sum of "x"
	m := vfstest.New(vfstest.Options{})
	m.Put("/card/note.txt", []byte("x"))
	m.Put("/card/.garner/manifest-sha256.txt", []byte(sum))
	_, err := takeIn(m, func(o *Options) { o.Days, o.SingleCopy, o.ProvenIn = []string{"2026-06-13"}, true, []string{"/card"} })
	var use *UseError
	if !errors.As(err, &use) {
		t.Error("a card was taken for the job that proves it: ", err)
	}
	if runtime.GOOS == "windows" {
		t.Skip("making links needs a right there")
	}
	dir := realDir(t)
	card, other := filepath.Join(dir, "card"), filepath.Join(dir, "other")
	write(t, filepath.Join(card, "note.txt"), "x")
	write(t, filepath.Join(other, ".garner", "manifest-sha256.txt"), sum)
	if err := os.Symlink(filepath.Join(card, "note.txt"), filepath.Join(other, "note.txt")); err != nil {
		t.Fatal(err)
	}
	o := Options{Sources: []string{card}, Days: []string{"2001-01-01"}, ProvenIn: []string{other}, SingleCopy: true}
	rep, err := newRun(o, bare{new(sync.Mutex)}, stock{}, filepath.Join(dir, "job")).takeIn(context.Background())
	if err != nil || rep.Cards[0].LeftOut != 1 || rep.Cards[0].Safe {
		t.Errorf("%v, %d left out, safe %v", err, rep.Cards[0].LeftOut, rep.Cards[0].Safe)
	}
}

// A destination on the card itself is refused also where only the table of mounts
// shows it.
func TestDestinationOnTheCard(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", cardFile(t, "1001", 1))
	second := func(p string) (volume.Volume, error) {
		v, err := onDisks(p)
		if v.Root == "/also" {
			v.Source = "/dev/card"
		}
		return v, err
	}
	_, err := takeIn(m, func(o *Options) { o.VolumeOf = second })
	var use *UseError
	if !errors.As(err, &use) || !strings.Contains(use.Text, "lies on the card") {
		t.Error(err)
	}
	if got := m.Names("/also"); len(got) > 0 {
		t.Errorf("written: %v", got)
	}
}

// Formatting the disk that a folder lies on would take the copy beside it too.
func TestCardOnTheDiskOfTheJob(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/job-disk/card/DCIM/100LUMOR/LUM_0001.DNG", cardFile(t, "1001", 1))
	for root, want := range map[string]bool{"/job-disk/job": true, "/job": false} {
		rep, err := newRunForTest(m, Options{Sources: []string{"/job-disk/card"}, Also: []string{"/also/job"}}, root)
		if err != nil || !rep.Cards[0].Safe || said(rep, "do not format the disk") != want {
			t.Errorf("%s: %v, safe %v, %q", root, err, rep.Cards[0].Safe, rep.Cards[0].Remarks)
		}
	}
}

// The sums of a destination that fails after the last file of a card are missing
// there, which the card's verdict must say.
func TestSumsThatCannotBeWritten(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", cardFile(t, "1001", 1))
	m.Inject(vfstest.Fault{Op: vfstest.OpRename, Path: "/also/job/.garner/", Stay: true, Err: syscall.EIO})
	rep, err := takeIn(m, nil)
	if err != nil || rep.Cards[0].Safe || !said(rep, "sums of /also/job") {
		t.Errorf("%v, safe %v, %q", err, rep.Cards[0].Safe, rep.Cards[0].Why)
	}
	d := &destination{n: 1, listed: nil, down: syscall.ENOSPC}
	if err := d.flush(m, nil); err != nil {
		t.Error("a destination that is down and owes nothing: ", err)
	}
	d.sums.sums = map[string][32]byte{"A/x": {}}
	if err := d.flush(m, nil); err == nil {
		t.Error("sums that were never written are passed over")
	}
}

// A folder of the job that is a link counts for the disk that it leads to, and one
// that leads into a card is not written through.
func TestFolderOfTheJobIsALink(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("making links needs a right there")
	}
	dir := realDir(t)
	at := func(names ...string) string { return filepath.Join(append([]string{dir}, names...)...) }
	write(t, at("card", "DCIM", "100LUMOR", "LUM_0001.DNG"), string(cardFile(t, "1001", 1)))
	disks := func(p string) (volume.Volume, error) {
		rel, err := filepath.Rel(dir, p)
		top, _, _ := strings.Cut(filepath.ToSlash(rel), "/")
		v := volume.Volume{Disk: top}
		v.Root, v.Source = at(top), "/dev/"+top
		return v, err
	}
	for _, c := range []struct {
		name, job, leads string
		failed           int
	}{
		{"to the other destination's disk", "job1", at("also", "elsewhere"), 0},
		{"into the card", "job2", at("card", "DCIM", "100LUMOR"), 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, p := range []string{at(c.job), c.leads} {
				if err := os.MkdirAll(p, 0o777); err != nil {
					t.Fatal(err)
				}
			}
			if err := os.Symlink(c.leads, at(c.job, "A")); err != nil {
				t.Fatal(err)
			}
			o := Options{Sources: []string{at("card")}, Also: []string{at("also", c.job)}, VolumeOf: disks}
			rep, err := newRun(o, bare{new(sync.Mutex)}, stock{}, at(c.job)).takeIn(context.Background())
			if err != nil || rep.Cards[0].Safe || rep.Bad() != c.failed {
				t.Errorf("%v, safe %v, %d failed %v", err, rep.Cards[0].Safe, rep.Bad(), rep.Cards[0].Failed)
			}
			if names, _ := os.ReadDir(at("card", "DCIM", "100LUMOR")); len(names) != 1 {
				t.Errorf("the card was written to: %v", names)
			}
		})
	}
}

func realDir(t *testing.T) string {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

func write(t *testing.T, p, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(p), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(p, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}
