package imprint

import (
	"bytes"
	"encoding/binary"
	"sort"
	"strings"
	"testing"
	"time"

	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
)

// fewLetters is a font with the outlines of some letters alone, so that fuzzing
// meets its tables.
func fewLetters(text string, instead map[int][]byte) []byte {
	src, tables := gomono.TTF, map[string][]byte{}
	var names []string
	for i := range int(binary.BigEndian.Uint16(src[4:])) {
		e := src[12+16*i:]
		name, at := string(e[:4]), binary.BigEndian.Uint32(e[8:])
		switch name {
		case "OS/2", "cmap", "glyf", "head", "hhea", "hmtx", "loca", "maxp", "post":
			names = append(names, name)
			tables[name] = src[at:][:binary.BigEndian.Uint32(e[12:])]
		}
	}
	f, err := opentype.Parse(src)
	if err != nil {
		panic(err)
	}
	var buf sfnt.Buffer
	wanted := map[int]bool{}
	for _, r := range text {
		g, _ := f.GlyphIndex(&buf, r)
		wanted[int(g)] = true
	}
	loca, glyf := bytes.Clone(tables["loca"]), []byte{}
	for i := range len(loca)/4 - 1 {
		from, to := binary.BigEndian.Uint32(loca[4*i:]), binary.BigEndian.Uint32(loca[4*i+4:])
		binary.BigEndian.PutUint32(loca[4*i:], uint32(len(glyf)))
		if other := instead[i]; other != nil {
			glyf = append(glyf, other...)
		} else if wanted[i] {
			glyf = append(glyf, tables["glyf"][from:to]...)
		}
	}
	binary.BigEndian.PutUint32(loca[len(loca)-4:], uint32(len(glyf)))
	tables["loca"], tables["glyf"] = loca, glyf
	return sfntOf("\x00\x01\x00\x00", names, tables)
}

// sfntOf puts tables into a file.
func sfntOf(kind string, names []string, tables map[string][]byte) []byte {
	out := append([]byte(kind+"\x00"), byte(len(names)), 0, 0, 0, 0, 0, 0)
	at := len(out) + 16*len(names)
	var data []byte
	for _, name := range names {
		out = append(append(out, name...), 0, 0, 0, 0)
		out = binary.BigEndian.AppendUint32(out, uint32(at+len(data)))
		out = binary.BigEndian.AppendUint32(out, uint32(len(tables[name])))
		data = append(data, tables[name]...)
		for len(data)%4 != 0 {
			data = append(data, 0)
		}
	}
	return append(out, data...)
}

// A damaged font is refused or set, wherever the damage is: every 997th byte of a
// whole font turned over, and tables that ask for much.
func TestDamagedFonts(t *testing.T) {
	for at := 0; at < len(gomono.TTF); at += 997 {
		b := bytes.Clone(gomono.TTF)
		b[at] ^= 0xFF
		checkStamp(t, Stamp{Text: "Größe 26", Font: b, Size: 0.2, Opacity: 1}, 120, 80)
	}
	// An em of one unit: letters are then thousands of em large.
	b := bytes.Clone(gomono.TTF)
	tables := int(binary.BigEndian.Uint16(b[4:]))
	for i := range tables {
		if e := b[12+16*i:]; string(e[:4]) == "head" {
			binary.BigEndian.PutUint16(b[binary.BigEndian.Uint32(e[8:])+18:], 1)
		}
	}
	_, err := NewStamper(Stamp{Text: "x", Font: b, Size: 0.2, Opacity: 1})
	if err == nil || !strings.Contains(err.Error(), "larger than letters") {
		t.Errorf("letters of a thousand em: %v", err)
	}
}

// Letters made of letters made of letters: nine of the next, seven deep, are some
// five million outlines. Such a font is refused as soon as it has been read more
// than letters need.
func TestLettersOfLetters(t *testing.T) {
	f, err := opentype.Parse(gomono.TTF)
	if err != nil {
		t.Fatal(err)
	}
	var buf sfnt.Buffer
	id := func(r rune) int {
		g, err := f.GlyphIndex(&buf, r)
		if err != nil || g == 0 {
			t.Fatal(err)
		}
		return int(g)
	}
	for each, refused := range map[int]bool{2: false, 9: true} {
		instead := map[int][]byte{}
		chain := "abcdefg"
		for i := range len(chain) - 1 {
			b := make([]byte, 10)
			binary.BigEndian.PutUint16(b, 0xFFFF) // a number of outlines below none: made of others
			for k := range each {
				flags := uint16(0x0002) // offsets in bytes
				if k < each-1 {
					flags |= 0x0020 // more follow
				}
				b = binary.BigEndian.AppendUint16(b, flags)
				b = binary.BigEndian.AppendUint16(b, uint16(id(rune(chain[i+1]))))
				b = append(b, 0, 0)
			}
			instead[id(rune(chain[i]))] = append(b, 0, 0)[:(len(b)+3)&^3]
		}
		began := time.Now()
		_, err := NewStamper(Stamp{Text: "a", Font: fewLetters("g", instead), Size: 0.1, Opacity: 1})
		if (err != nil) != refused {
			t.Errorf("%d letters in each: %v", each, err)
		}
		if d := time.Since(began); d > 5*time.Second {
			t.Errorf("%d letters in each took %v", each, d)
		}
	}
}

