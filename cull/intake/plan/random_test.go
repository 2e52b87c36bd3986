package plan

import (
	"fmt"
	"path"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// world draws sources whose names and contents clash in every way.
func world(t *rapid.T, tb testing.TB) ([]Source, []Have) {
	var sources []Source
	for s := range rapid.IntRange(1, 3).Draw(t, "sources") {
		dcim := rapid.Bool().Draw(t, "dcim")
		seen := map[string]bool{}
		var files []made
		for range rapid.IntRange(0, 14).Draw(t, "files") {
			m := drawFile(t, dcim)
			if !seen[m.path] {
				seen[m.path] = true
				files = append(files, m)
			}
		}
		src := card(tb, files...)
		src.DCIM, src.Name = dcim, fmt.Sprint("source ", s)
		sources = append(sources, src)
	}
	seen := map[string]bool{}
	var have []Have
	for range rapid.IntRange(0, 6).Draw(t, "have") {
		m := drawFile(t, false)
		m.err = nil
		m.path = rapid.SampledFrom([]string{"A/", "A2/", "B/", "unknown/", "clips/A/", "clips/unknown/", "aside/A/", "chosen/"}).Draw(t, "top") + path.Base(m.path)
		if !seen[Fold(m.path)] {
			seen[Fold(m.path)] = true
			h := m.have(tb)
			h.Damaged = rapid.IntRange(0, 5).Draw(t, "damaged") == 0
			have = append(have, h)
		}
	}
	return sources, have
}

func drawFile(t *rapid.T, dcim bool) made {
	dir := rapid.SampledFrom([]string{"", "d/", "D/", "e\u0301/", "é/", "con/", "PRIVATE/CLIP/"}).Draw(t, "dir")
	if dcim {
		dir = rapid.SampledFrom([]string{"DCIM/100X/", "DCIM/101X/", "DCIM/", "PRIVATE/CLIP/", "private/", ""}).Draw(t, "dir")
	}
	m := made{
		path:   dir + rapid.SampledFrom([]string{"a", "A", "b", "b?", "b*", "é", "e\u0301", "aux"}).Draw(t, "stem") + rapid.SampledFrom([]string{".CR3", ".cr3", ".JPG", ".HIF", ".DNG", ".xmp", ".CR3.xmp", ".WAV", ".MP4", ".THM", ""}).Draw(t, "ext"),
		serial: rapid.SampledFrom([]string{"", "", "", "2002", "77", "-"}).Draw(t, "serial"),
		n:      rapid.IntRange(0, 3).Draw(t, "n"),
	}
	switch rapid.IntRange(0, 9).Draw(t, "trait") {
	case 0:
		m.err = errIO
	case 1:
		m.tail = rapid.SampledFrom([]string{"x", "y"}).Draw(t, "tail")
	case 2:
		m.broken = true
	case 3:
		m.soft = "Editor"
	case 4:
		m.head = "h"
	case 5:
		m.size = 1 << 20
	}
	m.counter = rapid.Bool().Draw(t, "counter")
	return m
}

// judge is a judge of twins that always says the same of the same files.
func judge(sources []Source, have []Have) func(a, b Ref) int {
	ends := func(r Ref) byte {
		if r.Source < 0 {
			for _, h := range have {
				if h.Path == r.Path {
					return h.Ends[0]
				}
			}
			return 0
		}
		for _, f := range sources[r.Source].Files {
			if f.Path == r.Path {
				return f.Ends[0]
			}
		}
		return 0
	}
	return func(a, b Ref) int { return int(ends(a))%3 - int(ends(b))%3 }
}

func TestRandomPlans(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		sources, have := world(rt, t)
		o := Options{Letters: letters}
		if rapid.Bool().Draw(rt, "judged") {
			o.Damaged = judge(sources, have)
		}
		if rapid.IntRange(0, 3).Draw(rt, "days") == 0 {
			o.Days = []string{"2026-06-13"}
		}
		p := Make(sources, have, o)
		check(rt, sources, have, p)
		if again := Make(sources, have, o); !reflect.DeepEqual(p, again) {
			rt.Fatalf("planned twice:\n%s\n%s", strings.Join(lines(sources, p), "\n"), strings.Join(lines(sources, again), "\n"))
		}
		checkAgain(rt, sources, have, p, o)
	})
}

