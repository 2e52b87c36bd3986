package job

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"garner/cull"
)

// Must is a picture that the job has to have: an entry of must_have, which is a text
// or a table:
//
//	must_have = ["Rings", "First dance"]
//
//	[[must_have]]
//	name = "Family"
//	scene = "Portraits"
//	from = "14:00"
//	until = "15:30"
//	least = 3
type Must struct {
	Name  string
	Scene string // part of the name of the scene where it was taken; "" = Name is
	// From and Until bound the time of day at which it was taken, by corrected
	// clocks, from midnight; equal = any time. Until may be the next day's.
	From, Until time.Duration
	Least       int // how many are to be kept
}

// mustFile is the form of an entry that is a table.
type mustFile struct {
	Name  string `toml:"name"`
	Scene string `toml:"scene"`
	From  string `toml:"from"`
	Until string `toml:"until"`
	Least *int   `toml:"least"`
}

// maxMusts is more than anybody looks for.
const maxMusts = 500

const mustForm = `must_have must hold texts in quotes, as in must_have = ["Rings"], or tables with the texts name, scene, from and until and the number least`

// mustHave reads must_have, which has been found to be a list. It also returns what
// nobody knows in its tables.
func mustHave(list []any, text []byte) (musts []Must, unknown []string, err error) {
	if len(list) > maxMusts {
		return nil, nil, fmt.Errorf("must_have has more than %d entries", maxMusts)
	}
	var tables []mustFile
	for _, entry := range list {
		switch e := entry.(type) {
		case string:
			musts = append(musts, Must{Name: strings.TrimSpace(e), Least: 1})
			continue
		case map[string]any:
			if tables == nil {
				if tables, err = mustTables(text); err != nil {
					return nil, nil, err
				}
			}
			for _, key := range slices.Sorted(maps.Keys(e)) {
				if !slices.Contains([]string{"name", "scene", "from", "until", "least"}, key) {
					unknown = append(unknown, dotted([]string{"must_have", key}))
				}
			}
		default:
			_, err := mustTables(text) // which says where
			return nil, nil, cmpErr(err, errors.New(mustForm))
		}
		if len(tables) <= len(musts) {
			return nil, nil, errors.New(mustForm)
		}
		m, err := tables[len(musts)].must()
		if err != nil {
			return nil, nil, err
		}
		musts = append(musts, m)
	}
	return musts, unknown, checkMusts(musts)
}

// mustTables reads the list once more, as tables alone, so that what is wrong inside
// has a line and a column.
func mustTables(text []byte) ([]mustFile, error) {
	var f struct {
		MustHave []mustFile `toml:"must_have"`
	}
	err := toml.NewDecoder(bytes.NewReader(text)).Decode(&f)
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &wrong):
		line, column := wrong.Position()
		return nil, fmt.Errorf("line %d, column %d: %s", line, column, mustForm)
	case err != nil:
		return nil, errors.New(mustForm)
	}
	return f.MustHave, nil
}

func cmpErr(err, other error) error {
	if err != nil {
		return err
	}
	return other
}

func (f mustFile) must() (Must, error) {
	m := Must{Name: strings.TrimSpace(f.Name), Scene: strings.TrimSpace(f.Scene), Least: 1}
	if f.Least != nil {
		m.Least = *f.Least
	}
	for _, t := range []struct {
		name, text string
		at         *time.Duration
	}{{"from", f.From, &m.From}, {"until", f.Until, &m.Until}} {
		if t.text == "" {
			continue
		}
		at, err := time.Parse("15:04", t.text)
		if err != nil {
			return m, fmt.Errorf("must_have %q: %s is %q: it must be a time of day, as in %s = \"14:00\"", cull.Plain(m.Name), t.name, cull.Plain(t.text), t.name)
		}
		*t.at = time.Duration(at.Hour())*time.Hour + time.Duration(at.Minute())*time.Minute
	}
	if f.From != "" && f.Until == "" {
		m.Until = 24 * time.Hour
	}
	return m, nil
}

func checkMusts(musts []Must) error {
	names := map[string]bool{}
	for i, m := range musts {
		if m.Name == "" {
			return fmt.Errorf("must_have: entry %d has no name", i+1)
		}
		for _, s := range []string{m.Name, m.Scene} {
			if err := validName(s); err != nil {
				return fmt.Errorf("must_have: entry %d %w", i+1, err)
			}
		}
		if m.Least < 1 || m.Least > maxGoal {
			return fmt.Errorf("must_have %q: least is %d: it must be a number of frames", m.Name, m.Least)
		}
		key := strings.ToLower(m.Name)
		if names[key] {
			return fmt.Errorf("must_have: %q is there twice", m.Name)
		}
		names[key] = true
	}
	return nil
}
