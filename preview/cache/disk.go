package cache

import (
	"container/list"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"time"
)

// disk knows the files of a cache folder from the oldest to the newest, and
// what they take.
type disk struct {
	limit, used int64
	order       *list.List // of *unit, the oldest in front
	byName      map[string]*list.Element
}

// unit is one file: a pack or a rendition.
type unit struct {
	name string // relative to the cache folder
	size int64
}

// readDisk lists what lies in a cache folder. Left-over temporary files are
// counted too, so that they go when their time comes.
func readDisk(dir string, limit int64) *disk {
	d := &disk{limit: limit, order: list.New(), byName: map[string]*list.Element{}}
	type dated struct {
		unit
		mod time.Time
	}
	var found []dated
	for _, folder := range []string{packFolder, renditionFolder} {
		root := filepath.Join(dir, folder)
		filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
			if err != nil || !e.Type().IsRegular() {
				return nil // what cannot be read is not counted
			}
			info, err := e.Info()
			name, rerr := filepath.Rel(dir, path)
			if err == nil && rerr == nil {
				found = append(found, dated{unit{name, info.Size()}, info.ModTime()})
			}
			return nil
		})
	}
	sort.Slice(found, func(i, j int) bool {
		if !found[i].mod.Equal(found[j].mod) {
			return found[i].mod.Before(found[j].mod)
		}
		return found[i].name < found[j].name
	})
	for _, f := range found {
		d.add(f.name, f.size)
	}
	return d
}

// add counts size more bytes of a file, which is the newest if it is new.
func (d *disk) add(name string, size int64) {
	d.used += size
	if e, ok := d.byName[name]; ok {
		e.Value.(*unit).size += size
		return
	}
	d.byName[name] = d.order.PushBack(&unit{name, size})
}

// see sets the size of a file that another program writes.
func (d *disk) see(name string, size int64) {
	known := int64(0)
	if e, ok := d.byName[name]; ok {
		known = e.Value.(*unit).size
	}
	d.add(name, size-known)
}

func (d *disk) forget(name string) {
	if e, ok := d.byName[name]; ok {
		d.used -= e.Value.(*unit).size
		d.order.Remove(e)
		delete(d.byName, name)
	}
}

// makeRoom removes the oldest files until size more bytes keep the limit. It
// says no where that cannot be.
func (c *Cache) makeRoom(size int64) bool {
	if size > c.disk.limit {
		return false
	}
	for e := c.disk.order.Front(); e != nil && c.disk.used+size > c.disk.limit; {
		u := e.Value.(*unit)
		e = e.Next()
		if pack := filepath.Base(u.name); filepath.Dir(u.name) == packFolder {
			c.forgetPack(pack) // ends it first where it is the one being written
		} else {
			c.disk.forget(u.name)
		}
		os.Remove(filepath.Join(c.dir, u.name)) // not there or not ours to remove: no longer counted
		c.stats.Evicted++
	}
	return c.disk.used+size <= c.disk.limit
}

// makeFolder makes a folder of the cache, and the cache's own; not what is above
// it: where a disk was taken away, nothing is to be written in its place.
func (c *Cache) makeFolder(path string) error {
	err := os.Mkdir(path, 0o777)
	if errors.Is(err, os.ErrNotExist) && len(path) > len(c.dir) {
		if err := c.makeFolder(filepath.Dir(path)); err != nil {
			return err
		}
		err = os.Mkdir(path, 0o777)
	}
	if errors.Is(err, os.ErrExist) {
		return nil
	}
	return err
}
