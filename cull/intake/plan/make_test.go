package plan

import (
	"errors"
	"strings"
	"testing"
)

var errIO = errors.New("input/output error")

// firstDamaged and secondDamaged are judges of twins.
func firstDamaged(a, b Ref) int  { return -1 }
func secondDamaged(a, b Ref) int { return 1 }

func TestMake(t *testing.T) {
	const d, e = "DCIM/100LMRFV/", "DCIM/101LMRFV/"
	tests := []struct {
		name    string
		sources []Source
		have    []Have
		o       Options
		want    string
	}{
		{name: "a DCF object keeps together",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.JPG"}, made{path: d + "LMR_0001.WAV", head: "w"}, made{path: d + "LMR_0001.xmp", head: "x"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0001.JPG copy A/LMR_0001.JPG
0:DCIM/100LMRFV/LMR_0001.WAV copy A/LMR_0001.WAV
0:DCIM/100LMRFV/LMR_0001.xmp copy A/LMR_0001.xmp`},
		{name: "another counter round on one card",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.WAV", head: "w"}, made{path: e + "LMR_0001.CR3", n: 5}, made{path: e + "LMR_0001.JPG", n: 5}, made{path: e + "LMR_0001.WAV", head: "w"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0001.WAV copy A/LMR_0001.WAV
0:DCIM/101LMRFV/LMR_0001.CR3 copy A2/LMR_0001.CR3, round (0:DCIM/100LMRFV/LMR_0001.CR3)
0:DCIM/101LMRFV/LMR_0001.JPG copy A2/LMR_0001.JPG, round (0:DCIM/100LMRFV/LMR_0001.CR3)
0:DCIM/101LMRFV/LMR_0001.WAV copy A2/LMR_0001.WAV, round (0:DCIM/100LMRFV/LMR_0001.CR3)`},
		{name: "the third round, the job has two",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", n: 9})},
			have:    jobOf(t, made{path: "A/lmr_0001.JPG"}, made{path: "A2/LMR_0001.CR3", n: 5}),
			want:    `0:DCIM/100LMRFV/LMR_0001.CR3 copy A3/LMR_0001.CR3, round (-1:A/lmr_0001.JPG)`},
		{name: "raw in slot 1, JPEG in slot 2, of a second round",
			sources: []Source{card(t, made{path: e + "LMR_0001.CR3", n: 5}), card(t, made{path: e + "LMR_0001.JPG", n: 5}, made{path: e + "LMR_0002.JPG", n: 6})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3"}),
			want: `0:DCIM/101LMRFV/LMR_0001.CR3 copy A2/LMR_0001.CR3, round (-1:A/LMR_0001.CR3)
1:DCIM/101LMRFV/LMR_0001.JPG copy A2/LMR_0001.JPG, round (-1:A/LMR_0001.CR3)
1:DCIM/101LMRFV/LMR_0002.JPG copy A/LMR_0002.JPG`},
		{name: "two bodies of one model with clashing names",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}), card(t, made{path: d + "LMR_0001.CR3", serial: "2002"}, made{path: d + "LMR_0001.XMP", head: "x"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
1:DCIM/100LMRFV/LMR_0001.CR3 copy B/LMR_0001.CR3
1:DCIM/100LMRFV/LMR_0001.XMP copy B/LMR_0001.XMP`},
		{name: "second insertion, with new frames",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.WAV", head: "w"}, made{path: d + "LMR_0002.CR3", n: 2})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3"}, made{path: "A/LMR_0001.WAV", head: "w"}),
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 known A/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0001.WAV known A/LMR_0001.WAV
0:DCIM/100LMRFV/LMR_0002.CR3 copy A/LMR_0002.CR3`},
		{name: "renamed in the job, with its note",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.WAV", head: "w"}, made{path: d + "LMR_0001.CR3.xmp", head: "x"})},
			have:    jobOf(t, made{path: "chosen/first kiss.CR3"}, made{path: "chosen/first kiss.WAV", head: "w"}, made{path: "chosen/first kiss.CR3.xmp", head: "x"}),
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 known chosen/first kiss.CR3
0:DCIM/100LMRFV/LMR_0001.WAV known chosen/first kiss.WAV
0:DCIM/100LMRFV/LMR_0001.CR3.xmp known chosen/first kiss.CR3.xmp`},
		{name: "a video renamed in the job",
			sources: []Source{card(t, made{path: d + "MVI_0001.MP4", head: "m", size: 1 << 30})},
			have:    jobOf(t, made{path: "A/first dance.MP4", head: "m", size: 1 << 30}),
			want:    `0:DCIM/100LMRFV/MVI_0001.MP4 known A/first dance.MP4`},
		{name: "a small file of another name is another",
			sources: []Source{card(t, made{path: d + "MVI_0001.TXT", head: "m"})},
			have:    jobOf(t, made{path: "unknown/MVI_0002.TXT", head: "m"}),
			want:    `0:DCIM/100LMRFV/MVI_0001.TXT copy unknown/MVI_0001.TXT`},
		{name: "equal content in the job's raw and a lost companion goes beside it",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.WAV", head: "w"})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3", n: 7}, made{path: "A2/LMR_0001.CR3"}),
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 known A2/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0001.WAV copy A2/LMR_0001.WAV, round (-1:A/LMR_0001.CR3)`},
		{name: "equal sidecars of two pictures",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.xmp", head: "x"}, made{path: d + "LMR_0002.CR3", n: 2}, made{path: d + "LMR_0002.xmp", head: "x"})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3"}, made{path: "A/LMR_0001.xmp", head: "x"}),
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 known A/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0001.xmp known A/LMR_0001.xmp
0:DCIM/100LMRFV/LMR_0002.CR3 copy A/LMR_0002.CR3
0:DCIM/100LMRFV/LMR_0002.xmp copy A/LMR_0002.xmp`},
		{name: "mirrored slots",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.WAV", head: "w"}), card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.WAV", head: "w"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3 twin 2
0:DCIM/100LMRFV/LMR_0001.WAV copy A/LMR_0001.WAV twin 3
1:DCIM/100LMRFV/LMR_0001.CR3 known A/LMR_0001.CR3 after 0 twin 0
1:DCIM/100LMRFV/LMR_0001.WAV known A/LMR_0001.WAV after 1 twin 1`},
		{name: "names that differ only in case, between folders",
			sources: []Source{drive(t, made{path: "Day One/a.NEF"}, made{path: "day one/A.NEF", n: 2}, made{path: "day one/b.NEF", n: 3})},
			want: `0:Day One/a.NEF copy A/Day One/a.NEF
0:day one/A.NEF copy A2/day one/A.NEF, round (0:Day One/a.NEF)
0:day one/b.NEF copy A/Day One/b.NEF`},
		{name: "names that differ only in case, in one folder",
			sources: []Source{drive(t, made{path: "A.NEF"}, made{path: "a.NEF", n: 2}, made{path: "a.xmp", head: "x"})},
			want: `0:A.NEF copy A/A.NEF
0:a.NEF copy A2/a.NEF, round (0:A.NEF)
0:a.xmp copy A/a.xmp`},
		{name: "names that differ only in normal form",
			sources: []Source{drive(t, made{path: "Café/a.NEF"}, made{path: "Cafe\u0301/a.NEF", n: 2}, made{path: "Cafe\u0301/c.NEF", n: 4})},
			have:    jobOf(t, made{path: "A/CAFE\u0301/b.NEF", n: 9}),
			want: "0:Café/a.NEF copy A/CAFE\u0301/a.NEF\n" +
				"0:Cafe\u0301/a.NEF copy A2/Cafe\u0301/a.NEF, round (0:Café/a.NEF)\n" +
				"0:Cafe\u0301/c.NEF copy A/CAFE\u0301/c.NEF"},
		{name: "names that Windows reserves, and names that become equal",
			sources: []Source{drive(t, made{path: "CON/aux.NEF"}, made{path: "who?.NEF", n: 2}, made{path: "who*.NEF", n: 3})},
			want: `0:CON/aux.NEF copy A/CON_/aux_.NEF, name
0:who?.NEF copy A/who_.NEF, name
0:who*.NEF copy A2/who_.NEF, name, round (0:who?.NEF)`},
		{name: "a file that has the name of a folder",
			sources: []Source{drive(t, made{path: "x.NEF/a.NEF"}, made{path: "X.nef", n: 2})},
			want: `0:x.NEF/a.NEF copy A/x.NEF/a.NEF
0:X.nef copy A2/X.nef, round`},
		{name: "a clip tree stays together",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: "PRIVATE/M4ROOT/CLIP/C0001.MP4", head: "c"}, made{path: "PRIVATE/M4ROOT/CLIPLIST.XML", head: "i"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
0:PRIVATE/M4ROOT/CLIP/C0001.MP4 copy clips/A/PRIVATE/M4ROOT/CLIP/C0001.MP4
0:PRIVATE/M4ROOT/CLIPLIST.XML copy clips/A/PRIVATE/M4ROOT/CLIPLIST.XML`},
		{name: "a clip tree again, its index changed",
			sources: []Source{card(t, made{path: "PRIVATE/CLIP/C0001.MP4", head: "c"}, made{path: "PRIVATE/CLIP/C0002.MP4", head: "c2"}, made{path: "PRIVATE/INDEX.XML", head: "i2"})},
			have:    jobOf(t, made{path: "clips/unknown/PRIVATE/CLIP/C0001.MP4", head: "c"}, made{path: "clips/unknown/PRIVATE/INDEX.XML", head: "i"}),
			want: `0:PRIVATE/CLIP/C0001.MP4 known clips/unknown/PRIVATE/CLIP/C0001.MP4
0:PRIVATE/CLIP/C0002.MP4 copy clips/unknown2/PRIVATE/CLIP/C0002.MP4, round (-1:clips/unknown/PRIVATE/INDEX.XML)
0:PRIVATE/INDEX.XML copy clips/unknown2/PRIVATE/INDEX.XML, round (-1:clips/unknown/PRIVATE/INDEX.XML)`},
		{name: "another card with the same clip names",
			sources: []Source{card(t, made{path: "PRIVATE/C0001.MP4", head: "c"}, made{path: "PRIVATE/I.XML", head: "i"}), card(t, made{path: "PRIVATE/C0001.MP4", head: "other"}, made{path: "PRIVATE/C0002.MP4", head: "c2"}, made{path: "PRIVATE/I.XML", head: "i"})},
			want: `0:PRIVATE/C0001.MP4 copy clips/unknown/PRIVATE/C0001.MP4
0:PRIVATE/I.XML copy clips/unknown/PRIVATE/I.XML twin 4
1:PRIVATE/C0001.MP4 copy clips/unknown2/PRIVATE/C0001.MP4, round (0:PRIVATE/C0001.MP4)
1:PRIVATE/C0002.MP4 copy clips/unknown2/PRIVATE/C0002.MP4, round (0:PRIVATE/C0001.MP4)
1:PRIVATE/I.XML known clips/unknown/PRIVATE/I.XML after 1 twin 1`},
		{name: "a clip is not known by what lies outside clips/",
			sources: []Source{card(t, made{path: "PRIVATE/C0001.MP4", head: "c", size: 1 << 30})},
			have:    jobOf(t, made{path: "A/C0001.MP4", head: "c", size: 1 << 30}),
			want:    `0:PRIVATE/C0001.MP4 copy clips/unknown/PRIVATE/C0001.MP4`},
		{name: "a damaged twin after the whole one",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}), card(t, made{path: d + "LMR_0001.CR3", tail: "x"})},
			o:       Options{Damaged: secondDamaged},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3, twin broken (1:DCIM/100LMRFV/LMR_0001.CR3)
1:DCIM/100LMRFV/LMR_0001.CR3 aside aside/A/LMR_0001.CR3 twin 0, twin broken (0:DCIM/100LMRFV/LMR_0001.CR3)`},
		{name: "a damaged twin before the whole one",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", tail: "x"}, made{path: d + "LMR_0001.JPG"}), card(t, made{path: d + "LMR_0001.CR3"})},
			o:       Options{Damaged: firstDamaged},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 aside aside/A/LMR_0001.CR3 twin 2, twin broken (1:DCIM/100LMRFV/LMR_0001.CR3)
0:DCIM/100LMRFV/LMR_0001.JPG copy A/LMR_0001.JPG
1:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3, twin broken (0:DCIM/100LMRFV/LMR_0001.CR3)`},
		{name: "twins that differ, and nobody knows",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}), card(t, made{path: d + "LMR_0001.CR3", tail: "x"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
1:DCIM/100LMRFV/LMR_0001.CR3 aside aside/A/LMR_0001.CR3, twin unsure (0:DCIM/100LMRFV/LMR_0001.CR3)`},
		{name: "the damaged twin is in the job",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0001.WAV", head: "w"})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3", tail: "x"}, made{path: "A/LMR_0001.WAV", head: "w"}),
			o:       Options{Damaged: firstDamaged},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A2/LMR_0001.CR3, twin broken (-1:A/LMR_0001.CR3)
