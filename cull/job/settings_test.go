package job

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

func TestReadSettings(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       Settings
		err        string // "" = none
	}{
		{"empty", "", Settings{}, ""},
		{"all", "goal = 600\n[keys]\nkeep = [\"k\", \"enter\"]\n[questions]\nalbum = \"In the album?\"\n",
			Settings{Goal: 600, Keys: map[string][]string{"keep": {"k", "enter"}}, Questions: map[string]string{"album": "In the album?"}}, ""},
		{"evidence", "[evidence]\nmarks = false\nstart_at_favourite = true\n", Settings{Evidence: EvidenceSettings{Marks: new(bool), StartAtFavourite: ptr(true)}}, ""},
		{"evidence that is no answer", "[evidence]\nmarks = \"no\"\n", Settings{}, "garner.toml: line 2, column 9: " + evidenceForm},
		{"faces are no setting", "[evidence]\nfaces = true\nmeasure = false\n", Settings{Evidence: EvidenceSettings{Measure: new(bool)}, Unknown: []string{"garner.toml: evidence.faces"}}, ""},
		{"byte order mark and carriage returns", "\ufeffgoal = 5\r\n", Settings{Goal: 5}, ""},
		{"an action without a key", "[keys]\nfan = []\n", Settings{Keys: map[string][]string{"fan": {}}}, ""},
		{"tables of later work", "[[scenes]]\nname = \"Church\"\n", Settings{}, ""},
		{"unknown", "goall = 6\ngoal = 7\n[colours]\nred = 1\nblue = 2\n", Settings{Goal: 7, Unknown: []string{"garner.toml: colours", "garner.toml: goall"}}, ""},
		{"unknown that acts on a terminal", "\"\\u001b[31m\" = 1\n", Settings{Unknown: []string{`garner.toml: \x1b[31m`}}, ""},
		{"no number", "\ngoal = \"many\"\n", Settings{}, "garner.toml: line 2, column 8: goal must be a whole number, as in goal = 600"},
		{"half a frame", "goal = 6.5", Settings{}, "garner.toml: line 1, column 8: goal must be a whole number, as in goal = 600"},
		{"negative", "goal = -1", Settings{}, "garner.toml: goal is -1: it must be a number of frames"},
		{"one key", "[keys]\nkeep = \"k\"\n", Settings{}, `garner.toml: line 2, column 8: [keys] must hold lists of key names, as in keep = ["k", "enter"]`},
		{"a key of its own", "[keys.keep]\nk = true\n", Settings{}, `garner.toml: line 1, column 2: [keys] must hold lists of key names, as in keep = ["k", "enter"]`},
		{"no question", "[questions]\nalbum = 3\n", Settings{}, `garner.toml: line 2, column 9: [questions] must hold texts in quotes, as in album = "In the album?"`},
		{"must have", "must_have = [\"Rings\", \" First dance \"]\n", Settings{MustHave: []Must{{Name: "Rings", Least: 1}, {Name: "First dance", Least: 1}}}, ""},
		{"must have tables", "[[must_have]]\nname = \"Family\"\nscene = \"Portraits\"\nfrom = \"14:00\"\nuntil = \"15:30\"\nleast = 3\n[[must_have]]\nname = \"Party\"\nfrom = \"22:00\"\n",
			Settings{MustHave: []Must{{"Family", "Portraits", 14 * time.Hour, 15*time.Hour + 30*time.Minute, 3}, {"Party", "", 22 * time.Hour, 24 * time.Hour, 1}}}, ""},
		{"must have both", "must_have = [\"Rings\", {name = \"Cake\", until = 16:30:00}]\n", Settings{MustHave: []Must{{Name: "Rings", Least: 1}, {Name: "Cake", Until: 16*time.Hour + 30*time.Minute, Least: 1}}}, ""},
		{"must have a number", "must_have = 3\n", Settings{}, "garner.toml: line 1, column 13: " + mustForm},
		{"must have numbers", "must_have = [3]\n", Settings{}, "garner.toml: line 1, column 14: " + mustForm},
		{"must have, least a text", "\n[[must_have]]\nname = \"x\"\nleast = \"two\"\n", Settings{}, "garner.toml: line 4, column 9: " + mustForm},
		{"must have nothing", "must_have = [\"x\", \"\"]\n", Settings{}, "garner.toml: must_have: entry 2 has no name"},
		{"must have twice", "must_have = [\"Rings\", \"rings\"]\n", Settings{}, `garner.toml: must_have: "rings" is there twice`},
		{"must have at an hour that is none", "[[must_have]]\nname = \"x\"\nuntil = \"25:00\"\n", Settings{}, `garner.toml: must_have "x": until is "25:00": it must be a time of day, as in until = "14:00"`},
		{"must have none of it", "[[must_have]]\nname = \"x\"\nleast = 0\n", Settings{}, `garner.toml: must_have "x": least is 0: it must be a number of frames`},
		{"unknown of must have", "[[must_have]]\nname = \"x\"\nwhen = 3\n", Settings{MustHave: []Must{{Name: "x", Least: 1}}, Unknown: []string{"garner.toml: must_have.when"}}, ""},
		{"studio", "credit = \" Berg & Söhne \"\nrights = \"© 2026 Berg\"\n[bodies.\"0120\"]\nletter = \"b\"\nphotographer = \"Anna Berg\"\nclock = \"-7m20s\"\n[bodies.7]\n",
			Settings{Credit: "Berg & Söhne", Rights: "© 2026 Berg", Bodies: map[string]BodySettings{
				"0120": {Letter: "B", Photographer: "Anna Berg", Clock: -7*time.Minute - 20*time.Second, HasClock: true}, "7": {}}}, ""},
		{"unknown of a body", "[bodies.7]\nleter = \"A\"\n", Settings{Bodies: map[string]BodySettings{"7": {}}, Unknown: []string{"garner.toml: bodies.7.leter"}}, ""},
		{"a body that is a text", "[bodies]\nA = \"Ann\"\n", Settings{}, `garner.toml: line 2, column 5: [bodies] must hold a table for each serial number, with texts in quotes, as in [bodies."0120"] and letter = "B"`},
		{"a clock as a number", "[bodies.7]\nclock = -440\n", Settings{}, `garner.toml: line 2, column 9: [bodies] must hold a table for each serial number, with texts in quotes, as in [bodies."0120"] and letter = "B"`},
		{"a clock that is none", "[bodies.7]\nclock = \"late\"\n", Settings{}, `garner.toml: bodies."7": clock is "late": it must be what is added to the clock, as in clock = "-7m20s"`},
		{"a letter with a number", "[bodies.7]\nletter = \"A2\"\n", Settings{}, `garner.toml: bodies."7": letter is "A2": it must be one letter or two, as in letter = "B"`},
		{"one letter twice", "[bodies.7]\nletter = \"A\"\n[bodies.5]\nletter = \"a\"\n", Settings{}, `garner.toml: bodies."7": letter A is that of bodies."5" already`},
		{"a credit that acts on a terminal", "credit = \"\\u001b[31m\"\n", Settings{}, "garner.toml: credit holds characters that can't be shown"},
		{"a number for rights", "rights = 2026\n", Settings{}, "garner.toml: line 1, column 10: rights must be a text in quotes"},
		{"twice", "goal = 1\ngoal = 2\n", Settings{}, "garner.toml: line 2, column 1: key goal is already defined"},
		{"cut off", "[keys]\nkeep = [\"k\",", Settings{}, "garner.toml: line 2, column 12: array is incomplete"},
		{"too long", "#" + strings.Repeat("x", maxSettings), Settings{}, "garner.toml has more than 64 KiB: it is no file of settings"},
		{"just not too long", "#" + strings.Repeat("x", maxSettings-1), Settings{}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, "garner.toml"), []byte(c.text), 0o666); err != nil {
				t.Fatal(err)
			}
			got, err := ReadSettings(dir)
			if (err == nil) != (c.err == "") || err != nil && err.Error() != c.err {
				t.Fatalf("error %v", err)
			}
			if !reflect.DeepEqual(got, c.want) {
				t.Errorf("%#v", got)
			}
		})
	}
}

