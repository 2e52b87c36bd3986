package cache

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

const (
	packFolder = "thumbs"
	packSuffix = ".pack"

	// maxPack is where a pack ends and another begins, so that the oldest
	// thumbnails can be let go without the newest.
	maxPack = 64 << 20
)

// writer is the pack that is being added to.
type writer struct {
	f    file
	name string
	at   int64
	info os.FileInfo // of the file that name led to when it was made
}

// Thumb returns the thumbnail that was put in under key.
func (c *Cache) Thumb(key string) ([]byte, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if data, ok := c.recall(key); ok {
		return data, true
	}
	at, ok := c.index[key]
	if !ok {
		c.stats.Misses++
		return nil, false
	}
	data, ok, gone := c.read(c.packPath(at.pack), at, key)
	switch {
	case gone:
		c.forgetPack(at.pack)
	case !ok && c.index[key] == at:
		delete(c.index, key)
	}
	return data, ok
}

// HasThumb reports whether the index knows a thumbnail of that key, without
// reading it.
func (c *Cache) HasThumb(key string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	_, ok := c.index[key]
	return ok
}

// PutThumb keeps a thumbnail. On an error it is kept in memory only; the class
// ErrFull says that the disk is full. Data must not be written to afterwards.
func (c *Cache) PutThumb(key string, data []byte) error {
	if err := checkPut(key, data); err != nil {
		return err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.mem.put(key, data)
	b := encode(key, data)
	if c.out != nil && !c.outStands() {
		c.forgetPack(c.out.name) // deleted under us
	}
	if c.out != nil && c.out.at+int64(len(b)) > maxPack {
		c.endPack()
	}
	if !c.makeRoom(int64(len(b))) {
		return nil
	}
	if c.out == nil {
		if err := c.beginPack(); err != nil {
			return failed("beginning a pack", err)
		}
	}
	w := c.out
	if _, err := w.f.Write(b); err != nil {
		// What follows a torn entry would never be found: take it back, or
		// leave this pack alone from now on.
		if w.f.Truncate(w.at) != nil {
			c.endPack()
		}
		return failed("writing a thumbnail", err)
	}
	c.index[key] = place{w.name, w.at, int64(len(b))}
	w.at += int64(len(b))
	c.scanned[w.name] = w.at
	c.disk.add(filepath.Join(packFolder, w.name), int64(len(b)))
	return nil
}

// outStands reports whether the pack being written is still in the folder, and
// not another one of its name.
func (c *Cache) outStands() bool {
	info, err := os.Lstat(c.packPath(c.out.name))
	return err == nil && os.SameFile(info, c.out.info)
}

// beginPack makes a new pack under the next free number. Names rise, so that
// of two entries of one key the later is known.
func (c *Cache) beginPack() error {
	folder := filepath.Join(c.dir, packFolder)
	if err := c.makeFolder(folder); err != nil {
		return err
	}
	for tries := 0; ; tries++ {
		for _, name := range packNames(folder) {
			c.sawPack(name)
		}
		c.lastPack++
		name := fmt.Sprintf("%08d%s", c.lastPack, packSuffix)
		f, err := c.create(filepath.Join(folder, name))
		if errors.Is(err, os.ErrExist) && tries < 100 { // another program was quicker
			continue
		}
		if err != nil {
			return err
		}
		info, err := os.Lstat(filepath.Join(folder, name))
		if err != nil {
			f.Close()
			return err
		}
		c.out = &writer{f: f, name: name, info: info}
		return nil
	}
}

// sawPack keeps a number from being used twice, also after its pack is gone.
func (c *Cache) sawPack(name string) {
	n := 0
	if _, err := fmt.Sscanf(name, "%d", &n); err == nil && n < 1<<30 {
		c.lastPack = max(c.lastPack, n)
	}
}

func (c *Cache) endPack() error {
	if c.out == nil {
		return nil
	}
	w := c.out
	c.out = nil
	return w.f.Close()
}

// forgetPack drops a pack that is gone.
func (c *Cache) forgetPack(name string) {
	for key, at := range c.index {
		if at.pack == name {
			delete(c.index, key)
		}
	}
	delete(c.scanned, name)
	c.disk.forget(filepath.Join(packFolder, name))
	if c.out != nil && c.out.name == name {
		c.endPack()
	}
}

// Refresh takes in what other programs have added since Open or the last
// Refresh.
func (c *Cache) Refresh() {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, name := range packNames(filepath.Join(c.dir, packFolder)) {
		if c.out == nil || c.out.name != name {
			c.scan(name)
		}
	}
}

func (c *Cache) scan(name string) {
	c.sawPack(name)
	f, err := os.Open(c.packPath(name))
	if err != nil {
		return
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() || info.Size() == c.scanned[name] {
		return
	}
	if info.Size() < c.scanned[name] { // another pack under an old name
		c.forgetPack(name)
	}
	c.scanned[name] = scanPack(f, info.Size(), c.scanned[name], func(key string, at, size int64) {
		c.index[key] = place{name, at, size}
	})
	c.disk.see(filepath.Join(packFolder, name), info.Size())
}

// packNames returns the packs of a folder in rising order.
func packNames(folder string) []string {
	entries, _ := os.ReadDir(folder)
	var names []string
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), packSuffix) {
			names = append(names, e.Name())
		}
	}
	sort.Strings(names)
	return names
}
