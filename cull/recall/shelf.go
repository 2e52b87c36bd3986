package recall

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"garner/cull/closing/record"
	"garner/preview/sched"
	"garner/store/vfs"
)

// IndexFolder is where the index of a shelf lies in it.
const IndexFolder = ".garner-shelf"

// partSuffix is that of the file of a part; what is before it comes from the bag's path
// in the shelf.
const partSuffix = ".frames"

// shelf is a folder of bags.
type shelf struct {
	dir    string
	kept   string   // folder that the index is written to; "" = nowhere
	looks  []string // folders where an index may be found
	places []*place
	keys   [][32]byte // of the parts of places
}

// bag is one of a shelf.
type bag struct {
	rel    string // path in the shelf
	record *record.Record
	key    [32]byte
}

// addShelf opens the parts of the bags of a shelf, making those that are not there.
func (l *Library) addShelf(ctx context.Context, dir string, rels []string, o Options) error {
	s := &shelf{dir: dir}
	bags := make([]bag, 0, len(rels))
	for _, rel := range rels {
		r, err := record.Open(filepath.Join(dir, rel))
		var key [32]byte
		if err == nil {
			key, err = keyOf(rel, r)
		}
		if err != nil {
			l.fail(filepath.Join(dir, rel), plainly(err))
			continue
		}
		bags = append(bags, bag{rel, r, key})
	}
	s.find(o.Cache)
	had := make([]*place, len(bags))
	var missing []int
	for i, b := range bags {
		if had[i] = s.onDisk(b); had[i] == nil {
			missing = append(missing, i)
		}
	}
	if len(missing) > 0 {
		if err := s.prepare(); err != nil {
			l.remarks = append(l.remarks, fmt.Sprintf("the index of %s cannot be kept, and is made each time: %v", dir, err))
		}
	}
	reasons := make([]error, len(bags))
	var mu sync.Mutex
	done := 0
	if err := sched.Each(ctx, len(missing), func(ctx context.Context, n int) error {
		i := missing[n]
		had[i], reasons[i] = s.make(ctx, bags[i])
		if o.Progress != nil {
			mu.Lock()
			defer mu.Unlock()
			done++
			o.Progress(done, len(missing))
		}
		return ctx.Err()
	}); err != nil {
		return err
	}
	for i, b := range bags {
		if had[i] == nil {
			l.fail(filepath.Join(dir, b.rel), plainly(reasons[i]))
			continue
		}
		s.places, s.keys = append(s.places, had[i]), append(s.keys, b.key)
	}
	s.sweep()
	l.places = append(l.places, s.places...)
	l.shelves = append(l.shelves, s)
	return nil
}

// keyOf is the sum of what a part is made of: a record and the state of its files.
func keyOf(rel string, r *record.Record) ([32]byte, error) {
	h := sha256.New()
	about, err := json.Marshal(r.Job)
	if err != nil {
		return [32]byte{}, err
	}
	fmt.Fprintf(h, "%d %q %s\n", partVersion, filepath.ToSlash(rel), about)
	for _, name := range []string{record.JobName, record.FramesName, record.FilesName, record.PicturesName} {
		info, err := os.Stat(filepath.Join(r.Dir, name))
		if err != nil {
			return [32]byte{}, fmt.Errorf("its record has no %s", name)
		}
		fmt.Fprintf(h, "%s %d %d\n", name, info.Size(), info.ModTime().UnixNano())
	}
	return [32]byte(h.Sum(nil)), nil
}

func partName(rel string) string {
	sum := sha256.Sum256([]byte(filepath.ToSlash(rel)))
	return hex.EncodeToString(sum[:12]) + partSuffix
}

// find says where an index may be: in the shelf, or in the user's cache where that
// cannot be written. What has the place of its folder and is none, such as a link to
// somebody's files, is left alone.
func (s *shelf) find(cache string) {
	own := filepath.Join(s.dir, IndexFolder)
	if _, err := os.Lstat(own); err != nil || isFolder(own) {
		s.looks = append(s.looks, own)
	}
	if cache != "" {
		sum := sha256.Sum256([]byte(s.dir))
		s.looks = append(s.looks, filepath.Join(cache, hex.EncodeToString(sum[:12])))
	}
	if len(s.looks) > 0 {
		s.kept = s.looks[0]
	}
}

// isFolder reports whether a path is that of a folder, and of no link to one.
func isFolder(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.IsDir()
}

