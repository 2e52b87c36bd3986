package handoff

import (
	"crypto/sha256"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/testdata/testneed"
)

// taken gives the bench's frames capture times as their body's clock showed them.
func (b *bench) taken(stamps ...cull.Stamp) {
	b.t.Helper()
	frames, err := b.j.Frames()
	if err != nil {
		b.t.Fatal(err)
	}
	var list []cull.Frame
	for i, s := range stamps {
		f := frames[b.id(i)]
		f.Taken = s
		list = append(list, f)
	}
	if err := b.j.SaveFrames(list); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) offset(o cull.Offset) {
	b.t.Helper()
	if _, err := b.j.Append(job.SetOffset("serial:X:1", o)); err != nil {
		b.t.Fatal(err)
	}
}

// sums are the digests of the originals.
func (b *bench) sums(paths ...string) (all [][32]byte) {
	for _, p := range paths {
		all = append(all, sha256.Sum256([]byte(b.read(p))))
	}
	return all
}

// Corrected times go into sidecars when asked for, with the digits and the zone
// that are known and no others; they follow the correction and go with it or with
// the wish. Originals stay as they are.
func TestTimes(t *testing.T) {
	mains := []string{"A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF", "A/F_04.NEF"}
	b := newBench(t, mains...)
	at := time.Date(2026, 6, 13, 14, 7, 25, 130e6, time.UTC)
	b.taken(cull.Stamp{Wall: at, Digits: 2, Zone: 120, ZoneIs: cull.ZoneKnown},
		cull.Stamp{Wall: at.Truncate(time.Second), ZoneIs: cull.ZoneUnknown}, cull.Stamp{},
		cull.Stamp{Wall: at.Add(time.Hour), Digits: 2, ZoneIs: cull.ZoneUnknown})
	b.answer(cull.Yes, 0, 1, 2, 3)
	const theirs = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` +
		`<rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:CreateDate="2026-06-13T15:07:25.13"/></rdf:RDF></x:xmpmeta>`
	b.put("A/F_04.xmp", theirs)
	sums := b.sums(mains...)
	to := t.TempDir()
	check := func(when string, want ...string) {
		t.Helper()
		for i, w := range want {
			if v := b.values(strings.TrimSuffix(mains[i], "NEF") + "xmp"); v.Original != w || v.Created != w && i != 3 {
				t.Errorf("%s: frame %d is of %q and %q, want %q", when, i+1, v.Original, v.Created, w)
			}
		}
		if now := b.sums(mains...); !sameSums(now, sums) {
			t.Errorf("%s: an original changed", when)
		}
	}
	b.run(Options{Times: true})
	check("nothing corrected", "", "", "", "")

	b.offset(cull.Offset{Add: -440 * time.Second})
	b.run(Options{})
	check("not asked for", "", "", "", "")
	_, told := b.run(Options{Times: true, To: to})
	check("corrected", "2026-06-13T14:00:05.13+02:00", "2026-06-13T14:00:05", "", "2026-06-13T15:00:05.13")
	if v := b.values("A/F_04.xmp"); v.Created != "2026-06-13T15:07:25.13" || !strings.Contains(strings.Join(told, "\n"), "A/F_04.xmp conflict") {
		t.Errorf("somebody else's time: %+v, told %q", v, told)
	}
	if copies, err := filepath.Glob(filepath.Join(to, "*", "*F_01.xmp")); err != nil || len(copies) != 1 {
		t.Errorf("%v %v", copies, err)
	} else if data, err := os.ReadFile(copies[0]); err != nil || !strings.Contains(string(data), "2026-06-13T14:00:05.13+02:00") {
		t.Errorf("the copy's sidecar: %v\n%s", err, data)
	}
	if _, told := b.run(Options{Times: true}); !strings.HasSuffix(told[0], "unchanged") {
		t.Errorf("again: %q", told)
	}
	b.run(Options{Times: true, Replace: true})
	if v := b.values("A/F_04.xmp"); v.Created != "2026-06-13T15:00:05.13" {
		t.Errorf("replaced: %+v", v)
	}

	zone := 60
	b.offset(cull.Offset{Add: -time.Hour, Zone: &zone})
	b.run(Options{Times: true})
	check("corrected anew", "2026-06-13T13:07:25.13+01:00", "2026-06-13T13:07:25+01:00", "")
	b.offset(cull.Offset{From: at.Add(30 * time.Minute)})
	b.run(Options{Times: true})
	check("from a frame on", "2026-06-13T13:07:25.13+01:00", "2026-06-13T13:07:25+01:00", "", "")

	b.run(Options{})
	check("no longer asked for", "", "", "", "")
	b.run(Options{Times: true})
	if _, err := b.j.Append(job.DropOffset("serial:X:1", time.Time{})); err != nil {
		t.Fatal(err)
	}
	b.run(Options{Times: true})
	check("correction taken back", "", "", "", "")
	if v := b.values("A/F_01.xmp"); v.Rating == nil {
		t.Errorf("the decision went with it: %+v", v)
	}
}

func sameSums(a, b [][32]byte) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}

// After the catalogue was lost, times that we wrote are known again by their value.
func TestTimesWithoutRecords(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.taken(cull.Stamp{Wall: time.Date(2026, 6, 13, 14, 7, 25, 0, time.UTC)})
	b.offset(cull.Offset{Add: -440 * time.Second})
	b.answer(cull.Yes, 0)
	b.run(Options{Times: true})
	wrote, err := b.j.AllWrote()
	if err != nil {
		t.Fatal(err)
	}
	for key := range wrote {
		wrote[key] = nil
	}
	if err := b.j.SetWrote(wrote); err != nil {
		t.Fatal(err)
	}
	b.run(Options{})
	if v := b.values("A/F_01.xmp"); v.Original != "" || v.Created != "" || v.Rating == nil {
		t.Errorf("%+v", v)
	}
}

// The reference tools read the corrected times and have nothing to complain of.
func TestReadersFindTheTimes(t *testing.T) {
	exiv2 := testneed.Tool(t, "exiv2")
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF")
	at := time.Date(2026, 6, 13, 14, 7, 25, 130e6, time.UTC)
	b.taken(cull.Stamp{Wall: at, Digits: 2, Zone: 120, ZoneIs: cull.ZoneKnown}, cull.Stamp{Wall: at.Truncate(time.Second), ZoneIs: cull.ZoneUnknown})
	b.offset(cull.Offset{Add: -440 * time.Second})
	b.answer(cull.Yes, 0, 1)
	b.run(Options{Times: true})
	for path, w := range map[string][2]string{
		"A/F_01.xmp": {"2026:06:13 14:00:05.13+02:00", "2026-06-13T14:00:05.13+02:00"},
		"A/F_02.xmp": {"2026:06:13 14:00:05", "2026-06-13T14:00:05"},
	} {
		file := filepath.Join(b.j.Root(), filepath.FromSlash(path))
		out, err := exec.Command(testneed.Tool(t, "exiftool"), "-s3", "-a", "-XMP-exif:DateTimeOriginal", "-XMP-xmp:CreateDate", "-Warning", "-Error", file).CombinedOutput()
		if err != nil || string(out) != w[0]+"\n"+w[0]+"\n" {
			t.Errorf("%s: exiftool reads %q, %v", path, out, err)
		}
		says, err := exec.Command(testneed.Tool(t, "exiftool"), "-validate", "-warning", "-error", "-a", "-s3", file).CombinedOutput()
		if err != nil || strings.TrimSpace(string(says)) != "OK" {
			t.Errorf("%s: exiftool says %s, %v", path, says, err)
		}
		out, err = exec.Command(exiv2, "-PXkv", "print", file).CombinedOutput()
		text := strings.Join(strings.Fields(string(out)), " ")
		for _, want := range []string{"Xmp.exif.DateTimeOriginal " + w[1], "Xmp.xmp.CreateDate " + w[1]} {
			if err != nil || !strings.Contains(text+" ", want+" ") {
				t.Errorf("%s: exiv2 has no %s in %s (%v)", path, want, text, err)
			}
		}
	}
}
