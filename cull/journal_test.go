package cull

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode"

	"pgregory.net/rapid"
)

func at(ms int64) time.Time { return time.UnixMilli(1_781_352_131_130 + ms).UTC() }

// TestCRC32C holds the checksum's polynomial against the check value of
// CRC-32C in RFC 3720 appendix B.4: 32 bytes of zeros give 8a9136aa.
func TestCRC32C(t *testing.T) {
	if got := lineSum(strings.Repeat("\x00", 32)); got != "8a9136aa" {
		t.Errorf("got %s, want 8a9136aa", got)
	}
}

func TestFormatEntry(t *testing.T) {
	a, b, c := ID("0123456789abcdef"), ID("1123456789abcdef"), ID("2123456789abcdef")
	for _, tc := range []struct {
		name string
		e    Entry
		want string
	}{
		{"answer", Entry{Seq: 17, At: at(0), Who: "anna", Verb: VerbAnswer, Pass: "keep", Changes: []Change{{a, Open, Yes, true, true}}},
			`keep #0123456789abcdef ; seq=17 at=2026-06-13T12:02:11.130Z who="anna" pass=keep was=open shown=1 explicit=1`},
		{"later pass", Entry{Seq: 18, At: at(0), Verb: VerbAnswer, Pass: "retouch", Changes: []Change{{a, Yes, No, false, true}}},
			`retouch no #0123456789abcdef ; seq=18 at=2026-06-13T12:02:11.130Z who="" pass=retouch was=yes shown=0 explicit=1`},
		{"burst", Entry{Seq: 19, At: at(0), Who: "Zoë", Verb: VerbBurst, Pass: "keep", Changes: []Change{{a, Open, No, true, false}, {b, Yes, No, false, false}}},
			`burst drop #0123456789abcdef #1123456789abcdef ; seq=19 at=2026-06-13T12:02:11.130Z who="Zoë" pass=keep was=open,yes shown=10 explicit=0`},
		{"only", Entry{Seq: 20, At: at(0), Verb: VerbOnly, Pass: "keep", Changes: []Change{{b, Open, Yes, true, true}, {a, Open, No, true, false}, {c, Open, No, true, false}}},
			`only #1123456789abcdef #0123456789abcdef #2123456789abcdef ; seq=20 at=2026-06-13T12:02:11.130Z who="" pass=keep was=open shown=1 explicit=100`},
		{"merge", Entry{Seq: 20, At: at(0), Verb: VerbMerge, Pass: "keep", Changes: []Change{{b, Open, Yes, true, true}, {a, Open, Part, true, false}, {c, No, Part, false, false}}},
			`merge #1123456789abcdef #0123456789abcdef #2123456789abcdef ; seq=20 at=2026-06-13T12:02:11.130Z who="" pass=keep was=open,open,no shown=110 explicit=100`},
		{"a pass that was named like a verb", Entry{Seq: 20, At: at(0), Verb: VerbAnswer, Pass: "merge", Changes: []Change{{b, Open, Yes, true, true}}},
			`"merge" yes #1123456789abcdef ; seq=20 at=2026-06-13T12:02:11.130Z who="" pass=merge was=open shown=1 explicit=1`},
		{"undo of a correction", Entry{Seq: 21, At: at(0), Verb: VerbUndo, Of: 20}, `undo ; seq=21 at=2026-06-13T12:02:11.130Z who="" of=20`},
		{"undo", Entry{Seq: 21, At: at(0), Verb: VerbUndo, Pass: "keep", Of: 20, Changes: []Change{{b, Yes, Open, false, false}, {a, No, Yes, true, true}}},
			`undo ; seq=21 at=2026-06-13T12:02:11.130Z who="" pass=keep of=20 frames=#1123456789abcdef,#0123456789abcdef was=yes,no now=open,yes shown=01 explicit=01`},
		{"pass", Entry{Seq: 22, At: at(0), Verb: VerbPass, Args: []string{"retouch", "from", "keep", "yes", "skin?"}},
			`pass retouch from keep yes "skin?" ; seq=22 at=2026-06-13T12:02:11.130Z who=""`},
		{"join", Entry{Seq: 23, At: at(0), Verb: VerbCorrect, Args: Correction{JoinMoment, []ID{a, b}, nil}.args()},
			`correct join #0123456789abcdef #1123456789abcdef ; seq=23 at=2026-06-13T12:02:11.130Z who=""`},
		{"split", Entry{Seq: 23, At: at(0), Verb: VerbCorrect, Args: Correction{SplitAt, []ID{a, b}, []ID{c}}.args()},
			`correct split #0123456789abcdef #1123456789abcdef / #2123456789abcdef ; seq=23 at=2026-06-13T12:02:11.130Z who=""`},
		{"scene goes on", Entry{Seq: 23, At: at(0), Verb: VerbCorrect, Args: Correction{JoinScene, []ID{a}, nil}.args()},
			`correct scene-goes-on #0123456789abcdef ; seq=23 at=2026-06-13T12:02:11.130Z who=""`},
		{"scene", Entry{Seq: 23, At: at(0), Verb: VerbScene, Args: []string{"#0123456789abcdef", "First dance"}},
			`scene #0123456789abcdef "First dance" ; seq=23 at=2026-06-13T12:02:11.130Z who=""`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, _, _ := strings.Cut(FormatEntry(tc.e), " sum=")
			if got != tc.want {
				t.Errorf("got  %s\nwant %s", got, tc.want)
			}
			if back, err := ParseEntry(FormatEntry(tc.e)); err != nil || !reflect.DeepEqual(back, tc.e) {
				t.Errorf("reads back as %+v, %v", back, err)
			}
		})
	}
}

