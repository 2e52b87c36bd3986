package cull

import (
	"encoding/json"
	"errors"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// TestQuoteIsJSON holds our quoting against encoding/json, in both directions,
// for every text that is UTF-8.
func TestQuoteIsJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := genText().Draw(t, "text")
		if !utf8.ValidString(text) {
			return
		}
		var theirs string
		if err := json.Unmarshal([]byte(quote(text)), &theirs); err != nil || theirs != text {
			t.Fatalf("encoding/json reads %s as %q, %v", quote(text), theirs, err)
		}
		written, err := json.Marshal(text)
		if err != nil {
			t.Fatal(err)
		}
		// encoding/json leaves DEL and C1 controls as they are; we do not read such bytes.
		if checkText(string(written)) != nil {
			return
		}
		ours, n, err := unquote(string(written))
		if err != nil || ours != text || n != len(written) {
			t.Fatalf("we read %s as %q, %v", written, ours, err)
		}
	})
}

func TestQuote(t *testing.T) {
	for text, want := range map[string]string{
		"":             `""`,
		`a"b\c/d`:      `"a\"b\\c/d"`,
		"Zoë 東京":       `"Zoë 東京"`,
		"\x00\n\t\x7f": `"\u0000\u000a\u0009\u007f"`,
		"\u009b31m":    `"\u009b31m"`, // a control sequence in one character, ECMA-48
		"\u202egpj":    `"\u202egpj"`,
		"a\u200bb":     `"a\u200bb"`,
		"\u2028\ufeff": `"\u2028\ufeff"`,
		"\xff\xc3":     `"\udcff\udcc3"`,
		"\xed\xa0\x80": `"\udced\udca0\udc80"`, // a surrogate written as if it were UTF-8
		"\U000e0041":   `"\udb40\udc41"`,       // an invisible tag character
	} {
		if got := quote(text); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
		if back, n, err := unquote(want + " rest"); back != text || n != len(want) || err != nil {
			t.Errorf("%s: %q, %d, %v", want, back, n, err)
		}
	}
}

// TestUnquote: the escapes of RFC 8259 §7, its example of a character outside
// the first plane included, and what is none.
func TestUnquote(t *testing.T) {
	for in, want := range map[string]string{
		`"\"\\\/\b\f\n\r\t"`: "\"\\/\b\f\n\r\t",
		`"\u005C"`:           `\`,
		`"\uD834\uDD1E"`:     "𝄞",
		`"\udc80"`:           "\x80",
	} {
		if got, n, err := unquote(in); got != want || n != len(in) || err != nil {
			t.Errorf("%s: %q, %d, %v; want %q", in, got, n, err, want)
		}
	}
	for _, in := range []string{"", "x", `"`, `"a`, `"\`, `"\x41"`, `"\u12"`, `"\u12g4"`, `"\ud834"`, `"\ud834\u0041"`, `"\udc00"`, `"\udd1e"`, `"\u`, "\"\n\"", "\"\x80\""} {
		got, n, err := unquote(in)
		var le *LineError
		if got != "" || n != 0 || !errors.As(err, &le) {
			t.Errorf("%q: %q, %d, %v", in, got, n, err)
		}
	}
}

func FuzzUnquote(f *testing.F) {
	for _, seed := range []string{`"a"`, `"\ud834\udd1e\udcff"`, `"\u202e" x`, `"\`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, in string) {
		text, n, err := unquote(in)
		if err != nil {
			if text != "" || n != 0 {
				t.Fatalf("%q: %q, %d with %v", in, text, n, err)
			}
			return
		}
		if n < 2 || n > len(in) || in[0] != '"' || in[n-1] != '"' {
			t.Fatalf("%q: took %d bytes", in, n)
		}
		again := quote(text)
		if back, m, err := unquote(again); back != text || m != len(again) || err != nil || checkText(again) != nil {
			t.Fatalf("%q: %q quoted as %s reads %q, %v", in, text, again, back, err)
		}
	})
}
