package tui

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull"
	"garner/cull/station"
)

// binding is one thing that keys do: the single source for dispatch, the help
// screen, remapping in garner.toml and the README's table.
type binding[M any] struct {
	name  string   // in garner.toml
	keys  []string // as preview/term names them; the first is shown
	group string
	does  string
	help  string              // what it does together with the bindings beside it that say the same; "" = by itself
	act   func(M) station.Act // what it asks of the desk; nil where do does it all
	do    func(M) tea.Cmd     // what it does to the screen
	why   func(M) string      // why it cannot act now; "" or nil = it can

	goesOn bool // held, do is done again and again
}

// has reports whether a key is one of the binding's.
func (b binding[M]) has(key string) bool { return slices.Contains(b.keys, key) }

// The groups of the help screen.
const (
	deciding = "decide"
	grouping = "correct the groups"
	walking  = "walk"
	seeing   = "see"
	leaving  = "help and leave"
)

// does is what a key does that leaves no work behind.
func does[M any](do func(M)) func(M) tea.Cmd {
	return func(m M) tea.Cmd {
		do(m)
		return nil
	}
}

func asks(a station.Act) func(*Model) station.Act { return func(*Model) station.Act { return a } }

func walk(m cull.Motion) func(*Model) station.Act { return asks(station.Walk{Motion: m}) }

