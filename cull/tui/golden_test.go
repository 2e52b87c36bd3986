package tui

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"garner/cull/station"
)

var update = flag.Bool("update", false, "write the golden files anew")

// sizes of files depend on the processor that drew the demo, as its doc says.
var sizes = regexp.MustCompile(`\d+(\.\d+)? (kB|MB) *`)

// The whole screen in the sizes that count, with colour and without, in every
// state that a sitting comes through. Pictures are masked: preview/term holds
// those.
func TestScreens(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes of painting under the race detector")
	}
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		for _, colour := range []bool{true, false} {
			name := fmt.Sprintf("%dx%d_%s", size[0], size[1], map[bool]string{true: "colour", false: "none"}[colour])
			t.Run(name, func(t *testing.T) {
				d := driveAs(t, grouped(t, demoFrames, "1 3 3 3 | 6 1 3 | 4"), size[0], size[1], Options{NoColor: !colour}, station.Options{Goal: 12, AsItIs: true})
				var b strings.Builder
				shot := func(title string) {
					screen := d.grid.Styled()
					if !d.m.covered() && d.desk.Shot().Picture != nil {
						screen = d.grid.Styled(d.rectangle())
					}
					fmt.Fprintf(&b, "== %s\n%s\n", title, squeeze(sizes.ReplaceAllString(screen, "SIZE ")))
				}
				shot("the first frame")
				d.press("k", "d")
				shot("one kept, one dropped")
				d.toBurst(3)
				shot("a burst")
				d.press("w")
				shot("the burst key")
				d.press("d")
				shot("the burst dropped")
				d.press("u")
				shot("taken back")
				d.press("o")
				shot("only this one")
				d.press("up")
				shot("a key that cannot act")
				d.press("i")
				shot("facts")
				d.press("i", ":").typed("vrnh")
				shot("go to")
				d.press("esc", "?")
				shot("keys")
				d.press("x")
				d.toBroken()
				shot("a frame that cannot be shown")
				d.press("tab")
				shot("a later pass")
				compare(t, filepath.Join("testdata", "screen_"+name+".golden"), b.String())
			})
		}
	}
}

// squeeze writes rows that repeat once, with how many there are.
func squeeze(screen string) string {
	var out []string
	lines := strings.Split(screen, "\n")
	for i := 0; i < len(lines); {
		n := 1
		for i+n < len(lines) && lines[i+n] == lines[i] {
			n++
		}
		out = append(out, lines[i])
		if n > 1 {
			out = append(out, fmt.Sprintf("  %d rows like that", n))
		}
		i += n
	}
	return strings.Join(out, "\n")
}

func compare(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the screens differ from %s (-update writes it anew); the first difference:\n%s", path, difference(string(want), got))
	}
}

func difference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	title := ""
	for i := range min(len(w), len(g)) {
		if strings.HasPrefix(w[i], "== ") {
			title = w[i]
		}
		if w[i] != g[i] {
			return fmt.Sprintf("%s, line %d:\nwant %s\ngot  %s", title, i+1, w[i], g[i])
		}
	}
	return fmt.Sprintf("%d lines instead of %d", len(g), len(w))
}