// check holds a plan against what must be true of every plan.
func check(t *rapid.T, sources []Source, have []Have, p Plan) {
	fail := func(i int, format string, args ...any) {
		t.Helper()
		t.Fatalf("step %d: %s\n%s", i, fmt.Sprintf(format, args...), strings.Join(lines(sources, p), "\n"))
	}
	jobHas := map[string]bool{}
	jobDirs := map[string]bool{}
	for _, h := range have {
		jobHas[Fold(h.Path)] = true
	}
	n := 0
	for s, src := range sources {
		for i := range src.Files {
			if p.Steps[n].Source != s || p.Steps[n].File != i {
				fail(n, "is of another file")
			}
			n++
		}
	}
	if n != len(p.Steps) {
		fail(n, "there are %d", len(p.Steps))
	}
	to := map[string]int{}
	spelt := map[string]string{}
	for i, st := range p.Steps {
		if (st.Action == Leave) != (st.To == "") || st.After >= i || st.Twin == i {
			fail(i, "%+v", st)
		}
		if st.After >= 0 && (p.Steps[st.After].To != st.To || p.Steps[st.After].Action == Leave) {
			fail(i, "goes elsewhere than step %d", st.After)
		}
		if st.Twin >= 0 && (p.Steps[st.Twin].Source == st.Source && st.Action != Aside || p.Steps[st.Twin].Action == Leave) {
			fail(i, "twin %d", st.Twin)
		}
		if strings.HasPrefix(st.To, "aside/") != (st.Action == Aside) && st.Action == Copy && st.After < 0 {
			fail(i, "aside")
		}
		if st.Action == Known || st.Action == Leave {
			if st.Action == Known && st.After < 0 && !jobHas[Fold(st.To)] {
				fail(i, "nobody has it")
			}
			continue
		}
		key := Fold(st.To)
		if jobHas[key] {
			fail(i, "the job has %s", st.To)
		}
		if j, ok := to[key]; ok && st.After < 0 {
			fail(i, "steps %d and this go to %s", j, st.To)
		}
		to[key] = i
		for d := dirOf(st.To); d != ""; d = dirOf(d) {
			jobDirs[Fold(d)] = true
			if s, ok := spelt[Fold(d)]; ok && s != d {
				fail(i, "%s is also spelt %s", d, s)
			}
			spelt[Fold(d)] = d
		}
		for _, e := range strings.Split(strings.TrimPrefix(st.To, "aside/"), "/") {
			if q, changed := Portable(e); changed && !jobHas[key] && st.Action == Copy {
				fail(i, "%q should be %q", e, q)
			}
		}
	}
	for key := range to {
		if jobDirs[key] {
			t.Fatalf("%s is a file and a folder\n%s", key, strings.Join(lines(sources, p), "\n"))
		}
	}
	checkObjects(sources, p, fail)
}

// checkObjects sees that the files of a DCF object that are copied share a folder,
// but for those whose names only one system tells apart.
func checkObjects(sources []Source, p Plan, fail func(int, string, ...any)) {
	type object struct {
		source    int
		dir, stem string
	}
	folders := map[object]string{}
	names := map[object]map[string]bool{}
	for i, st := range p.Steps {
		src := sources[st.Source].Files[st.File].Path
		if !sources[st.Source].DCIM || !inDCIM(src) {
			continue
		}
		name, _ := Portable(path.Base(src))
		o := object{st.Source, path.Dir(src), Fold(stemOf(name))}
		if names[o] == nil {
			names[o] = map[string]bool{}
		}
		if names[o][Fold(name)] {
			continue
		}
		names[o][Fold(name)] = true
		if st.Action != Copy || st.After >= 0 || strings.HasSuffix(strings.ToLower(src), ".cr3.xmp") {
			continue
		}
		if d, ok := folders[o]; ok && d != dirOf(st.To) {
			fail(i, "another file of the object goes to %s", d)
		}
		folders[o] = dirOf(st.To)
	}
}

