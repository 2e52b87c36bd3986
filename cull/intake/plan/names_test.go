package plan

import (
	"os"
	"strings"
	"testing"
	"unicode/utf16"

	"garner/store/vfs/vfstest"
)

// The reserved names are those of Microsoft's "Naming Files, Paths, and Namespaces".
func TestPortable(t *testing.T) {
	long := strings.Repeat("x", 300)
	for _, tt := range []struct{ name, in, want string }{
		{"a camera's", "IMG_0001.CR3", "IMG_0001.CR3"},
		{"blanks and dots inside", "Day 1. (a).NEF", "Day 1. (a).NEF"},
		{"not ASCII", "Müller – 日本.NEF", "Müller – 日本.NEF"},
		{"hidden", ".nomedia", ".nomedia"},
		{"refused characters", `a<b>c:d"e|f?g*h\i.NEF`, "a_b_c_d_e_f_g_h_i.NEF"},
		{"control characters", "a\x00b\x1fc\x7fd\u0085.NEF", "a_b_c_d_.NEF"},
		{"bytes that are not UTF-8", "a\xff\xfeb", "a__b"},
		{"dots at the end", "a..", "a__"},
		{"blanks at the end", "a. ", "a__"},
		{"only dots", "..", "__"},
		{"nothing", "", "_"},
		{"a slash", "a/b", "a_b"},
		{"reserved", "CON", "CON_"},
		{"reserved, with an extension", "aux.tar.gz", "aux_.tar.gz"},
		{"reserved, with a blank", "nul .txt", "nul _.txt"},
		{"reserved port", "Com1.NEF", "Com1_.NEF"},
		{"reserved port with a superscript", "LPT².x", "LPT²_.x"},
		{"reserved after a change", "con?.", "con__"},
		{"not reserved", "COM10.NEF", "COM10.NEF"},
		{"not reserved, longer", "CONTROL", "CONTROL"},
		{"long", long + ".NEF", long[:251] + ".NEF"},
		{"long, inside a character", strings.Repeat("é", 200) + ".NEF", strings.Repeat("é", 125) + ".NEF"},
		{"long extension", "a." + long, "a." + long[:253]},
		{"long, a blank at the cut", strings.Repeat("x", 254) + " y." + long, strings.Repeat("x", 254) + "_"},
	} {
		got, changed := Portable(tt.in)
		if got != tt.want || changed != (tt.in != tt.want) {
			t.Errorf("%s: %q, %v, wanted %q", tt.name, got, changed, tt.want)
		}
	}
}

func FuzzPortable(f *testing.F) {
	for _, s := range []string{"IMG_0001.CR3", "con", "CON .", "a?", "..", "", "x\xff", "LPT³", "aux." + strings.Repeat("é", 300), strings.Repeat("日", 90)} {
		f.Add(s)
	}
	mem := vfstest.New(vfstest.Options{FAT: true})
	if err := mem.Mkdir("/d", 0o755); err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		name, _ := Portable(s)
		if again, changed := Portable(name); changed {
			t.Fatalf("%q is %q, and that %q", s, name, again)
		}
		if len(utf16.Encode([]rune(name))) > 255 || strings.Contains(name, "/") {
			t.Fatalf("%q is %q", s, name)
		}
		file, err := mem.OpenFile("/d/"+name, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			t.Fatalf("FAT refuses %q for %q: %v", name, s, err)
		}
		if err := file.Close(); err != nil {
			t.Fatal(err)
		}
		if err := mem.Remove("/d/" + name); err != nil {
			t.Fatal(err)
		}
	})
}

func TestFold(t *testing.T) {
	for _, tt := range []struct{ name, a, b string }{
		{"case", "A/IMG_0001.CR3", "a/img_0001.cr3"},
		{"normal forms", "Caf\u00e9/x", "CAFE\u0301/X"},
		{"sharp s", "Straße", "STRASSE"},
		{"final sigma", "ΟΔΟΣ", "οδος"},
		{"compatibility", "\ufb01le", "FILE"},
		{"Kelvin and Angstrom", "\u212a\u212b", "kå"},
		{"Hangul", "\u1112\u1161\u11ab", "\ud55c"},
	} {
		if Fold(tt.a) != Fold(tt.b) {
			t.Errorf("%s: %q and %q", tt.name, Fold(tt.a), Fold(tt.b))
		}
	}
	for _, tt := range [][2]string{{"a/b", "ab"}, {"\u2100", "a/c"}, {"e", "é"}, {"A2/x", "A/2x"}} {
		if Fold(tt[0]) == Fold(tt[1]) {
			t.Errorf("%q and %q have one key", tt[0], tt[1])
		}
	}
}

func FuzzFold(f *testing.F) {
	for _, s := range []string{"A/IMG_0001.CR3", "Café/x", "\u2100\uff0f", "ﬁ", "İ", "\u0345\u03b1", "x\xff/y", "ǰ\u0323", "\u1e9e"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		key := Fold(s)
		if again := Fold(key); again != key {
			t.Fatalf("%q folds to %q, and that to %q", s, key, again)
		}
		if strings.Count(key, "/") != strings.Count(s, "/") {
			t.Fatalf("%q folds to %q", s, key)
		}
		p, _ := portablePath(s)
		if q, changed := portablePath(p); changed || Fold(q) != Fold(p) || strings.Count(p, "/") != strings.Count(s, "/") {
			t.Fatalf("%q: %q, %q", s, p, q)
		}
	})
}
