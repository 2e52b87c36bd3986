package timeline

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// The widths that PNG draws.
const (
	MinPNG = 480
	MaxPNG = 8192
)

// PNG draws a day as a picture so many pixels wide.
func (d Day) PNG(width int) ([]byte, error) {
	if width < MinPNG || width > MaxPNG {
		return nil, fmt.Errorf("a timeline of %d pixels is not between %d and %d", width, MinPNG, MaxPNG)
	}
	one, err := newLetters(1)
	if err != nil {
		return nil, err
	}
	scale := float64(width) / sheetWidth
	l, err := newLetters(scale)
	if err != nil {
		return nil, err
	}
	s := d.compose(one.measure)
	c := canvas{img: image.NewRGBA(image.Rect(0, 0, width, int(math.Round(s.height*scale)))), scale: scale, letters: l}
	p := paints()
	for _, sh := range s.shapes {
		c.draw(sh, p[sh.class])
	}
	var b bytes.Buffer
	if err := png.Encode(&b, c.img); err != nil {
		return nil, err
	}
	return marked(b.Bytes()), nil
}

// canvas draws shapes in units onto pixels.
type canvas struct {
	img     *image.RGBA
	scale   float64
	letters letters
}

func (c *canvas) draw(s shape, p paint) {
	switch {
	case s.points != nil:
		c.stroke(s.points, p)
	case p.size > 0:
		c.text(s, p)
	default:
		c.box(s, p)
	}
}

// pixels is a rectangle's area in whole pixels, at least one in each direction.
func (c *canvas) pixels(s shape) image.Rectangle {
	x0, y0 := int(math.Round(s.x*c.scale)), int(math.Round(s.y*c.scale))
	x1, y1 := int(math.Round((s.x+s.w)*c.scale)), int(math.Round((s.y+s.h)*c.scale))
	return image.Rect(x0, y0, max(x1, x0+1), max(y1, y0+1)).Intersect(c.img.Rect)
}

func (c *canvas) box(s shape, p paint) {
	r := c.pixels(s)
	fill := image.NewUniform(p.fill)
	switch p.pattern {
	case full:
		draw.Draw(c.img, r, fill, image.Point{}, draw.Src)
	case outline:
		draw.Draw(c.img, r, image.NewUniform(p.stroke), image.Point{}, draw.Src)
		if in := r.Inset(max(1, int(math.Round(p.width*c.scale)))); !in.Empty() {
			draw.Draw(c.img, in, fill, image.Point{}, draw.Src)
		}
	case hatch:
		period := max(3, int(math.Round(4*c.scale)))
		ink := max(1, int(math.Round(1.5*p.width*c.scale)))
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				v := p.fill
				if (x+y)%period < ink {
					v = p.stroke
				}
				c.img.SetRGBA(x, y, color.RGBA(v))
			}
		}
	}
}

// stroke draws a line through points: every piece is a rectangle with round enough
// ends for lines as thin as these.
func (c *canvas) stroke(points [][2]float64, p paint) {
	half := max(p.width*c.scale, 1) / 2
	b := c.around(points, half+2)
	if b.Empty() {
		return
	}
	z := vector.NewRasterizer(b.Dx(), b.Dy())
	for i := 1; i < len(points); i++ {
		x0, y0, x1, y1 := points[i-1][0]*c.scale, points[i-1][1]*c.scale, points[i][0]*c.scale, points[i][1]*c.scale
		dx, dy := x1-x0, y1-y0
		n := math.Hypot(dx, dy)
		if n == 0 {
			continue
		}
		dx, dy = dx/n*half, dy/n*half
		if len(points) > 2 { // ends reach to the middle of the next piece
			x0, y0, x1, y1 = x0-dx*0.8, y0-dy*0.8, x1+dx*0.8, y1+dy*0.8
		}
		at := func(x, y float64) (float32, float32) {
			return float32(x - float64(b.Min.X)), float32(y - float64(b.Min.Y))
		}
		z.MoveTo(at(x0-dy, y0+dx))
		z.LineTo(at(x1-dy, y1+dx))
		z.LineTo(at(x1+dy, y1-dx))
		z.LineTo(at(x0+dy, y0-dx))
		z.ClosePath()
	}
	z.Draw(c.img, b, image.NewUniform(p.stroke), image.Point{})
}

// around is the part of the picture that a line through points can reach.
func (c *canvas) around(points [][2]float64, margin float64) image.Rectangle {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		for i := range p {
			low[i], high[i] = min(low[i], p[i]*c.scale), max(high[i], p[i]*c.scale)
		}
	}
	return image.Rect(int(low[0]-margin), int(low[1]-margin), int(high[0]+margin)+1, int(high[1]+margin)+1).Intersect(c.img.Rect)
}

func (c *canvas) text(s shape, p paint) {
	d := font.Drawer{Dst: c.img, Src: image.NewUniform(p.fill), Face: c.letters[s.class]}
	x := s.x * c.scale
	switch w := float64(d.MeasureString(s.text)) / 64; s.anchor {
	case atMiddle:
		x -= w / 2
	case atEnd:
		x -= w
	}
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(s.y * c.scale * 64)}
	d.DrawString(s.text)
}
