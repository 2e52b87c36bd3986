package station

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"slices"

	"garner/cull"
	"garner/cull/output"
	"garner/cull/prepare"
	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/sched"
)

const (
	// maxTrialBytes is what the pictures that are being cut may hold together.
	maxTrialBytes = 512 << 20
	// cutBytes is about what one of them holds, and readBytes a file that is decoded.
	cutBytes, readBytes = 200 << 20, 64 << 20
	// keptCuts is what files that were cut may hold: they are needed to look closer.
	keptCuts = 96 << 20
	// trialDetailBytes is what those may hold that are open for that.
	trialDetailBytes = 96 << 20
)

// tried is what a piece of work gives.
type tried struct {
	cut    output.Shown
	detail *preview.Detail
	prepare.Picture
}

func (t *Trial) wholeKey(set, at int) string {
	return fmt.Sprintf("%s whole %d", t.keyOf(set, at), t.edge)
}

func (t *Trial) uncutKey() string { return fmt.Sprintf("%s uncut %d", t.key(), t.edge) }

func (t *Trial) closeKey(p part) string {
	return fmt.Sprintf("%s close %v %v", t.key(), p.rect, p.room)
}

func (t *Trial) detailID(set, at int) cull.ID { return cull.ID(t.keyOf(set, at) + " detail") }

// next is the first thing that is missing on the way to a view of a picture in a set.
func (t *Trial) next(set, at int, view trialView, class sched.Class) errand[tried] {
	key := t.keyOf(set, at)
	w := errand[tried]{class: class, bytes: readBytes}
	w.fail = func(err error) { t.failed[key] = failedCut{output.Why(err), output.Advice(err, t.sets[set])} }
	c, ok := t.cuts.use(key)
	if _, no := t.failed[key]; no {
		return w
	}
	if !ok {
		s, path := t.sets[set], t.pictures[at]
		w.key, w.bytes = key+" cut", cutBytes
		w.run = func(ctx context.Context) (tried, error) {
			shown, err := t.showing.Show(ctx, s, path)
			return tried{cut: shown}, err
		}
		w.take = func(m tried) { t.cuts.put(key, m.cut) }
		return w
	}
	if whole := t.wholeKey(set, at); !t.album.use(whole) {
		edge, keep := t.edge, t.sources
		w.key = whole
		w.run = func(ctx context.Context) (tried, error) { return readCut(ctx, c.Bytes, edge, keep) }
		w.take = func(m tried) { t.album.put(whole, m.Picture, albumBytes) }
		return w
	}
	switch view {
	case filePixels:
		t.wantPixels(&w, c)
	case uncutPicture:
		t.wantUncut(&w, c)
	}
	return w
}

// wantPixels asks for the pixels of the file that is looked at.
func (t *Trial) wantPixels(w *errand[tried], c output.Shown) {
	id := t.detailID(t.set, t.at)
	d := t.details.get(id)
	if d == nil {
		w.key = string(id)
		w.run = func(ctx context.Context) (tried, error) {
			f, err := preview.Open(bytes.NewReader(c.Bytes), int64(len(c.Bytes)))
			if err != nil {
				return tried{}, err
			}
			detail, err := f.Detail(ctx)
			return tried{detail: detail}, err
		}
		w.take = func(m tried) { t.details.put(id, m.detail) }
		return
	}
	t.details.use(id)
	p, ok := t.part()
	if !ok || t.closeUps.use(t.closeKey(p)) {
		return
	}
	key := t.closeKey(p)
	w.key, w.bytes = key, p.bytes()
	w.run = func(ctx context.Context) (tried, error) {
		m, err := makeClose(ctx, d, p, 0, Overlay{})
		return tried{Picture: prepare.Picture{Image: m}}, err
	}
	w.take = func(m tried) { t.closeUps.put(key, m.Picture, closeBytes) }
}

