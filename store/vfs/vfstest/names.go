package vfstest

import (
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"syscall"
	"time"

	"garner/store/vfs"
)

// nameOp is a change of names that is not yet durable. Creating has no from,
// removing has no to.
type nameOp struct {
	node     *node
	from, to *node // folders
	fromKey  string
	toKey    string
	toName   string
}

// begin takes the lock and counts. The caller unlocks, also after an error.
func (m *Mem) begin(op Op, name string) error {
	m.mu.Lock()
	if f := m.step(op, name, 0); f != nil {
		return f.Err
	}
	return nil
}

func pathErr(op Op, name string, err error) error {
	if err == nil {
		return nil
	}
	return &fs.PathError{Op: string(op), Path: name, Err: err}
}

// Open implements [vfs.FS].
func (m *Mem) Open(name string) (vfs.File, error) { return m.OpenFile(name, os.O_RDONLY, 0) }

// OpenFile implements [vfs.FS].
func (m *Mem) OpenFile(name string, flag int, perm fs.FileMode) (vfs.File, error) {
	op := OpOpen
	if flag&os.O_CREATE != 0 {
		op = OpCreate
	}
	err := m.begin(op, name)
	defer m.mu.Unlock()
	if err != nil {
		return nil, pathErr(op, name, err)
	}
	dir, last, err := m.locate(name, flag&os.O_EXCL == 0)
	if err != nil {
		return nil, pathErr(op, name, err)
	}
	e, ok := dir.entries[m.key(last)]
	if last == "." {
		e, ok = entry{".", dir}, true
	}
	switch {
	case ok && flag&(os.O_CREATE|os.O_EXCL) == os.O_CREATE|os.O_EXCL:
		return nil, pathErr(op, name, syscall.EEXIST)
	case !ok && flag&os.O_CREATE == 0:
		return nil, pathErr(op, name, syscall.ENOENT)
	case !ok:
		e = entry{last, m.newNode(perm.Perm() &^ 0o022)}
		m.setName(dir, e)
	case e.node.isDir() && flag&(os.O_WRONLY|os.O_RDWR) != 0:
		return nil, pathErr(op, name, syscall.EISDIR)
	}
	if flag&os.O_TRUNC != 0 && !e.node.isDir() {
		m.used += e.node.resize(0)
	}
	return &memFile{m: m, n: e.node, name: name, flag: flag}, nil
}

// setName adds a name and remembers that it is not durable.
func (m *Mem) setName(dir *node, e entry) {
	dir.entries[m.key(e.name)] = e
	m.pending = append(m.pending, nameOp{node: e.node, to: dir, toKey: m.key(e.name), toName: e.name})
}

// Rename implements [vfs.FS].
func (m *Mem) Rename(from, to string) error { return m.rename(from, to, true) }

// RenameNew implements [vfs.FS].
func (m *Mem) RenameNew(from, to string) error { return m.rename(from, to, false) }

func (m *Mem) rename(from, to string, replace bool) error {
	err := m.begin(OpRename, to)
	defer m.mu.Unlock()
	if err == nil {
		err = m.move(from, to, replace)
	}
	if err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	return nil
}

func (m *Mem) move(from, to string, replace bool) error {
	fdir, flast, err := m.locate(from, false)
	if err != nil {
		return err
	}
	tdir, tlast, err := m.locate(to, false)
	if err != nil {
		return err
	}
	src, ok := fdir.entries[m.key(flast)]
	if !ok {
		return syscall.ENOENT
	}
	if old, taken := tdir.entries[m.key(tlast)]; taken && old.node != src.node {
		if !replace {
			return syscall.EEXIST
		}
		if old.node.isDir() || src.node.isDir() {
			return syscall.EISDIR
		}
		m.used -= int64(len(old.node.data))
	}
	delete(fdir.entries, m.key(flast))
	tdir.entries[m.key(tlast)] = entry{tlast, src.node}
	m.pending = append(m.pending, nameOp{src.node, fdir, tdir, m.key(flast), m.key(tlast), tlast})
	return nil
}

// Clone implements [vfs.FS].
func (m *Mem) Clone(from, to string) (bool, error) {
	err := m.begin(OpClone, to)
	defer m.mu.Unlock()
	if err != nil {
		return false, pathErr(OpClone, to, err)
	}
	src, err := m.find(from, true)
	if err != nil {
		return false, pathErr(OpClone, from, err)
	}
	dir, last, err := m.locate(to, false)
	if err != nil {
		return false, pathErr(OpClone, to, err)
	}
	if _, taken := dir.entries[m.key(last)]; taken {
		return false, pathErr(OpClone, to, syscall.EEXIST)
	}
	if !m.opt.Clones {
		return false, nil
	}
	n := m.newNode(0o644)
	n.data, n.shared = src.data[:len(src.data):len(src.data)], true
	src.shared = true
	m.used += int64(len(n.data))
	m.setName(dir, entry{last, n})
	return true, nil
}

// Remove implements [vfs.FS].
func (m *Mem) Remove(name string) error {
	err := m.begin(OpRemove, name)
	defer m.mu.Unlock()
	if err != nil {
		return pathErr(OpRemove, name, err)
	}
	dir, last, err := m.locate(name, false)
	if err != nil {
		return pathErr(OpRemove, name, err)
	}
	e, ok := dir.entries[m.key(last)]
	switch {
	case !ok:
		return pathErr(OpRemove, name, syscall.ENOENT)
	case len(e.node.entries) > 0:
		return pathErr(OpRemove, name, syscall.ENOTEMPTY)
	}
	delete(dir.entries, m.key(last))
	m.used -= int64(len(e.node.data))
	m.pending = append(m.pending, nameOp{node: e.node, from: dir, fromKey: m.key(last)})
	return nil
}

