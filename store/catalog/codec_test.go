package catalog

import (
	"bytes"
	"encoding/hex"
	"hash/crc32"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// The vectors of RFC 3720 (iSCSI), appendix B.4; there the bytes of the result
// are written lowest first.
func TestCRC32C(t *testing.T) {
	rising := make([]byte, 32)
	for i := range rising {
		rising[i] = byte(i)
	}
	for _, c := range []struct {
		name string
		in   []byte
		want uint32
	}{
		{"32 zeros", make([]byte, 32), 0x8a9136aa},
		{"32 ones", bytes.Repeat([]byte{0xff}, 32), 0x62a8ab43},
		{"rising", rising, 0x46dd794e},
	} {
		if got := crc32.Checksum(c.in, castagnoli()); got != c.want {
			t.Errorf("%s: %08x, want %08x", c.name, got, c.want)
		}
	}
}

func TestSealKnowsItsPlace(t *testing.T) {
	value := seal("frames", []byte("k1"), 1, []byte("payload"))
	if _, payload, err := unseal("frames", []byte("k1"), value); err != nil || string(payload) != "payload" {
		t.Fatalf("%q, %v", payload, err)
	}
	for _, c := range []struct{ bucket, key string }{{"frames", "k2"}, {"paths", "k1"}, {"framesk", "1"}} {
		if _, _, err := unseal(c.bucket, []byte(c.key), value); err == nil {
			t.Errorf("the record of frames/k1 passes for %s/%s", c.bucket, c.key)
		}
	}
	for i := range value {
		for bit := range 8 {
			flipped := bytes.Clone(value)
			flipped[i] ^= 1 << bit
			if _, _, err := unseal("frames", []byte("k1"), flipped); err == nil {
				t.Errorf("bit %d of byte %d flipped, and nobody noticed", bit, i)
			}
		}
	}
}

func text() *rapid.Generator[string] {
	return rapid.OneOf(rapid.String(), rapid.Custom(func(t *rapid.T) string {
		return string(rapid.SliceOf(rapid.Byte()).Draw(t, "raw")) // names need not be UTF-8
	}))
}

func frameID() *rapid.Generator[string] {
	return rapid.OneOf(rapid.StringMatching(`[0-9a-f]{16}`), text())
}

func instant() *rapid.Generator[time.Time] {
	return rapid.Custom(func(t *rapid.T) time.Time {
		if rapid.Bool().Draw(t, "unknown") {
			return time.Time{}
		}
		return time.Unix(rapid.Int64Range(-1e10, 1e10).Draw(t, "sec"), rapid.Int64Range(0, 1e9-1).Draw(t, "nsec")).UTC()
	})
}

func stamp() *rapid.Generator[Stamp] {
	return rapid.Custom(func(t *rapid.T) Stamp {
		return Stamp{Wall: instant().Draw(t, "wall"), Digits: rapid.Int().Draw(t, "digits"), Zone: rapid.Int().Draw(t, "zone"), ZoneIs: rapid.Byte().Draw(t, "zoneis")}
	})
}

func frame() *rapid.Generator[Frame] {
	return rapid.Custom(func(t *rapid.T) Frame {
		str, num := text(), rapid.Int()
		f := Frame{
			Name: str.Draw(t, "name"), Kind: str.Draw(t, "kind"), Body: str.Draw(t, "body"), Taken: stamp().Draw(t, "taken"),
			Fingerprint: rapid.Uint64().Draw(t, "fp"), HasFingerprint: rapid.Bool().Draw(t, "hasfp"), Luma: rapid.Float64().Draw(t, "luma"),
		}
		for range rapid.IntRange(0, 3).Draw(t, "aliases") {
			f.Aliases = append(f.Aliases, frameID().Draw(t, "alias"))
		}
		for range rapid.IntRange(0, 3).Draw(t, "files") {
			f.Files = append(f.Files, File{Path: str.Draw(t, "path"), Role: str.Draw(t, "role"), Kind: str.Draw(t, "fkind"),
				Size: rapid.Int64().Draw(t, "size"), Mod: instant().Draw(t, "mod"), Head: str.Draw(t, "head")})
			if of := str.Draw(t, "of"); of != "" {
				f.Files[len(f.Files)-1].Of = Origin{of, str.Draw(t, "okind"), rapid.Int64().Draw(t, "osize"), str.Draw(t, "ohead")}
			}
		}
		for i := range rapid.IntRange(0, 3).Draw(t, "previews") {
			p := Preview{File: str.Draw(t, "of"), Role: str.Draw(t, "prole"), Offset: rapid.Int64().Draw(t, "off"),
				Length: rapid.Int64().Draw(t, "len"), Width: num.Draw(t, "w"), Height: num.Draw(t, "h"), Whole: rapid.Bool().Draw(t, "whole")}
			if i < len(f.Files) {
				p.File = f.Files[i].Path
			}
			f.Previews = append(f.Previews, p)
		}
		for range rapid.IntRange(0, 2).Draw(t, "problems") {
			f.Problems = append(f.Problems, Problem{Code: str.Draw(t, "code"), Text: str.Draw(t, "text")})
		}
		s := &f.Shot
		for _, p := range []*int{&s.Orientation, &s.ISO, &s.Width, &s.Height, &s.Rating, &s.SubjectX, &s.SubjectY} {
			*p = num.Draw(t, "int")
		}
		for _, p := range []*string{&s.Lens, &s.Make, &s.Model, &s.Serial, &s.Software, &s.ColorSpace} {
			*p = str.Draw(t, "shot")
		}
		for _, p := range []*float64{&s.Seconds, &s.FNumber, &s.FocalLength} {
			*p = rapid.Float64().Draw(t, "float")
		}
		for _, p := range []*bool{&s.ManualWB, &s.AutoBracket, &s.Protected, &s.SubjectGiven} {
			*p = rapid.Bool().Draw(t, "bool")
		}
		s.Counter = rapid.Int64().Draw(t, "counter")
		if rapid.Bool().Draw(t, "hasbias") {
			v := rapid.Float64().Draw(t, "bias")
			s.Bias = &v
		}
		if rapid.Bool().Draw(t, "hasflash") {
			v := rapid.Bool().Draw(t, "flash")
			s.Flash = &v
		}
		return f
	})
}

// holds checks that a record of a kind comes back as it was.
func holds[R any](t *rapid.T, k kind[R], r R) {
	t.Helper()
	value := seal("b", []byte("k"), k.version, k.encode(nil, r))
	got, err := k.open("b", []byte("k"), value)
	if err != nil {
		t.Fatalf("%v\n%+v", err, r)
	}
	if d := cmp.Diff(r, got); d != "" {
		t.Fatal(d)
	}
}

func TestEveryFieldOfARecordSurvives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		str := text()
		holds(t, frameKind(), frame().Draw(t, "frame"))
		holds(t, bodyKind(), Body{str.Draw(t, "make"), str.Draw(t, "model"), str.Draw(t, "serial"), str.Draw(t, "who")})
		holds(t, pathKind(), Path{frameID().Draw(t, "id"), rapid.Int64().Draw(t, "size"), instant().Draw(t, "mod"), str.Draw(t, "head")})
		holds(t, passKind(), Pass{str.Draw(t, "question"), str.Draw(t, "of"), rapid.Byte().Draw(t, "answer"), rapid.Uint64().Draw(t, "seq")})
		holds(t, stateKind(), State{rapid.Byte().Draw(t, "answer"), str.Draw(t, "who"), instant().Draw(t, "at"),
			rapid.Bool().Draw(t, "shown"), rapid.Bool().Draw(t, "explicit"), rapid.Uint64().Draw(t, "seq")})
		var replaced []State
		for range rapid.IntRange(0, 3).Draw(t, "replaced") {
			replaced = append(replaced, State{Answer: rapid.Byte().Draw(t, "answer"), At: instant().Draw(t, "at")})
		}
		holds(t, entryKind(), Entry{str.Draw(t, "line"), replaced})
		holds(t, numberKind(), rapid.Int64().Draw(t, "number"))
		holds(t, idKind(), frameID().Draw(t, "id"))
		holds(t, textKind(), str.Draw(t, "text"))
		var l Layout
		for range rapid.IntRange(0, 5).Draw(t, "places") {
			l.Places = append(l.Places, Place{frameID().Draw(t, "id"), rapid.Int().Draw(t, "moment"), rapid.Byte().Draw(t, "kind"),
				rapid.Byte().Draw(t, "series"), rapid.Int().Draw(t, "alike"),
				rapid.Int().Draw(t, "scene"), stamp().Draw(t, "corrected")})
			l.Scenes = append(l.Scenes, Scene{rapid.Int().Draw(t, "id"), str.Draw(t, "name"), frameID().Draw(t, "first")})
		}
		holds(t, layoutKind(), l)
		var others []Other
		for range rapid.IntRange(0, 5).Draw(t, "others") {
			others = append(others, Other{str.Draw(t, "path"), str.Draw(t, "why")})
		}
		holds(t, othersKind(), others)
		var texts []string
		for range rapid.IntRange(0, 3).Draw(t, "texts") {
			texts = append(texts, str.Draw(t, "text"))
		}
		holds(t, cardKind(), Card{str.Draw(t, "label"), str.Draw(t, "volume"), texts, str.Draw(t, "first"), str.Draw(t, "last"),
			instant().Draw(t, "from"), instant().Draw(t, "until"), rapid.Int().Draw(t, "frames"), rapid.Int().Draw(t, "files"),
			rapid.Int64().Draw(t, "bytes"), texts, rapid.Bool().Draw(t, "safe"), texts, instant().Draw(t, "at")})
	})
}

