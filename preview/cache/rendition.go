package cache

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
)

const renditionFolder = "renditions"

// renditionName is the file of a key, relative to the cache folder. Two keys
// that met in one name would be told apart by the key inside.
func renditionName(key string) string {
	sum := sha256.Sum256([]byte(key))
	name := hex.EncodeToString(sum[:16])
	return filepath.Join(renditionFolder, name[:2], name)
}

// Rendition returns the rendition that was put in under key.
func (c *Cache) Rendition(key string) ([]byte, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if data, ok := c.recall(key); ok {
		return data, true
	}
	name := renditionName(key)
	path := filepath.Join(c.dir, name)
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		c.stats.Misses++
		return nil, false
	}
	if info.Size() > headerSize+maxKey+maxData {
		c.stats.Misses++
		c.stats.Bad++
		return nil, false
	}
	data, ok, _ := c.read(path, place{size: info.Size()}, key)
	return data, ok
}

// HasRendition reports whether there is a file for that key, without reading it.
func (c *Cache) HasRendition(key string) bool {
	info, err := os.Lstat(filepath.Join(c.dir, renditionName(key)))
	return err == nil && info.Mode().IsRegular() && info.Size() > headerSize
}

// PutRendition keeps a rendition, in place of one under the same key. On an
// error it is kept in memory only; the class ErrFull says that the disk is
// full. Data must not be written to afterwards.
func (c *Cache) PutRendition(key string, data []byte) error {
	if err := checkPut(key, data); err != nil {
		return err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.mem.put(key, data)
	b := encode(key, data)
	name := renditionName(key)
	if !c.makeRoom(int64(len(b))) {
		return nil
	}
	path := filepath.Join(c.dir, name)
	if err := c.makeFolder(filepath.Dir(path)); err != nil {
		return failed("making a folder", err)
	}
	c.temp++
	temp := fmt.Sprintf("%s.%d-%d.tmp", path, os.Getpid(), c.temp)
	if err := c.writeFile(temp, b); err != nil {
		os.Remove(temp)
		return failed("writing a rendition", err)
	}
	// Not synced: after a power cut the file may be empty or torn, which its
	// checksum tells, and then it is made again.
	if err := os.Rename(temp, path); err != nil {
		os.Remove(temp)
		return failed("writing a rendition", err)
	}
	c.disk.forget(name)
	c.disk.add(name, int64(len(b)))
	return nil
}

func (c *Cache) writeFile(path string, b []byte) error {
	f, err := c.create(path)
	if err != nil {
		return err
	}
	if _, err := f.Write(b); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
