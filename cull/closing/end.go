package closing

import (
	"context"
	"fmt"
	"slices"
	"time"

	"garner/cull/job"
	"garner/store"
	"garner/store/archive"
	"garner/store/copy"
	"garner/store/vfs"
)

// tell says what became of every file.
func (r *runner) tell() {
	for _, x := range r.items {
		f := File{Path: x.path, Bag: x.bag, Bytes: x.size}
		switch {
		case x.retired && x.why == "":
			continue // it is no file of the job any more
		case x.why != "":
			f.Action, f.Why = Failed, x.why
		case x.altered:
			f.Action, f.Why = Failed, "its bytes are not those that are recorded of it"
		case x.bag == "":
			f.Action, f.Bag = Smaller, x.small
		case x.lacked:
			f.Action, f.Why = Added, x.unpictured
		default:
			f.Action, f.Why = Present, x.unpictured
		}
		r.file(f)
	}
	for _, l := range r.folder.left {
		r.file(File{Path: l.Path, Action: Passed, Why: l.Why})
	}
}

func (r *runner) file(f File) {
	r.sum.Files[f.Action]++
	r.sum.Bytes[f.Action] += f.Bytes
	r.o.File(f)
}

// rehearse says what would be done.
func (r *runner) rehearse() error {
	if err := r.room(); err != nil {
		return err
	}
	for _, x := range r.items {
		if x.small != "" && r.lacking(x.small) {
			r.sum.Small += largest(x)
		}
	}
	r.tell()
	return nil
}

// readBack reads every byte of those bags that had something before this run, be it what
// an interrupted one left; of the others every byte was read back when it was put there.
func (r *runner) readBack(ctx context.Context) error {
	for _, p := range r.places {
		if !p.alive() {
			continue
		}
		p.Proven = true
		if !p.had {
			p.Held = len(p.bag.Files())
			continue
		}
		report, err := archive.Check(ctx, r.fsys, p.Dir, func(far archive.Progress) {
			r.o.Progress(Progress{Checking, p.Dir, far.Files, far.OfFiles, far.Bytes, far.OfBytes})
		})
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			p.disprove(err)
		case !report.Valid():
			p.disprove(&FaultyError{report.Findings[0].String(), faults(report)})
		}
		p.Held, p.Bypassed = report.Files, p.Bypassed && report.Bypassed
	}
	for _, p := range r.places { // when all are read: that may have taken hours
		if p.alive() {
			if err := r.holds(p); err != nil {
				p.disprove(err)
			}
		}
	}
	return nil
}

// disprove takes back that a bag is what it is to be.
func (p *place) disprove(err error) { p.Proven, p.Err = false, err }

// keep looks once more at what the job has now, and keeps in the job what is proven of
// its bags.
func (r *runner) keep(ctx context.Context) error {
	now, err := walk(ctx, r.job.Root(), r.job.StateDir(), r.o.Sets)
	if err != nil {
		return err
	}
	if r.sum.Changed, err = r.changed(ctx, now); err != nil {
		return err
	}
	changed := map[string]bool{}
	for _, path := range r.sum.Changed {
		changed[path] = true
	}
	a := job.Archived{At: r.o.Now().UTC(), Run: r.sum.Run, Entry: r.whole.Entry, Why: r.whyNot(), Files: map[string]job.ArchivedFile{}}
	for _, x := range r.items {
		if x.why == "" && !x.altered && !x.retired && x.outside == "" && !changed[x.path] {
			a.Files[x.path] = x.archived()
		}
	}
	for _, p := range r.places {
		a.Places = append(a.Places, job.ArchivedPlace{Dir: p.Dir, Proven: p.Proven, Why: p.Reason()})
	}
	// These are asked anew each time.
	left, err := r.leftOver(ctx, now)
	if err != nil {
		return err
	}
	r.sum.Why = append(slices.Clone(a.Why), left...)
	if err := r.job.SaveArchived(a); err != nil {
		r.remark("the job could not keep what is proven of its bags: %s", store.Reason(err))
		r.sum.Why = append(r.sum.Why, "the job could not keep what is proven")
	}
	r.sum.Safe = len(r.sum.Why) == 0
	return nil
}

