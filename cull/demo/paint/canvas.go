// Package paint is a small renderer for the pictures of the demo shoot: soft
// shapes that take light from one direction, blur that stands for depth, and a
// development step that turns linear light into JPEG planes the way a camera
// does: exposure, tone curve, vignette, grain.
//
// All light is linear; a value of 1 is a white surface in full key light.
// Drawing coordinates are units, not pixels: the short side of a canvas is 1000
// units whatever its resolution, so that a blurred background can be drawn
// small and a sharp subject large with the same code.
package paint

import "math"

// RGB is linear light.
type RGB [3]float32

// Hex gives the linear light of an sRGB colour 0xRRGGBB.
func Hex(v uint32) RGB {
	var c RGB
	for i := range 3 {
		c[i] = float32(toLinear(float64(v>>(16-8*i)&0xFF) / 255))
	}
	return c
}

// Mul scales light.
func (c RGB) Mul(k float32) RGB { return RGB{c[0] * k, c[1] * k, c[2] * k} }

// Times filters light by a surface.
func (c RGB) Times(d RGB) RGB { return RGB{c[0] * d[0], c[1] * d[1], c[2] * d[2]} }

// Mix goes from c (t = 0) to d (t = 1).
func (c RGB) Mix(d RGB, t float32) RGB {
	return RGB{c[0] + (d[0]-c[0])*t, c[1] + (d[1]-c[1])*t, c[2] + (d[2]-c[2])*t}
}

func toLinear(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func toSRGB(v float64) float64 {
	if v <= 0.0031308 {
		return v * 12.92
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// Canvas is a picture in linear light, three values per pixel.
type Canvas struct {
	W, H  int // pixels
	Scale float32
	Pix   []float32
	Light Light // what Fill shades with
	Focus Spot  // the largest face drawn since the last Copy: where a body focuses
	work  scratch
}

// Spot is a place on the canvas in units; R 0 means there is none.
type Spot struct{ X, Y, R float32 }

// New makes a black canvas.
func New(w, h int) *Canvas {
	return &Canvas{W: w, H: h, Scale: float32(min(w, h)) / 1000, Pix: make([]float32, 3*w*h)}
}

// Width and Height are the canvas in units.
func (c *Canvas) Width() float32 { return float32(c.W) / c.Scale }

// Height is the canvas's height in units.
func (c *Canvas) Height() float32 { return float32(c.H) / c.Scale }

// Copy puts the pixels of src, scaled by bilinear interpolation, onto c.
func (c *Canvas) Copy(src *Canvas) {
	c.Focus = Spot{}
	if src.W == c.W && src.H == c.H {
		copy(c.Pix, src.Pix)
		return
	}
	sx, sy := float32(src.W)/float32(c.W), float32(src.H)/float32(c.H)
	for y := range c.H {
		fy := min(max((float32(y)+0.5)*sy-0.5, 0), float32(src.H-1))
		y0 := int(fy)
		y1 := min(y0+1, src.H-1)
		ty := fy - float32(y0)
		r0, r1 := src.Pix[3*src.W*y0:], src.Pix[3*src.W*y1:]
		out := c.Pix[3*c.W*y:]
		for x := range c.W {
			fx := min(max((float32(x)+0.5)*sx-0.5, 0), float32(src.W-1))
			x0 := int(fx)
			x1 := min(x0+1, src.W-1)
			tx := fx - float32(x0)
			for k := range 3 {
				a := r0[3*x0+k] + (r0[3*x1+k]-r0[3*x0+k])*tx
				b := r1[3*x0+k] + (r1[3*x1+k]-r1[3*x0+k])*tx
				out[3*x+k] = a + (b-a)*ty
			}
		}
	}
}

// Stop is one colour of a gradient at a position between 0 and 1.
type Stop struct {
	At    float32
	Color RGB
}

// Backdrop fills the canvas with a vertical gradient.
func (c *Canvas) Backdrop(stops ...Stop) {
	for y := range c.H {
		v := at(stops, float32(y)/float32(c.H))
		row := c.Pix[3*c.W*y : 3*c.W*(y+1)]
		for x := 0; x < len(row); x += 3 {
			row[x], row[x+1], row[x+2] = v[0], v[1], v[2]
		}
	}
}

func at(stops []Stop, t float32) RGB {
	for i, s := range stops {
		if t < s.At {
			if i == 0 {
				return s.Color
			}
			p := stops[i-1]
			u := (t - p.At) / (s.At - p.At)
			return p.Color.Mix(s.Color, u*u*(3-2*u))
		}
	}
	return stops[len(stops)-1].Color
}

// Glow adds light that falls off from a point: rx and ry are the distances, in
// units, at which a seventh of it is left.
func (c *Canvas) Glow(x, y, rx, ry float32, light RGB) {
	px, py, qx, qy := x*c.Scale, y*c.Scale, rx*c.Scale, ry*c.Scale
	x0, x1 := max(int(px-2.2*qx), 0), min(int(px+2.2*qx)+1, c.W)
	y0, y1 := max(int(py-2.2*qy), 0), min(int(py+2.2*qy)+1, c.H)
	for j := y0; j < y1; j++ {
		dy := (float32(j) - py) / qy
		for i := x0; i < x1; i++ {
			dx := (float32(i) - px) / qx
			// (1 - d/4.84)^4 is close to a bell curve and ends at the border.
			v := 1 - (dx*dx+dy*dy)/4.84
			if v <= 0 {
				continue
			}
			v *= v
			v *= v
			p := c.Pix[3*(j*c.W+i):]
			p[0] += light[0] * v
			p[1] += light[1] * v
			p[2] += light[2] * v
		}
	}
}

// Haze mixes a colour over everything: amount 0..1 at the top and the bottom.
func (c *Canvas) Haze(color RGB, top, bottom float32) {
	for y := range c.H {
		t := top + (bottom-top)*float32(y)/float32(c.H)
		row := c.Pix[3*c.W*y : 3*c.W*(y+1)]
		for x := 0; x < len(row); x += 3 {
			for k := range 3 {
				row[x+k] += (color[k] - row[x+k]) * t
			}
		}
	}
}
