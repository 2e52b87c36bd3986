package proofs

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"

	"garner/testdata/testneed"
)

// ISO 32000-1, D.2 for the codes; the rest is what a reader can do with it.
func TestWinAnsi(t *testing.T) {
	for in, want := range map[string]struct {
		codes string
		whole bool
	}{
		"Anna & Jørgen":      {"Anna & J\xf8rgen", true},
		"€ – — „x“ Š œ •":    {"\x80 \x96 \x97 \x84x\x93 \x8a \x9c \x95", true},
		"cafe\u0301":         {"caf\xe9", true},
		"Łódź, Dvořák":       {"L\xf3dz, Dvor\xe1k", false},
		"Nguyễn":             {"Nguyen", false},
		"Şükrü ığdır":        {"S\xfckr\xfc igdir", false},
		"Церковь 2":          {"? 2", false},
		"漢字漢字":               {"?", false},
		"𝓐nna ﬁx":            {"Anna fix", false},
		"x\U0001F469\u200dy": {"x?y", false},
		"":                   {"", true},
	} {
		codes, whole := winAnsi(in)
		if string(codes) != want.codes || whole != want.whole {
			t.Errorf("%q is %q, %v; not %q, %v", in, codes, whole, want.codes, want.whole)
		}
	}
	if got := literal([]byte("a(b)\\\xe9\n")); got != `(a\(b\)\\\351\012)` {
		t.Error(got)
	}
	if got := textString("aЖ😀"); got != "<FEFF00610416D83DDE00>" {
		t.Error(got)
	}
}

// NimbusSans is made to the widths of Helvetica (Debian's fonts-urw-base35).
func TestWidths(t *testing.T) {
	dir := testneed.Folder(t, "/usr/share/fonts/type1/urw-base35", "fonts-urw-base35")
	afm, err := os.ReadFile(filepath.Join(dir, "NimbusSans-Regular.afm"))
	if err != nil {
		t.Fatal(err)
	}
	byName := map[string]int{}
	for _, m := range regexp.MustCompile(`(?m)^C -?\d+ ; WX (\d+) ; N (\S+) ;`).FindAllStringSubmatch(string(afm), -1) {
		byName[m[2]], _ = strconv.Atoi(m[1])
	}
	names := map[rune]string{}
	for i, n := range strings.Fields(`space exclam quotedbl numbersign dollar percent ampersand quotesingle parenleft parenright asterisk plus comma hyphen period slash
		zero one two three four five six seven eight nine colon semicolon less equal greater question at`) {
		names[rune(32+i)] = n
	}
	for i, n := range strings.Fields("bracketleft backslash bracketright asciicircum underscore grave") {
		names[rune('['+i)] = n
	}
	for i, n := range strings.Fields("braceleft bar braceright asciitilde") {
		names[rune('{'+i)] = n
	}
	for i, n := range strings.Fields(`exclamdown cent sterling currency yen brokenbar section dieresis copyright ordfeminine guillemotleft logicalnot - registered macron
		degree plusminus twosuperior threesuperior acute mu paragraph periodcentered cedilla onesuperior ordmasculine guillemotright onequarter onehalf threequarters questiondown
		Agrave Aacute Acircumflex Atilde Adieresis Aring AE Ccedilla Egrave Eacute Ecircumflex Edieresis Igrave Iacute Icircumflex Idieresis
		Eth Ntilde Ograve Oacute Ocircumflex Otilde Odieresis multiply Oslash Ugrave Uacute Ucircumflex Udieresis Yacute Thorn germandbls
		agrave aacute acircumflex atilde adieresis aring ae ccedilla egrave eacute ecircumflex edieresis igrave iacute icircumflex idieresis
		eth ntilde ograve oacute ocircumflex otilde odieresis divide oslash ugrave uacute ucircumflex udieresis yacute thorn ydieresis`) {
		names[rune(0xA1+i)] = n
	}
	for r, n := range map[rune]string{'€': "Euro", '‚': "quotesinglbase", 'ƒ': "florin", '„': "quotedblbase", '…': "ellipsis", '†': "dagger", '‡': "daggerdbl", 'ˆ': "circumflex",
		'‰': "perthousand", 'Š': "Scaron", '‹': "guilsinglleft", 'Œ': "OE", 'Ž': "Zcaron", '‘': "quoteleft", '’': "quoteright", '“': "quotedblleft", '”': "quotedblright",
		'•': "bullet", '–': "endash", '—': "emdash", '˜': "tilde", '™': "trademark", 'š': "scaron", '›': "guilsinglright", 'œ': "oe", 'ž': "zcaron", 'Ÿ': "Ydieresis"} {
		names[r] = n
	}
	checked := 0
	for c := 32; c < 256; c++ {
		r := charmap.Windows1252.DecodeByte(byte(c))
		name := names[r]
		if name == "" && (r|0x20 >= 'a' && r|0x20 <= 'z') {
			name = string(r)
		}
		if name == "" || name == "-" {
			continue // no letter, the soft hyphen, the blank that does not break
		}
		checked++
		if got, ok := byName[name]; !ok || got != int(helvetica[c-32]) {
			t.Errorf("%s (%#x): %d here, %d there (%v)", name, c, helvetica[c-32], got, ok)
		}
	}
	if checked < 210 {
		t.Errorf("only %d letters were compared", checked)
	}
}

func TestShorten(t *testing.T) {
	if got := width([]byte("Hi"), 10); got != 9.44 { // 722 + 222 thousandths
		t.Error(got)
	}
	long := bytes.Repeat([]byte("W"), 50)
	for _, room := range []float64{1, 20, 100, 471, 472, 473} {
		s := shorten(long, 10, room)
		if w := width(s, 10); w > room && len(s) > 1 || len(s) < 50 && s[len(s)-1] != 0x85 || room >= 472 != (len(s) == 50) {
			t.Errorf("%g points hold %q of %g", room, s, w)
		}
	}
	if !bytes.Equal(long, bytes.Repeat([]byte("W"), 50)) {
		t.Error("the text itself has changed")
	}
}
