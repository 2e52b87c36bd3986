package jpeg

import (
	"image"
	"image/color"
	"sync"
)

// This file is the decode of what layout.sequential accepts.

// decode decodes the part that is wanted of src, of which the headers are
// read and the job is laid out.
func (d *Decoder) decode(src []byte, o Options, part image.Rectangle) (*Image, error) {
	j := &d.job
	if err := d.prepare(src, o); err != nil {
		return nil, err
	}
	frame := frameOf(part, o.Scale, j.subX, j.subY, j.Width, j.Height)
	j.left, j.right = frame.Min.X*j.scale/j.unitWidth, ceilDiv(min(frame.Max.X*j.scale, j.Width), j.unitWidth)
	j.top, j.bottom = frame.Min.Y*j.scale/j.unitHeight, ceilDiv(min(frame.Max.Y*j.scale, j.Height), j.unitHeight)
	out := o.Into
	if out == nil {
		out = &Image{}
	}
	out.frame(j, o.Luma)
	good, err := d.run(src, o)
	if err != nil {
		return nil, err
	}
	if j.rgb {
		out.fromRGB()
	}
	if o.Luma {
		out.Cb, out.Cr, out.CStride, out.SubX, out.SubY = nil, nil, 0, 1, 1
	}
	out.cut(max(0, min(good, j.bottom)-j.top) * j.unitHeight / j.scale)
	corner := image.Pt(j.left*j.unitWidth/j.scale, j.top*j.unitHeight/j.scale)
	out.crop(frame, frame.Min.Sub(corner))
	return out, nil
}

// prepare makes the job out of the headers and options.
func (d *Decoder) prepare(src []byte, o Options) error {
	j := &d.job
	if err := j.tablesThere(); err != nil {
		return err
	}
	units, err := j.list(d.units[:0], d.tables, src, o.Luma && !j.rgb)
	if err != nil {
		return err
	}
	d.units = units
	j.units, j.src, j.stop = units, src[:unpad(src)], o.Stop
	j.scale, j.size = o.Scale, 8/o.Scale
	if cap(d.places) < j.down {
		d.places = make([]place, j.down)
	}
	j.places = d.places[:j.down]
	if j.resume = o.Index.fits(&j.layout, src); j.resume {
		j.places = o.Index.rows
	}
	j.through = o.Index != nil && !o.Index.Full()
	return nil
}

// run decodes the rows of the job and fills the index. It returns the first row
// that is not there.
func (d *Decoder) run(src []byte, o Options) (good int, err error) {
	j := &d.job
	if j.resume {
		good = d.side(min(j.top, len(j.places)), min(j.bottom, len(j.places)), o.Workers)
	} else {
		to := j.bottom
		if j.through {
			to = j.down
		}
		k := d.at(0)
		k.begin(j)
		good = k.rows(j, 0, to)
	}
	if stopped(j.stop) {
		return 0, ErrStopped
	}
	if good == 0 {
		return 0, FormatError("broken before the end of the first row of blocks")
	}
	if j.through {
		o.Index.fill(&j.layout, src, j.places[:good])
	}
	return good, nil
}

// at returns worker i, ready for the job.
func (d *Decoder) at(i int) *worker {
	for len(d.workers) <= i {
		d.workers = append(d.workers, &worker{})
	}
	d.workers[i].ready(&d.job)
	return d.workers[i]
}

// side decodes rows whose places are known, by several workers side by side.
func (d *Decoder) side(from, to, workers int) (good int) {
	workers = max(1, min(workers, to-from))
	if workers == 1 {
		return d.at(0).rows(&d.job, from, to)
	}
	ends := make([]int, workers)
	var all sync.WaitGroup
	for i := range workers {
		a, b := from+(to-from)*i/workers, from+(to-from)*(i+1)/workers
		k := d.at(i)
		all.Go(func() { ends[i] = k.rows(&d.job, a, b) })
	}
	all.Wait()
	for i, end := range ends {
		if end < from+(to-from)*(i+1)/workers {
			return end
		}
	}
	return to
}

// frame gives m the planes of the units that the job wants.
func (m *Image) frame(j *job, luma bool) {
	m.Width = min(ceilDiv(j.Width, j.scale), j.right*j.unitWidth/j.scale) - j.left*j.unitWidth/j.scale
	m.Height = min(ceilDiv(j.Height, j.scale), j.bottom*j.unitHeight/j.scale) - j.top*j.unitHeight/j.scale
	m.SubX, m.SubY, m.Origin = j.subX, j.subY, image.Point{}
	m.Y, m.YStride = j.plane(0, m.Y)
	m.CStride = 0
	if j.n == 3 && (!luma || j.rgb) {
		m.Cb, m.CStride = j.plane(1, m.Cb)
		m.Cr, m.CStride = j.plane(2, m.Cr)
	} else {
		m.Cb, m.Cr, m.SubX, m.SubY = nil, nil, 1, 1
	}
}

// plane makes the plane of a component, in pix if that is large enough.
func (j *job) plane(i int, pix []byte) ([]byte, int) {
	g := &j.grids[i]
	stride := (j.right - j.left) * g.h * j.size
	pix = grow(pix, stride*(j.bottom-j.top)*g.v*j.size)
	j.planes[i] = plane{pix: pix, stride: stride}
	return pix, stride
}

// fromRGB turns planes of red, green and blue into luma and chroma.
func (m *Image) fromRGB() {
	for i, r := range m.Y {
		m.Y[i], m.Cb[i], m.Cr[i] = color.RGBToYCbCr(r, m.Cb[i], m.Cr[i])
	}
}
