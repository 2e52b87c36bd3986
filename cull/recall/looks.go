package recall

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"garner/cull/recall/like"
	"garner/store/vfs"
)

// looksPrefix begins the name of that file; behind it is a sum of what it was made of.
const looksPrefix = "looks-"

// errNowhere says that a shelf has nowhere to keep its looks.
var errNowhere = errors.New("the index cannot be kept")

// findLooks asks the looks of a shelf, which are made where they are not there or damaged.
func (s *shelf) findLooks(ctx context.Context, build func(io.Writer) error, p *like.Picture, most, rows int) ([]like.Match, error) {
	for range 2 {
		found, err := s.askLooks(ctx, p, most, rows)
		if err == nil || ctx.Err() != nil {
			return found, err
		}
		if err := s.makeLooks(build); err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, errNowhere
		}
	}
	return nil, errNowhere
}

// looksName is that of the file for the present parts.
func (s *shelf) looksName() string {
	h := sha256.New()
	for _, k := range s.keys {
		h.Write(k[:])
	}
	return looksPrefix + hex.EncodeToString(h.Sum(nil)[:12])
}

func (s *shelf) askLooks(ctx context.Context, p *like.Picture, most, rows int) ([]like.Match, error) {
	err := errNowhere
	for _, dir := range s.looks {
		name := filepath.Join(dir, s.looksName())
		info, statErr := os.Lstat(name)
		if statErr != nil || !info.Mode().IsRegular() {
			continue
		}
		f, openErr := os.Open(name)
		if openErr != nil {
			continue
		}
		defer f.Close()
		var c *like.Columns
		if c, err = like.Open(f, info.Size()); err != nil {
			continue
		}
		if c.Rows() != rows {
			err = errDamaged
			continue
		}
		var found []like.Match
		if found, err = c.Find(ctx, p, most); err == nil {
			return found, nil
		}
	}
	return nil, err
}

// makeLooks writes the file, and removes those of other states of the shelf.
func (s *shelf) makeLooks(build func(io.Writer) error) error {
	if err := s.prepare(); err != nil {
		return err
	}
	name := filepath.Join(s.kept, s.looksName())
	if err := replaceBy(name, func(f vfs.File) error {
		w := bufio.NewWriterSize(f, 1<<20)
		return errors.Join(build(w), w.Flush())
	}); err != nil {
		return fmt.Errorf("the looks cannot be kept: %w", err)
	}
	s.sweep()
	return nil
}

// isLooks reports whether a file of an index is one of looks.
func isLooks(name string) bool { return strings.HasPrefix(name, looksPrefix) }
