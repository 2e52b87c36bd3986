package free

import (
	"os"
	"slices"

	"garner/cull"
	"garner/cull/job"
	"garner/store"
	"garner/store/vfs"
)

// proven is what the last archiving proved of the job's files. It follows what is freed:
// for an original of which the bags have the small picture the job has that very picture
// now, and its bags lack nothing. So nothing has to be archived again after freeing.
type proven struct {
	job.Archived
	moved bool
}

// provenBefore is what was proved; nothing, if it was of other bags than those that were
// read whole in this run.
func (r *run) provenBefore() (*proven, error) {
	a, known, err := r.job.Archived()
	if err != nil || !known {
		return &proven{}, err
	}
	noted, err := r.job.Bags()
	if err != nil {
		return nil, err
	}
	for _, p := range a.Places {
		if slices.Contains(noted, p.Dir) && !slices.ContainsFunc(r.bags, func(b *bag) bool { return b.dir == p.Dir }) {
			return &proven{}, nil
		}
	}
	return &proven{Archived: a}, nil
}

// waits reports whether an original that is gone stands there still.
func (p *proven) waits(original string) bool { return p.Files[original].Small != "" }

// move puts the small picture in the job, of these bytes, in the place of its original, if
// every bag has the same.
func (p *proven) move(r *run, original string, sum job.Sum) {
	if !p.waits(original) {
		return
	}
	for _, b := range r.bags {
		if is, listed := b.tags.Sum(b.smalls[original].at); !listed || job.Sum(is) != sum {
			return
		}
	}
	stays := cull.SmallPath(original)
	f, err := (vfs.OS{}).OpenFile(r.abs(stays), os.O_RDONLY, 0)
	if err != nil {
		return
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return
	}
	head, err := store.HeadHash(f, info.Size())
	if err != nil {
		return
	}
	delete(p.Files, original)
	p.Files[stays] = job.ArchivedFile{Size: info.Size(), Mod: info.ModTime().UnixNano(), Touched: vfs.Touched(info), Head: store.Hex(head), Sum: sum.String()}
	p.moved = true
}

func (p *proven) save(j *job.Job) error {
	if !p.moved {
		return nil
	}
	return j.SaveArchived(p.Archived)
}
