package job

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"garner/cull"
)

// The files that settings are read from: one beside the pictures, and one of the
// studio in the user's folder for such files.
const (
	settingsName = "garner.toml"
	studioFolder = "garner"
	studioName   = "studio.toml"
)

// maxSettings bounds a file of settings, in bytes; nobody writes so many by hand.
const maxSettings = 64 << 10

// maxGoal is more frames than any job has.
const maxGoal = 10_000_000

// Settings are what a person has set for a job or for a studio. The zero value
// is that nothing is set.
type Settings struct {
	Goal      int                     // how many frames are to be kept; 0 = none set
	Keys      map[string][]string     // action → names of the keys that do it, in place of the usual ones
	Questions map[string]string       // pass → question, in place of the one it was defined with
	Credit    string                  // the IPTC credit line of what is handed over: who is to be named; "" = nothing said
	Rights    string                  // dc:rights, likewise
	Bodies    map[string]BodySettings // by serial number
	MustHave  []Must                  // pictures that the job has to have, in the order of the file
	Evidence  EvidenceSettings
	Sets      map[string]SetSettings // by name
	Stamp     StampSettings
	Typos     []string // keys of sets and stamp that nobody knows, and tables that may be meant for them, as sentences that begin with "FILE: "; they are not in Unknown
	Unknown   []string // settings that nobody knows, as "FILE: dotted.key": to be said, once
}

// settingsFile is the form of the file. Tables of which nothing is made yet are
// accepted, so that a file may have them already.
type settingsFile struct {
	Goal      int                 `toml:"goal"`
	Keys      map[string][]string `toml:"keys"`
	Questions map[string]string   `toml:"questions"`
	Credit    string              `toml:"credit"`
	Rights    string              `toml:"rights"`
	Bodies    map[string]bodyFile `toml:"bodies"`

	MustHave []any            `toml:"must_have"`
	Evidence EvidenceSettings `toml:"evidence"`

	Sets  map[string]SetSettings `toml:"sets"`
	Stamp StampSettings          `toml:"stamp"`

	Scenes any `toml:"scenes"`
}

// ReadSettings reads JOB/garner.toml; a missing file sets nothing. The error is
// one sentence, with line and column where there is something wrong inside.
func ReadSettings(dir string) (Settings, error) {
	return readSettings(filepath.Join(dir, settingsName), settingsName)
}

// ReadStudio reads the studio's settings, which have the same form, in the
// user's configuration folder (os.UserConfigDir).
func ReadStudio(configDir string) (Settings, error) {
	return readSettings(filepath.Join(configDir, studioFolder, studioName), studioName)
}

// Over lays a job's settings over those of the studio: what the job sets holds,
// action by action and pass by pass; a list of must_have as a whole.
func (s Settings) Over(studio Settings) Settings {
	if s.Goal == 0 {
		s.Goal = studio.Goal
	}
	s.Keys = over(s.Keys, studio.Keys)
	s.Questions = over(s.Questions, studio.Questions)
	s.Credit = cmp.Or(s.Credit, studio.Credit)
	s.Rights = cmp.Or(s.Rights, studio.Rights)
	s.Bodies = overBodies(s.Bodies, studio.Bodies)
	s.Evidence = s.Evidence.over(studio.Evidence)
	if s.MustHave == nil {
		s.MustHave = studio.MustHave
	}
	s.Sets = overSets(s.Sets, studio.Sets)
	s.Stamp = overStamp(s.Stamp, studio.Stamp)
	s.Typos = slices.Concat(s.Typos, studio.Typos)
	unknown := slices.Concat(s.Unknown, studio.Unknown)
	slices.Sort(unknown)
	s.Unknown = slices.Compact(unknown)
	return s
}

func over[V any](own, under map[string]V) map[string]V {
	if len(own)+len(under) == 0 {
		return nil
	}
	m := make(map[string]V, len(own)+len(under))
	for k, v := range under {
		m[k] = v
	}
	for k, v := range own {
		m[k] = v
	}
	return m
}

