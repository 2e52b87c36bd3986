package cull

import "testing"

// The names of CHECKS section 7: what an attacker would put into a file name.
func TestPlain(t *testing.T) {
	for in, want := range map[string]string{
		"A/IMG_0001.CR3": "A/IMG_0001.CR3", "Größe 写真": "Größe 写真",
		"IMG\x1b[2J.CR3": `IMG\x1b[2J.CR3`, "a\x1b]52;c;ZXZpbA==\x07.jpg": `a\x1b]52;c;ZXZpbA==\x07.jpg`,
		"b\x9b31m.jpg": `b\x9b31m.jpg`, "c\u009b31m": `c\u009b31m`, "d\r\x1b[1Aok": `d\x0d\x1b[1Aok`, "e\n": `e\x0a`, "f\x00": `f\x00`,
		"g\u202egpj.exe": `g\u202egpj.exe`, "h\u200bx": `h\u200bx`, "i\u2066x\u2069": `i\u2066x\u2069`, "j\x7f": `j\x7f`, "k\ufeff": `k\ufeff`,
	} {
		if got := Plain(in); got != want {
			t.Errorf("Plain(%q) = %q, want %q", in, got, want)
		}
	}
}

func FuzzPlain(f *testing.F) {
	f.Add("a\x1b[2J\u202e\xff")
	f.Fuzz(func(t *testing.T, s string) {
		p := Plain(s)
		for i, r := range p {
			if hidden(r) || r == 0xFFFD && p[i] != 0xEF {
				t.Fatalf("%q lets %U through as %q", s, r, p)
			}
		}
		if again := Plain(p); again != p {
			t.Fatalf("%q became %q, then %q", s, p, again)
		}
	})
}