// wantUncut asks for the picture that is looked at with what the set cuts away.
func (t *Trial) wantUncut(w *errand[tried], c output.Shown) {
	key := t.uncutKey()
	if t.album.use(key) {
		return
	}
	s, path, edge := t.sets[t.set], t.pictures[t.at], t.edge
	w.key, w.bytes = key, cutBytes
	w.run = func(ctx context.Context) (tried, error) {
		whole, err := t.showing.Uncut(ctx, s, path, edge)
		if err != nil {
			return tried{}, err
		}
		m, err := readCut(ctx, whole.Bytes, edge, false)
		if err == nil {
			m.Image = framedCrop(m.Image, c.Kept, c.Full)
		}
		return m, err
	}
	w.take = func(m tried) { t.album.put(key, m.Picture, albumBytes) }
}

// readCut decodes a file for the screen, in the colours of the screen.
func readCut(ctx context.Context, file []byte, edge int, keep bool) (tried, error) {
	f, err := preview.Open(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return tried{}, err
	}
	p, err := f.Render(ctx, edge)
	if err != nil {
		return tried{}, err
	}
	m := tried{Picture: prepare.Picture{Image: p.Image}}
	if keep && len(p.Source) <= maxSource {
		m.Source = p.Source
	}
	return m, nil
}

// cuts are the files that were cut, the last used longest.
type cuts struct {
	files map[string]output.Shown
	order []string
	bytes int
}

func (c *cuts) get(key string) (output.Shown, bool) {
	s, ok := c.files[key]
	return s, ok
}

// use is get, and makes the file the last that was used.
func (c *cuts) use(key string) (output.Shown, bool) {
	s, ok := c.files[key]
	if ok {
		i := slices.Index(c.order, key)
		c.order = append(slices.Delete(c.order, i, i+1), key)
	}
	return s, ok
}

// put adds a file and lets go of those not used for longest; the new one stays.
func (c *cuts) put(key string, s output.Shown) {
	if c.files == nil {
		c.files = map[string]output.Shown{}
	}
	if _, ok := c.files[key]; ok {
		return
	}
	c.files[key], c.order, c.bytes = s, append(c.order, key), c.bytes+len(s.Bytes)
	for c.bytes > keptCuts && len(c.order) > 1 {
		c.bytes -= len(c.files[c.order[0]].Bytes)
		delete(c.files, c.order[0])
		c.order = c.order[1:]
	}
}

// framedCrop draws what is kept of a picture as it is, with a line around it, and the
// rest dim. Kept counts the pixels of a picture of that full size.
func framedCrop(m *jpeg.Image, kept image.Rectangle, full image.Point) *jpeg.Image {
	out := copyOf(m)
	scale := func(at, from, to int) int { return (at*to + from/2) / from }
	r := image.Rect(scale(kept.Min.X, full.X, m.Width), scale(kept.Min.Y, full.Y, m.Height), scale(kept.Max.X, full.X, m.Width), scale(kept.Max.Y, full.Y, m.Height))
	dimAround(out.Y, out.YStride, m.Width, m.Height, r, 0)
	if !out.Grey() {
		w, h := out.ChromaSize()
		inner := image.Rect(r.Min.X/m.SubX, r.Min.Y/m.SubY, (r.Max.X+m.SubX-1)/m.SubX, (r.Max.Y+m.SubY-1)/m.SubY)
		dimAround(out.Cb, out.CStride, w, h, inner, 128)
		dimAround(out.Cr, out.CStride, w, h, inner, 128)
	}
	line := max(1, max(m.Width, m.Height)/600)
	for y := range m.Height {
		for x := range m.Width {
			if p := image.Pt(x, y); p.In(r) && !p.In(r.Inset(line)) {
				ink(out, x, y, 255)
			}
		}
	}
	return out
}

// dimAround brings the samples of a plane outside a rectangle nearer to what black has.
func dimAround(plane []byte, stride, w, h int, r image.Rectangle, black int) {
	for y := range h {
		row := plane[y*stride:][:w]
		for x := range row {
			if !image.Pt(x, y).In(r) {
				row[x] = byte(black + (int(row[x])-black)/4)
			}
		}
	}
}
