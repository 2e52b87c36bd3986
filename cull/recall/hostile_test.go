package recall

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
)

// soon fails where something takes longer than any honest input makes it take.
func soon(t *testing.T, what string, do func()) {
	t.Helper()
	began := time.Now()
	done := make(chan struct{})
	go func() { defer close(done); do() }()
	select {
	case <-done:
	case <-time.After(60 * time.Second):
		t.Fatalf("%s goes on after %s", what, time.Since(began))
	}
}

// Whoever hands over a shelf may put a link in the place of its index: nothing that it
// leads to is read, written or removed, whatever it is called.
func TestLinkInThePlaceOfTheIndex(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need rights there")
	}
	outside := t.TempDir()
	want := map[string]string{"looks-warm.cube": "a look of the studio's", "holiday.frames": "frames", partName("0613"): "x"}
	for name, text := range want {
		must(t, os.WriteFile(filepath.Join(outside, name), []byte(text), 0o666))
	}
	dir := shelfOf(t)
	must(t, os.Symlink(outside, filepath.Join(dir, IndexFolder)))
	for range 2 {
		l, _ := opened(t, dir, "")
		if got := found(t, l, Query{Name: "412"}); len(got) != 3 {
			t.Errorf("%q", got)
		}
		if files := index(t, outside); !maps.Equal(files, want) {
			t.Fatalf("of what was outside there is left %q", slices.Sorted(maps.Keys(files)))
		}
	}
}

// Ids may be chosen so that all have their place where the first one has it.
func TestIdsThatMeet(t *testing.T) {
	inverse := uint64(1)
	for range 6 { // Newton: the odd number that undoes the usual way to spread numbers
		inverse *= 2 - 0x9e3779b97f4a7c15*inverse
	}
	soon(t, "bringing ids together", func() {
		m := &matches{several: true, others: map[uint64][]at{}}
		for i := range 400_000 {
			m.add(match{id: uint64(i) * inverse})
		}
		if len(m.list) != 400_000 || len(m.others) != 0 {
			t.Errorf("%d frames, %d of them twice", len(m.list), len(m.others))
		}
	})
}

// A name may be nothing but zeros.
func TestNamesOfZeros(t *testing.T) {
	zeros := strings.Repeat("0", 4_000_000)
	for text, want := range map[string]bool{zeros + "1": false, zeros: true, zeros + "1-" + zeros + "1": false} {
		blob, err := blobOf([]entry{{name: text}, {name: "x"}}, namesOf)
		must(t, err)
		n := names{blob[:8], blob[8:]}
		soon(t, "looking for a number", func() {
			if got := n.holding("0"); (got != nil && got[0]) != want {
				t.Errorf("%.20q…: %v", text, got)
			}
		})
	}
}

// A line may say of many frames that each was delivered under many names.
func TestManyTimesMany(t *testing.T) {
	b := wedding(t, filepath.Join(t.TempDir(), "bag"), "Job", 1)
	var ids []cull.ID
	for n := range 5_000 {
		k := known(1000+n, fmt.Sprintf("A/%d", n), weddingDay)
		k.Frame.Files = nil
		b.content.Frames = append(b.content.Frames, record.FrameOf(k))
		ids = append(ids, k.Frame.ID)
	}
	var delivered []record.Delivered
	for n := range 30_000 {
		delivered = append(delivered, record.Delivered{Set: "s", File: fmt.Sprint(n)})
	}
	b.content.Pictures = append(b.content.Pictures, record.PictureOf("finished/a.jpg", ids, 1, delivered))
	b.write()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	l, err := Open(t.Context(), []string{b.dir}, Options{})
	must(t, err)
	runtime.ReadMemStats(&after)
	if broken := l.Broken(); len(broken) != 1 || !errors.Is(broken[0].Err, errLong) {
		t.Errorf("%v", broken)
	}
	if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 1500 {
		t.Errorf("it took %d MB", took)
	}
}

// One frame may have names so long that what is said of it could not be read again.
func TestNamesWithoutAnEnd(t *testing.T) {
	e := entry{name: "A/1"}
	for range 3 {
		e.others = append(e.others, strings.Repeat("x", 3_900_000))
	}
	if _, err := encodePart(about{}, []entry{e}, [32]byte{}); !errors.Is(err, errLong) {
		t.Error(err)
	}
}

// An index may say a hundred times as much as it has bytes.
func TestIndexThatSwells(t *testing.T) {
	b := wedding(t, filepath.Join(t.TempDir(), "bag"), "Job", 1)
	b.write()
	r, err := record.Open(b.dir)
	must(t, err)
	m, err := ofBag(t.Context(), r)
	must(t, err)
	text, err := encodePart(m.about, m.entries, [32]byte{})
	must(t, err)
	was := partOf(t, text)
	honest, err := was.section(aboutAt)
	must(t, err)
	swelling := `{"bodies":[` + strings.TrimSuffix(strings.Repeat("{},", 5_000_000), ",") + `],` + strings.TrimPrefix(string(honest), "{")
	p := partOf(t, withAbout(text, len(honest), swelling))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := p.about(); !errors.Is(err, errDamaged) {
		t.Error(err)
	}
	runtime.ReadMemStats(&after)
	if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 100 {
		t.Errorf("it took %d MB", took)
	}
}

func partOf(t *testing.T, text []byte) *part {
	t.Helper()
	p, err := openPart(bytes.NewReader(text), int64(len(text)))
	must(t, err)
	return p
}

// withAbout exchanges what a part says of all its frames.
func withAbout(text []byte, was int, about string) []byte {
	out := append([]byte{}, text[:headerBytes]...)
	binary.LittleEndian.PutUint64(out[52:], uint64(len(about)))
	out = append(append(out, about...), text[headerBytes+was:]...)
	resum(out)
	return out
}
