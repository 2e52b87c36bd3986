package archive

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"garner/store"
)

// Put is a payload file that a bag is to have.
type Put struct {
	Path     string    // in the bag: data/…, "/"-separated
	Source   string    // path of the file that it is a copy of
	Content  []byte    // what it holds, where it has no source
	Sum      *[32]byte // SHA-256 that it must have, where that is known
	Modified time.Time // time of modification of what has no source; sources keep theirs

	// Make, if set, makes the content when its turn comes, so that those of many
	// files need not be in memory at once. It is called from two goroutines; where
	// Sum is known and the bags list it, it is not called at all.
	Make func(context.Context) ([]byte, error)
}

// Tag is a tag file beside those of BagIt.
type Tag struct {
	Path    string // in the bag, not below data/
	Content []byte
}

// Growth is what [Grow] does.
type Growth struct {
	Dirs []string // folders of the bags; they need not exist
	Puts []Put
	Tags []Tag
	Info []Field // of bag-info.txt; Payload-Oxum and Bag-Size are added

	// Progress, if set, is called by one goroutine at a time. It counts the files
	// that are missing in any of the bags.
	Progress func(Progress)
}

// Place is what became of one bag.
type Place struct {
	Dir      string
	Added    int   // files that were put into it now
	Present  int   // files that it had, listed with the same checksum and there with their size
	Bytes    int64 // of those that were added
	Bypassed bool  // all that was added was read back from the device, not from the system's cache
	Err      error // why it is not whole; nil otherwise
}

// origins counts the ways in which its bytes are to be had.
func (p Put) origins() (n int) {
	for _, is := range []bool{p.Source != "", p.Content != nil, p.Make != nil} {
		if is {
			n++
		}
	}
	return n
}

var (
	errNoDir   = errors.New("there is no folder for a bag")
	errTwice   = errors.New("would be put into the bag twice, or beside a name that some systems take for the same")
	errNoData  = errors.New("is not a path in data/")
	errNotTag  = errors.New("is not a path of a tag file that can be chosen")
	errNoBytes = errors.New("needs one of a source, a content and a way to make it")
)

// check refuses what can't become a bag, before anything is touched.
func (g Growth) check() error {
	if len(g.Dirs) == 0 {
		return store.Wrap("archive", "", errNoDir)
	}
	dirs := map[string]bool{}
	for _, d := range g.Dirs {
		if dirs[filepath.Clean(d)] {
			return store.Wrap("archive to", d, store.ErrSameFile)
		}
		dirs[filepath.Clean(d)] = true
	}
	seen := map[string]bool{}
	claim := func(path string, err error) error {
		if err == nil {
			err = plain(path)
		}
		if err == nil && seen[fold(path)] {
			err = errTwice
		}
		seen[fold(path)] = true
		return store.Wrap("archive", path, err)
	}
	for _, p := range g.Puts {
		var err error
		switch {
		case !isPayload(p.Path):
			err = errNoData
		case p.origins() != 1:
			err = errNoBytes
		}
		if err := claim(p.Path, err); err != nil {
			return err
		}
	}
	for _, t := range g.Tags {
		var err error
		if reserved(t.Path) {
			err = errNotTag
		}
		if err := claim(t.Path, err); err != nil {
			return err
		}
	}
	return nil
}

// reserved reports whether a path has a meaning of its own in a bag.
func reserved(path string) bool {
	path = strings.ToLower(path)
	_, _, list := isManifest(path)
	switch path {
	case declarationName, infoName, oldInfoName, fetchName, growingName, "data":
		return true
	}
	return list || isPayload(path)
}

// differs is the error of a file that a bag has with other bytes.
func differs(dir, path string) error {
	return store.Wrap("archive to", join(dir, path), fmt.Errorf("%w from what is to be archived; nothing in a bag is replaced", store.ErrDiffers))
}
