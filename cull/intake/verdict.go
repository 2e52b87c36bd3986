package intake

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull/intake/plan"
	"garner/store"
	"garner/store/copy"
	"garner/store/manifest"
	"garner/store/volume"
)

// leave settles a file of another day: it stays on the card, and counts as kept
// only when another job proves to have it.
func (c *carrier) leave(ctx context.Context, s *source, f plan.File, out *outcome) {
	out.State, out.To = LeftOut, ""
	out.Why = "taken on another day"
	if len(c.o.ProvenIn) == 0 {
		return
	}
	sum, err := c.sum(ctx, s, f)
	if err != nil {
		out.fail(err)
		return
	}
	out.read, out.Sum = true, store.Hex(sum)
	for _, p := range c.proofs {
		for _, rel := range p.at[sum] {
			at := filepath.Join(p.root, filepath.FromSlash(rel))
			if !inside(c.abs(at), p.root) {
				continue // a link to elsewhere, perhaps to the card itself
			}
			if _, err := copy.Verify(ctx, c.fsys, at, sum); err == nil {
				out.devices[p.device] = at
				break
			}
		}
	}
	if out.Proven = len(out.devices); out.Proven > 0 {
		out.Why = "taken on another day; " + filepath.Dir(firstOf(out.devices)) + " has it"
	}
}

func firstOf(devices map[int]string) string {
	var all []string
	for _, p := range devices {
		all = append(all, p)
	}
	return slices.Min(all)
}

// sum reads a file of the card whole.
func (c *carrier) sum(ctx context.Context, s *source, f plan.File) (manifest.Sum, error) {
	s.reader.Lock()
	defer s.reader.Unlock()
	back, err := copy.ReadBack(ctx, c.fsys, filepath.Join(s.root, filepath.FromSlash(f.Path)))
	c.news.tell(Event{Kind: Progress, Card: s.card}, func() { s.card.DoneBytes += f.Size })
	return back.Sum, err
}

// proof is another job in which files of other days are looked for.
type proof struct {
	root   string
	device int
	at     map[manifest.Sum][]string
}

// loadProofs reads the manifests of the jobs named by ProvenIn.
func (r *run) loadProofs() error {
	for _, dir := range r.o.ProvenIn {
		p := proof{root: r.abs(dir), at: map[manifest.Sum][]string{}}
		for _, name := range []string{manifestName, sidecarsName} {
			sums, err := manifest.Load(r.fsys, filepath.Join(p.root, stateFolder, name))
			if err != nil {
				return err
			}
			for rel, sum := range sums {
				p.at[sum] = append(p.at[sum], rel)
			}
		}
		if len(p.at) == 0 {
			return fmt.Errorf("%s has no manifest: it proves nothing", dir)
		}
		v, err := r.o.VolumeOf(p.root)
		if err != nil {
			return err
		}
		p.device = r.deviceOf(v)
		r.proofs = append(r.proofs, p)
	}
	return nil
}

// deviceOf numbers the devices: what is lost together has one number.
func (r *run) deviceOf(v volume.Volume) int {
	for i, o := range r.devices {
		if v.SameDisk(o) {
			return i
		}
	}
	r.devices = append(r.devices, v)
	return len(r.devices) - 1
}

// conclude makes a card's sums durable and says whether it may be formatted.
func (c *carrier) conclude(ctx context.Context, n int, s *source) {
	var why []string
	for _, d := range c.dests {
		if err := c.still(d); err == errOther {
			why = append(why, d.Root+" "+reason(err))
		}
		if err := d.flush(c.fsys, c.host.Exclusively); err != nil {
			why = append(why, "the sums of "+d.Root+" could not be written: "+reason(err))
		}
	}
	if ctx.Err() == nil && c.o.Only == nil { // else it is not safe in any case
		if text := c.notAsSeen(s); text != "" {
			why = append(why, text)
		}
	}
	heal := c.heal(n)
	c.news.tell(Event{Kind: CardDone, Card: s.card}, func() {
		k := s.card
		k.Ended = true
		k.Took = c.o.Now().Sub(k.Began)
		clear(k.Activities)
		k.Failed = append(k.Failed, s.tree.skipped...)
		k.Notes = append(k.Notes, heal...)
		k.Why = append(why, c.whyNot(ctx, n, s)...)
		k.Safe = len(k.Why) == 0
		k.Remarks = c.remarks(n)
		if k.Safe {
			k.Remarks = append(k.Remarks, c.shared(s)...)
		}
	})
}

