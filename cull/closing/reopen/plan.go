package reopen

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/store"
	"garner/store/archive"
)

// maxFiles is how many files a job may have.
const maxFiles = 2_000_000

// move is a file of the bag and where it goes.
type move struct {
	from  string // in the bag
	to    string // in the job
	sum   [32]byte
	size  int64  // as the record says
	small bool   // it stands for an original
	list  string // its sum in the manifest of the job; "" = it is in none
}

// plan works out what goes where. What makes no sense is a fault and goes nowhere.
func (r *runner) plan() error {
	taken, whole := map[string]bool{}, map[string]bool{}
	n := 0
	for f, err := range r.rec.Files() {
		if n++; err == nil && n > maxFiles {
			err = fmt.Errorf("%s has too many lines", record.FilesName)
		}
		if err != nil {
			return err
		}
		if f.Bag == "" && f.Small == "" {
			r.sum.LeftOut++
			continue
		}
		m, err := moveOf(f, r.bag)
		switch {
		case err != nil:
			r.failed(f.Path, "is not taken: "+store.Reason(err))
		case taken[m.to]:
			r.failed(m.to, "is not taken: it is in the record twice")
		default:
			taken[m.to] = true
			whole[m.to] = !m.small
			r.moves = append(r.moves, m)
		}
	}
	// Of an original that was freed and is in the bag itself no picture has to stand for it.
	r.moves = slices.DeleteFunc(r.moves, func(m move) bool {
		of, ok := strings.CutPrefix(m.to, cull.SmallFolder+"/")
		return ok && strings.HasPrefix(m.from, record.SmallFolder+"/") && whole[strings.TrimSuffix(of, ".jpg")]
	})
	return nil
}

// moveOf says where the file of a line goes. The original itself goes before the picture
// that stands for it.
func moveOf(f record.File, bag *archive.Bag) (move, error) {
	to, err := f.JobPath()
	if err != nil {
		return move{}, err
	}
	m := move{from: f.Bag, to: to, size: f.Bytes, list: f.Listed}
	if f.Bag == "" {
		m = move{from: f.Small, to: cull.SmallPath(to), small: true}
	}
	if !filepath.IsLocal(filepath.FromSlash(m.to)) {
		return m, fmt.Errorf("%q is no name for a file here", m.to)
	}
	if state(m.to) {
		return m, fmt.Errorf("%q is where a job keeps what it knows", m.to)
	}
	var ok bool
	if m.sum, ok = bag.Sum(m.from); !ok {
		return m, fmt.Errorf("%s is in no manifest of the bag", m.from)
	}
	if !m.small && store.Hex(m.sum) != f.SHA256 {
		return m, fmt.Errorf("record and manifest disagree on the checksum of %s", m.from)
	}
	return m, nil
}

// state reports whether a path leads into the state folder of a job, also where a system
// takes other names for the same: in another case, with dots or blanks at the end, or
// short with a tilde.
func state(p string) bool {
	top, _, _ := strings.Cut(p, "/")
	top = strings.ToLower(strings.TrimRight(cull.PortableName(top), " ."))
	return top == stateFolder || strings.HasPrefix(top, "garner~")
}

const stateFolder = ".garner"

// listed are the sums for the manifest of the job, of what came: those that it had, and of
// pictures and voice notes what was read back just now.
func (r *runner) listed() map[string]job.Sum {
	sums := map[string]job.Sum{}
	for _, m := range r.moves {
		switch was, err := store.ParseHex(m.list); {
		case r.lost[m.to]:
		case m.list != "" && err == nil:
			sums[m.to] = was
		case m.small, r.pictured[m.to]:
			sums[m.to] = m.sum
		}
	}
	return sums
}
