package job

import (
	"encoding/hex"
	"errors"
	"fmt"

	"garner/store"
	"garner/store/manifest"
	"garner/store/vfs"
)

// Sum is the SHA-256 of a file.
type Sum [32]byte

// String gives the sum in lower-case hexadecimal digits.
func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// Manifest returns the sums of the originals by their paths in the job; none is
// no error. Lines that can't be read are an error: a manifest that silently
// loses files proves nothing.
func (j *Job) Manifest() (map[string]Sum, error) {
	read, err := manifest.Load(vfs.OS{}, j.manifestPath())
	if err != nil {
		var e *store.Error
		if errors.As(err, &e) {
			err = e.Err // the path is said shorter
		}
		return nil, fmt.Errorf("%s: %w", manifestName, err)
	}
	sums := make(map[string]Sum, len(read))
	for path, sum := range read {
		sums[path] = sum
	}
	return sums, nil
}

// RecordManifest adds sums to the manifest, or replaces those of the same paths.
func (j *Job) RecordManifest(add map[string]Sum) error {
	return j.changeManifest(func(sums map[string]manifest.Sum) {
		for path, sum := range add {
			sums[path] = sum
		}
	})
}

// RenameManifest gives files of the manifest their new paths; "" takes a file
// out.
func (j *Job) RenameManifest(moved map[string]string) error {
	return j.changeManifest(func(sums map[string]manifest.Sum) {
		found := map[string]manifest.Sum{}
		for from, to := range moved {
			if sum, ok := sums[from]; ok && to != "" {
				found[to] = sum
			}
			delete(sums, from)
		}
		for to, sum := range found {
			sums[to] = sum
		}
	})
}

func (j *Job) changeManifest(change func(map[string]manifest.Sum)) error {
	if j.o.ReadOnly {
		return errReadOnly
	}
	return j.db.Exclusively(func() error {
		sums, err := manifest.Load(vfs.OS{}, j.manifestPath())
		if err != nil {
			return err
		}
		change(sums)
		return manifest.Save(vfs.OS{}, j.manifestPath(), sums)
	})
}
