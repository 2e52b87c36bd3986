package job

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
)

// OutsideFolder is where a job has files that its settings name elsewhere: an archive takes
// them along, and a job that is opened from it finds them there.
//
//	outside/picture/NAME   the picture of the stamp
//	outside/font/NAME      its font
const OutsideFolder = "outside"

// Outside is a file that settings name outside of the job.
type Outside struct {
	What string // picture, font
	From string // absolute, as the settings are read
	Path string // in the job, for where it is not to be had from there
}

// Outside lists the files that the settings of a job name outside of its folder, whether
// they are there or not.
func (s Settings) Outside(root string) []Outside {
	var list []Outside
	for what, named := range map[string]*string{"picture": s.Stamp.Picture, "font": s.Stamp.Font} {
		if named == nil || *named == "" {
			continue
		}
		from, err := filepath.Abs(*named) // the folder of the settings may have been named in short
		if err != nil {
			continue
		}
		if rel, err := filepath.Rel(root, from); err == nil && filepath.IsLocal(rel) {
			continue
		}
		base := (*named)[strings.LastIndexAny(*named, `/\`)+1:] // also of a path of another system
		if base = cull.PortableName(base); base != "" {
			list = append(list, Outside{what, from, OutsideFolder + "/" + what + "/" + base})
		}
	}
	slices.SortFunc(list, func(a, b Outside) int { return strings.Compare(a.Path, b.Path) })
	return list
}

// brought puts what the job has itself in the place of files that its settings name and that
// are not there.
func (s Settings) brought(root string) (Settings, []Outside) {
	var used []Outside
	for _, o := range s.Outside(root) {
		own := filepath.Join(root, filepath.FromSlash(o.Path))
		if _, err := os.Stat(o.From); !errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if info, err := os.Lstat(own); err != nil || !info.Mode().IsRegular() {
			continue
		}
		if used = append(used, o); o.What == "font" {
			s.Stamp.Font = &own
		} else {
			s.Stamp.Picture = &own
		}
	}
	return s, used
}

// Brought lists the files that came with the job and are used in the place of those that the
// settings name.
func (j *Job) Brought() []Outside { return j.brought }