0:DCIM/100LMRFV/LMR_0001.WAV known A/LMR_0001.WAV`},
		{name: "the whole twin is in the job",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", tail: "x"})},
			have:    jobOf(t, made{path: "A2/LMR_0001.CR3"}),
			o:       Options{Damaged: secondDamaged},
			want:    `0:DCIM/100LMRFV/LMR_0001.CR3 aside aside/A2/LMR_0001.CR3, twin broken (-1:A2/LMR_0001.CR3)`},
		{name: "the damaged twin is aside already",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", tail: "x"}), card(t, made{path: d + "LMR_0001.CR3", tail: "y"})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3"}, made{path: "aside/A/LMR_0001.CR3", tail: "x"}),
			o:       Options{Damaged: secondDamaged},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 known aside/A/LMR_0001.CR3
1:DCIM/100LMRFV/LMR_0001.CR3 aside aside/A2/LMR_0001.CR3, twin broken (-1:A/LMR_0001.CR3)`},
		{name: "a twin of which nothing can be made",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", broken: true}), card(t, made{path: d + "LMR_0001.CR3"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 aside aside/A/LMR_0001.CR3 twin 1, twin broken (1:DCIM/100LMRFV/LMR_0001.CR3)
1:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3, twin broken (0:DCIM/100LMRFV/LMR_0001.CR3)`},
		{name: "one of which nothing can be made, the job has it whole",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", broken: true}, made{path: d + "LMR_0001.JPG"})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3"}, made{path: "A/LMR_0001.JPG"}),
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 aside aside/A/LMR_0001.CR3, twin broken (-1:A/LMR_0001.CR3)
0:DCIM/100LMRFV/LMR_0001.JPG known A/LMR_0001.JPG`},
		{name: "an unreadable head is healed",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", err: errIO, mod: 2 * 1e9}, made{path: d + "LMR_0002.CR3", n: 2}), card(t, made{path: d + "LMR_0001.CR3"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3 twin 2, healed (1:DCIM/100LMRFV/LMR_0001.CR3)
0:DCIM/100LMRFV/LMR_0002.CR3 copy A/LMR_0002.CR3
1:DCIM/100LMRFV/LMR_0001.CR3 known A/LMR_0001.CR3 after 0`},
		{name: "an unreadable head on the second card",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}), card(t, made{path: d + "LMR_0001.CR3", err: errIO})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
1:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3 after 0 twin 0, healed (0:DCIM/100LMRFV/LMR_0001.CR3)`},
		{name: "an unreadable file that the job has",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", err: errIO}, made{path: d + "LMR_0001.JPG"}, made{path: "P/C.MP4", err: errIO})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3"}, made{path: "A/LMR_0001.JPG"}, made{path: "clips/A/P/C.MP4"}),
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 known A/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0001.JPG known A/LMR_0001.JPG
0:P/C.MP4 known clips/A/P/C.MP4`},
		{name: "an unreadable file, another body's of its name, size and time",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", err: errIO}), card(t, made{path: d + "LMR_0001.CR3", serial: "2002"}), card(t, made{path: d + "LMR_0001.CR3", serial: "3003"})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy unknown/LMR_0001.CR3
1:DCIM/100LMRFV/LMR_0001.CR3 copy B/LMR_0001.CR3
2:DCIM/100LMRFV/LMR_0001.CR3 copy C/LMR_0001.CR3`},
		{name: "a clip that one of two cards cannot give",
			sources: []Source{card(t, made{path: "P/C1.MP4", err: errIO}, made{path: "P/C2.MP4", head: "2"}), card(t, made{path: "P/C1.MP4"}, made{path: "P/C2.MP4", head: "2"})},
			want: `0:P/C1.MP4 copy clips/unknown/P/C1.MP4 twin 2, healed (1:P/C1.MP4)
0:P/C2.MP4 copy clips/unknown/P/C2.MP4 twin 3
1:P/C1.MP4 known clips/unknown/P/C1.MP4 after 0
1:P/C2.MP4 known clips/unknown/P/C2.MP4 after 1 twin 1`},
		{name: "a converted file from a second shooter's drive",
			sources: []Source{drive(t, made{path: "Day 1/x.DNG", serial: "3003", soft: "Converter 3"}, made{path: "Day 1/y.NEF", serial: "3003", n: 4})},
			have:    jobOf(t, made{path: "C/LMR_0001.NEF", serial: "3003", soft: "1.0", counter: true}),
			want: `0:Day 1/x.DNG copy C/Day 1/x.DNG
0:Day 1/y.NEF copy C/Day 1/y.NEF`},
		{name: "a converted file that kept its name",
			sources: []Source{drive(t, made{path: "Day 1/LMR_0001.DNG", serial: "3003", soft: "Converter 3"})},
			have:    jobOf(t, made{path: "C/LMR_0001.NEF", serial: "3003", soft: "1.0"}),
			want:    `0:Day 1/LMR_0001.DNG copy C/Day 1/LMR_0001.DNG, version (-1:C/LMR_0001.NEF)`},
		{name: "a tagged file under its own name",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", size: 999, head: "tagged"})},
			have:    jobOf(t, made{path: "A/LMR_0001.CR3"}),
			want:    `0:DCIM/100LMRFV/LMR_0001.CR3 copy A2/LMR_0001.CR3, version (-1:A/LMR_0001.CR3)`},
		{name: "an editor's JPEG of a raw",
			sources: []Source{drive(t, made{path: "x.NEF", soft: "1.0"}, made{path: "x.JPG", soft: "Editor 9"})},
			want: `0:x.NEF copy A/x.NEF
0:x.JPG copy A/x.JPG, version (0:x.NEF)`},
		{name: "an unknown body, and what has none",
			sources: []Source{drive(t, made{path: "x.NEF", serial: "-"}, made{path: "sub/notes.txt", head: "n"}), card(t, made{path: d + "Y_0001.CR3", serial: "77"}, made{path: d + "Y_0002.MP4", head: "v"})},
			want: `0:x.NEF copy unknown/x.NEF
0:sub/notes.txt copy unknown/sub/notes.txt
1:DCIM/100LMRFV/Y_0001.CR3 copy unknown/Y_0001.CR3
1:DCIM/100LMRFV/Y_0002.MP4 copy unknown/Y_0002.MP4`},
		{name: "what is no picture goes with its nearest neighbour",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3"}, made{path: d + "LMR_0002.MP4", head: "2"}, made{path: d + "LMR_0003.MP4", head: "3"}, made{path: d + "LMR_0004.MP4", head: "4"}, made{path: d + "LMR_0005.CR3", n: 5, serial: "2002"},
				made{path: e + "LMR_0006.MP4", head: "6"}, made{path: "DCIM/LMR_0007.CR3", n: 7, serial: "2002"}, made{path: "DCIM/100LMRFV/deep/LMR_0008.CR3", n: 8})},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0002.MP4 copy A/LMR_0002.MP4
