package tui

import (
	"garner/cull/tui/pane"
)

// helpOf is what the keys of a screen do, and which of them cannot act now.
func helpOf[M any](k keymap[M], m M) pane.Help {
	h := pane.Help{Title: "keys", Next: []string{k.called("help") + " shows more keys; any other goes back"}}
	for i, b := range k.table {
		if b.help != "" && i > 0 && k.table[i-1].help == b.help {
			continue
		}
		if n := len(h.Groups); n == 0 || h.Groups[n-1].Name != b.group {
			h.Groups = append(h.Groups, pane.HelpGroup{Name: b.group})
		}
		g := &h.Groups[len(h.Groups)-1]
		g.Keys = append(g.Keys, k.line(i, m))
	}
	return h
}

// line is what the help says of a binding, and of those after it that it is told of
// with.
func (k keymap[M]) line(i int, m M) pane.KeyLine {
	b := k.table[i]
	line := pane.KeyLine{Does: b.does}
	if b.why != nil {
		line.Why = b.why(m)
	}
	if b.help == "" {
		for _, key := range b.keys {
			line.Keys = append(line.Keys, shown(key))
		}
		return line
	}
	var keys []string
	for ; i < len(k.table) && k.table[i].help == b.help; i++ {
		keys = append(keys, shown(k.table[i].keys[0]))
	}
	line.Keys, line.Does = []string{shownTogether(keys)}, b.help
	return line
}
