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

// maxMusts is more than anybody looks for.
const maxMusts = 500

const mustForm = `must_have must hold texts in quotes, as in must_have = ["Rings"], or tables with the texts name, scene, from and until and the number least`

// mustHave reads must_have, which has been found to be a list. It also returns what
// nobody knows in its tables.
func mustHave(list []any, text []byte) (musts []Must, unknown []string, err error) {
	if len(list) > maxMusts {
		return nil, nil, fmt.Errorf("must_have has more than %d entries", maxMusts)
	}
	for _, entry := range list {
		m := Must{Least: 1}
		switch e := entry.(type) {
		case string:
			m.Name = strings.TrimSpace(e)
		case map[string]any:
			more, err := m.read(e)
			if errors.Is(err, errMustForm) {
				err = whereMust(text)
			}
			if err != nil {
				return nil, nil, err
			}
			unknown = append(unknown, more...)
		default:
			return nil, nil, whereMust(text)
		}
		musts = append(musts, m)
	}
	return musts, unknown, checkMusts(musts)
}

// errMustForm is a value of another type than its setting has.
var errMustForm = errors.New(mustForm)

// whereMust reads must_have once more, as tables of the right types, to learn where
// something is wrong.
func whereMust(text []byte) error {
	var f struct {
		MustHave []struct {
			Name  string `toml:"name"`
			Scene string `toml:"scene"`
			From  string `toml:"from"`
			Until string `toml:"until"`
			Least int    `toml:"least"`
		} `toml:"must_have"`
	}
	err := toml.NewDecoder(bytes.NewReader(text)).Decode(&f)
	var wrong *toml.DecodeError
	if !errors.As(err, &wrong) {
		return errMustForm
	}
	line, column := wrong.Position()
	return fmt.Errorf("line %d, column %d: %s", line, column, mustForm)
}

// read takes an entry out of a table and returns what nobody knows in it.
func (m *Must) read(table map[string]any) (unknown []string, err error) {
	from, until := false, false
	for _, key := range slices.Sorted(maps.Keys(table)) {
		ok, value := true, table[key]
		switch key {
		case "name":
			m.Name, ok = value.(string)
		case "scene":
			m.Scene, ok = value.(string)
		case "least":
			var n int64
			n, ok = value.(int64)
			m.Least = int(min(max(n, -1), maxGoal+1))
		case "from":
			from = true
			m.From, err = timeOfDay(value)
		case "until":
			until = true
			m.Until, err = timeOfDay(value)
		default:
			unknown = append(unknown, dotted([]string{"must_have", key}))
		}
		if !ok || errors.Is(err, errMustForm) {
			return nil, errMustForm
		}
		if err != nil {
			name, _ := table["name"].(string)
			return nil, fmt.Errorf("must_have %q: %s %w, as in %s = \"14:00\"", cull.Plain(strings.TrimSpace(name)), key, err, key)
		}
	}
	m.Name, m.Scene = strings.TrimSpace(m.Name), strings.TrimSpace(m.Scene)
	if from && !until {
		m.Until = 24 * time.Hour
	}
	return unknown, nil
}

// timeOfDay reads "14:00", or a local time of TOML.
func timeOfDay(value any) (time.Duration, error) {
	switch v := value.(type) {
	case string:
		at, err := time.Parse("15:04", v)
		if err != nil {
			return 0, fmt.Errorf("is %q: it must be a time of day", cull.Plain(v))
		}
		return time.Duration(at.Hour())*time.Hour + time.Duration(at.Minute())*time.Minute, nil
	case toml.LocalTime:
		return time.Duration(v.Hour)*time.Hour + time.Duration(v.Minute)*time.Minute + time.Duration(v.Second)*time.Second, nil
	}
	return 0, errMustForm
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
