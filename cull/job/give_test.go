package job_test

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// seen is "KEY@MINUTE SERIAL".
func seen(texts ...string) (out []job.SeenBody) {
	for _, s := range texts {
		key, serial, _ := strings.Cut(s, " ")
		key, minute, _ := strings.Cut(key, "@")
		b := job.SeenBody{Body: cull.Body{Key: key, Make: "Maker", Model: "Six", Serial: serial}}
		if minute != "" {
			b.First = begin.Add(time.Duration(minute[0]-'0') * time.Minute)
		}
		out = append(out, b)
	}
	return out
}

func lettersText(m map[string]string) string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(m)) {
		out = append(out, k+"="+m[k])
	}
	return strings.Join(out, " ")
}

func TestGiveLetters(t *testing.T) {
	studio := job.Settings{Bodies: map[string]job.BodySettings{"22": {Letter: "A", Photographer: "Anna"}, "33": {Letter: "C"}, "44": {Photographer: "Ben"}}}
	for _, c := range []struct {
		name  string
		given map[string]string // letters from before
		seen  []job.SeenBody
		s     job.Settings
		want  string
	}{
		{"in the order of their first frames", nil, seen("x@5 1", "y@1 2", "z 3"), job.Settings{}, "x=B y=A z=C"},
		{"the earliest of several times counts", nil, seen("x@5 1", "y@3 2", "x@1 1"), job.Settings{}, "x=A y=B"},
		{"the studio's letters, also where they come last", nil, seen("x@1 1", "y@2 22", "z@3 33"), studio, "x=B y=A z=C"},
		{"letters of bodies that are not there yet stay free", nil, seen("x@1 1", "y@2 5", "z@3 6"), studio, "x=B y=D z=E"},
		{"a letter given before never moves", map[string]string{"old": "A", "y": "Q"}, seen("x@1 22", "y@2 33"), studio, "old=A x=B y=Q"},
		{"two bodies of one serial number", nil, seen("x@2 22", "y@1 22"), studio, "x=B y=A"},
		{"a body that nothing is known of", nil, append(seen("x@1 1"), job.SeenBody{}), job.Settings{}, "x=A"},
		{"nobody", nil, nil, studio, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := sample(t, 1)
			for key, letter := range c.given {
				_, err := j.Append(job.Letter(key, letter))
				must(t, err)
			}
			for range 2 { // the second time nothing moves
				got, err := job.GiveLetters(j, c.seen, c.s)
				must(t, err)
				if lettersText(got) != c.want {
					t.Errorf("letters %s, want %s", lettersText(got), c.want)
				}
			}
			bodies, err := j.Bodies()
			must(t, err)
			stored := map[string]string{}
			for _, b := range bodies {
				stored[b.Key] = b.Letter
				if want := c.s.Bodies[b.Serial].Photographer; b.Photographer != want {
					t.Errorf("body %s is worked by %q, want %q", b.Key, b.Photographer, want)
				}
			}
			if lettersText(stored) != c.want {
				t.Errorf("stored: %s", lettersText(stored))
			}
		})
	}
}

// A body's photographer stays when a scan saves the body without one, and changes
// with the studio file.
func TestPhotographers(t *testing.T) {
	j := sample(t, 1)
	who := func(want string) {
		t.Helper()
		bodies, err := j.Bodies()
		must(t, err)
		if len(bodies) != 1 || bodies[0].Photographer != want {
			t.Errorf("%+v, want %s", bodies, want)
		}
	}
	as := func(name string) job.Settings {
		return job.Settings{Bodies: map[string]job.BodySettings{"7": {Photographer: name}}}
	}
	_, err := job.GiveLetters(j, seen("x 7"), as("Anna"))
	must(t, err)
	must(t, j.SaveBodies([]cull.Body{{Key: "x", Make: "Maker", Model: "Six", Serial: "7"}}))
	who("Anna")
	_, err = job.GiveLetters(j, seen("x 7"), job.Settings{})
	must(t, err)
	who("Anna")
	_, err = job.GiveLetters(j, seen("x 7"), as("Ben"))
	must(t, err)
	who("Ben")
}
