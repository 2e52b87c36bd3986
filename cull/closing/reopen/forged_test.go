package reopen

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/closing"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/testdata/testjob"
)

// evil are values that somebody may put into a record in place of others.
func evil(was any) []any {
	switch was.(type) {
	case string:
		return []any{"", "../../../../../../tmp/evil", "\x1b]0;x\x07\u202e", strings.Repeat("x", 100_000), "a\x00b", "0123456789abcdef", "\ufffd", "9999-12-31T23:59:59.999999999999", nil}
	case float64:
		return []any{-1, 0, 1, int64(1) << 40, int64(1) << 62, -(int64(1) << 62), 1e300, -1e300, 0.5}
	case bool:
		return []any{true, false}
	case map[string]any:
		return []any{nil, map[string]any{}}
	}
	return []any{nil, []any{}, []any{nil}, []any{map[string]any{}}, []any{""}, []any{"../x", "../x"}}
}

// leaves lists the ways to everything in a value, itself left out.
func leaves(v any, at []any, add func(way []any, is any)) {
	down := func(k, x any) {
		way := append(slices.Clone(at), k)
		add(way, x)
		leaves(x, way, add)
	}
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			down(k, x)
		}
	case []any:
		for i, x := range v[:min(len(v), 2)] {
			down(i, x)
		}
	}
}

func with(v any, way []any, value any) any {
	if len(way) == 0 {
		return value
	}
	switch v := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for k, x := range v {
			out[k] = x
		}
		out[way[0].(string)] = with(v[way[0].(string)], way[1:], value)
		return out
	case []any:
		out := slices.Clone(v)
		out[way[0].(int)] = with(out[way[0].(int)], way[1:], value)
		return out
	}
	return v
}

// A record may say anything, and have manifests that fit it: opening the bag, checking it and
// working in what was made of it ends, in words, and nothing is written elsewhere.
func TestForged(t *testing.T) {
	rounds := 12
	if n, err := strconv.Atoi(os.Getenv("GARNER_FORGED")); err == nil {
		rounds = n
	}
	b := &bench{t: t, dir: testjob.Demo(t, 4, true)}
	j := b.open(b.dir)
	b.prepare(j)
	b.decide(j)
	b.must(os.MkdirAll(filepath.Join(b.dir, "finished"), 0o777))
	b.handOver(j)
	b.bag = b.archive(j, filepath.Join(t.TempDir(), "shelf"))
	j.Close()
	whole := b.bag

	type forgery struct {
		name  string
		line  int
		way   []any
		value any
	}
	var all []forgery
	for _, name := range []string{record.JobName, record.FramesName, record.FilesName, record.WroteName} {
		for n, line := range b.lines(whole, name) {
			if n > 1 {
				break
			}
			var v any
			b.must(json.Unmarshal(line, &v))
			leaves(v, nil, func(way []any, is any) {
				for _, value := range evil(is) {
					all = append(all, forgery{name, n, way, value})
				}
			})
		}
	}
	slices.SortFunc(all, func(x, y forgery) int { return strings.Compare(fmt.Sprint(x), fmt.Sprint(y)) })
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d, %d forgeries", seed, len(all))
	rand.New(rand.NewPCG(seed, 1)).Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
	top := t.TempDir()
	for i, f := range all[:min(rounds, len(all))] {
		dir := filepath.Join(top, "rounds", strconv.Itoa(i))
		b.bag = filepath.Join(dir, "bag")
		b.must(os.CopyFS(b.bag, os.DirFS(whole)))
		what := fmt.Sprintf("%s, line %d, %v = %.60q", f.name, f.line+1, f.way, fmt.Sprint(f.value))
		b.forge(f.name, f.line, f.way, f.value)
		done := make(chan struct{})
		go func() {
			defer close(done)
			b.use(what, filepath.Join(dir, "deep", "er", "job"))
		}()
		select {
		case <-done:
		case <-time.After(2 * time.Minute):
			t.Fatalf("%s: it does not end", what)
		}
		for _, d := range []string{top, dir, filepath.Join(dir, "deep"), filepath.Join(dir, "deep", "er")} {
			entries, err := os.ReadDir(d)
			b.must(err)
			for _, e := range entries {
				if !slices.Contains([]string{"rounds", "bag", "deep", "er", "job"}, e.Name()) {
					t.Fatalf("%s: there is %s in %s", what, e.Name(), d)
				}
			}
			if d == dir && len(entries) == 1 {
				break // nothing was begun
			}
		}
		b.must(os.RemoveAll(dir))
	}
}

func (b *bench) lines(bag, name string) [][]byte {
	text, err := os.ReadFile(filepath.Join(bag, filepath.FromSlash(record.RunFolder(1)), name))
	b.must(err)
	if name == record.JobName {
		return [][]byte{text}
	}
	return bytes.Split(bytes.TrimSpace(text), []byte("\n"))
}

func (b *bench) forge(name string, line int, way []any, value any) {
	b.edit(record.RunFolder(1)+"/"+name, func(string) string {
		list := b.lines(b.bag, name)
		var v any
		b.must(json.Unmarshal(list[line], &v))
		text, err := json.Marshal(with(v, way, value))
		b.must(err)
		list[line] = text
		return string(bytes.Join(list, []byte("\n"))) + "\n"
	})
}

// use does with a bag what a person does.
func (b *bench) use(what, dir string) {
	ctx := context.Background()
	if _, err := Check(ctx, b.bag, nil); err != nil {
		b.t.Logf("%s: check: %.200v", what, err)
	}
	sum, err := Run(ctx, b.bag, dir, Options{})
	if err != nil {
		b.t.Logf("%s: open: %.200v", what, err)
		return
	}
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		b.t.Errorf("%s: opened, and cannot be: %v", what, err)
		return
	}
	defer j.Close()
	if _, err := prepare.Run(ctx, j, prepare.Options{Workers: 2}); err != nil {
		b.t.Errorf("%s: opened (%d failed), and cannot be prepared: %v", what, len(sum.Failed), err)
		return
	}
	s, err := j.Session()
	b.must(err)
	for _, p := range s.Layout().Places {
		e, err := s.Plan(cull.Decide{Pass: cull.KeepPass, Answer: cull.Yes, Frames: []cull.ID{p.Frame}}, time.Now(), "anna")
		if err == nil {
			_, err = j.Append(e)
		}
		if err != nil {
			b.t.Logf("%s: decide: %v", what, err)
		}
	}
	if _, err := closing.Run(ctx, j, closing.Options{Dirs: []string{filepath.Join(filepath.Dir(filepath.Dir(dir)), "bag")}, DryRun: true}); err != nil {
		b.t.Logf("%s: archive: %v", what, err)
	}
}
