package icc

import (
	"fmt"
	"math"
)

// Converter takes the samples of a picture to the linear light of a space.
// It may be used by several goroutines at once.
type Converter struct {
	name     string
	channels int
	same     bool

	// One of these is there.
	grey   *[1 << 16][3]float32
	shaper *shaper
	chain  *chain
}

// Options say how colours are converted. The zero Options are those of Little CMS.
type Options struct {
	Intent Intent

	// BlackPoint makes the device's darkest black with Relative, too. With Perceptual
	// that is always so, as the spaces written are of version 4 for Little CMS.
	BlackPoint bool

	// Assume is what grey and RGB pictures without a profile hold.
	Assume Space
}

// NewConverter returns the way from a picture of so many channels (1 grey, 3 RGB,
// 4 CMYK), whose profile that is (nil if it has none), to linear light of the space.
// The error is a FormatError or an UnsupportedError, for people to read. Making one
// takes some milliseconds and a few MiB.
func NewConverter(profile []byte, channels int, to Space, o Options) (*Converter, error) {
	if channels != 1 && channels != 3 && channels != 4 {
		return nil, UnsupportedError(fmt.Sprintf("a picture of %d channels", channels))
	}
	c := &Converter{channels: channels}
	l, black, err := c.way(profile, o)
	if err != nil {
		return nil, err
	}
	m := to.fromWhite()
	if o.BlackPoint || o.Intent == Perceptual {
		b := compensate(black)
		m = m.after(&b)
	}
	switch {
	case channels == 1:
		c.fillGrey(l, &m, to)
	case len(l.steps) == 2 && l.steps[1].matrix != nil && l.pcs == white:
		m = m.after(l.steps[1].matrix)
		c.same = m.near() && near(l.steps[0].curves, to)
		if c.same {
			m = affine{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}}
			t := tone{f: to.Light}
			l.steps[0].curves = []tone{t, t, t}
		}
		c.shaper = newShaper(l.steps[0].curves, &m)
	default:
		c.chain = newChain(l, channels, &m)
	}
	return c, nil
}

// way finds what the samples mean, and the device's black.
func (c *Converter) way(profile []byte, o Options) (l *lut, black [3]float64, err error) {
	if profile == nil {
		if c.channels == 4 {
			return nil, black, UnsupportedError("CMYK picture without a profile")
		}
		return o.Assume.lut(), black, nil
	}
	if len(profile) > MaxProfile {
		return nil, black, UnsupportedError("longer than any profile of a picture")
	}
	d, err := openDevice(profile)
	if err != nil {
		return nil, black, err
	}
	// A grey picture in an RGB space has all three alike.
	if d.channels != c.channels && (c.channels != 1 || d.channels != 3) {
		names := [...]string{1: "grey", 3: "RGB", 4: "CMYK"}
		article := "a"
		if c.channels == 3 {
			article = "an"
		}
		return nil, black, UnsupportedError(names[d.channels] + " profile with " + article + " " + names[c.channels] + " picture")
	}
	c.name = text(d.find("desc"))
	if l, err = d.toWhite(o.Intent); err != nil {
		return nil, black, err
	}
	return l, d.black(o.Intent), nil
}

// lut is the way from the space's codes to XYZ.
func (s Space) lut() *lut {
	m, w := s.matrix(), d50()
	var a affine
	for r := range m {
		for c := range m[r] {
			a[r][c] = m[r][c] / w[r]
		}
	}
	a.settle()
	t := tone{f: s.Light}
	return &lut{steps: []step{{curves: []tone{t, t, t}}, {matrix: &a}}}
}

// fromWhite takes XYZ where white is 1, 1, 1 to the space's linear light.
func (s Space) fromWhite() affine {
	m, w := s.matrix(), d50()
	inv := m.inverse()
	var a affine
	for r := range inv {
		for c := range inv[r] {
			a[r][c] = inv[r][c] * w[c]
		}
	}
	return a
}

// after returns what does n first and then m.
func (m *affine) after(n *affine) affine {
	var out affine
	for r := range out {
		for c := range out[r] {
			for k := range 3 {
				out[r][c] += m[r][k] * n[k][c]
			}
		}
		out[r][3] += m[r][3]
	}
	return out
}

// near reports whether the matrix changes nothing but by rounding.
func (m *affine) near() bool {
	for r, row := range m {
		for c, v := range row {
			if r == c {
				v--
			}
			if !(math.Abs(v) < matrixTolerance) {
				return false
			}
		}
	}
	return true
}

// near reports whether the curves are the space's own but for rounding.
func near(curves []tone, s Space) bool {
	for _, t := range curves {
		for i := range 256 {
			if x := float64(i) / 255; math.Abs(s.Code(t.at(x))-x)*255 > curveTolerance {
				return false
			}
		}
	}
	return true
}

// fillGrey works every code out.
func (c *Converter) fillGrey(l *lut, m *affine, to Space) {
	c.grey, c.same = new([1 << 16][3]float32), true
	for i := range c.grey {
		x := float64(i) / 65535
		v := l.at([4]float64{x, x, x})
		for r, row := range m {
			y := row[0]*v[0] + row[1]*v[1] + row[2]*v[2] + row[3]
			c.grey[i][r] = float32(y)
			c.same = c.same && math.Abs(to.Code(y)-x)*255 < curveTolerance
		}
	}
	if c.same {
		for i := range c.grey {
			y := float32(to.Light(float64(i) / 65535))
			c.grey[i] = [3]float32{y, y, y}
		}
	}
}

// Name is the profile's description, "" if it has none: untrusted text of at most
// MaxText bytes.
func (c *Converter) Name() string { return c.name }

// Same reports whether the picture is in the space already, so that its code values
// are those of the space.
func (c *Converter) Same() bool { return c.same }

// Linear sets dst to the linear light of src: interleaved samples from 0 to 65535, of
// CMYK the more the more ink, become red, green and blue. Light outside 0..1 is of
// colours that the space does not have. dst has room for three numbers a pixel; an
// incomplete pixel at the end of src is left out.
func (c *Converter) Linear(dst []float32, src []uint16) {
	n := len(src) / c.channels
	dst, src = dst[:3*n], src[:n*c.channels]
	switch {
	case c.grey != nil:
		for i, v := range src {
			*(*[3]float32)(dst[3*i:]) = c.grey[v]
		}
	case c.shaper != nil:
		c.shaper.linear(dst, src)
	default:
		c.chain.linear(dst, src)
	}
}

// Bytes is Linear with samples from 0 to 255.
func (c *Converter) Bytes(dst []float32, src []byte) {
	var wide [12 * 32]uint16 // whole pixels of 1, 3 and 4 channels
	for len(src) >= c.channels {
		n := min(len(src)/c.channels*c.channels, len(wide))
		for i, v := range src[:n] {
			wide[i] = uint16(v) * 257
		}
		c.Linear(dst, wide[:n])
		src, dst = src[n:], dst[3*(n/c.channels):]
	}
}
