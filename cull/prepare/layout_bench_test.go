package prepare

import (
	"fmt"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// BenchmarkRegroup10000 puts a job of 10,000 frames in an order that is not the
// one that is saved.
func BenchmarkRegroup10000(b *testing.B) {
	j, err := job.Open(b.TempDir(), job.Options{Who: "bench"})
	if err != nil {
		b.Fatal(err)
	}
	frames := make([]cull.Frame, 10000)
	at := time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)
	for i := range frames {
		at = at.Add(time.Duration(i%7) * 300 * time.Millisecond)
		frames[i] = cull.Frame{ID: cull.ID(fmt.Sprintf("%016x", i)), Name: fmt.Sprintf("A/L%05d", i), Body: "serial:Lumora:1",
			Files: []cull.File{{Path: fmt.Sprintf("A/L%05d.DNG", i), Role: cull.RoleMain}},
			Taken: cull.Stamp{Wall: at, Digits: 2}, Fingerprint: uint64(i/5) * 0x9e3779b97f4a7c15, HasFingerprint: true}
	}
	if err := j.SaveFrames(frames); err != nil {
		b.Fatal(err)
	}
	entries := make([]cull.Entry, 5000)
	for i := range entries {
		entries[i] = cull.Entry{Verb: cull.VerbAnswer, Pass: cull.KeepPass, Changes: []cull.Change{{Frame: frames[i].ID, After: cull.Yes}}}
	}
	if _, err := j.Append(entries...); err != nil {
		b.Fatal(err)
	}
	n := 0
	for b.Loop() {
		n++
		frames[5000].Fingerprint = uint64(n) * 0x123456789abcdef
		frames[5000].Taken.Wall = at.Add(time.Duration(n) * time.Second)
		if saved, err := regroup(j, frames); err != nil || !saved {
			b.Fatal(saved, err)
		}
	}
}