// whyNot lists, in sentences, what forbids to format a card.
func (c *carrier) whyNot(ctx context.Context, n int, s *source) []string {
	var why []string
	need := 2
	if c.o.SingleCopy {
		need = 1
	}
	failed, undone, unread, few, left, files := 0, 0, 0, 0, 0, 0
	for i, step := range c.plan.Steps {
		if step.Source != n {
			continue
		}
		files++
		switch o := &c.out[i]; {
		case o.State == LeftOut && len(o.devices) < need:
			left++
		case o.State == Undone:
			undone++
		case o.State == Failed || o.State == "":
			failed++
		case !o.read:
			unread++
		case len(o.devices) < need:
			few++
		}
	}
	switch {
	case ctx.Err() != nil:
		why = append(why, fmt.Sprintf("the work was interrupted, %s not done yet", count(undone, "file")))
	case c.o.Only != nil:
		why = append(why, "only some of its files were taken")
	}
	if files+len(s.tree.skipped) == 0 {
		why = append(why, "there is no file on it")
	}
	if n := len(s.tree.skipped); n > 0 {
		why = append(why, fmt.Sprintf("%s could not be copied: %s", count(n, "thing"), names(pathsOf(s.tree.skipped))))
	}
	if failed > 0 {
		why = append(why, fmt.Sprintf("%s failed", count(failed, "file")))
	}
	if unread > 0 {
		why = append(why, fmt.Sprintf("%s not read to the end", count(unread, "file")))
	}
	if left > 0 {
		why = append(why, fmt.Sprintf("%s of other days left out and not proven in another job", count(left, "file")))
	}
	if few > 0 {
		text := fmt.Sprintf("%s in one place only", count(few, "file"))
		if c.destDevices() < need {
			text = "there is only one copy: every destination is on one device (another disk with --also makes two)"
		}
		why = append(why, text)
	}
	return why
}

func (r *run) destDevices() int {
	seen := map[int]bool{}
	for _, d := range r.dests {
		seen[d.device] = true
	}
	return len(seen)
}

func pathsOf(files []File) []string {
	var out []string
	for _, f := range files {
		out = append(out, f.Path)
	}
	return out
}

// remarks are what to know of a card that is safe.
func (c *carrier) remarks(n int) []string {
	var out []string
	cached := 0
	for i, step := range c.plan.Steps {
		if o := &c.out[i]; step.Source == n && o.read && !o.fromCard && o.State != LeftOut {
			cached++
		}
	}
	if cached > 0 {
		out = append(out, fmt.Sprintf("%s of the card may have come from the system's cache, since the system can't do better", count(cached, "file")))
	}
	for k, d := range c.dests {
		cached := 0
		for i, step := range c.plan.Steps {
			if step.Source == n && len(c.out[i].Places) > k {
				if p := c.out[i].Places[k]; (p.State == "copied" || p.State == "present") && !p.FromMedium {
					cached++
				}
			}
		}
		switch {
		case d.vol.Memory:
			out = append(out, d.Root+" lies in memory: it is gone when the machine is switched off")
		case cached > 0:
			out = append(out, fmt.Sprintf("%s: %s read back from the system's cache, not from the medium, since the system can't do better", d.Root, count(cached, "file")))
		}
	}
	if c.o.SingleCopy && c.destDevices() < 2 {
		out = append(out, "there is a single copy: when this disk fails before the next one is made, the pictures are gone")
	}
	return out
}

// shared warns of a card, or a folder taken for one, that lies on the disk of a
// destination: whoever formats that disk loses the copy too.
func (c *carrier) shared(s *source) []string {
	var out []string
	for _, d := range c.dests {
		if s.volume.SameDisk(d.vol) {
			out = append(out, d.Root+" lies on the same disk as this card: delete what is on the card, do not format the disk")
		}
	}
	return out
}

// heal says which unreadable files arrived from another slot.
func (c *carrier) heal(n int) []string {
	var healed []string
	for i := range c.plan.Steps {
		if c.plan.Steps[i].Source != n || c.out[i].State != Failed || c.out[i].read {
			continue
		}
		for k, other := range c.plan.Steps {
			if k == i || other.Source == n || other.After != i && other.Twin != i && c.plan.Steps[i].Twin != k {
				continue
			}
			<-c.done[k]
			if st := c.out[k].State; st != Copied && st != Known {
				continue
			}
			text := fmt.Sprintf("%s could not be read here; its twin on %s is in the job as %s", c.out[i].Path, c.sources[other.Source].plan.Name, c.out[k].To)
			healed = append(healed, text)
			c.out[i].Notes = append(c.out[i].Notes, text)
			break
		}
	}
	return healed
}

// count is a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	if strings.HasSuffix(noun, "y") {
		return fmt.Sprintf("%d %sies", n, strings.TrimSuffix(noun, "y"))
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