// prepare makes sure that there is a folder that the index can be written to.
func (s *shelf) prepare() error {
	first := fmt.Errorf("%s is no folder", filepath.Join(s.dir, IndexFolder))
	if len(s.looks) > 0 {
		first = nil
	}
	for _, dir := range s.looks {
		err := writable(dir)
		if err == nil {
			s.kept = dir
			vfs.Sweep(vfs.OS{}, dir) // what cannot be swept only takes room
			return nil
		}
		first = errors.Join(first, err)
	}
	s.kept = ""
	return first
}

// writable makes a folder, and a file in it to see. A link that stands for the folder
// may lead anywhere, and is not written through.
func writable(dir string) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	if !isFolder(dir) {
		return fmt.Errorf("%s is no folder", dir)
	}
	f, err := os.CreateTemp(dir, ".try-*")
	if err != nil {
		return err
	}
	f.Close()
	return os.Remove(f.Name())
}

// onDisk is a bag's part as an earlier opening left it; nil = there is none, it is
// damaged, or it is of another state of the record.
func (s *shelf) onDisk(b bag) *place {
	for _, dir := range s.looks {
		name := filepath.Join(dir, partName(b.rel))
		p, done, err := openFile(name)
		if err != nil {
			continue
		}
		rows, key := p.rows, p.key
		done()
		if key == b.key {
			return s.place(b, name, rows)
		}
	}
	return nil
}

func openFile(name string) (*part, func(), error) {
	if info, err := os.Lstat(name); err != nil || !info.Mode().IsRegular() { // a pipe would be waited for
		return nil, nil, errDamaged
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, nil, err
	}
	var p *part
	info, err := f.Stat()
	if err == nil {
		p, err = openPart(f, info.Size())
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return p, func() { f.Close() }, nil
}

// place is a bag whose part is in a file.
func (s *shelf) place(b bag, name string, rows int) *place {
	p := &place{dir: filepath.Join(s.dir, b.rel), frames: rows}
	p.open = func() (*part, func(), error) {
		p, done, err := openFile(name)
		if err == nil && (p.key != b.key || p.rows != rows) { // somebody has just replaced it
			done()
			err = errDamaged
		}
		if err != nil {
			return nil, nil, errDamaged
		}
		return p, done, nil
	}
	p.again = func(ctx context.Context) (*place, error) {
		os.Remove(name) // or it would be taken for whole again
		return s.make(ctx, b)
	}
	return p
}

// make reads a bag's record and keeps its part, if it can be kept.
func (s *shelf) make(ctx context.Context, b bag) (*place, error) {
	text, err := bagPart(ctx, b.record, b.key)
	if err != nil {
		return nil, err
	}
	if s.kept != "" {
		name := filepath.Join(s.kept, partName(b.rel))
		if replace(name, text) == nil {
			if p := s.onDisk(b); p != nil {
				return p, nil
			}
		}
	}
	return inMemory(filepath.Join(s.dir, b.rel), false, text)
}

// replace gives a file new content, whole or not at all.
func replace(name string, text []byte) error {
	return replaceBy(name, func(f vfs.File) error {
		_, err := f.Write(text)
		return err
	})
}

// replaceBy is replace for what is written bit by bit. It need not be durable: what is
// damaged is made anew. A link is replaced and not followed, for the shelf may be
// anybody's.
func replaceBy(name string, write func(vfs.File) error) error {
	f, err := vfs.CreatePartial(vfs.OS{}, name, 0o666)
	if err != nil {
		return err
	}
	err = errors.Join(write(f), f.Close())
	if err == nil {
		err = vfs.OS{}.Rename(f.Name(), name)
	}
	if err != nil {
		vfs.OS{}.Remove(f.Name())
	}
	return err
}

// sweep removes parts of bags that are gone, and looks of former states.
func (s *shelf) sweep() {
	stay := map[string]bool{}
	for _, p := range s.places {
		rel, _ := filepath.Rel(s.dir, p.dir)
		stay[partName(rel)] = true
	}
	stay[s.looksName()] = true
	for _, dir := range s.looks {
		entries, _ := os.ReadDir(dir)
		for _, e := range entries {
			if (strings.HasSuffix(e.Name(), partSuffix) || isLooks(e.Name())) && !stay[e.Name()] {
				os.Remove(filepath.Join(dir, e.Name()))
			}
		}
	}
}
