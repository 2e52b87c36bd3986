package station

import (
	"context"
	"errors"
	"io/fs"
	"os"

	"garner/cull"
	"garner/cull/prepare"
	"garner/preview"
	"garner/preview/sched"
)

// found is what a piece of work gives.
type found struct {
	prepare.Picture
	detail *preview.Detail
	lesser string // why it is the thumbnail
}

// tile asks for a frame's picture among the others, one for the large one.
func (d *Finds) tile(i int, class sched.Class) errand[found] {
	return d.picture(d.tileKey(i), i, d.tiling().edge(d.place, findsFormats()), false, class)
}

func (d *Finds) one(i int, class sched.Class) errand[found] {
	return d.picture(d.oneKey(i), i, d.edge, d.sources, class)
}

func (d *Finds) picture(key string, i, edge int, keep bool, class sched.Class) errand[found] {
	if _, no := d.failed[key]; no || d.album.use(key) {
		return errand[found]{}
	}
	f := d.frames[i]
	return errand[found]{key: key, class: class, bytes: readBytes, fail: d.cannot(key),
		run: func(ctx context.Context) (found, error) { return readFound(ctx, f, edge, keep) },
		take: func(m found) {
			d.album.put(key, m.Picture, albumBytes)
			if m.lesser != "" {
				d.lesser[i] = m.lesser
			}
		}}
}

// pixels asks for the part of a frame that is seen close.
func (d *Finds) pixels(i int) errand[found] {
	key := d.detailKey(i)
	if _, no := d.failed[key]; no {
		return errand[found]{}
	}
	id := cull.ID(key)
	detail := d.details.get(id)
	if detail == nil {
		f := d.frames[i]
		return errand[found]{key: key, class: sched.Visible, bytes: cutBytes, fail: d.cannot(key),
			run: func(ctx context.Context) (m found, err error) {
				err = openFound(f, func(p *preview.File) error {
					m.detail, err = p.Detail(ctx)
					return err
				})
				return m, err
			},
			take: func(m found) { d.details.put(id, m.detail) }}
	}
	d.details.use(id)
	p, ok := d.part()
	if !ok || d.closeUps.use(d.closeKey(i, p)) {
		return errand[found]{}
	}
	part := d.closeKey(i, p)
	return errand[found]{key: part, class: sched.Visible, bytes: p.bytes(), fail: d.cannot(part),
		run: func(ctx context.Context) (found, error) {
			m, err := makeClose(ctx, detail, p, 0, Overlay{})
			return found{Picture: prepare.Picture{Image: m}}, err
		},
		take: func(m found) { d.closeUps.put(part, m.Picture, closeBytes) }}
}

// openFound opens the best file of a frame for as long as do works on it. Waiting for
// what is no file, a pipe, would never end.
func openFound(f FoundFrame, do func(*preview.File) error) error {
	if f.File == "" {
		return errors.New(noFileThere)
	}
	if info, err := os.Stat(f.File); err != nil {
		return plainPath(err)
	} else if !info.Mode().IsRegular() {
		return errors.New("it is no file")
	}
	r, err := os.Open(f.File)
	if err != nil {
		return plainPath(err)
	}
	defer r.Close()
	info, err := r.Stat()
	if err != nil {
		return plainPath(err)
	}
	p, err := preview.Open(r, info.Size())
	if err != nil {
		return err
	}
	return do(p)
}

// plainPath is an error without the path: which frame it is stands beside it.
func plainPath(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// readFound makes a frame's picture for the screen: of its best file, else of the
// thumbnail that is kept of it.
func readFound(ctx context.Context, f FoundFrame, edge int, keep bool) (m found, err error) {
	err = openFound(f, func(p *preview.File) error {
		pic, err := p.Render(ctx, edge)
		if err != nil {
			return err
		}
		m.Image = pic.Image
		if keep && len(pic.Source) <= maxSource {
			m.Source = pic.Source
		}
		return nil
	})
	if err == nil || ctx.Err() != nil || f.Thumb == nil {
		return m, err
	}
	thumb, terr := f.Thumb()
	if terr != nil {
		return m, err
	}
	t, terr := readCut(ctx, thumb, edge, false)
	if terr != nil {
		return m, err
	}
	return found{Picture: t.Picture, lesser: "only its thumbnail: " + plainWhy(err.Error())}, nil
}

// cannot notes why something cannot be made.
func (d *Finds) cannot(key string) func(error) {
	return func(err error) { d.failed[key] = plainWhy(err.Error()) }
}
