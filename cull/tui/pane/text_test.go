package pane

import (
	"strings"
	"testing"
	"time"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"a plain name", "A/IMG_0412", "A/IMG_0412"},
		{"accents, composed and not", "caf\u00e9 cafe\u0301", "caf\u00e9 cafe\u0301"},
		{"wide", "漢字", "漢字"},
		{"a lone combining mark", "\u0301x", "?x"},
		{"an emoji with a skin tone keeps its base", "\U0001F44D\U0001F3FDx", "\U0001F44Dx"},
		{"a flag", "\U0001F1E9\U0001F1EA", "?"},
		{"a line feed", "a\nb", `a\x0ab`},
		{"an escape sequence", "\x1b[2J", `\x1b[2J`},
		{"an override", "\u202egpj", `\u202egpj`},
	} {
		if got := clean(c.in); got != c.want {
			t.Errorf("%s: %q, not %q", c.name, got, c.want)
		}
	}
	if got := clean(strings.Repeat("é", maxText)); len(got) > maxText+len(more) || !strings.HasSuffix(got, "é"+more) {
		t.Errorf("%d bytes are left, ending in %q", len(got), got[len(got)-8:])
	}
}

func TestWordsOfNumbers(t *testing.T) {
	for n, want := range map[int]string{0: "0", 999: "999", 1000: "1,000", 3120: "3,120", 1234567: "1,234,567", -4000: "-4,000"} {
		if got := number(n); got != want {
			t.Errorf("%d is %q, not %q", n, got, want)
		}
	}
	for d, want := range map[time.Duration]string{
		time.Millisecond: "1 s left", 89 * time.Second: "89 s left", 90 * time.Second: "2 min left", 59*time.Minute + 29*time.Second: "59 min left",
		59*time.Minute + 40*time.Second: "1 h 0 min left", 72 * time.Minute: "1 h 12 min left", 60 * time.Hour: "60 h left",
	} {
		if got := remaining(d); got != want {
			t.Errorf("%v is %q, not %q", d, got, want)
		}
	}
	for d, want := range map[time.Duration]string{
		0: "0.00 s", 142 * time.Millisecond: "0.14 s", 12300 * time.Millisecond: "12.3 s", 65 * time.Second: "1:05",
		3*time.Hour + 65*time.Second: "3:01:05", -time.Second: "-1.00 s", -1 << 63: "-0.00 s",
	} {
		if got := since(d)[0]; got != want {
			t.Errorf("%v is %q, not %q", d, got, want)
		}
	}
}