// bindings is the table of DESIGN section 7.
func bindings() []binding[*Model] {
	return []binding[*Model]{
		{name: "keep", keys: []string{"k"}, group: deciding, does: "keep (yes in a later pass), on to the next open frame; a series: merge it, this one leads", act: answer(cull.Yes)},
		{name: "drop", keys: []string{"d"}, group: deciding, does: "drop (no in a later pass); a series: all of it", act: answer(cull.No)},
		{name: "burst", keys: []string{"w"}, group: deciding, does: "then keep or drop: the whole burst", do: (*Model).wholeBurst, why: (*Model).alone},
		{name: "alike", keys: []string{"a"}, group: deciding, does: "then keep or drop: all that look alike; then fan: see them at once", do: (*Model).wholeSet, why: (*Model).unlike},
		{name: "only", keys: []string{"o"}, group: deciding, does: "only this one: drop the open rest of its burst", act: asks(station.Only{}), why: (*Model).alone},
		{name: "merge", keys: []string{"m"}, group: deciding, does: "merge: this one leads, the open rest of its burst is part", act: asks(station.Merge{}), why: (*Model).noMerge},
		{name: "undo", keys: []string{"u"}, group: deciding, does: "take back what was done last, jump to it", act: asks(station.Undo{})},
		{name: "redo", keys: []string{"r"}, group: deciding, does: "do again what was taken back", act: asks(station.Redo{})},

		{name: "join", keys: []string{"j"}, group: grouping, does: "join with the moment before", help: "join with the moment before; as a series", act: asks(station.Join{})},
		{name: "join-series", keys: []string{"J"}, group: grouping, does: "join with the moment before, as a series", help: "join with the moment before; as a series", act: asks(station.Join{Series: true})},
		{name: "split", keys: []string{"s"}, group: grouping, does: "split the moment before this frame", help: "split before this frame; take it out", act: asks(station.Split{}), why: (*Model).alone},
		{name: "out", keys: []string{"e"}, group: grouping, does: "take this frame out of its moment", help: "split before this frame; take it out", act: asks(station.Out{}), why: (*Model).alone},
		{name: "apart", keys: []string{"A"}, group: grouping, does: "let the look-alikes go", act: asks(station.Apart{}), why: (*Model).unlike},
		{name: "scene", keys: []string{"S"}, group: grouping, does: "a scene begins here, or no longer", act: asks(station.SceneBegin{})},
		{name: "scene-name", keys: []string{"N"}, group: grouping, does: "name the scene", do: (*Model).openNaming, why: (*Model).noScene},

		{name: "previous-moment", keys: []string{"left"}, group: walking, does: "previous moment; in the fan, previous frame", help: "moment by moment; in the fan, frames", act: walk(cull.PrevMoment)},
		{name: "next-moment", keys: []string{"right"}, group: walking, does: "next moment; in the fan, next frame", help: "moment by moment; in the fan, frames", act: walk(cull.NextMoment)},
		{name: "ladder-up", keys: []string{"up"}, group: walking, does: "up the ladder; in the fan, up a row", help: "along the ladder; in the fan, rows", act: walk(cull.LadderUp)},
		{name: "ladder-down", keys: []string{"down"}, group: walking, does: "down the ladder; in the fan, down a row", help: "along the ladder; in the fan, rows", act: walk(cull.LadderDown)},
		{name: "next-open", keys: []string{"n"}, group: walking, does: "next open frame, round the end", act: walk(cull.NextOpen)},
		{name: "previous-scene", keys: []string{"pgup"}, group: walking, does: "previous scene; in the fan of a pass, previous page", help: "scene by scene; in the fan of a pass, pages", act: walk(cull.PrevScene)},
		{name: "next-scene", keys: []string{"pgdown"}, group: walking, does: "next scene; in the fan of a pass, next page", help: "scene by scene; in the fan of a pass, pages", act: walk(cull.NextScene)},
		{name: "go-to", keys: []string{":"}, group: walking, does: "go to a number, name, time or scene", do: (*Model).openGoTo},
		{name: "next-pass", keys: []string{"tab"}, group: walking, does: "the next pass's question", act: asks(station.NextPass{})},
		{name: "review", keys: []string{"R"}, group: walking, does: "what may be missing before handoff; back to all", do: (*Model).openReview},

		{name: "loupe", keys: []string{"space"}, group: seeing, does: "loupe: 1:1 around the focus; and back", act: asks(station.Loupe{}), why: (*Model).noLoupe},
		{name: "pan-left", keys: []string{"shift+left"}, group: seeing, does: "in the loupe: to the left", help: "in the loupe: move on", act: asks(station.Pan{X: -1}), why: (*Model).notClose},
		{name: "pan-right", keys: []string{"shift+right"}, group: seeing, does: "in the loupe: to the right", help: "in the loupe: move on", act: asks(station.Pan{X: 1}), why: (*Model).notClose},
		{name: "pan-up", keys: []string{"shift+up"}, group: seeing, does: "in the loupe: up", help: "in the loupe: move on", act: asks(station.Pan{Y: -1}), why: (*Model).notClose},
		{name: "pan-down", keys: []string{"shift+down"}, group: seeing, does: "in the loupe: down", help: "in the loupe: move on", act: asks(station.Pan{Y: 1}), why: (*Model).notClose},
		{name: "next-face", keys: []string{"h"}, group: seeing, does: "loupe: from head to head, the largest face first", help: "loupe: from head to head; back", act: asks(station.Face{}), why: (*Model).noFace},
		{name: "previous-face", keys: []string{"H"}, group: seeing, does: "loupe: back to the face before", help: "loupe: from head to head; back", act: asks(station.Face{Back: true}), why: (*Model).noFace},
		{name: "fan", keys: []string{"f"}, group: seeing, does: "fan: the moment at once; and back", act: fan, why: (*Model).noFan},
		{name: "fan-pass", keys: []string{"F"}, group: seeing, does: "fan of the whole pass", act: asks(station.Fan{Pass: true}), why: (*Model).noFan},
		{name: "turn", keys: []string{"t"}, group: seeing, does: "turn the view, not the file", act: asks(station.Turn{}), why: (*Model).noPicture},
		{name: "clipped", keys: []string{"c"}, group: seeing, does: "hatch what is clipped in the preview; and back", help: "hatch clipped highlights; shadows", act: asks(station.Overlay{High: true}), why: (*Model).noPicture},
		{name: "black", keys: []string{"C"}, group: seeing, does: "hatch what is black in the preview; and back", help: "hatch clipped highlights; shadows", act: asks(station.Overlay{Low: true}), why: (*Model).noPicture},
		{name: "faces", keys: []string{"E"}, group: seeing, does: "answer whether faces and eyes may be looked for", do: (*Model).openFaces},
		{name: "facts", keys: []string{"i"}, group: seeing, does: "facts", do: (*Model).toggleFacts},

		{name: "help", keys: []string{"?"}, group: leaving, does: "these keys", do: (*Model).openHelp},
		{name: "leave", keys: []string{"q"}, group: leaving, does: "leave; there is nothing to save", do: (*Model).leave},
	}
}

// answer decides the frame, or after the burst key its whole moment, or after the
// other one all that look alike.
func answer(a cull.Answer) func(*Model) station.Act {
	return func(m *Model) station.Act {
		switch m.prefix {
		case "burst":
			return station.Burst{Answer: a}
		case "alike":
			return station.AnswerAlikes{Answer: a}
		}
		return station.Answer{Answer: a}
	}
}

// fan shows the moment, or after the key of look-alikes all of them.
func fan(m *Model) station.Act { return station.Fan{Alike: m.prefix == "alike"} }

// keymap leads from a key to its binding, on one screen.
type keymap[M any] struct {
	table []binding[M]
	byKey map[string]int
}

