package job

import (
	"strings"
	"testing"
	"time"

	"garner/cull"
)

func TestOwnerNames(t *testing.T) {
	since := time.Date(2026, 6, 13, 12, 0, 0, 0, time.Local)
	for want, o := range map[string]Owner{
		"another program":                                      {},
		"garner cull (process 7 on studio)":                    {Host: "studio", PID: 7, Command: "cull"},
		"garner (process 7 on studio, since 2026-06-13 12:00)": {Host: "studio", PID: 7, Since: since},
		`garner "\x1b[31m" (process 7 on "\u202e")`:            {Host: "\u202e", PID: 7, Command: "\x1b[31m"},
	} {
		if got := o.String(); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	for text, want := range map[string]Owner{
		"": {}, "nonsense\n=\n": {}, "pid=x\nsince=yesterday\n": {},
		"host=\"a b\"\npid=12\ncommand=plain\nsince=2026-06-13T12:00:00Z\nlater=field\n": {"a b", 12, "plain", time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)},
	} {
		if got := parseOwner([]byte(text)); got != want {
			t.Errorf("%q: %+v", text, got)
		}
	}
}

func TestCount(t *testing.T) {
	for want, got := range map[string]string{
		"0 entries": count(0, "entry"), "1 entry": count(1, "entry"), "2 entries": count(2, "entry"), "1 line": count(1, "line"), "12 lines": count(12, "line"),
	} {
		if got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

func TestShowPath(t *testing.T) {
	for path, want := range map[string]string{
		"A/IMG_0001": "A/IMG_0001", "Gärten 2": "Gärten 2", "a\tb": `"a\tb"`, "\xff": `"\xff"`, "\u2066x": `"\u2066x"`,
	} {
		if got := showPath(path); got != want {
			t.Errorf("%q: %s, want %s", path, got, want)
		}
	}
}

// A network file system can't be had in a test; what is said about one can.
func TestNetworkIsRefusedInASentence(t *testing.T) {
	got := (&NetworkError{Path: "/mnt/share/wedding/.garner", Kind: "nfs4"}).Error()
	for _, part := range []string{"network file system", "/mnt/share/wedding/.garner", "nfs4", "--state"} {
		if !strings.Contains(got, part) {
			t.Errorf("%q lacks %q", got, part)
		}
	}
	if err := refuseNetwork(t.TempDir()); err != nil {
		t.Errorf("the folder of a test: %v", err)
	}
}

// Numbers that stand for words in the catalogue are for ever.
func TestCodes(t *testing.T) {
	for z, code := range map[cull.ZoneState]uint8{"": 0, cull.ZoneUnknown: 1, cull.ZoneKnown: 2, cull.ZoneSet: 3} {
		if zoneCode(z) != code || zoneState(code) != z {
			t.Errorf("%q is %d and comes back as %q", z, zoneCode(z), zoneState(code))
		}
	}
	for k, code := range map[cull.MomentKind]uint8{"": 0, cull.Burst: 1, cull.Series: 2, cull.Single: 3} {
		if kindCode(k) != code || momentKind(code) != k {
			t.Errorf("%q is %d and comes back as %q", k, kindCode(k), momentKind(code))
		}
	}
	for k, code := range map[cull.SeriesKind]uint8{"": 0, cull.Bracket: 1, cull.Panorama: 2, cull.FocusStack: 3, cull.Together: 4} {
		if seriesCode(k) != code || seriesKind(code) != k {
			t.Errorf("%q is %d and comes back as %q", k, seriesCode(k), seriesKind(code))
		}
	}
	if k := seriesKind(200); k != "" {
		t.Errorf("a kind of a later version is %q", k)
	}
	for want, minutes := range map[string]int{"+00:00": 0, "+02:00": 120, "-03:30": -210, "+14:00": 840} {
		if got, ok := parseZone(want); cull.ZoneText(minutes) != want || got != minutes || !ok {
			t.Errorf("%s: %d %s", want, got, cull.ZoneText(minutes))
		}
	}
}

func TestBodiesInOrder(t *testing.T) {
	var got []string
	list := []cull.Body{{Key: "y"}, {Key: "1", Letter: "AA"}, {Key: "x"}, {Key: "2", Letter: "B"}, {Key: "3", Letter: "A"}}
	for len(list) > 0 {
		least := 0
		for i := range list {
			if ByLetter(list[i], list[least]) < 0 {
				least = i
			}
		}
		got = append(got, list[least].Letter+list[least].Key)
		list = append(list[:least], list[least+1:]...)
	}
	if s := strings.Join(got, " "); s != "A3 B2 AA1 x y" {
		t.Error(s)
	}
}
