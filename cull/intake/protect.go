package intake

import (
	"io/fs"
	"slices"

	"garner/cull/intake/plan"
	"garner/cull/job"
)

// The body's protect key sets the read-only attribute of a file (DCF 2.0, JEITA
// CP-3461B, read in secondary sources), which copies do not take along: it would
// hinder whoever works with them. It is noted in the job instead.

// locked reports whether nobody may write to a file. The FAT drivers of Linux and
// Windows show the attribute as missing permissions, that of macOS as a flag.
func locked(info fs.FileInfo) bool { return info.Mode().Perm()&0o222 == 0 || immutable(info) }

// protectedFiles lists the files of a card that were protected in the body. Where
// every file is locked nothing is known: a volume can be mounted like that. Nor is
// it of a folder that is no card, whose permissions mean other things.
func (s *source) protectedFiles() map[string]bool {
	if !s.card.DCIM || !slices.ContainsFunc(s.tree.files, func(f found) bool { return !f.locked }) {
		return nil
	}
	out := map[string]bool{}
	for _, f := range s.tree.files {
		if f.locked {
			out[f.path] = true
		}
	}
	return out
}

// protect notes which files of the job were protected on their cards.
func (r *run) protect(j *job.Job) error {
	if r.carrier == nil {
		return nil
	}
	locked := make([]map[string]bool, len(r.sources))
	for i, s := range r.sources {
		locked[i] = s.protectedFiles()
	}
	var paths []string
	for i, step := range r.carrier.plan.Steps {
		f, out := r.sources[step.Source].plan.Files[step.File], &r.carrier.out[i]
		arrived := out.State == Copied || out.State == Known || out.State == Aside
		if arrived && step.Action != plan.Leave && locked[step.Source][f.Path] {
			paths = append(paths, r.index.place(0, out.To, f))
		}
	}
	return j.SetProtected(paths...)
}