func ptr[T any](v T) *T { return &v }

// What is not set is as it usually is, and the job's own goes over the studio's, one
// by one.
func TestEvidenceSettings(t *testing.T) {
	usual := Settings{}.Evidence
	if !usual.Measures() || !usual.Marked() || usual.Favoured() {
		t.Errorf("nothing set: %v %v %v", usual.Measures(), usual.Marked(), usual.Favoured())
	}
	own := Settings{Evidence: EvidenceSettings{Marks: ptr(true)}}
	e := own.Over(Settings{Evidence: EvidenceSettings{Marks: ptr(false), Measure: ptr(false), StartAtFavourite: ptr(true)}}).Evidence
	if e.Measures() || !e.Marked() || !e.Favoured() {
		t.Errorf("together: %v %v %v", e.Measures(), e.Marked(), e.Favoured())
	}
}

func TestSettingsThatAreNotThere(t *testing.T) {
	dir := t.TempDir()
	if s, err := ReadSettings(dir); err != nil || !reflect.DeepEqual(s, Settings{}) {
		t.Errorf("%v, %v", s, err)
	}
	if s, err := ReadStudio(filepath.Join(dir, "none")); err != nil || !reflect.DeepEqual(s, Settings{}) {
		t.Errorf("%v, %v", s, err)
	}
	if err := os.MkdirAll(filepath.Join(dir, "garner", "studio.toml"), 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadStudio(dir); err == nil || err.Error() != "studio.toml is no regular file" {
		t.Errorf("a folder in its place: %v", err)
	}
}

func TestSettingsOverThoseOfTheStudio(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "garner"), 0o777); err != nil {
		t.Fatal(err)
	}
	for path, text := range map[string]string{
		"garner.toml":        "x = 1\nrights = \"mine\"\n[bodies.7]\nphotographer = \"Ben\"\n[keys]\nkeep = [\"y\"]\n[questions]\nalbum = \"Mine?\"\n",
		"garner/studio.toml": "goal = 400\nx = 2\na = 1\ncredit = \"Studio\"\nrights = \"ours\"\n[bodies.7]\nletter = \"B\"\nclock = \"1m\"\n[bodies.8]\nletter = \"C\"\n[keys]\nkeep = [\"j\"]\ndrop = [\"n\"]\n[questions]\nblog = \"Ours?\"\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, path), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	own, err := ReadSettings(dir)
	if err != nil {
		t.Fatal(err)
	}
	studio, err := ReadStudio(dir)
	if err != nil {
		t.Fatal(err)
	}
	want := Settings{
		Goal:      400,
		Keys:      map[string][]string{"keep": {"y"}, "drop": {"n"}},
		Questions: map[string]string{"album": "Mine?", "blog": "Ours?"},
		Credit:    "Studio", Rights: "mine",
		Bodies:  map[string]BodySettings{"7": {Letter: "B", Photographer: "Ben", Clock: time.Minute, HasClock: true}, "8": {Letter: "C"}},
		Unknown: []string{"garner.toml: x", "studio.toml: a", "studio.toml: x"},
	}
	if got := own.Over(studio); !reflect.DeepEqual(got, want) {
		t.Errorf("%#v", got)
	}
	if !reflect.DeepEqual(own.Keys, map[string][]string{"keep": {"y"}}) {
		t.Errorf("the job's own became %v", own.Keys)
	}
	if got := (Settings{}).Over(Settings{}); !reflect.DeepEqual(got, Settings{}) {
		t.Errorf("nothing over nothing is %#v", got)
	}
}

