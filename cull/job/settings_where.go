package job

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"garner/cull"
)

// This file says where in a file of settings something is, and what a person may
// have meant who mistyped a key.

// where returns the line and column of a key's value, or of its table's heading;
// 0 if it is not there. text has been read without an error.
func where(text []byte, key []string) (line, column int) {
	var p unstable.Parser
	p.Reset(text)
	var table []string
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			var at unstable.Range
			table, at = keyOf(e.Key())
			if slices.Equal(table, key) {
				start := p.Shape(at).Start
				return start.Line, start.Column
			}
		case unstable.KeyValue:
			if v := valueOf(e, table, key); v != nil {
				raw := v.Raw
				if raw.Length == 0 { // values of some kinds say nothing of where they are
					if _, raw = keyOf(e.Key()); v.Kind == unstable.String || len(v.Data) > 0 {
						raw = p.Range(v.Data)
					}
				}
				start := p.Shape(raw).Start
				return start.Line, start.Column
			}
		}
	}
	return 0, 0
}

func keyOf(it unstable.Iterator) (key []string, at unstable.Range) {
	for first := true; it.Next(); first = false {
		if key = append(key, string(it.Node().Data)); first {
			at = it.Node().Raw
		}
	}
	return key, at
}

// valueOf finds a key in an assignment inside a table, also in an inline one.
func valueOf(e *unstable.Node, table, key []string) *unstable.Node {
	own, _ := keyOf(e.Key())
	path := slices.Concat(table, own)
	switch v := e.Value(); {
	case slices.Equal(path, key):
		return v
	case v.Kind == unstable.InlineTable && len(path) < len(key) && slices.Equal(path, key[:len(path)]):
		for it := v.Children(); it.Next(); {
			if found := valueOf(it.Node(), path, key); found != nil {
				return found
			}
		}
	}
	return nil
}

// wrongly is a fault as an error with its place.
func (f *misset) wrongly(text []byte) error {
	if line, column := where(text, f.key); line > 0 {
		return fmt.Errorf("line %d, column %d: %s", line, column, cull.Plain(f.text))
	}
	return fmt.Errorf("%s: %s", dotted(f.key), cull.Plain(f.text))
}

// typo is a key of sets or stamp that nobody knows, or a table that may be meant for one
// of them, with its place and what may have
// been meant. Such a key ends the command that cuts: six hundred pictures in a wrong
// size are dear.
func typo(e toml.DecodeError) (string, bool) {
	key := e.Key()
	if len(key) == 0 {
		return "", false
	}
	var hint string
	switch last := key[len(key)-1]; key[0] {
	case "sets":
		hint = meant(last, keysOf(reflect.TypeFor[SetSettings]()))
	case "stamp":
		hint = meant(last, keysOf(reflect.TypeFor[StampSettings]()))
	default:
		if hint = meant(key[0], []string{"sets", "stamp"}); hint == "" {
			return "", false
		}
	}
	line, column := e.Position()
	return fmt.Sprintf("line %d, column %d: %s is no setting%s", line, column, dotted(key), hint), true
}

func keysOf(t reflect.Type) []string {
	var keys []string
	for i := range t.NumField() {
		keys = append(keys, t.Field(i).Tag.Get("toml"))
	}
	return keys
}

// meant proposes the nearest of some words, or nothing where none is near.
func meant(word string, words []string) string {
	best, least := "", 3
	word = strings.ToLower(word)
	for _, w := range words {
		if d := distance(word, strings.ToLower(w)); d < least && d < len(w) {
			best, least = w, d
		}
	}
	if best == "" {
		return ""
	}
	return "; " + best + " may be meant"
}

// distance counts the letters to put in, leave out, replace or swap with their
// neighbour to make b of a; what is longer than any key is far from all.
func distance(a, b string) int {
	if len(a) > 40 || len(b) > 40 {
		return 40
	}
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}

// inLists are words that the keys with lists may hold, for examples.
var inLists = map[string]string{"crop_at": "top", "keep": "gps", "paper": "a4"}

// wanted says what kind of value a key of a table has; "" for a key that it does not have.
func wanted(key string, table reflect.Type) string {
	i := slices.Index(keysOf(table), key)
	if i < 0 {
		return ""
	}
	switch t := table.Field(i).Type; {
	case t == reflect.TypeFor[*int]():
		return key + " must be a whole number, without quotes"
	case t == reflect.TypeFor[*float64]():
		return key + " must be a number, without quotes"
	case t == reflect.TypeFor[*bool]():
		return key + " must be true or false, without quotes"
	case t == reflect.TypeFor[*string]():
		return key + " must be a text in quotes"
	case t == reflect.TypeFor[[]string]():
		return fmt.Sprintf("%s must be a list of texts in quotes, as in %s = [%q]", key, key, inLists[key])
	}
	return ""
}
