package job

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
)

func line(seq uint64) string {
	return cull.FormatEntry(cull.Entry{Seq: seq, At: time.Unix(int64(seq%1000), 0), Who: "anna", Verb: cull.VerbCorrect, Args: []string{fmt.Sprint(seq)}})
}

func TestReadJournal(t *testing.T) {
	for _, c := range []struct {
		name, text string
		numbers    []uint64
		faults     []int // line numbers
		torn, open bool
		good       int
	}{
		{name: "empty"},
		{name: "two", text: line(1) + "\n" + line(2) + "\n", numbers: []uint64{1, 2}, good: len(line(1)+line(2)) + 2},
		{name: "open", text: line(1) + "\n" + line(2), numbers: []uint64{1, 2}, open: true, good: len(line(1)+line(2)) + 1},
		{name: "torn", text: line(1) + "\n" + line(2)[:9], numbers: []uint64{1}, torn: true, good: len(line(1)) + 1},
		{name: "torn at once", text: "keep", torn: true},
		{name: "from another editor", text: line(1) + "\r\n\r\n" + line(2) + "\r\n", numbers: []uint64{1, 2}, good: len(line(1)+line(2)) + 6},
		{name: "out of order, one twice", text: line(7) + "\n" + line(3) + "\n" + line(7) + "\n", numbers: []uint64{3, 7}, good: len(line(7)+line(3)+line(7)) + 3},
		{name: "damaged", text: "x\n" + line(1) + "\n\x00\n", numbers: []uint64{1}, faults: []int{1, 3}, good: len(line(1)) + 5},
		{name: "too long", text: strings.Repeat("x", 3*cull.MaxLine) + "\n" + line(1) + "\n", numbers: []uint64{1}, faults: []int{1}, good: 3*cull.MaxLine + len(line(1)) + 2},
		{name: "no number", text: line(0) + "\n", faults: []int{1}, good: len(line(0)) + 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := readJournal(strings.NewReader(c.text))
			if err != nil {
				t.Fatal(err)
			}
			var faults []int
			for _, f := range got.faults {
				faults = append(faults, f.line)
			}
			if !slices.Equal(got.numbers(), c.numbers) && len(c.numbers)+len(got.entries) > 0 {
				t.Errorf("entries %v", got.numbers())
			}
			if !slices.Equal(faults, c.faults) || got.torn != c.torn || got.open != c.open || got.good != int64(c.good) {
				t.Errorf("faults %v, torn %v, open %v, good %d of %d", got.faults, got.torn, got.open, got.good, c.good)
			}
		})
	}
}

// FuzzJournal: whatever a text journal holds, every entry taken from it is a
// line of it whose checksum holds; the good part read alone gives the same; and
// an entry added behind the good part is found there.
func FuzzJournal(f *testing.F) {
	f.Add([]byte(line(1)+"\n"+line(2)+"\n"), byte(0))
	f.Add([]byte(line(1)+"\n"+line(2)), byte(1))
	f.Add([]byte(line(1)+"\nnoise\n\r\n"+line(2)[:20]), byte(7))
	f.Fuzz(func(t *testing.T, b []byte, spoil byte) {
		if len(b) > 0 && spoil > 0 {
			b = bytes.Clone(b)
			b[int(spoil)%len(b)] ^= spoil
		}
		got, err := readJournal(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		for seq, text := range got.entries {
			if !bytes.Contains(b, []byte(text)) {
				t.Fatalf("entry %d is no line of the journal", seq)
			}
			if e, err := cull.ParseEntry(text); err != nil || e.Seq != seq {
				t.Fatalf("entry %d: %+v, %v", seq, e, err)
			}
		}
		if got.good > int64(len(b)) || got.torn == (got.good == int64(len(b))) {
			t.Fatalf("good %d of %d, torn %v", got.good, len(b), got.torn)
		}
		m := merge{text: got, lines: []byte(line(1<<40) + "\n")}
		mended := append(bytes.Clone(b[:got.good]), m.tail()...)
		if int64(len(mended)) != m.size() {
			t.Fatalf("%d bytes, %d foretold", len(mended), m.size())
		}
		again, err := readJournal(bytes.NewReader(mended))
		if err != nil || again.torn || again.open {
			t.Fatalf("%v, torn %v, open %v", err, again.torn, again.open)
		}
		want := maps.Clone(got.entries)
		if _, taken := want[1<<40]; !taken {
			want[1<<40] = line(1 << 40)
		}
		if !maps.Equal(again.entries, want) {
			t.Fatalf("%d entries became %d", len(want), len(again.entries))
		}
	})
}

func FuzzOwner(f *testing.F) {
	f.Add([]byte("host=\"studio\"\npid=12\ncommand=\"cull\"\nsince=2026-06-13T12:00:00Z\n"))
	f.Add([]byte("pid=99999999999999999999\nhost=\"\\x1b[31m\"\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		text := parseOwner(b).String()
		for _, r := range text {
			if r < 0x20 || r == 0x7f || (r >= 0x80 && r < 0xa0) || (r >= 0x202a && r <= 0x202e) || (r >= 0x2066 && r <= 0x2069) {
				t.Fatalf("%q would reach the terminal", text)
			}
		}
		if len(text) > 8*len(b)+200 {
			t.Fatal("a message longer than its file")
		}
	})
}

func FuzzOffset(f *testing.F) {
	f.Add("k", "start", "7m20s", "+02:00")
	f.Add("k", "2026-06-13T12:00:00.5", "-1h", "")
	f.Add("k", "start", "none", "")
	f.Fuzz(func(t *testing.T, key, from, add, zone string) {
		args := []string{key, from, add}
		if zone != "" {
			args = append(args, zone)
		}
		got, o, drop, err := ParseOffset(args)
		if err != nil {
			if got != "" || o != (cull.Offset{}) || drop {
				t.Fatal("an offset with an error")
			}
			return
		}
		e := SetOffset(got, o)
		if drop {
			e = DropOffset(got, o.From)
		}
		key2, o2, drop2, err := ParseOffset(e.Args)
		if err != nil || key2 != got || drop2 != drop || !o2.From.Equal(o.From) || o2.Add != o.Add || (o.Zone == nil) != (o2.Zone == nil) || o.Zone != nil && *o.Zone != *o2.Zone {
			t.Fatalf("%q became %q: %v", args, e.Args, err)
		}
	})
}
