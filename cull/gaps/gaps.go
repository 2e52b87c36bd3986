// Package gaps looks for frames that ought to be there: numbers that a body's
// counter went through and nobody has, and bodies that were silent while the others
// worked on. Both may mean a card that is still in a pocket. It is pure: values in,
// values out.
//
// The counter is the file number of DCF (CIPA DC-009, JEITA CP-3461B, "DCF file
// names"): four free characters and a number from 0001 to 9999, which goes on at
// 0001. A body has one counter, whatever the four characters are: they differ with
// the colour space and may be changed by its owner. Some bodies begin anew on every
// card, and pictures that were renamed tell nothing; so a step back that is no wrap
// is a new beginning, and what does not look like DCF is left out.
//
// # Caveats
//
// Photographers delete in the camera, and films take numbers too: a few missing
// numbers say nothing, and where a film's file is known its number is not missing.
// A body that begins anew on every card can lose a whole one without a gap.
package gaps

import (
	"cmp"
	"slices"
	"time"
)

// Shot is one file of a body that has a number.
type Shot struct {
	Body string    // its letter; "" = not known, such shots are left out
	Stem string    // file name without folder and extension: "IMG_0451"
	At   time.Time // corrected capture time, wall clock in time.UTC; zero = not known: only its number counts
}

// Options steer a search. The zero value is good.
type Options struct {
	Least  int           // missing numbers in a row that are worth an alarm; 0 = 10
	Pause  time.Duration // without a frame of the body, after which another job begins; 0 = 12 hours
	Silent int           // frames that the others took while a body took none; 0 = 1000
}

func (o Options) withDefaults() Options {
	o.Least = cmp.Or(o.Least, 10)
	o.Pause = cmp.Or(o.Pause, 12*time.Hour)
	o.Silent = cmp.Or(o.Silent, 1000)
	return o
}

// Kind says what an alarm is about.
type Kind uint8

// The kinds of alarms.
const (
	Numbers Kind = iota + 1 // numbers of a body's counter are missing
	Silence                 // a body took no frame while the others took many
)

// Alarm is something that a person should look into before a card is formatted.
type Alarm struct {
	Kind    Kind
	Body    string
	Missing int       // numbers, or frames that the others took meanwhile
	From    string    // first missing name, for Numbers
	To      string    // last missing name
	After   time.Time // of the frame before; zero = before the body's first of that day
	Before  time.Time // of the frame after; zero = after its last of that day
	Dated   bool      // the shots are of several days, so that times need a date
}

// Find returns the alarms, by body and time.
func Find(shots []Shot, o Options) []Alarm {
	o = o.withDefaults()
	var alarms []Alarm
	for _, r := range runs(shots, o) {
		alarms = append(alarms, r.alarms(o)...)
	}
	alarms = append(alarms, silences(shots, o)...)
	slices.SortStableFunc(alarms, func(a, b Alarm) int {
		return cmp.Or(cmp.Compare(len(a.Body), len(b.Body)), cmp.Compare(a.Body, b.Body), moment(a).Compare(moment(b)), cmp.Compare(a.Kind, b.Kind))
	})
	days := map[time.Time]bool{}
	for _, s := range shots {
		if !s.At.IsZero() {
			days[day(s.At)] = true
		}
	}
	for i := range alarms {
		alarms[i].Dated = len(days) > 1
	}
	return alarms
}

func moment(a Alarm) time.Time {
	if a.After.IsZero() {
		return a.Before
	}
	return a.After
}

// Small counts, by body, the missing numbers that are worth no alarm.
func Small(shots []Shot, o Options) map[string]int {
	o = o.withDefaults()
	few := map[string]int{}
	for _, r := range runs(shots, o) {
		for _, g := range r.gaps() {
			if g.missing < o.Least {
				few[r.body] += g.missing
			}
		}
	}
	return few
}