// genText makes strings of the kinds that files and terminals carry: words,
// control, bidirectional and private characters, bytes that are not UTF-8.
func genText() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[a-z]{1,8}`), rapid.String(),
		rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 12), func(b []byte) string { return string(b) }),
		rapid.SampledFrom([]string{"", "keep", "burst", "merge", "/", "from", "pass", "a ; seq=1", " sum=00000000", "x\x1b[2J", "\u202etxt", "\xed\xb2\x80", "\\udc80", "é\xc3", "#", "#0123456789abcdef", "\n", "\u2028"}),
	)
}

func genID() *rapid.Generator[ID] {
	return rapid.Map(rapid.OneOf(rapid.StringMatching(`[0-9a-f]{16}`), genText()), func(s string) ID { return ID(s) })
}

func genEntry() *rapid.Generator[Entry] {
	return rapid.Custom(func(t *rapid.T) Entry {
		verb := rapid.SampledFrom([]Verb{VerbAnswer, VerbBurst, VerbOnly, VerbMerge, VerbUndo, VerbRedo, VerbPass, VerbLetter, VerbOffset, VerbScene, VerbCorrect, "", "keep", "later"})
		answer := rapid.SampledFrom([]Answer{Open, Yes, No, Part})
		change := rapid.Custom(func(t *rapid.T) Change {
			return Change{genID().Draw(t, "id"), answer.Draw(t, "was"), answer.Draw(t, "now"), rapid.Bool().Draw(t, "shown"), rapid.Bool().Draw(t, "explicit")}
		})
		e := Entry{
			Seq: rapid.Uint64().Draw(t, "seq"), Of: rapid.Uint64().Draw(t, "of"),
			At:  time.UnixMilli(rapid.Int64Range(-62_135_596_800_000, 253_402_300_799_999).Draw(t, "at")).UTC(),
			Who: genText().Draw(t, "who"), Verb: verb.Draw(t, "verb"), Pass: genText().Draw(t, "pass"),
		}
		if n := rapid.IntRange(0, 5).Draw(t, "frames"); n > 0 {
			e.Changes = rapid.SliceOfN(change, n, n).Draw(t, "changes")
		}
		if n := rapid.IntRange(0, 5).Draw(t, "args"); n > 0 {
			e.Args = rapid.SliceOfN(genText(), n, n).Draw(t, "args")
		}
		return e
	})
}

func TestEveryFieldOfAnEntrySurvives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := genEntry().Draw(t, "entry")
		line := FormatEntry(e)
		for _, r := range line {
			if unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp) || r == unicode.ReplacementChar && !strings.Contains(line, "\ufffd") {
				t.Fatalf("line holds %U: %q", r, line)
			}
		}
		back, err := ParseEntry(line)
		if err != nil || !reflect.DeepEqual(back, e) {
			t.Fatalf("line %s\nreads back as %#v, %v\nwant %#v", line, back, err, e)
		}
	})
}

// TestTornLine cuts a line at every byte and flips every byte of it: no such
// line may pass for a whole one.
func TestTornLine(t *testing.T) {
	line := FormatEntry(Entry{Seq: 9, At: at(5), Who: "anna", Verb: VerbAnswer, Pass: "keep", Changes: []Change{{"0123456789abcdef", Open, No, true, true}}})
	damaged := func(s string) {
		t.Helper()
		e, err := ParseEntry(s)
		var le *LineError
		if !errors.As(err, &le) || !le.Damaged || !reflect.DeepEqual(e, Entry{}) {
			t.Errorf("%q: %+v, %v", s, e, err)
		}
	}
	for i := range len(line) {
		damaged(line[:i])
		damaged(line[:i] + string(line[i]^1) + line[i+1:])
	}
	damaged(line + "\n")
	damaged(strings.Repeat("x", MaxLine+1))
}

// TestWrongButWhole: a line with a fitting checksum may still make no sense.
func TestWrongButWhole(t *testing.T) {
	const tail = ` ; seq=1 at=2026-06-13T12:02:11.130Z who="" pass=keep was=open shown=1 explicit=1`
	for _, body := range []string{
		"", "; seq=1", "maybe #0123456789abcdef" + tail, "keep A/IMG_0001" + tail, "keep #01234" + tail,
		"retouch yes #0123456789abcdef" + tail, "undo #0123456789abcdef" + tail, "keep #0123456789abcdef" + tail + " seq=2",
		"keep #0123456789abcdef" + tail + " mood=1", "keep #0123456789abcdef #1123456789abcdef" + strings.Replace(tail, "was=open", "was=open,open,open", 1),
		"keep #0123456789abcdef" + strings.Replace(tail, "shown=1", "shown=2", 1), "keep #0123456789abcdef" + strings.Replace(tail, "at=2026", "at=x", 1),
		"keep #0123456789abcdef" + strings.Replace(tail, "seq=1", "seq=-1", 1), "keep #0123456789abcdef" + strings.Replace(tail, `who=""`, `who="`, 1),
	} {
		e, err := ParseEntry(body + " sum=" + lineSum(body))
		var le *LineError
		if !errors.As(err, &le) || le.Damaged || !reflect.DeepEqual(e, Entry{}) {
			t.Errorf("%q: %+v, %v", body, e, err)
		}
	}
}

