package proofs

import (
	"bytes"
	"slices"
	"testing"
)

// What was written is known again; what somebody changed, cut off or wrote on, in
// whatever place, is not.
func TestMade(t *testing.T) {
	p, files := invented(t)
	page, err := p.HTML()
	if err != nil {
		t.Fatal(err)
	}
	sheets, _ := printed(t, p, Sheet{}, files)
	made := func(b []byte) bool {
		ok, err := Made(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Error(err)
		}
		return ok
	}
	for name, b := range map[string][]byte{"page": page, "sheets": sheets} {
		if !made(b) {
			t.Fatalf("%s is not known", name)
		}
		for at := 0; at < len(b); at += 1 + len(b)/97 {
			if changed := slices.Clone(b); made(append(changed[:at], changed[at+1:]...)) {
				t.Errorf("%s without its byte %d", name, at)
			}
		}
		// An annotation is written behind the end (ISO 32000-1, 7.5.6).
		if made(append(slices.Clone(b), "1 0 obj\n<< >>\nendobj\nstartxref\n9\n%%EOF\n"...)) || made(append(slices.Clone(b), ' ')) || made(b[:len(b)-1]) {
			t.Errorf("%s with another end", name)
		}
	}
	for _, s := range []string{"", "x", opening, opening + noSum, "startxref\n", "startxref\n-1\n%%EOF\n", "startxref\n99999999999999999999\n", "<!DOCTYPE html>\n<html lang=\"en\"></html>"} {
		if made([]byte(s)) {
			t.Errorf("%q", s)
		}
	}
}
