package handoff

import (
	"bytes"
	"fmt"
	"maps"
	"path/filepath"
	"slices"

	"garner/store/atomicfile"
)

// NoteName is the note for the editor in a folder of copies.
const NoteName = "READ ME.txt"

// note tells the person at the raw editor what lies here. It holds no time of
// writing: the same decisions give the same bytes.
func (s *state) note(keeps []Keep, scenes map[string]int) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n\n", portable(filepath.Base(s.job.Root())))
	fmt.Fprintf(&b, "%d pictures to work on, one folder for each scene of even light:\n\n", len(keeps))
	for _, name := range slices.Sorted(maps.Keys(scenes)) {
		fmt.Fprintf(&b, "  %-32s %5d\n", name, scenes[name])
	}
	fmt.Fprint(&b, `
Names: place in the day's order, body, camera name (0412-A-IMG_0001). With the
bodies' clocks corrected, sorting by name sorts by time.

`)
	fmt.Fprintf(&b, "Sidecars (.xmp): rating %d for a keeper, xmpDM:good True, the scene and the\nbody's letter.", s.o.Rating)
	if s.sum.Parts > 0 {
		fmt.Fprintf(&b, " %d frames are material for a merge (bracket, panorama, stack).", s.sum.Parts)
	}
	fmt.Fprintln(&b)
	if s.sum.InFile > 0 {
		fmt.Fprintf(&b, "\n%d of the pictures are JPEG, HEIF, TIFF or DNG files, for which many editors read\nno sidecar: their ratings may not show.\n", s.sum.InFile)
	}
	fmt.Fprint(&b, `
These are copies; the originals lie in the job. Put the finished pictures into
the job's folder finished/, under these names or the camera's own.
`)
	return b.Bytes()
}

// lists writes the lists of keepers into the job.
func (s *state) lists(keeps []Keep) error {
	text, skipped := textList(keeps)
	s.sum.NotInText = skipped
	table, err := csvList(keeps)
	if err != nil {
		return err
	}
	object, err := jsonList(keeps)
	if err != nil {
		return err
	}
	for _, l := range []struct {
		name string
		data []byte
	}{{ListText, text}, {ListCSV, table}, {ListJSON, object}} {
		if err := atomicfile.WriteFile(s.fs, filepath.Join(s.job.Root(), l.name), l.data, 0o666); err != nil {
			return err
		}
		s.sum.Lists = append(s.sum.Lists, l.name)
	}
	return nil
}
