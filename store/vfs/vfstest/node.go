package vfstest

import (
	"io/fs"
	"slices"
	"strings"
	"syscall"
	"time"
)

// node is a file, folder or link, whatever names lead to it.
type node struct {
	id    int64
	mode  fs.FileMode
	mtime time.Time

	data   []byte
	synced []byte         // content as of the last Sync; nil if there was none
	shared bool           // data and synced (or a clone's data) are the same memory: copy before changing
	clean  bool           // nothing was written since the last Sync
	rot    map[int64]byte // byte offset → what the medium got wrong
	bad    int64          // offset of an unreadable sector; negative: none
	cached bool           // reads are answered from the cache

	link    string           // of a symbolic link
	entries map[string]entry // of a folder, by compared name
	durable map[string]entry
}

// entry is a name as it was written, and what it leads to.
type entry struct {
	name string
	node *node
}

func (m *Mem) newNode(mode fs.FileMode) *node {
	m.nextID++
	n := &node{id: m.nextID, mode: mode, mtime: m.stamp(m.now), bad: -1, cached: true}
	if mode.IsDir() {
		n.entries, n.durable = map[string]entry{}, map[string]entry{}
	}
	return n
}

func (n *node) isDir() bool { return n.mode.IsDir() }

// sync makes the content durable. It only remembers the slice: appending does
// not touch what synced sees, and everything else copies first (see own).
func (n *node) sync() {
	n.synced = n.data[:len(n.data):len(n.data)]
	n.shared, n.clean = true, true
}

// own makes sure that the bytes below the present length may be changed.
func (n *node) own() {
	if n.shared {
		n.data = append(make([]byte, 0, cap(n.data)), n.data...)
		n.shared = false
	}
}

// writeAt puts p at off and returns by how much the file grew.
func (n *node) writeAt(p []byte, off int64) int64 {
	n.clean, n.cached = false, true
	old := int64(len(n.data))
	if off < old {
		n.own()
	}
	if end := off + int64(len(p)); end > old {
		if off > old {
			n.data = append(n.data, make([]byte, off-old)...)
		}
		over := copy(n.data[off:], p)
		n.data = append(n.data, p[over:]...)
	} else {
		copy(n.data[off:], p)
	}
	return int64(len(n.data)) - old
}

// resize sets the size and returns by how much the file grew.
func (n *node) resize(size int64) int64 {
	old := int64(len(n.data))
	n.clean = false
	if size < old {
		n.own()
		n.data = n.data[:size:size]
	} else {
		n.data = append(n.data, make([]byte, size-old)...)
	}
	return size - old
}

// medium returns what the device holds: the content with the bits it got wrong.
func (n *node) medium(p []byte, off int64) {
	for at, mask := range n.rot {
		if i := at - off; i >= 0 && i < int64(len(p)) {
			p[i] ^= mask
		}
	}
}

func (n *node) names() []string {
	var list []string
	for _, e := range n.entries {
		list = append(list, e.name)
	}
	slices.Sort(list)
	return list
}

// maxLinks is how many symbolic links a path may go along.
const maxLinks = 40

// locate finds the folder that a path's last element lies in and that element.
// With follow it goes along a link that the last element is.
func (m *Mem) locate(name string, follow bool) (dir *node, last string, err error) {
	parts, links := split(name), 0
	dir = m.root
	var above []*node // the folders passed, for ".." in links
	for i := 0; i < len(parts); i++ {
		p := parts[i]
		if p == ".." {
			if len(above) > 0 {
				dir, above = above[len(above)-1], above[:len(above)-1]
			}
			continue
		}
		if err := m.checkName(p); err != nil {
			return nil, "", err
		}
		e, ok := dir.entries[m.key(p)]
		end := i == len(parts)-1
		if ok && e.node.mode&fs.ModeSymlink != 0 && (!end || follow) {
			if links++; links > maxLinks {
				return nil, "", syscall.ELOOP
			}
			if strings.HasPrefix(e.node.link, "/") {
				dir, above = m.root, nil
			}
			rest := parts[i+1:]
			parts = append(rawSplit(e.node.link), rest...)
			i = -1
			continue
		}
		if end {
			return dir, p, nil
		}
		if !ok {
			return nil, "", syscall.ENOENT
		}
		if !e.node.isDir() {
			return nil, "", syscall.ENOTDIR
		}
		above = append(above, dir)
		dir = e.node
	}
	return dir, ".", nil // the folder itself
}

// rawSplit takes a link's text apart and keeps its "..".
func rawSplit(link string) []string {
	var parts []string
	for p := range strings.SplitSeq(link, "/") {
		if p != "" && p != "." {
			parts = append(parts, p)
		}
	}
	return parts
}

// find returns what a path leads to.
func (m *Mem) find(name string, follow bool) (*node, error) {
	dir, last, err := m.locate(name, follow)
	if err != nil {
		return nil, err
	}
	if last == "." {
		return dir, nil
	}
	e, ok := dir.entries[m.key(last)]
	if !ok {
		return nil, syscall.ENOENT
	}
	return e.node, nil
}
