package free

import (
	"context"
	"errors"

	"garner/cull"
	"garner/preview/exif"
	"garner/preview/small"
	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// hasOriginal proves that a bag has the original itself: another file than the one that
// is held, with all its bytes.
func (b *bag) hasOriginal(ctx context.Context, fsys vfs.FS, h *original, f File, at string) error {
	want, listed := b.tags.Sum(at)
	name := b.file(at)
	if !listed || want != f.Sum {
		return store.Wrap("read", name, errUnlisted)
	}
	info, err := fsys.Lstat(name)
	switch {
	case err != nil:
		return store.Wrap("read", name, err)
	case !info.Mode().IsRegular():
		return store.Wrap("read", name, store.ErrNotRegular)
	case vfs.SameFile(info, h.info):
		return store.Wrap("read", name, errVery)
	}
	_, err = copy.Verify(ctx, fsys, name, f.Sum)
	return err
}

// retired makes the small picture of a keeper's original of the JPEG inside it: its bags
// have the original, and the job keeps the picture.
func (r *run) retired(inside []byte, o small.Original, f File, frame cull.Frame) ([]byte, error) {
	o.Frame, o.Path, o.Sum = string(frame.ID), f.Path, f.Sum
	for _, a := range frame.Aliases {
		o.Aliases = append(o.Aliases, string(a))
	}
	for _, x := range frame.Files {
		if x.Path == f.Path {
			o.Role, o.Head = string(x.Role), x.Head
		}
	}
	bodies, err := r.job.Bodies()
	if err != nil {
		return nil, err
	}
	for _, b := range bodies {
		if b.Key == frame.Body {
			o.Body = b.Letter
			o.Corrected = corrected(b.Correct(frame.Taken))
		}
	}
	data, err := small.Wrap(inside, o)
	if err != nil {
		return nil, err
	}
	if _, err := stands(data, f, frame); err != nil {
		return nil, err
	}
	if !small.SameScans(inside, data) {
		return nil, errors.New("its small picture could not be made")
	}
	return data, nil
}

func corrected(s cull.Stamp) exif.Time {
	return exif.Time{Wall: s.Wall, Digits: s.Digits, Zone: s.Zone, HasZone: s.ZoneIs != cull.ZoneUnknown && s.ZoneIs != ""}
}