// cff is a font of the other kind, Compact Font Format (Adobe Technical Notes 5176
// and 5177): two letters, "" and x, and subroutines.
func cff(letter string, subroutines ...string) []byte {
	index := func(items ...string) string {
		if len(items) == 0 {
			return "\x00\x00"
		}
		out := string(binary.BigEndian.AppendUint16(nil, uint16(len(items)))) + "\x04"
		at := uint32(1)
		for i := 0; i <= len(items); i++ {
			out += string(binary.BigEndian.AppendUint32(nil, at))
			if i < len(items) {
				at += uint32(len(items[i]))
			}
		}
		return out + strings.Join(items, "")
	}
	number := func(v int) string { return "\x1D" + string(binary.BigEndian.AppendUint32(nil, uint32(v))) }
	head := "\x01\x00\x04\x04" + index("f")
	top := func(letters, private int) string {
		return index(number(letters) + "\x11" + number(0) + number(private) + "\x12")
	}
	strings_ := index() + index(subroutines...)
	at := len(head) + len(top(0, 0)) + len(strings_)
	letters := index("\x0E", letter)
	table := []byte(head + top(at, at+len(letters)) + strings_ + letters)
	src, tables := gomono.TTF, map[string][]byte{"CFF ": table}
	names := []string{"CFF "}
	for i := range int(binary.BigEndian.Uint16(src[4:])) {
		e := src[12+16*i:]
		switch name := string(e[:4]); name {
		case "OS/2", "head", "hhea", "post":
			names = append(names, name)
			tables[name] = bytes.Clone(src[binary.BigEndian.Uint32(e[8:]):][:binary.BigEndian.Uint32(e[12:])])
		}
	}
	binary.BigEndian.PutUint16(tables["hhea"][34:], 2)
	binary.BigEndian.PutUint32(tables["post"], 0x00030000)
	tables["post"] = tables["post"][:32]
	tables["hmtx"] = []byte("\x04\x00\x00\x00\x04\x00\x00\x00")
	tables["maxp"] = []byte("\x00\x00\x50\x00\x00\x02")
	tables["cmap"] = []byte("\x00\x00\x00\x01\x00\x03\x00\x01\x00\x00\x00\x0C" + // one table, of Unicode
		"\x00\x04\x00\x20\x00\x00\x00\x04\x00\x00\x00\x00\x00\x00" + "\x00x\xFF\xFF\x00\x00\x00x\xFF\xFF\xFF\x89\x00\x01\x00\x00\x00\x00")
	names = append(names, "cmap", "hmtx", "maxp")
	sort.Strings(names)
	return sfntOf("OTTO", names, tables)
}

// The same with subroutines, which call each other up to ten deep.
func TestSubroutines(t *testing.T) {
	const call, back, end = "\x1D", "\x0B", "\x0E"
	square := "\x8B\x8B\x15" + "\xF7\xF4\x06" + "\xF7\xF4\x07" + "\xFB\xF4\x06" // a move and three lines
	of := func(n int) string { return string([]byte{byte(n - 107 + 139)}) }     // the bias of few subroutines is 107
	if _, err := NewStamper(Stamp{Text: "x", Font: cff(of(0)+call+end, square+back), Size: 0.1, Opacity: 1}); err != nil {
		t.Fatal(err)
	}
	const deep = 8
	var subroutines []string
	for i := range deep {
		subroutines = append(subroutines, strings.Repeat(of(i+1)+call, 40)+back)
	}
	subroutines = append(subroutines, square+back)
	began := time.Now()
	_, err := NewStamper(Stamp{Text: "x", Font: cff(of(0)+call+end, subroutines...), Size: 0.1, Opacity: 1})
	if err == nil || !strings.Contains(err.Error(), "asks for more") {
		t.Errorf("40 calls, %d deep: %v", deep, err)
	}
	if d := time.Since(began); d > 5*time.Second {
		t.Errorf("it took %v", d)
	}
}