0:DCIM/100LMRFV/LMR_0003.MP4 copy A/LMR_0003.MP4
0:DCIM/100LMRFV/LMR_0004.MP4 copy B/LMR_0004.MP4
0:DCIM/100LMRFV/LMR_0005.CR3 copy B/LMR_0005.CR3
0:DCIM/101LMRFV/LMR_0006.MP4 copy A/LMR_0006.MP4
0:DCIM/LMR_0007.CR3 copy B/LMR_0007.CR3
0:DCIM/100LMRFV/deep/LMR_0008.CR3 copy A/LMR_0008.CR3`},
		{name: "a drive's other files go with most of their folder",
			sources: []Source{drive(t, made{path: "a/1.NEF"}, made{path: "a/2.NEF", n: 2, serial: "2002"}, made{path: "a/3.NEF", n: 3, serial: "2002"}, made{path: "a/1.xmp", head: "x"}, made{path: "a/list.txt", head: "l"}, made{path: "b/list.txt", head: "m"})},
			want: `0:a/1.NEF copy A/a/1.NEF
0:a/2.NEF copy B/a/2.NEF
0:a/3.NEF copy B/a/3.NEF
0:a/1.xmp copy A/a/1.xmp
0:a/list.txt copy B/a/list.txt
0:b/list.txt copy B/b/list.txt`},
		{name: "two bodies' files of one name in a drive's folder",
			sources: []Source{drive(t, made{path: "x.JPG", n: 3}, made{path: "x.NEF", serial: "2002"})},
			want: `0:x.JPG copy A/x.JPG
0:x.NEF copy B/x.NEF`},
		{name: "midnight and five in the morning",
			sources: []Source{card(t, made{path: d + "LMR_0001.CR3", n: 12 * 3600}, made{path: d + "LMR_0001.WAV", head: "w", mod: 5 * 3600 * 1e9, n: 12 * 3600}, made{path: d + "LMR_0002.CR3", n: 15 * 3600})},
			o:       Options{Days: []string{"2026-06-13"}},
			want: `0:DCIM/100LMRFV/LMR_0001.CR3 copy A/LMR_0001.CR3
0:DCIM/100LMRFV/LMR_0001.WAV copy A/LMR_0001.WAV
0:DCIM/100LMRFV/LMR_0002.CR3 leave`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.o.Letters = letters
			p := Make(tt.sources, tt.have, tt.o)
			if got := strings.Join(lines(tt.sources, p), "\n"); got != tt.want {
				t.Errorf("planned\n%s\nwanted\n%s", got, tt.want)
			}
		})
	}
}
