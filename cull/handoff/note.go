package handoff

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

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
bodies' clocks corrected before the first handoff, sorting by name sorts by time;
a picture keeps the folder and the name that it first got.

`)
	fmt.Fprintf(&b, "Sidecars (.xmp): rating %d for a keeper, xmpDM:good True, the scene and the\nbody's letter.", s.o.Rating)
	if s.sum.Parts > 0 {
		fmt.Fprintf(&b, " %d frames are material for a merge (bracket, panorama, stack).", s.sum.Parts)
	}
	fmt.Fprintln(&b)
	if s.sum.InFile > 0 {
		fmt.Fprintf(&b, "\nJPEG, HEIF, TIFF or DNG files among them: %d. Many editors read no sidecar for\nthose, so that their ratings may not show.\n", s.sum.InFile)
	}
	fmt.Fprint(&b, `
These are copies; the originals lie in the job. Put the finished pictures into
the job's folder finished/, under these names or the camera's own.
`)
	return b.Bytes()
}

// leaveNote writes the note, unless a file of that name is there that is not
// ours.
func (s *state) leaveNote(keeps []Keep, scenes map[string]int) error {
	file, data := under(s.o.To, NoteName), s.note(keeps, scenes)
	old, err := readBounded(s.fs, file)
	same := err == nil && old != nil && bytes.Equal(old, data)
	if err == nil && old != nil && !same && !strings.Contains(string(s.mem.get(s.noteKey())), digest(old)) {
		err = errors.New("a file of that name is there that garner did not write")
	}
	if err != nil {
		s.tell(Line{Copy: NoteName, Action: Skipped, Reason: reason(err)})
		return nil
	}
	if same {
		return nil
	}
	// Both digests, since a kill may come before the new note is in its place.
	s.mem.set(s.noteKey(), []byte(digest(data)+" "+digest(old)))
	if err := s.mem.save(); err != nil {
		return err
	}
	return atomicfile.WriteFile(s.fs, file, data, 0o666)
}