func readSettings(path, name string) (Settings, error) {
	// A pipe or a device would keep us waiting.
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Settings{}, nil
	}
	if err == nil && !info.Mode().IsRegular() {
		return Settings{}, fmt.Errorf("%s is no regular file", name)
	}
	var text []byte
	if err == nil {
		text, err = readUpTo(path, maxSettings+1)
	}
	if err != nil {
		var pe *fs.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return Settings{}, fmt.Errorf("%s cannot be read: %w", name, err)
	}
	if len(text) > maxSettings {
		return Settings{}, fmt.Errorf("%s has more than %d KiB: it is no file of settings", name, maxSettings>>10)
	}
	s, err := parseSettings(text)
	if err != nil {
		return Settings{}, fmt.Errorf("%s: %w", name, err)
	}
	for _, list := range [][]string{s.Unknown, s.Typos} {
		for i, key := range list {
			list[i] = name + ": " + key
		}
	}
	s.Stamp = s.Stamp.besides(filepath.Dir(path))
	return s, nil
}

func readUpTo(path string, most int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most))
}

func parseSettings(text []byte) (Settings, error) {
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // some editors begin a file with it
	d := toml.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	d.EnableUnmarshalerInterface()
	var f settingsFile
	err := d.Decode(&f)
	s := Settings{Goal: f.Goal, Keys: f.Keys, Questions: f.Questions, Evidence: f.Evidence, Credit: strings.TrimSpace(f.Credit), Rights: strings.TrimSpace(f.Rights), Sets: f.Sets, Stamp: f.Stamp}
	var missing *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &missing):
		for _, e := range missing.Errors {
			if text, ok := typo(e); ok {
				s.Typos = append(s.Typos, text)
				continue
			}
			s.Unknown = append(s.Unknown, dotted(e.Key()))
		}
		slices.Sort(s.Unknown)
		s.Unknown = slices.Compact(s.Unknown)
	case errors.As(err, &wrong):
		line, column := wrong.Position()
		return Settings{}, fmt.Errorf("line %d, column %d: %s", line, column, cull.Plain(whatIsWrong(wrong)))
	case err != nil:
		return Settings{}, errors.New(cull.Plain(strings.TrimPrefix(err.Error(), "toml: ")))
	}
	if s.Goal < 0 || s.Goal > maxGoal {
		return Settings{}, fmt.Errorf("goal is %d: it must be a number of frames", s.Goal)
	}
	if err := validName(s.Credit); err != nil {
		return Settings{}, fmt.Errorf("credit %w", err)
	}
	if err := validName(s.Rights); err != nil {
		return Settings{}, fmt.Errorf("rights %w", err)
	}
	if f := checkSets(f.Sets); f != nil {
		return Settings{}, f.wrongly(text)
	}
	if f := checkStamp(f.Stamp); f != nil {
		return Settings{}, f.wrongly(text)
	}
	if s.Bodies, err = bodySettings(f.Bodies); err != nil {
		return Settings{}, err
	}
	musts, unknown, err := mustHave(f.MustHave, text)
	if err != nil {
		return Settings{}, err
	}
	if s.MustHave = musts; len(unknown) > 0 {
		s.Unknown = append(s.Unknown, unknown...)
		slices.Sort(s.Unknown)
		s.Unknown = slices.Compact(s.Unknown)
	}
	return s, nil
}

// whatIsWrong speaks of the form of the file rather than of this program.
func whatIsWrong(e *toml.DecodeError) string {
	text := strings.TrimPrefix(e.Error(), "toml: ")
	if key := e.Key(); len(key) > 0 && strings.HasPrefix(text, "cannot ") {
		switch key[0] {
		case "goal":
			return "goal must be a whole number, as in goal = 600"
		case "keys":
			return `[keys] must hold lists of key names, as in keep = ["k", "enter"]`
		case "questions":
			return `[questions] must hold texts in quotes, as in album = "In the album?"`
		case "credit", "rights":
			return key[0] + " must be a text in quotes"
		case "evidence":
			return evidenceForm
		case "must_have":
			return mustForm
		case "sets":
			if len(key) == 3 {
				if text := wanted(key[2], reflect.TypeFor[SetSettings]()); text != "" {
					return text
				}
			}
			return setsForm
		case "stamp":
			if len(key) == 2 {
				if text := wanted(key[1], reflect.TypeFor[StampSettings]()); text != "" {
					return text
				}
			}
			return stampForm
		case "bodies":
			return `[bodies] must hold a table for each serial number, with texts in quotes, as in [bodies."0120"] and letter = "B"`
		}
	}
	return text
}

// dotted is a key as the file would name it.
func dotted(key []string) string {
	return cull.Plain(strings.Join(key, "."))
}