// An instant that only a broken file system gives still makes a record that can
// be read.
func TestAbsurdInstant(t *testing.T) {
	for _, sec := range []int64{-1 << 62, 1 << 62} {
		k := pathKind()
		value := seal("paths", []byte("k"), 1, k.encode(nil, Path{Mod: time.Unix(sec, 0)}))
		if _, err := k.open("paths", []byte("k"), value); err != nil {
			t.Errorf("%d s: %v", sec, err)
		}
	}
}

func TestRecordOfALaterVersion(t *testing.T) {
	k := numberKind()
	for _, version := range []byte{0, 2, 255} {
		if n, err := k.open("meta", []byte("k"), seal("meta", []byte("k"), version, k.encode(nil, 7))); err == nil || n != 0 {
			t.Errorf("version %d: %d, %v", version, n, err)
		}
	}
}

// FuzzRecord: whatever the payload of any kind, a decoder gives either a record
// whose encoding is that payload again, or an error and the zero record.
func FuzzRecord(f *testing.F) {
	bias := -0.5
	f.Add(byte(0), encodeFrame(nil, Frame{Aliases: []string{"0123456789abcdef"}, Name: "A/IMG_0001",
		Files:    []File{{Path: "A/IMG_0001.CR3", Size: 1, Mod: time.Unix(1, 2)}},
		Previews: []Preview{{File: "A/IMG_0001.CR3"}, {File: "x"}}, Shot: Shot{Bias: &bias}, Problems: []Problem{{"c", "t"}}}))
	f.Add(byte(1), encodeBody(nil, Body{Make: "m"}))
	f.Add(byte(2), encodePath(nil, Path{Frame: "0123456789abcdef", Size: -1}))
	f.Add(byte(3), encodePass(nil, Pass{Question: "q", Seq: 1 << 63}))
	f.Add(byte(4), encodeState(nil, State{Answer: 1, Who: "w", Shown: true, Seq: 9}))
	f.Add(byte(5), encodeLayout(nil, Layout{Places: []Place{{Frame: "0123456789abcdef", Moment: 3, Series: 4, Alike: 1}}, Scenes: []Scene{{ID: 1, Name: "01"}}}))
	f.Add(byte(6), encodeOthers(nil, []Other{{"p", "w"}}))
	f.Add(byte(7), encodeNumber(nil, -5))
	f.Add(byte(8), encodeID(nil, "plain"))
	f.Add(byte(9), encodeEntry(nil, Entry{Line: "l", Replaced: []State{{Answer: 1}}}))
	f.Add(byte(10), encodeCard(nil, Card{Label: "EOS", Bodies: []string{"A"}, Frames: 3, Safe: true, At: time.Unix(1, 2)}))
	f.Fuzz(func(t *testing.T, which byte, payload []byte) {
		switch which % 11 {
		case 0:
			canonical(t, frameKind(), payload)
		case 1:
			canonical(t, bodyKind(), payload)
		case 2:
			canonical(t, pathKind(), payload)
		case 3:
			canonical(t, passKind(), payload)
		case 4:
			canonical(t, stateKind(), payload)
		case 5:
			canonical(t, layoutKind(), payload)
		case 6:
			canonical(t, othersKind(), payload)
		case 7:
			canonical(t, numberKind(), payload)
		case 8:
			canonical(t, idKind(), payload)
		case 9:
			canonical(t, entryKind(), payload)
		case 10:
			canonical(t, cardKind(), payload)
		}
	})
}

func canonical[R any](t *testing.T, k kind[R], payload []byte) {
	r, err := k.open("b", []byte("k"), seal("b", []byte("k"), k.version, payload))
	if err != nil {
		var zero R
		if d := cmp.Diff(zero, r); d != "" {
			t.Fatalf("with the error %v came a record: %s", err, d)
		}
		return
	}
	if again := k.encode(nil, r); !bytes.Equal(again, payload) {
		t.Fatalf("%s\nbecame\n%s", hex.EncodeToString(payload), hex.EncodeToString(again))
	}
}
