package marks

import (
	"context"
	"maps"
	"strings"

	"garner/cull"
	"garner/cull/job"
)

// Choice is what an expression comes to in a job.
type Choice struct {
	Frames   []cull.ID // to be answered, in the order of the job
	Matching int       // frames that have the mark
	Decided  int       // of those, how many were decided by themselves and stay as they are
	Stands   int       // of those, how many have the answer already
	Turned   int       // of Frames, how many have the other answer, given with their moment
}

// Choose finds the frames with a mark that the pass keep may answer: nothing that
// was decided by itself is touched. Ratings of sidecars are read first.
func Choose(ctx context.Context, j *job.Job, e Expr, answer cull.Answer) (Choice, error) {
	var c Choice
	l, err := j.Load()
	if err != nil {
		return c, err
	}
	var sidecars map[cull.ID]Sidecar
	if e.Sidecars() {
		if err := Refresh(ctx, j, maps.Values(l.Frames)); err != nil {
			return c, err
		}
		if sidecars, err = Sidecars(j); err != nil {
			return c, err
		}
	}
	for _, p := range l.Session.Layout().Places {
		var sidecar *Sidecar
		if s, ok := sidecars[p.Frame]; ok {
			sidecar = &s
		}
		if f, ok := l.Frames[p.Frame]; !ok || !e.Of(f, sidecar) {
			continue
		}
		c.Matching++
		switch d := l.Session.Decision(cull.KeepPass, p.Frame); {
		case d.Answer == answer && d.Explicit:
			c.Stands++
		case d.Answer == cull.Part || d.Answer != cull.Open && d.Explicit:
			c.Decided++
		default:
			if d.Answer != cull.Open && d.Answer != answer {
				c.Turned++
			}
			c.Frames = append(c.Frames, p.Frame)
		}
	}
	return c, nil
}

// Lines are the lines of decide that give the frames the answer: as few as can be,
// which is one but for a job of more than 16,384 such frames. Each is one step of
// undo.
func (c Choice) Lines(answer cull.Answer) []string {
	var lines []string
	for from := 0; from < len(c.Frames); from += cull.MaxChanges {
		var b strings.Builder
		b.WriteString(answer.Word(cull.KeepPass))
		for _, id := range c.Frames[from:min(len(c.Frames), from+cull.MaxChanges)] {
			b.WriteString(" #" + string(id))
		}
		lines = append(lines, b.String())
	}
	return lines
}