// FuzzSettings: no text makes it fall over, and an error is one line that does
// nothing to a terminal.
func FuzzSettings(f *testing.F) {
	for _, s := range []string{
		"goal = 600\n[keys]\nkeep = [\"k\", \"enter\"]\n[questions]\nalbum = \"In the album?\"\n",
		"[sets.lab]\nedge = 2000\n[[scenes]]\nname = \"Church\"\n", "goal = \"x\"", "[keys]\nkeep = 1", "\"\\u001b\" = 1", "a.b.c = {d = [1, {e = 2}]}",
		"credit = \"a\"\n[bodies.7]\nletter = \"B\"\nclock = \"1m\"\n[bodies.8]\nletter = \"C\"\nphotographer = \"x\"\n",
		"[[must_have]]\nname = \"x\"\nfrom = \"1:0\"\n", "must_have = [\"a\", {name = \"b\", least = 2}, [1]]", "must_have = [{}, {}]",
		"goal = 1\n\"\\u009b\" = 1\n\"\\u009b\" = 1", strings.Repeat("[", 3000),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := parseSettings(text)
		if err != nil {
			if !reflect.DeepEqual(s, Settings{}) {
				t.Errorf("%v and yet %#v", err, s)
			}
			if msg := err.Error(); !utf8.ValidString(msg) || strings.ContainsFunc(msg, unicode.IsControl) {
				t.Errorf("%q", msg)
			}
			return
		}
		if s.Goal < 0 || s.Goal > maxGoal {
			t.Errorf("goal %d", s.Goal)
		}
		for _, k := range s.Unknown {
			if strings.ContainsFunc(k, unicode.IsControl) {
				t.Errorf("%q", k)
			}
		}
	})
}