// newKeymap makes a table with keys of one's own, action → keys; actions that the station
// has, too, have its keys. An error says in one
// sentence what cannot be: an action that no screen has, a key that would do two
// things, an action without a key.
func newKeymap[M any](own map[string][]string, table []binding[M]) (keymap[M], error) {
	k := keymap[M]{table: table, byKey: map[string]int{}}
	every := actions()
	for _, name := range slices.Sorted(maps.Keys(own)) {
		if !slices.Contains(every, name) {
			return k, fmt.Errorf("garner.toml gives keys to %q, which is no action; there are %s", cull.Plain(name), strings.Join(every, ", "))
		}
		if len(own[name]) == 0 {
			return k, fmt.Errorf("garner.toml gives no key to %s", name)
		}
	}
	for i, b := range k.table {
		if b.keys == nil {
			k.table[i].keys = stationKeys(b.name)
		}
		if keys := own[b.name]; keys != nil {
			k.table[i].keys = slices.Clone(keys)
		}
	}
	for i, b := range k.table {
		for _, key := range b.keys {
			if key == "" || key == "ctrl+c" || key == "esc" {
				return k, fmt.Errorf("the key %q cannot be given to %s", cull.Plain(key), b.name)
			}
			if j, taken := k.byKey[key]; taken && j != i {
				return k, fmt.Errorf("the key %q would do two things: %s and %s", cull.Plain(key), k.table[j].name, b.name)
			}
			k.byKey[key] = i
		}
	}
	return k, nil
}

// stationKeys are the keys that an action has in the station.
func stationKeys(name string) []string {
	for _, b := range bindings() {
		if b.name == name {
			return b.keys
		}
	}
	return nil
}

// actions are the names of what keys do, on any screen.
func actions() []string {
	var list []string
	list = named(list, bindings())
	list = named(list, trialBindings())
	list = named(list, tyingBindings())
	list = named(list, findsBindings())
	return list
}

// named adds the names of a table that are not there yet: an action that several
// screens have has the same keys on each.
func named[M any](list []string, table []binding[M]) []string {
	for _, b := range table {
		if !slices.Contains(list, b.name) {
			list = append(list, b.name)
		}
	}
	return list
}

// of returns the binding of an action.
func (k keymap[M]) of(name string) binding[M] {
	return k.table[slices.IndexFunc(k.table, func(b binding[M]) bool { return b.name == name })]
}

// bound returns the binding of a key, if it has one.
func (k keymap[M]) bound(key string) (b binding[M], ok bool) {
	i, ok := k.byKey[key]
	if ok {
		b = k.table[i]
	}
	return b, ok
}

// called is what the first key of an action is called.
func (k keymap[M]) called(action string) string { return shown(k.of(action).keys[0]) }

// shown is what a key is called on the screen.
func shown(key string) string {
	if rest, ok := strings.CutPrefix(key, "shift+"); ok && rest != "" {
		return "Shift+" + shown(rest)
	}
	switch key {
	case "left":
		return "←"
	case "right":
		return "→"
	case "up":
		return "↑"
	case "down":
		return "↓"
	case "pgup":
		return "PgUp"
	case "pgdown":
		return "PgDn"
	case "tab", "enter", "space", "home", "end", "backspace", "delete":
		return strings.ToUpper(key[:1]) + key[1:]
	}
	return key
}

// shownTogether is what the keys of bindings beside each other are called: what
// they have in common once.
func shownTogether(keys []string) string {
	first, _, ok := strings.Cut(keys[0], "+")
	common := first + "+"
	for _, k := range keys {
		ok = ok && strings.HasPrefix(k, common) && k != common
	}
	if !ok {
		return strings.Join(keys, " ")
	}
	gap := ""
	for i := range keys {
		keys[i] = strings.TrimPrefix(keys[i], common)
		if utf8.RuneCountInString(keys[i]) > 1 {
			gap = " "
		}
	}
	return common + strings.Join(keys, gap)
}

// KeyTable are the tables of keys for the README, in Markdown.
func KeyTable() string {
	var b strings.Builder
	keyRows(&b, bindings())
	b.WriteString("\nOn the screen of `garner render --preview`, where keys that the station has, too, follow its settings:\n\n")
	keyRows(&b, trialBindings())
	b.WriteString("\nOn the screen of `garner render --tie`, likewise:\n\n")
	keyRows(&b, tyingBindings())
	b.WriteString("\nOn the screen of `garner recall --show`, likewise:\n\n")
	keyRows(&b, findsBindings())
	return b.String()
}

func keyRows[M any](b *strings.Builder, table []binding[M]) {
	k, err := newKeymap(nil, table)
	if err != nil {
		panic(err) // tests hold that every table is whole
	}
	b.WriteString("| key | does | in garner.toml |\n|---|---|---|\n")
	for _, bind := range k.table {
		fmt.Fprintf(b, "| `%s` | %s | `%s` |\n", shown(bind.keys[0]), bind.does, bind.name)
	}
}
