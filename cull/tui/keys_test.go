package tui

import (
	"os"
	"strings"
	"testing"
)

// The README's table of keys is written from the bindings.
func TestKeyTable(t *testing.T) {
	const path = "../../README.md"
	const begin, end = "-run KeyTable -update -->\n", "<!-- end of keys -->"
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(b), begin)
	old, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatal("README.md has no place for the keys")
	}
	want := KeyTable()
	if old == want {
		return
	}
	if !*update {
		t.Fatalf("README.md has another table of keys (-update writes it)\n%s", want)
	}
	if err := os.WriteFile(path, []byte(before+begin+want+end+after), 0o666); err != nil {
		t.Fatal(err)
	}
}

// No key is bound twice, every binding says what it does, and those of the design
// are there.
func TestBindings(t *testing.T) {
	k, err := newKeymap(nil, bindings())
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"k", "d", "w", "o", "u", "r", "left", "right", "up", "down", "n", "pgup", "pgdown", "t", ":", "i", "tab", "?", "q", "f", "F", "space", "shift+left", "shift+right", "shift+up", "shift+down"} {
		if _, ok := k.byKey[key]; !ok {
			t.Errorf("%s is not bound", key)
		}
	}
	for _, b := range k.table {
		if b.does == "" || b.group == "" || len(b.keys) == 0 || (b.act == nil) == (b.do == nil) {
			t.Errorf("%+v is not whole", b)
		}
	}
}

func TestShownTogether(t *testing.T) {
	for _, c := range []struct {
		keys []string
		want string
	}{
		{[]string{"←", "→"}, "← →"},
		{[]string{"Shift+←", "Shift+→"}, "Shift+←→"},
		{[]string{"Shift+Home", "Shift+End"}, "Shift+Home End"},
		{[]string{"Shift+←", "Ctrl+→"}, "Shift+← Ctrl+→"},
		{[]string{"+", "-"}, "+ -"},
		{[]string{"Shift++", "Shift+-"}, "Shift++-"},
	} {
		if got := shownTogether(c.keys); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
