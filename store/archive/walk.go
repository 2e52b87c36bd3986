package archive

import (
	"errors"
	"io/fs"

	"garner/store"
	"garner/store/vfs"
)

// Bounds of what is looked at.
const (
	maxDepth = 128
	maxFiles = 8 << 20
)

var (
	errDeep = errors.New("has more folders inside each other than any bag")
	errMany = errors.New("has more files than any bag")
)

// content is what lies in the folder of a bag.
type content struct {
	files     map[string]int64 // bytes, by path; all that is not one of the following
	irregular map[string]bool  // links, pipes, devices
	data      bool             // there is a folder for the payload
	partials  []string         // what a copy left behind when it was interrupted
}

func nothing() *content {
	return &content{files: map[string]int64{}, irregular: map[string]bool{}}
}

// walk looks through a bag. Links are not followed.
func walk(fsys vfs.FS, dir string) (*content, error) {
	c := nothing()
	return c, c.folder(fsys, dir, "", 0)
}

func (c *content) folder(fsys vfs.FS, dir, at string, depth int) error {
	if depth > maxDepth {
		return store.Wrap("read", join(dir, at), errDeep)
	}
	entries, err := fsys.ReadDir(join(dir, at))
	if err != nil {
		return store.Wrap("read", join(dir, at), err)
	}
	for _, e := range entries {
		path := at + e.Name()
		if e.IsDir() {
			c.data = c.data || path+"/" == payload
			if err := c.folder(fsys, dir, path+"/", depth+1); err != nil {
				return err
			}
			continue
		}
		if err := c.file(fsys, dir, path); err != nil {
			return err
		}
	}
	return nil
}

func (c *content) file(fsys vfs.FS, dir, path string) error {
	info, err := fsys.Lstat(join(dir, path))
	switch {
	case err != nil:
		return store.Wrap("read", join(dir, path), err)
	case info.Mode()&fs.ModeType != 0:
		c.irregular[path] = true
	case store.IsPartial(base(path)):
		c.partials = append(c.partials, path)
		fallthrough
	default:
		c.files[path] = info.Size()
	}
	if len(c.files)+len(c.irregular) > maxFiles {
		return store.Wrap("read", dir, errMany)
	}
	return nil
}