// archived is what the job keeps of a file that every bag has.
func (x *item) archived() job.ArchivedFile {
	f := job.ArchivedFile{Size: x.size, Mod: x.mod.UnixNano(), Touched: x.touched, Head: x.head, Sum: store.Hex(*x.sum)}
	if x.bag == "" {
		f.Small = x.small
	}
	return f
}

// leftOver says what of the job no bag has, or not as it is by now.
func (r *runner) leftOver(ctx context.Context, now folder) (why []string, err error) {
	lone, err := alone(ctx, r.job, now)
	if err != nil {
		return nil, err
	}
	if len(lone) > 0 {
		why = append(why, aloneText(lone))
	}
	if len(now.left) > 0 {
		why = append(why, leftText(now.left))
	}
	newer, err := entriesAfter(r.job, r.whole.Entry)
	if newer > 0 {
		why = append(why, newerText(newer))
	}
	return why, err
}

// justNow is how long before the work a file may have been changed for its time to stay
// the same when it is changed once more: that of FAT has steps of two seconds.
const justNow = 3 * time.Second

// changed lists the files that are not what they were at the beginning. Those that were
// changed right before are read once more, for time and size may not tell.
func (r *runner) changed(ctx context.Context, now folder) ([]string, error) {
	list := changes(r.folder.files, now.files)
	for _, x := range r.items {
		switch {
		case x.why != "" || x.retired:
		case x.head == "" || x.sum == nil:
			list = append(list, x.path)
		case x.mod.After(r.began.Add(-justNow)) || time.Unix(0, x.touched).After(r.began.Add(-justNow)):
			c, err := copy.ReadBack(ctx, r.fsys, r.from(x))
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err != nil || c.Sum != *x.sum {
				list = append(list, x.path)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list), nil
}

// changes lists the files that appeared, vanished or became others.
func changes(was, now []file) []string {
	before, changed := map[string]file{}, []string{}
	for _, f := range was {
		before[f.path] = f
	}
	for _, f := range now {
		if b, ok := before[f.path]; !ok || !f.as(b) {
			changed = append(changed, f.path)
		}
		delete(before, f.path)
	}
	for path := range before {
		changed = append(changed, path)
	}
	slices.Sort(changed)
	return changed
}

// headOf is the SHA-256 of a file's first 64 KiB.
func headOf(path string) (string, error) {
	f, info, err := vfs.OpenPlain(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h, err := store.HeadHash(f, info.Size())
	return store.Hex(h), err
}

// whyNot says, in sentences, what forbids to delete the job's folder.
func (r *runner) whyNot() []string {
	var why []string
	failed, altered := 0, 0
	for _, x := range r.items {
		if x.why != "" {
			failed++
		} else if x.altered {
			altered++
		}
	}
	if failed > 0 {
		why = append(why, count(failed, "file")+" could not be archived")
	}
	if altered > 0 {
		why = append(why, count(altered, "file")+" not as recorded: garner verify says more")
	}
	if n := len(r.sum.Changed); n > 0 {
		why = append(why, count(n, "file")+" changed while the job was archived: "+r.sum.Changed[0])
	}
	for _, p := range r.places {
		if !p.alive() {
			why = append(why, p.Dir+": "+p.Reason())
		}
	}
	return append(why, r.disks()...)
}

// leftText says what no bag gets.
func leftText(left []Left) string {
	return fmt.Sprintf("%s in the folder that no bag gets: %s (%s)", count(len(left), "thing"), left[0].Path, left[0].Why)
}

// conclude fills in what is known of the places.
func (r *runner) conclude() {
	for _, p := range r.places {
		r.sum.Places = append(r.sum.Places, p.Place)
	}
	r.sum.Took = r.o.Now().Sub(r.began)
}
