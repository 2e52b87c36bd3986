package cache

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
)

// ErrFull says that the disk has no room for an entry. It is the one error of
// Put that a person should hear of, once; nothing else is wrong with the cache.
var ErrFull = errors.New("no room on the disk")

// MaxDisk is the most that a cache takes of any disk, in bytes.
const MaxDisk = 8 << 30

// Limit returns how many bytes a cache may take of a disk that has free bytes
// left: a tenth of them, and never more than MaxDisk.
func Limit(free int64) int64 { return max(0, min(MaxDisk, free/10)) }

// Options bound a cache, in bytes. With MaxDisk 0 nothing is written.
type Options struct {
	MaxMemory, MaxDisk int64
}

// Cache is one cache folder. Its methods may be called by several goroutines.
type Cache struct {
	dir    string
	create func(path string) (file, error) // overridden by tests

	mu      sync.Mutex
	mem     *memory
	index   map[string]place // thumbnails
	scanned map[string]int64 // pack → offset up to which the index knows it
	disk    *disk
	out     *writer // the pack that this Cache adds to; nil = none yet
	stats   Stats

	lastPack int // highest number of a pack seen
	temp     int // temporary names given so far
}

// file is what entries are written to.
type file interface {
	Write(p []byte) (int, error)
	Truncate(size int64) error
	Close() error
}

// Stats counts what a cache did since it was opened.
type Stats struct {
	Hits, Misses int
	Bad          int // entries that were there and did not hold what they said
	Evicted      int // files removed to keep the limit
}

// Open returns the cache in dir. A folder that is missing or cannot be read is
// an empty cache; it is made by the first Put.
func Open(dir string, o Options) *Cache {
	c := &Cache{
		dir:     dir,
		create:  createNew,
		mem:     newMemory(o.MaxMemory),
		index:   map[string]place{},
		scanned: map[string]int64{},
		disk:    readDisk(dir, o.MaxDisk),
	}
	c.Refresh()
	return c
}

func createNew(path string) (file, error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, err // not f: a nil *os.File in an interface is not nil
	}
	return f, nil
}

// Close ends the pack that was being written. The Cache may be used on; a later
// Put begins another pack.
func (c *Cache) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.endPack()
}

// Stats returns the counts so far.
func (c *Cache) Stats() Stats {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.stats
}

// recall looks a key up in memory and counts.
func (c *Cache) recall(key string) ([]byte, bool) {
	data, ok := c.mem.get(key)
	if ok {
		c.stats.Hits++
	}
	return data, ok
}

// read returns the entry of key from a file, outside the lock; gone says that
// the file is not there any more. It leaves the lock held as it found it.
func (c *Cache) read(path string, at place, key string) (data []byte, ok, gone bool) {
	c.mu.Unlock()
	b, err := readAt(path, at.offset, at.size)
	if err == nil {
		data, ok = decode(b, key)
	}
	c.mu.Lock()
	switch {
	case ok:
		c.stats.Hits++
		c.mem.put(key, data)
	case errors.Is(err, os.ErrNotExist):
		c.stats.Misses++
		gone = true
	default:
		c.stats.Misses++
		c.stats.Bad++
	}
	return data, ok, gone
}

// checkPut refuses what could not be read back.
func checkPut(key string, data []byte) error {
	if len(key) == 0 || len(key) > maxKey || len(data) > maxData {
		return fmt.Errorf("cache: a key of %d bytes for %d bytes of data is out of range", len(key), len(data))
	}
	return nil
}

// failed names an error of writing, with its class.
func failed(what string, err error) error {
	if isFull(err) {
		return fmt.Errorf("cache: %s: %w (%v)", what, ErrFull, err)
	}
	return fmt.Errorf("cache: %s: %w", what, err)
}

func (c *Cache) packPath(name string) string { return filepath.Join(c.dir, packFolder, name) }
