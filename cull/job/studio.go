package job

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"garner/cull"
)

// BodySettings are what a studio knows of one of its cameras. In the file:
//
//	[bodies."0120"]
//	letter = "B"
//	photographer = "Anna Berg"
//	clock = "-7m20s"
type BodySettings struct {
	Letter       string        // in capitals; "" = the next free one
	Photographer string        // "" = not said
	Clock        time.Duration // usually added to what the clock shows; only ever proposed
	HasClock     bool
}

// bodyFile is the form of BodySettings in the file.
type bodyFile struct {
	Letter       string `toml:"letter"`
	Photographer string `toml:"photographer"`
	Clock        string `toml:"clock"`
}

// maxName bounds names and notices, in bytes.
const maxName = 4096

// longestClock is more than any clock is wrong that anybody would still use.
const longestClock = 100 * 366 * 24 * time.Hour

func bodySettings(file map[string]bodyFile) (map[string]BodySettings, error) {
	if len(file) == 0 {
		return nil, nil
	}
	bodies, letters := map[string]BodySettings{}, map[string]string{}
	for _, serial := range slices.Sorted(maps.Keys(file)) {
		f := file[serial]
		name := fmt.Sprintf("bodies.%q", cull.Plain(serial))
		letter := strings.ToUpper(f.Letter)
		if !validLetter(letter) {
			return nil, fmt.Errorf("%s: letter is %q: it must be one letter or two, as in letter = \"B\"", name, cull.Plain(f.Letter))
		}
		if other, taken := letters[letter]; taken && letter != "" {
			return nil, fmt.Errorf("%s: letter %s is that of bodies.%q already", name, letter, cull.Plain(other))
		}
		letters[letter] = serial
		b := BodySettings{Letter: letter, Photographer: strings.TrimSpace(f.Photographer)}
		if err := validName(b.Photographer); err != nil {
			return nil, fmt.Errorf("%s: photographer %w", name, err)
		}
		if f.Clock != "" {
			d, err := time.ParseDuration(f.Clock)
			if err != nil || d > longestClock || d < -longestClock {
				return nil, fmt.Errorf("%s: clock is %q: it must be what is added to the clock, as in clock = \"-7m20s\"", name, cull.Plain(f.Clock))
			}
			b.Clock, b.HasClock = d, true
		}
		bodies[serial] = b
	}
	return bodies, nil
}

func validLetter(s string) bool {
	return len(s) <= 2 && !strings.ContainsFunc(s, func(r rune) bool { return r < 'A' || r > 'Z' })
}

// validName accepts what may stand in a sidecar: XML can't hold other control
// characters (XML 1.0, production 2), and these make no sense in a name.
func validName(s string) error {
	if len(s) > maxName {
		return fmt.Errorf("has more than %d bytes", maxName)
	}
	if cull.Plain(s) != s {
		return fmt.Errorf("holds characters that can't be shown")
	}
	return nil
}

// overBodies lays what a job says of bodies over what the studio says, serial by
// serial and setting by setting.
func overBodies(own, studio map[string]BodySettings) map[string]BodySettings {
	all := over(own, studio)
	for serial, b := range own {
		under := studio[serial]
		if b.Letter == "" {
			b.Letter = under.Letter
		}
		if b.Photographer == "" {
			b.Photographer = under.Photographer
		}
		if !b.HasClock {
			b.Clock, b.HasClock = under.Clock, under.HasClock
		}
		all[serial] = b
	}
	return all
}

// Photographer is who works with a body: what the settings say now, else what the
// job has noted.
func (s Settings) Photographer(b cull.Body) string {
	if p := s.Bodies[b.Serial].Photographer; p != "" && b.Serial != "" {
		return p
	}
	return b.Photographer
}

// ClockGuess is the usual offset of a body whose clock nobody has corrected in
// this job yet.
func (s Settings) ClockGuess(b cull.Body) (add time.Duration, ok bool) {
	set := s.Bodies[b.Serial]
	if b.Serial == "" || !set.HasClock || len(b.Offsets) > 0 {
		return 0, false
	}
	return set.Clock, true
}

// Settings returns what the job was opened with (see Options.Settings).
func (j *Job) Settings() Settings { return j.o.Settings }
