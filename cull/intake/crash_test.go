package intake

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"garner/cull"
	"garner/preview/build"
	"garner/store"
	"garner/store/copy"
	"garner/store/manifest"
	"garner/store/vfs/vfstest"
	"garner/store/volume"
)

// bare is a host without a catalogue.
type bare struct{ mu *sync.Mutex }

func (b bare) Letters(bodies []cull.Body) (map[string]string, error) {
	m := map[string]string{}
	for i, body := range bodies {
		m[body.Key] = string(rune('A' + i))
	}
	return m, nil
}

func (b bare) Exclusively(fn func() error) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	return fn()
}

func (b bare) SetDamaged(string) error { return nil }

// cardFile is a small camera file of frame i.
func cardFile(t testing.TB, serial string, i int) []byte {
	t.Helper()
	s := build.Shot{Make: "Lumora", Model: "Lumora Five", Serial: serial, Orientation: 1, Counter: int64(1000 + i), Width: 64, Height: 48,
		Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 4, Den: 1}, ISO: 400,
		Taken: build.Clock{Wall: time.Date(2026, 6, 13, 14, 0, i, 130e6, time.UTC), Digits: 2}}
	data, err := build.DNG(s, build.Pictures{Full: smallJPEG}, binary.LittleEndian)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// smallJPEG begins and ends as a baseline JPEG of 64x48 does; nobody decodes it.
var smallJPEG = []byte{0xFF, 0xD8, 0xFF, 0xC0, 0, 11, 8, 0, 48, 0, 64, 1, 1, 0x11, 0, 0xFF, 0xD9}

// fiftyFiles fills a card: pictures of two folders with clashing names, pairs, a
// voice note, equal sidecars, a clip tree.
func fiftyFiles(t testing.TB) map[string][]byte {
	files := map[string][]byte{}
	for i := range 32 {
		dir, n := "100LUMOR", i+1
		if i >= 24 {
			dir, n = "101LUMOR", i-23 // a second round of the counter
		}
		files[fmt.Sprintf("/card/DCIM/%s/LUM_%04d.DNG", dir, n)] = cardFile(t, "1001", i)
	}
	for i := range 6 {
		files[fmt.Sprintf("/card/DCIM/100LUMOR/LUM_%04d.XMP", i+1)] = []byte("<x/>")
		files[fmt.Sprintf("/card/DCIM/100LUMOR/LUM_%04d.WAV", i+1)] = []byte(fmt.Sprint("RIFF", i))
	}
	for i := range 6 {
		files[fmt.Sprintf("/card/PRIVATE/CLIP/C%04d.MP4", i+1)] = bytes.Repeat([]byte{byte(i)}, 3000)
	}
	return files
}

func cardOn(t testing.TB, opt vfstest.Options, files map[string][]byte) *vfstest.Mem {
	m := vfstest.New(opt)
	for p, data := range files {
		m.Put(p, data)
	}
	return m
}

// onDisks gives each top folder a disk of its own.
func onDisks(p string) (volume.Volume, error) {
	top, _, _ := strings.Cut(strings.TrimPrefix(path.Clean(p), "/"), "/")
	v := volume.Volume{Disk: top}
	v.Root, v.Source = "/"+top, "/dev/"+top
	return v, nil
}

var testPool = copy.NewPool(poolBytes)

func takeIn(m *vfstest.Mem, change func(*Options)) (Report, error) {
	o := Options{FS: m, Sources: []string{"/card"}, Also: []string{"/also/job"}, VolumeOf: onDisks}
	if change != nil {
		change(&o)
	}
	return newRunForTest(m, o, "/job")
}

func newRunForTest(m *vfstest.Mem, o Options, job string) (Report, error) {
	o.FS = m
	if o.VolumeOf == nil {
		o.VolumeOf = onDisks
	}
	r := newRun(o, bare{new(sync.Mutex)}, stock{}, job)
	r.pool = testPool // or thousands of runs would do little but clear memory
	return r.takeIn(context.Background())
}

// oneDisk puts everything but the card on one disk.
func oneDisk(p string) (volume.Volume, error) {
	v, err := onDisks(p)
	if v.Disk != "card" {
		v.Disk = "disk"
	}
	return v, err
}

