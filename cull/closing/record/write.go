package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
)

// Content is a record before it lies in a bag.
type Content struct {
	Job      Job
	Frames   []Frame
	Files    []File
	Pictures []Picture
	Wrote    []Wrote
	Journal  []byte
	Thumbs   []byte
}

// RunFolder is where the record of a number lies in a bag.
func RunFolder(run int) string { return fmt.Sprintf("%s/%04d", Folder, run) }

// Encode gives the files of a record by their names. The counts of Job are those of the
// lists.
func (c Content) Encode() (map[string][]byte, error) {
	c.Job.V, c.Job.Frames, c.Job.Files, c.Job.Pictures, c.Job.Wrote = Version, len(c.Frames), len(c.Files), len(c.Pictures), len(c.Wrote)
	about, err := json.MarshalIndent(c.Job, "", "  ")
	if err != nil {
		return nil, err
	}
	files := map[string][]byte{JobName: append(about, '\n'), JournalName: slices.Clone(c.Journal), ThumbsName: c.Thumbs}
	if files[FramesName], err = lines(c.Frames); err != nil {
		return nil, err
	}
	if files[FilesName], err = lines(c.Files); err != nil {
		return nil, err
	}
	if files[PicturesName], err = lines(c.Pictures); err != nil {
		return nil, err
	}
	files[WroteName], err = lines(c.Wrote)
	return files, err
}

// lines is a line of JSON for each of a list.
func lines[T any](list []T) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	for _, v := range list {
		if err := e.Encode(v); err != nil {
			return nil, err
		}
	}
	return b.Bytes(), nil
}