// FuzzParseEntry gives every input a fitting checksum, so that fuzzing gets
// past it. What is read must be stable: writing and reading it again gives the
// same entry, and on an error nothing comes back.
func FuzzParseEntry(f *testing.F) {
	f.Add(`keep #0123456789abcdef ; seq=17 at=2026-06-13T12:02:11.130Z who="anna" pass=keep was=open shown=1 explicit=1`)
	f.Add(`undo ; seq=21 at=2026-06-13T12:02:11.130Z who="" pass=keep of=20 frames=#1123456789abcdef,#0123456789abcdef was=yes now=open,yes shown=01 explicit=01`)
	f.Add(`merge #0123456789abcdef #1123456789abcdef ; seq=18 at=2026-06-13T12:02:11.130Z who="anna" pass=keep was=open shown=1 explicit=10`)
	f.Add(`merge yes #0123456789abcdef ; seq=18 at=2026-06-13T12:02:11.130Z who="anna" pass=merge was=open shown=1 explicit=1`)
	f.Add(`correct split #0123456789abcdef / #1123456789abcdef "#odd" ; seq=19 at=2026-06-13T12:02:11.130Z who="anna"`)
	f.Add(`undo ; seq=20 at=2026-06-13T12:02:11.130Z who="anna" of=19`)
	f.Add(`pass retouch from keep yes "skin?" ; seq=22 at=2026-06-13T12:02:11.130Z who="\udc80\ud83d\ude00"`)
	f.Fuzz(func(t *testing.T, body string) {
		if len(body) > 1<<14 {
			return
		}
		e, err := ParseEntry(body + " sum=" + lineSum(body))
		if err != nil {
			if !reflect.DeepEqual(e, Entry{}) {
				t.Fatalf("error %v with %+v", err, e)
			}
			return
		}
		line := FormatEntry(e)
		back, err := ParseEntry(line)
		if err != nil || !reflect.DeepEqual(back, e) {
			t.Fatalf("%q\nwritten %q\nread %#v, %v\nwant %#v", body, line, back, err, e)
		}
	})
}
