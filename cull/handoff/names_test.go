package handoff

import (
	"strings"
	"testing"
	"unicode/utf8"

	"garner/cull"
)

// RFC 8493 section 6 lists the names and characters that Windows refuses.
func TestPortable(t *testing.T) {
	for in, want := range map[string]string{
		"IMG_0001": "IMG_0001", "Größe": "Größe", `a<b>c:d"e/f\g|h?i*j`: "a_b_c_d_e_f_g_h_i_j", "dot. ": "dot", "CON": "_CON", "nul.txt": "_nul.txt",
		"a\x1b[2J": "a_[2J", "b\xff": "b_", "c\u202egpj": "c_gpj", "...": "_", "": "", "Lpt9": "_Lpt9", "COM10": "COM10",
	} {
		if got := portable(in); got != want {
			t.Errorf("portable(%q) = %q, want %q", in, got, want)
		}
	}
}

// File systems allow 255 bytes for a name.
func TestLongSceneName(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	b.do(cull.NameScene{Frame: b.id(0), Name: strings.Repeat("é", 150)})
	sum, _ := b.run(Options{To: b.to()})
	if sum.Copies[Written] != 1 || sum.Failed() != 0 {
		t.Errorf("%+v", sum)
	}
}

func FuzzPortable(f *testing.F) {
	f.Add("CON.x \xff", "a.B")
	f.Fuzz(func(t *testing.T, a, b string) {
		p := portable(a)
		if !utf8.ValidString(p) || strings.ContainsAny(p, `<>:"/\|?*`) || (p == "") != (a == "") || strings.HasSuffix(p, ".") || strings.HasSuffix(p, " ") {
			t.Fatalf("%q became %q", a, p)
		}
		if again := portable(p); again != p {
			t.Fatalf("%q, then %q", p, again)
		}
		names := copyNames(portable("0001-A-"+a), []cull.File{{Path: a}, {Path: b}, {Path: strings.ToUpper(b)}, {Path: b}})
		seen := map[string]bool{}
		for _, n := range names {
			if k := strings.ToLower(n); seen[k] {
				t.Fatalf("names %q", names)
			} else {
				seen[k] = true
			}
		}
	})
}
