package station

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/handoff"
)

// A no says what it cannot reach: the list that was handed over.
func TestNoTellsOfTheList(t *testing.T) {
	for _, c := range []struct{ name, list, want string }{
		{"none", "", ""},
		{"without faces", "[]", ""},
		{"with faces", `[{"method":` + strconv.Quote(cull.FacesMethodName) + `}]`, "keeps.json still tells of faces"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, _ := facedJob(t)
			if c.list != "" {
				if err := os.WriteFile(filepath.Join(dir, handoff.ListJSON), []byte(c.list), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			p := sit(t, dir, Options{AsItIs: true})
			p.look()
			p.wait()
			p.desk.AnswerFaces(false)
			p.wait()
			p.says("what was found of them is removed")
			p.now = p.now.Add(readFor + time.Second)
			p.desk.Tick()
			if c.want != "" {
				p.says(c.want)
			} else if len(p.desk.murmurs) > 0 || p.desk.Notice().Kind != Said {
				t.Errorf("it says %q", p.desk.Notice().Text)
			}
		})
	}
}

// Templates go with a no to faces, which is said where there were some.
func TestNoTellsOfTemplates(t *testing.T) {
	dir, _ := facedJob(t)
	p := sit(t, dir, Options{AsItIs: true})
	p.look()
	p.wait()
	if err := p.job.SetPeople(true); err != nil {
		t.Fatal(err)
	}
	file := p.job.PeopleFile()
	if err := os.WriteFile(file.Path, []byte(file.Begins), 0o600); err != nil {
		t.Fatal(err)
	}
	p.desk.AnswerFaces(false)
	p.wait()
	p.says("what was found of them is removed, templates too")
	if file.Exists() {
		t.Error("the templates are still there")
	}
}
