// Package day brings a job's day and its timeline together: it reads what is to be
// drawn, and writes the drawing into a file without ever replacing anything that is
// not a timeline.
package day

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"

	"garner/cull/group"
	"garner/cull/job"
	"garner/cull/timeline"
	"garner/store/atomicfile"
	"garner/store/vfs"
)

// Of reads a job's day: its frames in the corrected order, as they were decided in
// the end.
func Of(j *job.Job) (timeline.Day, error) {
	frames, err := j.Frames()
	if err != nil {
		return timeline.Day{}, err
	}
	bodies, err := j.Bodies()
	if err != nil {
		return timeline.Day{}, err
	}
	session, err := j.Session()
	if err != nil {
		return timeline.Day{}, err
	}
	d := timeline.Day{Name: filepath.Base(j.Root())}
	at := map[string]int{}
	for _, b := range bodies {
		at[b.Key] = len(d.Bodies)
		name := b.Letter
		if name == "" {
			name = b.Model
		}
		d.Bodies = append(d.Bodies, name)
	}
	l := session.Layout()
	for _, s := range l.Scenes {
		d.Scenes = append(d.Scenes, s.Name)
	}
	for _, p := range l.Places {
		f, ok := frames[p.Frame]
		if !ok || len(f.Files) == 0 {
			continue
		}
		out := timeline.Frame{At: p.Corrected.Wall, Scene: p.Scene, Body: -1, Answer: session.Outcome(p.Frame), Flash: f.Shot.Flash != nil && *f.Shot.Flash}
		if k, ok := at[f.Body]; ok {
			out.Body = k
		}
		out.EV100, out.HasEV = group.EV100(f.Shot.FNumber, f.Shot.Seconds, f.Shot.ISO)
		d.Frames = append(d.Frames, out)
	}
	return d, nil
}

// ErrNotTimeline says that a file is there that is no timeline.
var ErrNotTimeline = errors.New("is there and is no timeline of garner's; it is left as it is")

// Write puts a timeline into a file, whole or not at all. A file that is there is
// replaced only if it is a timeline.
func Write(file string, data []byte) error { return write(vfs.OS{}, file, data) }

func write(fsys vfs.FS, file string, data []byte) error {
	old, err := head(fsys, file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case !timeline.Is(old):
		return fmt.Errorf("%s %w", file, ErrNotTimeline)
	}
	return atomicfile.WriteFile(fsys, file, data, 0o666)
}

// head reads as much of a file as is needed to know a timeline. A link, a folder or
// a device is none.
func head(fsys vfs.FS, file string) ([]byte, error) {
	info, err := fsys.Lstat(file)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, nil
	}
	f, err := fsys.Open(file)
	if err != nil {
		return nil, err
	}
	b, err := io.ReadAll(io.LimitReader(f, timeline.MarkWithin))
	return b, errors.Join(err, f.Close())
}
