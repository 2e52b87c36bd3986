package intake

import (
	"fmt"
	"slices"
	"strings"

	"garner/store/volume"
)

// notAsSeen says why a card is no longer the one that was looked at: a camera has
// written to it since, or another card lies in its place. What was never planned
// can't be proven, so that such a card is not safe. "" = it is the same.
func (c *carrier) notAsSeen(s *source) string {
	s.reader.Lock()
	defer s.reader.Unlock()
	now, err := walk(c.fsys, s.root, ownFolder)
	if err != nil {
		return "the card could not be listed once more at the end: " + reason(err)
	}
	was := map[string]found{}
	for _, f := range s.tree.files {
		was[f.path] = f
	}
	var other []string
	for _, f := range now.files {
		old, ok := was[f.path]
		if !ok || old.size != f.size || !old.mod.Equal(f.mod) {
			other = append(other, f.path)
		}
		delete(was, f.path)
	}
	for p := range was {
		other = append(other, p)
	}
	for _, f := range now.skipped {
		if !slices.ContainsFunc(s.tree.skipped, func(o File) bool { return o.Path == f.Path }) {
			other = append(other, f.Path)
		}
	}
	if len(other) == 0 {
		return ""
	}
	slices.Sort(other)
	return fmt.Sprintf("the card has changed while it was taken in, %s came, went or changed: %s", count(len(other), "file"), names(other))
}

// ownFolder is garner's own at the top of a card that was a job once.
func ownFolder(rel string) bool { return rel == stateFolder }

// separateInside finds destinations inside a card, and jobs that are to prove
// something about it, where no path shows it: another spelling on a file system
// that ignores case, or a second mount of the card's volume.
func (r *run) separateInside() error {
	for _, s := range r.sources {
		card, err := r.o.VolumeOf(s.root)
		if err != nil {
			continue // said when the card is looked at
		}
		check := func(root, what string) error {
			if r.withinBySight(root, s.root) {
				return &UseError{what + " lies inside the card " + s.card.Root}
			}
			v, err := r.o.VolumeOf(root)
			if err == nil && s.root == card.Root && oneVolume(v, card) {
				return &UseError{what + " lies on the card " + s.card.Root}
			}
			return nil
		}
		for _, d := range r.dests {
			if err := check(d.Root, "the destination "+d.Root); err != nil {
				return err
			}
		}
		for _, dir := range r.o.ProvenIn {
			root := r.abs(dir)
			if inside(root, s.root) || inside(s.root, root) {
				return &UseError{fmt.Sprintf("the card %s and the job %s that is to prove it lie one inside the other", s.card.Root, dir)}
			}
			if err := check(root, "the job "+dir+" that is to prove what is left out"); err != nil {
				return err
			}
		}
	}
	return nil
}

// oneVolume reports two mounts of one device. Names that are no device's, as FUSE
// and memory have them, say nothing.
func oneVolume(a, b volume.Volume) bool {
	device := strings.HasPrefix(a.Source, "/dev/") || strings.HasPrefix(a.Source, `\\?\`)
	return a.Root == b.Root || device && a.Source == b.Source
}
