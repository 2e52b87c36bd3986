package decide

import (
	"bufio"
	"cmp"
	"io"
	"maps"
	"slices"

	"garner/cull"
	"garner/cull/job"
)

// Dump writes what stands as lines that Run reads: the passes, the corrections of
// the groups and the scenes' names as they were journalled, then each frame's answer in each pass, in the
// job's order and with who gave it and when.
func Dump(j *job.Job, out io.Writer) error {
	s, err := j.Session()
	if err != nil {
		return err
	}
	entries, err := j.Corrections() // and passes: few, where the journal is long
	if err != nil {
		return err
	}
	w := bufio.NewWriter(out)
	for _, e := range entries {
		// Other corrections are about this copy of the job, or stand (job.Has).
		if e.Verb == cull.VerbPass || s.Stands(e.Seq) || job.IsHas(e) || job.IsFinished(e) {
			w.WriteString(cull.FormatEntry(e) + "\n")
		}
	}
	order := map[cull.ID]int{}
	for i, p := range s.Layout().Places {
		order[p.Frame] = i
	}
	for _, p := range s.Passes() {
		decisions := s.Decisions(p.Name)
		ids := slices.SortedFunc(maps.Keys(decisions), func(a, b cull.ID) int {
			return cmp.Or(cmp.Compare(order[a], order[b]), cmp.Compare(a, b))
		})
		for _, id := range ids {
			d := decisions[id]
			if d.Answer == cull.Open {
				continue
			}
			w.WriteString(cull.FormatEntry(cull.Entry{Seq: d.Seq, At: d.At, Who: d.Who, Verb: cull.VerbAnswer, Pass: p.Name,
				Changes: []cull.Change{{Frame: id, After: d.Answer, Shown: d.Shown, Explicit: d.Explicit}}}) + "\n")
		}
	}
	return w.Flush()
}
