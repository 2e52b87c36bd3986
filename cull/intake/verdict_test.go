package intake

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"garner/store/vfs/vfstest"
)

// largeFile is a camera file with sensor data that no look at its ends sees.
func largeFile(t testing.TB, serial string, i int) []byte {
	data := cardFile(t, serial, i)
	for k := range 6000 {
		data = fmt.Appendf(data, "sensor row %8d of frame %3d body %s;", k, i, serial)
	}
	return data
}

// zeroed is the file with two sectors of its middle lost.
func zeroed(data []byte) []byte {
	bad := slices.Clone(data)
	clear(bad[len(bad)/2/sector*sector:][:2*sector])
	return bad
}

func get(t *testing.T, m *vfstest.Mem, p string) []byte {
	t.Helper()
	data, ok := m.Get(p)
	if !ok {
		t.Errorf("%s is missing", p)
	}
	return data
}

func said(rep Report, words string) bool {
	for _, c := range rep.Cards {
		if strings.Contains(strings.Join(slices.Concat(c.Notes, c.Why, c.Remarks), "\n"), words) {
			return true
		}
	}
	return false
}

// notes collects what is said of single files.
type notes map[string][]string

func (n notes) event(e Event) {
	if e.Kind == FileDone {
		n[fmt.Sprint(e.Card.Number, " ", e.File.Path)] = append([]string{string(e.File.State)}, e.File.Notes...)
	}
}

// Two slots hold one exposure; in one of them sectors in the middle are lost, where a
// look at both ends sees nothing. Whichever comes first, the whole one is the frame's
// and the other is kept aside or marked.
func TestTwinDamagedInTheMiddle(t *testing.T) {
	whole := largeFile(t, "1001", 1)
	t.Run("second", func(t *testing.T) {
		m := vfstest.New(vfstest.Options{})
		m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", whole)
		m.Put("/slot/DCIM/100LUMOR/LUM_0001.DNG", zeroed(whole))
		n := notes{}
		rep, err := takeIn(m, func(o *Options) { o.Sources, o.Event = []string{"/card", "/slot"}, n.event })
		if err != nil || rep.Bad() > 0 {
			t.Fatal(err, rep.Cards[1].Failed)
		}
		if !bytes.Equal(get(t, m, "/job/A/LUM_0001.DNG"), whole) || !bytes.Equal(get(t, m, "/job/aside/A/LUM_0001.DNG"), zeroed(whole)) {
			t.Error("the whole one is not in its place, or the damaged one not aside")
		}
		if got := n["2 DCIM/100LUMOR/LUM_0001.DNG"]; len(got) != 2 || got[0] != string(Aside) || !strings.Contains(got[1], "damaged") {
			t.Errorf("said: %q", got)
		}
		if !rep.Cards[0].Safe || !rep.Cards[1].Safe {
			t.Errorf("%q %q", rep.Cards[0].Why, rep.Cards[1].Why)
		}
	})
	t.Run("first, in an earlier run", func(t *testing.T) {
		m := vfstest.New(vfstest.Options{})
		m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", zeroed(whole))
		if _, err := takeIn(m, nil); err != nil {
			t.Fatal(err)
		}
		m.Put("/slot/DCIM/100LUMOR/LUM_0001.DNG", whole)
		n := notes{}
		rep, err := takeIn(m, func(o *Options) { o.Sources, o.Event = []string{"/slot"}, n.event })
		if err != nil || rep.Bad() > 0 {
			t.Fatal(err, rep.Cards[0].Failed)
		}
		if !bytes.Equal(get(t, m, "/job/A/LUM_0001.DNG"), zeroed(whole)) || !bytes.Equal(get(t, m, "/job/A2/LUM_0001.DNG"), whole) {
			t.Errorf("an original was touched, or the whole one is not there: %v", m.Names("/job"))
		}
		if got := n["1 DCIM/100LUMOR/LUM_0001.DNG"]; len(got) != 2 || !strings.Contains(got[1], "A/LUM_0001.DNG in the job is damaged") {
			t.Errorf("said: %q", got)
		}
	})
}

// A stored copy that has changed since it was taken in is found out when the card is
// put in again: its sum was recorded.
func TestStoredCopyHasRotted(t *testing.T) {
	whole := largeFile(t, "1001", 1)
	m := vfstest.New(vfstest.Options{})
	m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", whole)
	if _, err := takeIn(m, nil); err != nil {
		t.Fatal(err)
	}
	m.Change("/job/A/LUM_0001.DNG", func(b []byte) []byte { b[len(b)/2]++; return b })
	rep, err := takeIn(m, nil)
	if err != nil {
		t.Fatal(err)
	}
	if data := get(t, m, "/job/A/LUM_0001.DNG"); bytes.Equal(data, whole) {
		t.Error("a stored original was written")
	}
	if rep.Bad() != 0 || !rep.Cards[0].Safe || !bytes.Equal(get(t, m, "/job/A2/LUM_0001.DNG"), whole) {
		t.Errorf("%v, safe %v", rep.Cards[0].Failed, rep.Cards[0].Safe)
	}
	if rep, err = takeIn(m, nil); err != nil || rep.Bad() != 0 || !slices.Equal(m.Names("/job"), []string{".garner", "A", "A2"}) {
		t.Errorf("put in once more: %v, %v", rep.Cards[0].Failed, m.Names("/job"))
	}
	if got := m.Names("/also/job"); !slices.Equal(got, []string{".garner", "A"}) {
		t.Errorf("the other destination has %v", got)
	}
}

