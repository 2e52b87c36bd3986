package closing

import (
	"context"
	"fmt"
	"os"
	"slices"

	"garner/cull/job"
	"garner/store"
	"garner/store/archive"
	"garner/store/volume"
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

// readBack reads every byte of those bags that had something before this run; of the
// others every byte was read back when it was put there.
func (r *runner) readBack(ctx context.Context) error {
	for _, p := range r.places {
		if !p.alive() {
			continue
		}
		p.Held, p.Proven = len(p.bag.Files()), true
		if !p.had {
			continue
		}
		report, err := archive.Check(ctx, r.fsys, p.Dir, func(far archive.Progress) {
			r.o.Progress(Progress{Checking, p.Dir, far.Files, far.OfFiles, far.Bytes, far.OfBytes})
		})
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			p.Proven, p.Err = false, err
		case !report.Valid():
			p.Proven, p.Err = false, &FaultyError{report.Findings[0].String(), faults(report)}
		}
		p.Held, p.Bypassed = report.Files, p.Bypassed && report.Bypassed
	}
	return nil
}

func faults(report archive.Report) int {
	n := report.More
	for _, f := range report.Findings {
		if f.Fault {
			n++
		}
	}
	return n
}

// notWhole begins what is said of a bag that is not valid.
const notWhole = "the bag is not whole: "

// FaultyError says that a bag is not valid.
type FaultyError struct {
	First  string // what is wrong, as a sentence
	Faults int    // how many there are
}

func (e *FaultyError) Error() string {
	if e.Faults > 1 {
		return notWhole + e.First + ", and " + count(e.Faults-1, "fault") + " more"
	}
	return notWhole + e.First
}

// keep looks once more at what the job has now, and keeps in the job what is proven of
// its bags.
func (r *runner) keep(ctx context.Context) error {
	now, err := walk(ctx, r.job.Root(), r.job.StateDir(), r.o.Sets)
	if err != nil {
		return err
	}
	r.sum.Changed = changes(r.folder.files, now.files)
	a := job.Archived{At: r.o.Now().UTC(), Run: r.sum.Run, Entry: r.whole.Entry, Files: map[string]job.ArchivedFile{}}
	for _, x := range r.items {
		if x.why != "" || x.altered || x.retired || slices.Contains(r.sum.Changed, x.path) {
			continue
		}
		if x.head == "" {
			r.sum.Changed = append(r.sum.Changed, x.path)
			continue
		}
		a.Files[x.path] = job.ArchivedFile{Size: x.size, Mod: x.mod.UnixNano(), Head: x.head, Small: x.bag == ""}
	}
	lone, err := alone(r.job.Root(), r.folder)
	if err != nil {
		return err
	}
	r.sum.Why = r.whyNot()
	if len(lone) > 0 {
		r.sum.Why = append(r.sum.Why, aloneText(lone))
	}
	a.Why = r.sum.Why
	for _, p := range r.places {
		ap := job.ArchivedPlace{Dir: p.Dir, Proven: p.Proven}
		ap.Why = p.Reason()
		a.Places = append(a.Places, ap)
	}
	if err := r.job.SaveArchived(a); err != nil {
		r.remark("the job could not keep what is proven of its bags: %s", store.Reason(err))
		r.sum.Why = append(r.sum.Why, "the job could not keep what is proven")
	}
	r.sum.Safe = len(r.sum.Why) == 0
	return nil
}

// changes lists the files that appeared, vanished or became others.
func changes(was, now []file) []string {
	before, changed := map[string]file{}, []string{}
	for _, f := range was {
		before[f.path] = f
	}
	for _, f := range now {
		if b, ok := before[f.path]; !ok || b.size != f.size || !b.mod.Equal(f.mod) {
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
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return "", err
	}
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
	if len(r.folder.left) > 0 {
		why = append(why, leftText(r.folder.left))
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

// disks says what is against it in where the proven bags lie.
func (r *runner) disks() []string {
	var bags []lying
	for _, p := range r.places {
		if p.Proven {
			bags = append(bags, lying{p.Dir, p.vol})
		}
	}
	return apart(r.job.Root(), bags, r.o.VolumeOf)
}

// lying is a proven bag, and the volume that it lies on.
type lying struct {
	dir string
	vol volume.Volume
}

// What is said of a place that counts for nothing; its folder stands before it.
const (
	inMemory = " lies in memory: it is gone when the machine is switched off"
	onDisk   = " lies on the same disk as the job"
)

// apart says what is against it that bags lie on two disks, none of them that of the job:
// what is on one may be lost at once. It is what offload asks for before a card is
// formatted.
func apart(root string, bags []lying, volumeOf func(string) (volume.Volume, error)) []string {
	own, err := volumeOf(root)
	if err != nil {
		return []string{"it cannot be told on which disk the job lies"}
	}
	var near []string
	var apart []volume.Volume
	for _, b := range bags {
		switch {
		case b.vol.Memory:
			near = append(near, b.dir+inMemory)
		case b.vol.SameDisk(own):
			near = append(near, b.dir+onDisk)
		case !slices.ContainsFunc(apart, b.vol.SameDisk):
			apart = append(apart, b.vol)
		}
	}
	switch {
	case len(apart) >= 2:
		return nil
	case len(apart) == 1:
		return append(near, "there would be only one copy (another disk with --also makes two)")
	case len(near) == 0:
		return []string{"no bag is proven"}
	}
	return near
}

// conclude fills in what is known of the places.
func (r *runner) conclude() {
	for _, p := range r.places {
		r.sum.Places = append(r.sum.Places, p.Place)
	}
	r.sum.Took = r.o.Now().Sub(r.began)
}
