package prepare

import (
	"maps"
	"slices"

	"garner/cull"
	"garner/cull/job"
)

// giveLetters gives every body of the frames its letter and returns all letters by
// body.
func giveLetters(j *job.Job, frames []cull.Frame) (map[string]string, error) {
	seen := map[string]job.SeenBody{}
	for _, f := range frames {
		b, ok := seen[f.Body]
		if !ok {
			b.Body = cull.Body{Key: f.Body, Make: f.Shot.Make, Model: f.Shot.Model, Serial: f.Shot.Serial}
		}
		if f.Taken.Known() && (b.First.IsZero() || f.Taken.Wall.Before(b.First)) {
			b.First = f.Taken.Wall
		}
		seen[f.Body] = b
	}
	delete(seen, "")
	list := make([]job.SeenBody, 0, len(seen))
	for _, key := range slices.Sorted(maps.Keys(seen)) {
		list = append(list, seen[key])
	}
	return job.GiveLetters(j, list, j.Settings())
}