// A file that can't be read on one card arrives from the other slot; the card with
// the fault is not safe, the other is.
func TestReadErrorIsHealedByTheTwin(t *testing.T) {
	for name, off := range map[string]int64{"in the middle": 100_000, "at the start": 0} {
		t.Run(name, func(t *testing.T) {
			m := vfstest.New(vfstest.Options{})
			for i := 1; i <= 3; i++ {
				for _, card := range []string{"/card", "/slot"} {
					m.Put(fmt.Sprintf("%s/DCIM/100LUMOR/LUM_%04d.DNG", card, i), largeFile(t, "1001", i))
				}
			}
			m.Break("/card/DCIM/100LUMOR/LUM_0002.DNG", off)
			rep, err := takeIn(m, func(o *Options) { o.Sources = []string{"/card", "/slot"} })
			if err != nil {
				t.Fatal(err)
			}
			for i := 1; i <= 3; i++ {
				if !bytes.Equal(get(t, m, fmt.Sprintf("/job/A/LUM_%04d.DNG", i)), largeFile(t, "1001", i)) {
					t.Errorf("frame %d is not whole", i)
				}
			}
			if got := m.Names("/job"); !slices.Equal(got, []string{".garner", "A"}) {
				t.Errorf("the job has %v", got)
			}
			if rep.Cards[0].Safe || !rep.Cards[1].Safe || rep.Bad() != 1 || !said(rep, "its twin on card 2 is in the job as A/LUM_0002.DNG") {
				t.Errorf("safe %v %v, %d failed, %q", rep.Cards[0].Safe, rep.Cards[1].Safe, rep.Bad(), rep.Cards[0].Notes)
			}
		})
	}
}

func TestWhenACardIsSafe(t *testing.T) {
	card := func() *vfstest.Mem {
		m := vfstest.New(vfstest.Options{})
		for i := 1; i <= 3; i++ {
			m.Put(fmt.Sprintf("/card/DCIM/100LUMOR/LUM_%04d.DNG", i), cardFile(t, "1001", i))
		}
		return m
	}
	for _, c := range []struct {
		name  string
		do    func(m *vfstest.Mem, o *Options)
		safe  bool
		words string
	}{
		{"two devices", func(m *vfstest.Mem, o *Options) {}, true, ""},
		{"one destination", func(m *vfstest.Mem, o *Options) { o.Also = nil }, false, "only one copy"},
		{"two folders of one disk", func(m *vfstest.Mem, o *Options) { o.Also = []string{"/job-copy"}; o.VolumeOf = oneDisk }, false, "only one copy"},
		{"single copy allowed", func(m *vfstest.Mem, o *Options) { o.Also, o.SingleCopy = nil, true }, true, "single copy"},
		{"a link", func(m *vfstest.Mem, o *Options) { m.Symlink("x", "/card/DCIM/link") }, false, "DCIM/link"},
		{"another disk's read-back differs", func(m *vfstest.Mem, o *Options) {
			m.Inject(vfstest.Fault{Op: vfstest.OpClose, Path: "/also/job/A/.LUM_0002", N: 1, Do: func(p string) { m.Rot(p, 800) }})
		}, false, "1 file failed"},
		{"no cache can be passed", func(m *vfstest.Mem, o *Options) {
			m.Inject(vfstest.Fault{Op: vfstest.OpDropCache, Stay: true, Err: fmt.Errorf("no")})
		}, true, "system's cache"},
		{"only some files", func(m *vfstest.Mem, o *Options) { o.Only = []string{"DCIM/100LUMOR/LUM_0001.DNG"} }, false, "only some"},
		{"litter does not matter", func(m *vfstest.Mem, o *Options) { m.Put("/card/.Spotlight-V100/store", []byte("x")) }, true, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := card()
			rep, err := takeIn(m, func(o *Options) { c.do(m, o) })
			if err != nil {
				t.Fatal(err)
			}
			k := rep.Cards[0]
			if k.Safe != c.safe || !said(rep, c.words) {
				t.Errorf("safe %v; why %q, remarks %q, failed %v", k.Safe, k.Why, k.Remarks, k.Failed)
			}
		})
	}
}

