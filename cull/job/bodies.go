package job

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"garner/cull"
	"garner/store/catalog"
)

// A letter entry has the arguments KEY LETTER, an offset entry KEY FROM ADD
// [ZONE]. FROM is "start" or a moment on the body's own clock face, ADD a
// duration as in "7m20s", ZONE as in "+02:00". Of several entries for one body
// (and one FROM) the last counts; ADD "none" takes the offset at FROM away.
const (
	fromStart  = "start"
	faceLayout = "2006-01-02T15:04:05.999999999"
	noOffset   = "none"
)

// Letter is the entry that gives a body its letter.
func Letter(bodyKey, letter string) cull.Entry {
	return cull.Entry{Verb: cull.VerbLetter, Args: []string{bodyKey, letter}}
}

// SetOffset is the entry that corrects a body's clock from o.From on.
func SetOffset(bodyKey string, o cull.Offset) cull.Entry {
	args := []string{bodyKey, formatFrom(o.From), o.Add.String()}
	if o.Zone != nil {
		args = append(args, cull.ZoneText(*o.Zone))
	}
	return cull.Entry{Verb: cull.VerbOffset, Args: args}
}

// DropOffset is the entry that takes the offset from a moment on away.
func DropOffset(bodyKey string, from time.Time) cull.Entry {
	return cull.Entry{Verb: cull.VerbOffset, Args: []string{bodyKey, formatFrom(from), noOffset}}
}

func formatFrom(t time.Time) string {
	if t.IsZero() {
		return fromStart
	}
	return t.UTC().Format(faceLayout)
}

var errOffset = errors.New("an offset needs a body, a moment, a duration and perhaps a zone")

// ParseOffset reads the arguments of an offset entry; drop means that the offset
// at o.From is taken away.
func ParseOffset(args []string) (bodyKey string, o cull.Offset, drop bool, err error) {
	if len(args) != 3 && len(args) != 4 {
		return "", cull.Offset{}, false, errOffset
	}
	if args[1] != fromStart {
		if o.From, err = time.Parse(faceLayout, args[1]); err != nil {
			return "", cull.Offset{}, false, errOffset
		}
	}
	if args[2] == noOffset && len(args) == 3 {
		return args[0], o, true, nil
	}
	if o.Add, err = time.ParseDuration(args[2]); err != nil {
		return "", cull.Offset{}, false, errOffset
	}
	if len(args) == 4 {
		minutes, ok := parseZone(args[3])
		if !ok {
			return "", cull.Offset{}, false, errOffset
		}
		o.Zone = &minutes
	}
	return args[0], o, false, nil
}

func parseZone(s string) (minutes int, ok bool) {
	if len(s) != 6 || s[3] != ':' || (s[0] != '+' && s[0] != '-') {
		return 0, false
	}
	h, err1 := strconv.ParseUint(s[1:3], 10, 8)
	m, err2 := strconv.ParseUint(s[4:6], 10, 8)
	if err1 != nil || err2 != nil || h > 23 || m > 59 {
		return 0, false
	}
	minutes = int(h*60 + m)
	if s[0] == '-' {
		minutes = -minutes
	}
	return minutes, true
}

// Bodies returns the cameras with their letters and offsets, in the order of
// their letters, those without one last.
func (j *Job) Bodies() ([]cull.Body, error) {
	var bodies []cull.Body
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		bodies, err = bodiesOf(tx)
		return err
	})
	return bodies, err
}

func bodiesOf(tx *catalog.Tx) ([]cull.Body, error) {
	bodies := map[string]cull.Body{}
	err := tx.Bodies().Each(func(key string, r catalog.Body) error {
		bodies[key] = cull.Body{Key: key, Make: r.Make, Model: r.Model, Serial: r.Serial, Photographer: r.Photographer}
		return nil
	})
	if err != nil {
		return nil, err
	}
	entries, err := correctionsOf(tx)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		correctBody(bodies, e)
	}
	out := make([]cull.Body, 0, len(bodies))
	for _, b := range bodies {
		out = append(out, b)
	}
	slices.SortFunc(out, ByLetter)
	return out, nil
}

// ByLetter orders A, B, …, Z, AA, …, then bodies without a letter by key.
func ByLetter(a, b cull.Body) int {
	rank := func(x cull.Body) (int, string) {
		if x.Letter == "" {
			return 1 << 30, x.Key
		}
		return len(x.Letter), x.Letter + x.Key
	}
	an, as := rank(a)
	bn, bs := rank(b)
	return cmp.Or(cmp.Compare(an, bn), cmp.Compare(as, bs))
}

// correctBody applies a letter or offset entry. A body that only the journal
// knows (its files have not been found again) is made.
func correctBody(bodies map[string]cull.Body, e cull.Entry) {
	switch e.Verb {
	case cull.VerbLetter:
		if len(e.Args) != 2 {
			return
		}
		for key, other := range bodies {
			if key != e.Args[0] && other.Letter == e.Args[1] {
				return // two programs gave it at the same time: the first entry has it
			}
		}
		b := bodies[e.Args[0]]
		b.Key, b.Letter = e.Args[0], e.Args[1]
		bodies[b.Key] = b
	case cull.VerbOffset:
		key, o, drop, err := ParseOffset(e.Args)
		if err != nil {
			return // of a later version; it stays in the journal
		}
		b := bodies[key]
		b.Key = key
		b.Offsets = slices.DeleteFunc(slices.Clone(b.Offsets), func(old cull.Offset) bool { return old.From.Equal(o.From) })
		if !drop {
			b.Offsets = append(b.Offsets, o)
		}
		slices.SortFunc(b.Offsets, func(x, y cull.Offset) int { return x.From.Compare(y.From) })
		bodies[key] = b
	}
}

// SaveBodies stores what is known of cameras. Letters and offsets are not among
// it: they are given by journal entries. A photographer once known stays where a
// body comes without one.
func (j *Job) SaveBodies(bodies []cull.Body) error {
	return j.update(func(tx *catalog.Tx) error {
		for _, b := range bodies {
			r := catalog.Body{Make: b.Make, Model: b.Model, Serial: b.Serial, Photographer: b.Photographer}
			if r.Photographer == "" {
				old, _, err := tx.Bodies().Get(b.Key)
				if err != nil {
					return fmt.Errorf("body %s: %w", showPath(b.Key), err)
				}
				r.Photographer = old.Photographer
			}
			if err := tx.Bodies().Put(b.Key, r); err != nil {
				return fmt.Errorf("body %s: %w", showPath(b.Key), err)
			}
		}
		return nil
	})
}
