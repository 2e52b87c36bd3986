package vfstest

import (
	"io/fs"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"

	"garner/store/vfs"
)

// Options says how a [Mem] behaves. The zero value is a well-behaved case-
// sensitive file system without a limit.
type Options struct {
	FAT      bool  // names without case and forbidden characters, times of 2 s, no links, files below 4 GiB
	MaxFile  int64 // largest file in bytes; 0 is no limit, on FAT 4 GiB - 1
	Capacity int64 // room for content in bytes; 0 is no limit
	Clones   bool  // Clone works
	NoBypass bool  // DropCache can't
	Network  string
	Latency  map[Op]time.Duration // added to Elapsed for each operation; nobody waits
}

// Mem is a file system in memory. Its methods may be called concurrently.
type Mem struct {
	opt  Options
	mu   sync.Mutex
	root *node

	now     time.Time // moves 1 ms with each operation, so runs are repeatable
	nextID  int64
	used    int64
	pending []nameOp // changes of names that no SyncDir has made durable, oldest first
	faults  []*Fault
	log     []Event
	counts  map[Op]int
	total   int
	powerAt int // operations from this one on find the power gone; 0 is never
	elapsed time.Duration
}

var _ vfs.FS = (*Mem)(nil)

// New returns an empty file system.
func New(opt Options) *Mem {
	if opt.FAT && opt.MaxFile == 0 {
		opt.MaxFile = 1<<32 - 1
	}
	m := &Mem{opt: opt, now: time.Date(2026, 6, 13, 14, 0, 0, 0, time.UTC), counts: map[Op]int{}}
	m.root = m.newNode(fs.ModeDir | 0o777)
	return m
}

// Put gives a file durable content, past all faults and counts, and makes the
// folders above it. An existing file is rewritten in place.
func (m *Mem) Put(name string, data []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	dir := m.root
	parts := split(name)
	for _, p := range parts[:len(parts)-1] {
		e, ok := dir.entries[m.key(p)]
		if !ok {
			e = entry{p, m.newNode(fs.ModeDir | 0o777)}
			dir.entries[m.key(p)], dir.durable[m.key(p)] = e, e
		}
		dir = e.node
	}
	last := parts[len(parts)-1]
	e, ok := dir.entries[m.key(last)]
	if !ok {
		e = entry{last, m.newNode(0o666)}
		dir.entries[m.key(last)], dir.durable[m.key(last)] = e, e
	}
	m.now = m.now.Add(time.Second)
	m.used += int64(len(data) - len(e.node.data))
	e.node.data = append([]byte(nil), data...)
	e.node.mtime = m.stamp(m.now)
	e.node.sync()
}

// Get returns the content that reading a file gives, past all faults and counts.
func (m *Mem) Get(name string) ([]byte, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	n, err := m.find(name, true)
	if err != nil || n.isDir() {
		return nil, false
	}
	return append([]byte(nil), n.data...), true
}

// Names lists a folder, past all faults and counts; a missing one is empty.
func (m *Mem) Names(dir string) []string {
	m.mu.Lock()
	defer m.mu.Unlock()
	n, err := m.find(dir, true)
	if err != nil {
		return nil
	}
	return n.names()
}

// Rot flips one bit of a file on the medium: who reads through the cache sees
// nothing of it, who reads past it does.
func (m *Mem) Rot(name string, bit int64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n, err := m.find(name, true); err == nil {
		if n.rot == nil {
			n.rot = map[int64]byte{}
		}
		n.rot[bit/8] ^= 1 << (bit % 8)
	}
}

// Break makes a sector of a file unreadable: reads end before off with EIO.
func (m *Mem) Break(name string, off int64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n, err := m.find(name, true); err == nil {
		n.bad = off
	}
}

// Change rewrites the content of a file in place, in the cache and on the medium,
// and leaves its time, as a faulty device does. It is for use in Fault.Do.
func (m *Mem) Change(name string, f func([]byte) []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n, err := m.find(name, true); err == nil {
		n.data = f(append([]byte(nil), n.data...))
		n.sync()
	}
}

// split takes a path apart; separators of the running system count too.
func split(name string) []string {
	clean := strings.Trim(path.Clean("/"+filepath.ToSlash(name)), "/")
	if clean == "" {
		return nil
	}
	return strings.Split(clean, "/")
}

// key is a name as the file system compares it.
func (m *Mem) key(name string) string {
	if m.opt.FAT {
		return strings.ToLower(name)
	}
	return name
}

// stamp is a time as the file system can keep it.
func (m *Mem) stamp(t time.Time) time.Time {
	if m.opt.FAT {
		return t.Truncate(2 * time.Second)
	}
	return t
}

// checkName refuses what the file system can't name.
func (m *Mem) checkName(name string) error {
	if len(name) > 255 {
		return syscall.ENAMETOOLONG
	}
	if !m.opt.FAT {
		return nil
	}
	// Microsoft, FAT: General Overview, "long file name" characters.
	if strings.ContainsAny(name, `"*:<>?\|`) || strings.HasSuffix(name, " ") || strings.HasSuffix(name, ".") {
		return syscall.EINVAL
	}
	for i := range len(name) {
		if name[i] < 0x20 {
			return syscall.EINVAL
		}
	}
	return nil
}