// Mkdir implements [vfs.FS].
func (m *Mem) Mkdir(name string, perm fs.FileMode) error {
	return m.make(name, fs.ModeDir|perm.Perm()&^0o022, "")
}

// Symlink makes a symbolic link; FAT has none.
func (m *Mem) Symlink(text, name string) error {
	if m.opt.FAT {
		return pathErr(OpMkdir, name, syscall.EPERM)
	}
	return m.make(name, fs.ModeSymlink|0o777, text)
}

func (m *Mem) make(name string, mode fs.FileMode, link string) error {
	err := m.begin(OpMkdir, name)
	defer m.mu.Unlock()
	if err != nil {
		return pathErr(OpMkdir, name, err)
	}
	dir, last, err := m.locate(name, false)
	if err != nil {
		return pathErr(OpMkdir, name, err)
	}
	if _, taken := dir.entries[m.key(last)]; taken || last == "." {
		return pathErr(OpMkdir, name, syscall.EEXIST)
	}
	n := m.newNode(mode)
	n.link = link
	m.setName(dir, entry{last, n})
	return nil
}

// ReadDir implements [vfs.FS].
func (m *Mem) ReadDir(name string) ([]fs.DirEntry, error) {
	err := m.begin(OpReadDir, name)
	defer m.mu.Unlock()
	if err != nil {
		return nil, pathErr(OpReadDir, name, err)
	}
	n, err := m.find(name, true)
	if err == nil && !n.isDir() {
		err = syscall.ENOTDIR
	}
	if err != nil {
		return nil, pathErr(OpReadDir, name, err)
	}
	var list []fs.DirEntry
	for _, e := range n.entries {
		list = append(list, fs.FileInfoToDirEntry(e.node.info(e.name)))
	}
	slices.SortFunc(list, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return list, nil
}

// Stat implements [vfs.FS].
func (m *Mem) Stat(name string) (fs.FileInfo, error) { return m.stat(name, true) }

// Lstat implements [vfs.FS].
func (m *Mem) Lstat(name string) (fs.FileInfo, error) { return m.stat(name, false) }

func (m *Mem) stat(name string, follow bool) (fs.FileInfo, error) {
	err := m.begin(OpStat, name)
	defer m.mu.Unlock()
	var n *node
	if err == nil {
		n, err = m.find(name, follow)
	}
	if err != nil {
		return nil, pathErr(OpStat, name, err)
	}
	base := "/"
	if parts := split(name); len(parts) > 0 {
		base = parts[len(parts)-1]
	}
	return n.info(base), nil
}

// Readlink implements [vfs.FS].
func (m *Mem) Readlink(name string) (string, error) {
	err := m.begin(OpStat, name)
	defer m.mu.Unlock()
	if err != nil {
		return "", pathErr(OpStat, name, err)
	}
	n, err := m.find(name, false)
	if err == nil && n.mode&fs.ModeSymlink == 0 {
		err = syscall.EINVAL
	}
	if err != nil {
		return "", pathErr(OpStat, name, err)
	}
	return n.link, nil
}

// SyncDir implements [vfs.FS].
func (m *Mem) SyncDir(name string) error {
	err := m.begin(OpSyncDir, name)
	defer m.mu.Unlock()
	if err != nil {
		return pathErr(OpSyncDir, name, err)
	}
	n, err := m.find(name, true)
	if err == nil && !n.isDir() {
		err = syscall.ENOTDIR
	}
	if err == nil {
		m.syncNames(n)
	}
	return pathErr(OpSyncDir, name, err)
}

// Chtimes implements [vfs.FS].
func (m *Mem) Chtimes(name string, modified time.Time) error {
	err := m.begin(OpChtimes, name)
	defer m.mu.Unlock()
	return m.change(OpChtimes, name, err, func(n *node) { n.mtime = m.stamp(modified) })
}

// Chmod implements [vfs.FS]. FAT knows no permissions and takes no notice.
func (m *Mem) Chmod(name string, perm fs.FileMode) error {
	err := m.begin(OpChmod, name)
	defer m.mu.Unlock()
	return m.change(OpChmod, name, err, func(n *node) {
		if !m.opt.FAT {
			n.mode = n.mode&^fs.ModePerm | perm.Perm()
		}
	})
}

func (m *Mem) change(op Op, name string, err error, f func(*node)) error {
	if err == nil {
		var n *node
		if n, err = m.find(name, true); err == nil {
			f(n)
		}
	}
	return pathErr(op, name, err)
}

// FreeSpace implements [vfs.FS].
func (m *Mem) FreeSpace(string) (int64, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.opt.Capacity == 0 {
		return 1 << 50, nil
	}
	return max(m.opt.Capacity-m.used, 0), nil
}

// IsNetwork implements [vfs.FS].
func (m *Mem) IsNetwork(string) (string, bool) { return m.opt.Network, m.opt.Network != "" }

// Token implements [vfs.FS] with a counter.
func (m *Mem) Token() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.nextID++
	return fmt.Sprintf("%08x", m.nextID)
}
