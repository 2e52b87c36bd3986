package jpeg

import (
	"image"
	"image/color"
)

// This file is the decode of what layout.sequential accepts.

// decode decodes the part that is wanted of src, of which the headers are
// read and the job is laid out.
func (d *Decoder) decode(src []byte, o Options, part image.Rectangle) (*Image, error) {
	j := &d.job
	frame := frameOf(part, o.Scale, j.subX, j.subY, j.Width, j.Height)
	j.left, j.right = frame.Min.X*o.Scale/j.unitWidth, ceilDiv(min(frame.Max.X*o.Scale, j.Width), j.unitWidth)
	j.top, j.bottom = frame.Min.Y*o.Scale/j.unitHeight, ceilDiv(min(frame.Max.Y*o.Scale, j.Height), j.unitHeight)
	if err := d.prepare(src, o); err != nil {
		return nil, err
	}
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
	j.src, j.stop = src[:unpad(src)], o.Stop
	j.scale, j.size = o.Scale, 8/o.Scale
	if cap(d.places) < j.down {
		d.places = make([]place, j.down)
	}
	j.places = d.places[:j.down]
	if j.resume = o.Index.fits(&j.layout, src); j.resume {
		j.places = o.Index.rows
	}
	j.through = o.Index != nil && !o.Index.Full()
	if o.Workers > 1 && !j.resume {
		if d.mark(); j.markers == nil && j.scale < 8 {
			j.apart = true
			j.strips(j.right - j.left)
		}
	}
	var err error
	d.units, err = j.list(d.units[:0], d.tables, src, o.Luma && !j.rgb)
	j.units = d.units
	return err
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
