package pane

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// FuzzClean: whatever a file says, what comes out is printable, bounded, and of
// one width however the terminal counts.
func FuzzClean(f *testing.F) {
	for _, s := range []string{"A/IMG_0412", "\x1b]52;c;x\a", "e\u0301", "\u0301", "漢字", "🇩🇪", "👍🏽", "❤\ufe0f", "\u202e", "\xff", "\u0600a", "한", strings.Repeat("é", maxText)} {
		f.Add(s, 7)
	}
	f.Fuzz(func(t *testing.T, s string, w int) {
		out := clean(s)
		if !utf8.ValidString(out) || strings.IndexFunc(out, unicode.IsControl) >= 0 {
			t.Errorf("%q gives %q", s, out)
		}
		// An escape is at most ten characters for one byte.
		if len(out) > 10*maxText+len(more) {
			t.Errorf("%d bytes give %d", len(s), len(out))
		}
		w = min(max(w, 0), 500)
		for _, short := range []string{cut(out, w), cutLeft(out, w)} {
			if got := ansi.StringWidth(short); got > w || got < min(w, width(out))-2 {
				t.Errorf("%q cut to %d has %d cells", out, w, got)
			}
		}
		for _, l := range wrap(out, w) {
			if width(l) > w {
				t.Errorf("%q wrapped to %d: %q", out, w, l)
			}
		}
		if got, wc := ansi.StringWidth(out), ansi.StringWidthWc(out); got != wc {
			t.Errorf("%q gives %q: %d cells by clusters, %d by characters", s, out, got, wc)
		}
	})
}