// right looks at every file below a destination: under a final name there is the
// whole content of one of the card's files, or none.
func right(m *vfstest.Mem, root string, files map[string][]byte, finished bool) string {
	want := map[string]int{}
	for _, data := range files {
		want[string(data)]++
	}
	var wrong string
	var walk func(dir string)
	walk = func(dir string) {
		for _, name := range m.Names(dir) {
			p := dir + "/" + name
			data, isFile := m.Get(p)
			switch {
			case !isFile:
				walk(p)
			case store.IsPartial(name) && finished:
				wrong = "a partial is left: " + p
			case store.IsPartial(name), strings.HasPrefix(p, root+"/.garner/"):
			case want[string(data)] == 0:
				wrong = fmt.Sprintf("%s has content that is not on the card, or once more than there", p)
			default:
				want[string(data)]--
			}
		}
	}
	walk(root)
	if finished && wrong == "" {
		for data, n := range want {
			if n > 0 {
				return fmt.Sprintf("%s lacks %d files of %d bytes", root, n, len(data))
			}
		}
	}
	return wrong
}

// TestPowerLoss lets the power fail at every operation of an offload to two
// destinations, looks at disks that may be left by it, and offloads again onto one
// of them. GARNER_CRASH_SEEDS says how many disks for each operation; then it is
// offloaded again onto every one.
func TestPowerLoss(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of offloads")
	}
	seeds, onto := 4, 1
	if n, err := strconv.Atoi(os.Getenv("GARNER_CRASH_SEEDS")); err == nil {
		seeds, onto = n, n
	}
	files := fiftyFiles(t)
	if len(files) != 50 {
		t.Fatalf("%d files", len(files))
	}
	m := cardOn(t, vfstest.Options{}, files)
	rep, err := takeIn(m, nil)
	if err != nil || rep.Bad() > 0 || !rep.Cards[0].Safe {
		t.Fatalf("%v, %+v", err, rep.Cards[0])
	}
	for _, root := range []string{"/job", "/also/job"} {
		if s := right(m, root, files, true); s != "" {
			t.Fatal(s)
		}
	}
	total := m.Count("")
	points := total * seeds
	t.Logf("%d operations, %d disks for each: %d crash points", total, seeds, points)
	if points < 10_000 {
		t.Errorf("only %d crash points", points)
	}
	var all sync.WaitGroup
	next := make(chan int)
	for range 2 {
		all.Go(func() {
			for n := range next {
				m := cardOn(t, vfstest.Options{}, files)
				m.PowerOffAfter(n)
				rep, _ := takeIn(m, nil)
				if n < total*9/10 && rep.Cards[0].Safe {
					t.Errorf("power off after %d operations: the card is called safe", n)
				}
				for seed := range seeds {
					c := m.CrashClone(rand.New(rand.NewPCG(uint64(seed), uint64(n))))
					if s := afterCrash(c, files, (n+seed)%seeds < onto); s != "" {
						t.Errorf("power off after %d operations, seed %d: %s", n, seed, s)
					}
				}
			}
		})
	}
	for n := range total {
		next <- n
	}
	close(next)
	all.Wait()
}

func afterCrash(c *vfstest.Mem, files map[string][]byte, again bool) string {
	for _, root := range []string{"/job", "/also/job"} {
		if s := right(c, root, files, false); s != "" {
			return s
		}
	}
	if !again {
		return ""
	}
	rep, err := takeIn(c, nil)
	if err != nil || rep.Bad() > 0 || !rep.Cards[0].Safe {
		return fmt.Sprintf("the next run: %v, %v %+v", err, rep.Cards[0].Why, rep.Cards[0].Failed)
	}
	for p, data := range files {
		if got, _ := c.Get(p); !bytes.Equal(got, data) {
			return "the card changed: " + p
		}
	}
	for _, root := range []string{"/job", "/also/job"} {
		if s := right(c, root, files, true); s != "" {
			return s
		}
		if s := manifests(c, root, files); s != "" {
			return s
		}
	}
	return ""
}

// manifests compares what the manifests list with what is there.
func manifests(c *vfstest.Mem, root string, files map[string][]byte) string {
	n := 0
	for _, name := range []string{manifestName, sidecarsName} {
		data, _ := c.Get(root + "/.garner/" + name)
		sums, err := manifest.Read(io.LimitReader(bytes.NewReader(data), 1<<20))
		if err != nil {
			return err.Error()
		}
		for p, sum := range sums {
			content, ok := c.Get(root + "/" + p)
			d := store.NewDigest()
			d.Write(content)
			if !ok || d.Sum() != sum {
				return fmt.Sprintf("%s lists %s, which is not there or other", name, p)
			}
		}
		n += len(sums)
	}
	if n != len(files) {
		return fmt.Sprintf("%s: %d files are listed", root, n)
	}
	return ""
}