// checkAgain puts the cards in again after everything arrived.
func checkAgain(t *rapid.T, sources []Source, have []Have, p Plan, o Options) {
	then := append([]Have{}, have...)
	for _, st := range p.Steps {
		if f := sources[st.Source].Files[st.File]; (st.Action == Copy || st.Action == Aside) && f.Err == nil && st.After < 0 {
			then = append(then, Have{Path: st.To, Size: f.Size, Ends: f.Ends, HasEnds: true, Shot: f.Shot.At(st.To), Aside: st.Action == Aside})
		}
	}
	for _, st := range p.Steps { // what could not be read was brought by its twin
		f := sources[st.Source].Files[st.File]
		if f.Err == nil && st.Action == Known && st.After >= 0 && sources[p.Steps[st.After].Source].Files[p.Steps[st.After].File].Err != nil {
			then = append(then, Have{Path: st.To, Size: f.Size, Ends: f.Ends, HasEnds: true, Shot: f.Shot.At(st.To)})
		}
	}
	again := Make(sources, then, o)
	for i, st := range again.Steps {
		f := sources[st.Source].Files[st.File]
		if st.Action == Known || st.Action == Leave || f.Err != nil {
			continue
		}
		t.Fatalf("step %d again: first\n%s\nthen\n%s", i, strings.Join(lines(sources, p), "\n"), strings.Join(lines(sources, again), "\n"))
	}
}

// A plan of very many files is made in a time that grows with their number: the
// worst of names (all alike), of contents (all equal) and of clocks (all one
// second) included.
func TestManyFiles(t *testing.T) {
	many := func(n int, of func(i int) made) []made {
		out := make([]made, n)
		for i := range out {
			out[i] = of(i)
		}
		return out
	}
	for _, tt := range []struct {
		name string
		of   func(i int) made
	}{
		{"a wedding", func(i int) made {
			return made{path: fmt.Sprintf("DCIM/%03dX/L_%04d.%s", 100+i/2/9999, i/2%9999, []string{"CR3", "JPG"}[i%2]), n: i / 2}
		}},
		{"one name", func(i int) made { return made{path: fmt.Sprintf("DCIM/%dX/a.CR3", i), n: i} }},
		{"one second and name", func(i int) made { return made{path: fmt.Sprintf("DCIM/%dX/a.CR3", i), head: fmt.Sprint(i)} }},
		{"equal notes", func(i int) made { return made{path: fmt.Sprintf("DCIM/%dX/a.WAV", i), head: "w"} }},
		{"notes of one name", func(i int) made { return made{path: fmt.Sprintf("DCIM/%dX/a.WAV", i), head: fmt.Sprint(i)} }},
		{"one stem", func(i int) made { return made{path: fmt.Sprintf("DCIM/100X/a.%d", i), head: fmt.Sprint(i)} }},
		{"a tree", func(i int) made { return made{path: fmt.Sprintf("PRIVATE/%d/a.MP4", i), head: fmt.Sprint(i)} }},
		{"all unread", func(i int) made { return made{path: fmt.Sprintf("DCIM/%dX/a.CR3", i), err: errIO} }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			const n = 500
			took := func(n int) time.Duration {
				files := many(n, tt.of)
				sources := []Source{card(t, files...), card(t, files...)}
				best := time.Hour
				for range 2 {
					begin := time.Now()
					p := Make(sources, nil, Options{Letters: letters})
					best = min(best, time.Since(begin))
					if len(p.Steps) != 2*n {
						t.Fatalf("%d steps", len(p.Steps))
					}
				}
				return best
			}
			small, large := took(n), took(8*n)
			t.Logf("%d files %v, %d files %v", 2*n, small, 16*n, large)
			if large > 24*small+200*time.Millisecond {
				t.Errorf("8 times the files take %.1f times as long", float64(large)/float64(small))
			}
		})
	}
}
