package imprint

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"

	"garner/preview/icc"
)

// Limits of a PNG, looked at before it is decoded.
const (
	maxPNG    = 32 << 20 // bytes
	maxPixels = 16 << 20
)

// logo is a picture for a stamp.
type logo struct {
	width, height int
	src           image.Image
}

// newLogo reads a PNG, whose numbers are taken as sRGB whatever it says of them.
func newLogo(file []byte) (*logo, error) {
	if len(file) > maxPNG {
		return nil, &StampError{"picture", "has more than 32 MiB"}
	}
	c, err := png.DecodeConfig(bytes.NewReader(file))
	if err != nil {
		return nil, &StampError{"picture", "is not a PNG that can be read: " + plain(err.Error())}
	}
	if c.Width < 1 || c.Height < 1 || int64(c.Width)*int64(c.Height) > maxPixels {
		return nil, &StampError{"picture", fmt.Sprintf("has %dx%d pixels, more than a stamp needs", c.Width, c.Height)}
	}
	m, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		return nil, &StampError{"picture", "is damaged: " + plain(err.Error())}
	}
	return &logo{width: c.Width, height: c.Height, src: m}, nil
}

// row gives row y as red, green, blue with the alpha in them, and the alpha, of 1.
func (l *logo) row(y int, to []float32) {
	b := l.src.Bounds()
	y += b.Min.Y
	for x := range l.width {
		var c color.NRGBA
		switch m := l.src.(type) {
		case *image.NRGBA:
			c = m.NRGBAAt(b.Min.X+x, y)
		case *image.RGBA: // what png gives has no alpha then
			v := m.RGBAAt(b.Min.X+x, y)
			c = color.NRGBA(v)
		case *image.Paletted:
			c = color.NRGBAModel.Convert(m.Palette[m.ColorIndexAt(b.Min.X+x, y)]).(color.NRGBA)
		default:
			c = color.NRGBAModel.Convert(l.src.At(b.Min.X+x, y)).(color.NRGBA)
		}
		a := float32(c.A) / 255
		p := to[4*x : 4*x+4]
		p[0], p[1], p[2], p[3] = float32(c.R)/255*a, float32(c.G)/255*a, float32(c.B)/255*a, a
	}
}

// draw makes the picture of across by down pixels.
func (l *logo) draw(across, down int, plain bool, space icc.Space) *Mark {
	pix, light := l.resized(across, down)
	l.convert(pix, space)
	m := &Mark{}
	if plain || opaque(pix) {
		m.w, m.h, m.pix = across, down, pix
		return m
	}
	radius := max(1, int(math.Round(logoOutline*float64(down))))
	m.pad = 3 * radius
	m.w, m.h = across+2*m.pad, down+2*m.pad
	mask := make([]byte, m.w*m.h)
	for y := range down {
		for x := range across {
			mask[(y+m.pad)*m.w+x+m.pad] = pix[4*(y*across+x)+3]
		}
	}
	around := byte(0)
	if light < 0.5 {
		around = 255
	}
	m.pix = make([]byte, 4*len(mask))
	m.over(make([]byte, len(mask)), softOutline(mask, m.w, radius, outlineStrength), 0, around)
	for y := range down {
		for x := range across {
			m.onto(4*((y+m.pad)*m.w+x+m.pad), pix[4*(y*across+x):][:4])
		}
	}
	return m
}

// logoOutline is the reach of the outline as share of the picture's height.
const logoOutline = 0.018

// onto puts a colour with alpha over the outline at i.
func (m *Mark) onto(i int, c []byte) {
	p := m.pix[i : i+4]
	a := uint32(c[3])
	below := uint32(p[3]) * (255 - a) / 255
	all := a + below
	if all == 0 {
		return
	}
	for k := range 3 {
		p[k] = byte((uint32(c[k])*a + uint32(p[k])*below + all/2) / all)
	}
	p[3] = byte(all)
}

// opaque says that next to nothing can be seen through a picture: then it has its
// own rim, and an outline would be a frame.
func opaque(pix []byte) bool {
	clear := 0
	for i := 3; i < len(pix); i += 4 {
		if pix[i] < 250 {
			clear++
		}
	}
	return clear*50 < len(pix)/4
}

// convert takes colours from sRGB to another space.
func (l *logo) convert(pix []byte, space icc.Space) {
	if space == icc.SpaceSRGB {
		return
	}
	t, from := tableOf(space), fromSRGB(space)
	for i := 0; i+4 <= len(pix); i += 4 {
		var lin [3]float64
		for c := range lin {
			lin[c] = icc.SpaceSRGB.Light(float64(pix[i+c]) / 255)
		}
		for c := range lin {
			pix[i+c] = t.code(float32(from[c][0]*lin[0] + from[c][1]*lin[1] + from[c][2]*lin[2]))
		}
	}
}

// fromSRGB is the matrix from linear sRGB to the light of a space.
func fromSRGB(s icc.Space) (inv [3][3]float64) {
	p := icc.DisplayP3()
	if s == icc.SpaceAdobeRGB {
		p = icc.AdobeRGB()
	}
	m := p.ToSRGB()
	minor := func(r, c int) float64 {
		r1, r2, c1, c2 := (r+1)%3, (r+2)%3, (c+1)%3, (c+2)%3
		return m[r1][c1]*m[r2][c2] - m[r1][c2]*m[r2][c1]
	}
	det := m[0][0]*minor(0, 0) + m[0][1]*minor(0, 1) + m[0][2]*minor(0, 2)
	for r := range inv {
		for c := range inv[r] {
			inv[r][c] = minor(c, r) / det
		}
	}
	return inv
}