// What --day leaves out counts only when another job proves to have it, on as many
// devices.
func TestLeftOutAndProven(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	for i := 1; i <= 3; i++ {
		m.Put(fmt.Sprintf("/card/DCIM/100LUMOR/LUM_%04d.DNG", i), cardFile(t, "1001", i))
	}
	other := cardFile(t, "1001", 4)
	other = bytes.ReplaceAll(other, []byte("2026:06:13"), []byte("2026:06:06"))
	m.Put("/card/DCIM/100LUMOR/LUM_0004.DNG", other)
	day := func(o *Options) { o.Days = []string{"2026-06-13"} }
	rep, err := takeIn(m, day)
	if err != nil || rep.Cards[0].Safe || rep.Cards[0].LeftOut != 1 || !said(rep, "1 file of other days") {
		t.Fatalf("%v, safe %v, %d left out, %q", err, rep.Cards[0].Safe, rep.Cards[0].LeftOut, rep.Cards[0].Why)
	}
	last := []string{"/disk1/last", "/disk2/last"}
	if _, err := newRunForTest(m, Options{Sources: []string{"/card"}, Also: last[1:], Days: []string{"2026-06-06"}}, last[0]); err != nil {
		t.Fatal(err)
	}
	for n, safe := range map[int]bool{1: false, 2: true} {
		rep, err = takeIn(m, func(o *Options) { day(o); o.ProvenIn = last[:n] })
		if err != nil || rep.Cards[0].Safe != safe {
			t.Errorf("proven in %d: %v, safe %v, %q", n, err, rep.Cards[0].Safe, rep.Cards[0].Why)
		}
	}
	m.Change("/disk2/last/A/LUM_0004.DNG", func(b []byte) []byte { b[20]++; return b })
	if rep, _ = takeIn(m, func(o *Options) { day(o); o.ProvenIn = last }); rep.Cards[0].Safe {
		t.Error("safe, although the other job's copy has changed")
	}
}

// The second insertion copies nothing, also when the pictures were given other
// names and folders in the job; a destination that is new gets everything.
func TestSecondInsertion(t *testing.T) {
	m := cardOn(t, vfstest.Options{}, fiftyFiles(t))
	if _, err := takeIn(m, nil); err != nil {
		t.Fatal(err)
	}
	if err := m.Rename("/job/A/LUM_0007.DNG", "/job/A/Kiss.DNG"); err != nil {
		t.Fatal(err)
	}
	rep, err := takeIn(m, func(o *Options) { o.Also = []string{"/also/job", "/third/job"} })
	if err != nil || rep.Bad() > 0 || !rep.Cards[0].Safe {
		t.Fatal(err, rep.Cards[0].Why, rep.Cards[0].Failed)
	}
	for _, root := range []string{"/job", "/also/job", "/third/job"} {
		if s := right(m, root, fiftyFiles(t), true); s != "" {
			t.Error(s)
		}
	}
	if rep, _ = takeIn(m, nil); rep.Cards[0].Copied != 0 || rep.Cards[0].Known != 50 {
		t.Errorf("copied %d, known %d", rep.Cards[0].Copied, rep.Cards[0].Known)
	}
}

// A handoff writes into sidecars that came from the card. Put in again, the card's
// sidecars are known, keep their bytes aside, and do not make the card unsafe; the
// third time nothing more is copied.
func TestSidecarsWrittenSince(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/card/DCIM/100LUMOR/LUM_0001.DNG", cardFile(t, "1001", 1))
	m.Put("/card/DCIM/100LUMOR/LUM_0001.XMP", []byte("<as it came/>"))
	if _, err := takeIn(m, nil); err != nil {
		t.Fatal(err)
	}
	m.Put("/job/A/LUM_0001.XMP", []byte("<as it came, and an answer/>"))
	for round := range 2 {
		rep, err := takeIn(m, nil)
		if err != nil || rep.Bad() > 0 || !rep.Cards[0].Safe {
			t.Fatal(err, rep.Cards[0].Failed, rep.Cards[0].Why)
		}
		if got, want := m.Names("/job"), []string{".garner", "A", "aside"}; !slices.Equal(got, want) {
			t.Errorf("round %d: the job has %v", round, got)
		}
		if got, want := m.Names("/job/aside/A"), []string{"LUM_0001.XMP"}; !slices.Equal(got, want) {
			t.Errorf("round %d: aside are %v", round, got)
		}
		if got := string(get(t, m, "/job/A/LUM_0001.XMP")); got != "<as it came, and an answer/>" {
			t.Errorf("the sidecar is now %q", got)
		}
		if got, want := m.Names("/also/job"), []string{".garner", "A"}; !slices.Equal(got, want) {
			t.Errorf("round %d: the other destination has %v", round, got)
		}
	}
}

// A card of films alone is a card: its tree stays whole below clips.
func TestFilmsAlone(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	for _, p := range []string{"PRIVATE/M4ROOT/CLIP/C0001.MP4", "PRIVATE/M4ROOT/CLIP/C0001M01.XML", "PRIVATE/M4ROOT/CLIPLIST.XML"} {
		m.Put("/card/"+p, []byte(p))
	}
	rep, err := takeIn(m, nil)
	if err != nil || !rep.Cards[0].Safe || !rep.Cards[0].DCIM {
		t.Fatal(err, rep.Cards[0].Why)
	}
	get(t, m, "/job/clips/unknown/PRIVATE/M4ROOT/CLIP/C0001M01.XML")
}
