package main

import (
	"math/rand/v2"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
)

// scriptFaces keeps invented templates as measuring would: faces JOB NAME=anna,ben…;
// who is not said yes to before is now. Everybody looks the same in every frame; of a
// word with a + behind it somebody who looks a little like it.
func scriptFaces(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: faces JOB FRAME=PERSON,PERSON...")
	}
	j, err := job.Open(ts.MkAbs(args[0]), job.Options{Who: "anna"})
	ts.Check(err)
	defer j.Close()
	ts.Check(j.SetFaces(true))
	ts.Check(j.SetPeople(true))
	frames, err := j.Frames()
	ts.Check(err)
	byName := map[string]cull.ID{}
	for id, f := range frames {
		byName[f.Name] = id
	}
	s := people.Open(j)
	for _, a := range args[1:] {
		name, list, _ := strings.Cut(a, "=")
		found := people.Found{Frame: byName[name]}
		for i, who := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' }) {
			region := cull.Region{X: 0.1 + 0.2*float64(i), Y: 0.2, W: 0.1, H: 0.15}
			found.Faces = append(found.Faces, people.Face{Region: region, Template: invented(who)})
		}
		ts.Check(s.Put(found))
	}
	ts.Check(s.Close())
}

func invented(who string) (t people.Template) {
	base, like := strings.CutSuffix(who, "+")
	var seed uint64
	for _, c := range base {
		seed = seed*31 + uint64(c)
	}
	r := rand.New(rand.NewPCG(seed, 1))
	for i := range t {
		t[i] = float32(r.NormFloat64() * 0.12)
	}
	if like {
		t[0] += 0.58
	}
	return t
}
