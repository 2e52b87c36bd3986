package job

import (
	"encoding/hex"
	"path/filepath"
	"strconv"
	"strings"

	"garner/cull"
	"garner/store/catalog"
)

// That an original was freed is a correction in the journal too, written before the
// file is removed, so that a path that is empty afterwards is known to be so on
// purpose:
//
//	correct freed #0123456789abcdef A/IMG_0002.CR3 SHA-256 BYTES
//
// Of several lines for one path the last counts. A line alone removes nothing, and
// says nothing of a file that is there.
const correctFreed = "freed"

// FreedFile is an original that was freed.
type FreedFile struct {
	Frame cull.ID
	Sum   Sum
	Bytes int64
}

// Freed is the entry that says that an original of the job was freed.
func Freed(path string, f FreedFile) cull.Entry {
	return cull.Entry{Verb: cull.VerbCorrect, Args: []string{correctFreed, "#" + string(f.Frame), path, f.Sum.String(), strconv.FormatInt(f.Bytes, 10)}}
}

// IsFreed reports whether an entry is one of [Freed].
func IsFreed(e cull.Entry) bool {
	return e.Verb == cull.VerbCorrect && len(e.Args) > 0 && e.Args[0] == correctFreed
}

// Freed returns the originals that were freed, by their paths in the job. Some may be
// there again, or still, where the program was killed before it removed them.
func (j *Job) Freed() (map[string]FreedFile, error) {
	var freed map[string]FreedFile
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		freed, err = freedSince(tx, 0)
		return err
	})
	return freed, err
}

// freedSince reads the lines that come after an entry.
func freedSince(tx *catalog.Tx, seq uint64) (map[string]FreedFile, error) {
	freed := map[string]FreedFile{}
	entries, err := correctionsOf(tx)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		path, f, ok := freedOf(e)
		if !ok || e.Seq <= seq {
			continue
		}
		id, err := present(tx, f.Frame)
		if err != nil {
			return nil, err
		}
		f.Frame = cull.ID(id)
		freed[path] = f
	}
	return freed, nil
}

// freedOf undoes Freed.
func freedOf(e cull.Entry) (path string, f FreedFile, ok bool) {
	if !IsFreed(e) || len(e.Args) != 5 {
		return "", f, false
	}
	id, isID := strings.CutPrefix(e.Args[1], "#")
	sum, err1 := hex.DecodeString(e.Args[3])
	bytes, err2 := strconv.ParseInt(e.Args[4], 10, 64)
	path = e.Args[2]
	if !isID || err1 != nil || err2 != nil || len(sum) != len(f.Sum) || bytes <= 0 || !filepath.IsLocal(filepath.FromSlash(path)) {
		return "", f, false
	}
	f.Frame, f.Bytes = cull.ID(id), bytes
	copy(f.Sum[:], sum)
	return path, f, true
}
