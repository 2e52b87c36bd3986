package timeline

import (
	"fmt"
	"math"
)

// The drawing for SVG and PNG is a list of shapes on a sheet of sheetWidth units.
const (
	sheetWidth = 1280.0
	left       = 70.0
	right      = 28.0
	barsTop    = 150.0
	barsHeight = 260.0
	lightTop   = 470.0
	lightHigh  = 130.0
	bodiesTop  = 650.0
	bodyHeight = 34.0
	least      = 7.0 // width of a column
)

// class is what a shape stands for; it decides how it is painted.
type class int

const (
	paper class = iota
	bandEven
	bandOdd
	grid
	barKept
	barDropped
	barOpen
	lightRange
	lightLine
	flashMark
	bodyBar
	textTitle
	textPlain
	textQuiet
	classes
)

// shape is a rectangle, a line through points, or a text at its baseline.
type shape struct {
	class      class
	x, y, w, h float64
	points     [][2]float64
	text       string
	anchor     anchor
	title      string // told by a browser when pointed at
}

type anchor int

const (
	atStart anchor = iota
	atMiddle
	atEnd
)

// sheet is a whole drawing.
type sheet struct {
	height      float64
	title, desc string
	shapes      []shape
	unit        float64                     // width of a column
	measure     func(class, string) float64 // width of a text
}

func (s *sheet) rect(c class, x, y, w, h float64, title string) {
	s.shapes = append(s.shapes, shape{class: c, x: x, y: y, w: w, h: h, title: title})
}

func (s *sheet) line(c class, points ...[2]float64) {
	if len(points) > 1 {
		s.shapes = append(s.shapes, shape{class: c, points: points})
	}
}

func (s *sheet) write(c class, x, y float64, at anchor, text string) {
	s.shapes = append(s.shapes, shape{class: c, x: x, y: y, anchor: at, text: text})
}

// compose lays a day out.
func (d Day) compose(measure func(class, string) float64) *sheet {
	c := newChart(d, int(math.Floor((sheetWidth-left-right)/least)))
	bodies := len(d.Bodies)
	s := &sheet{height: bodiesTop + bodyHeight*float64(min(bodies, 12)) + 40, title: c.title(), desc: c.describe(), measure: measure,
		unit: (sheetWidth - left - right) / float64(c.axis.columns)}
	s.rect(paper, 0, 0, sheetWidth, s.height, "")
	s.write(textTitle, left, 44, atStart, c.title())
	s.legend(c)
	if len(c.axis.parts) == 0 {
		s.height = 120
		s.shapes[0].h = s.height
		return s
	}
	s.scenes(c)
	s.hours(c)
	s.bars(c)
	s.light(c)
	s.bodies(c)
	return s
}

// column is where a column begins.
func (s *sheet) column(x float64) float64 { return left + x*s.unit }

// legend says how many frames are what, beside what they look like.
func (s *sheet) legend(c *chart) {
	x, y := left, 74.0
	for w, l := range [ways]string{"kept", "dropped", "open"} {
		s.rect([ways]class{barKept, barDropped, barOpen}[w], x, y-12, 14, 14, "")
		text := fmt.Sprintf("%d %s", c.total[w], l)
		s.write(textPlain, x+21, y, atStart, text)
		x += 21 + s.measure(textPlain, text) + 26
	}
	if c.untime > 0 {
		s.write(textQuiet, x, y, atStart, fmt.Sprintf("%d without a time are not drawn", c.untime))
	}
}

// scenes are bands behind everything, with names above that never overlap: where
// one has no room, its band and its name stand higher.
func (s *sheet) scenes(c *chart) {
	const rows, rowHeight = 3, 17.0
	bottom := bodiesTop + bodyHeight*float64(min(len(c.day.Bodies), 12))
	edge := s.column(float64(c.axis.columns)) + right
	var end [rows]float64
	var names []shape
	for i, sc := range c.scenes {
		x, w := s.column(math.Floor(sc.from)), s.unit*max(1, math.Floor(sc.to)+1-math.Floor(sc.from))
		name := s.fit(textPlain, sc.name, min(260, edge-x-4))
		top := barsTop - 8
		for row := range rows {
			if x < end[row] {
				continue
			}
			y := barsTop - 14 - rowHeight*float64(row)
			if row > 0 {
				top = y + 5
			}
			names = append(names, shape{class: textPlain, x: x, y: y, text: name})
			end[row] = x + s.measure(textPlain, name) + 8
			break
		}
		about := fmt.Sprintf("%s: %d frames, %d kept", sc.name, sc.frames, sc.kept)
		s.rect([2]class{bandEven, bandOdd}[i%2], x, top, w, bottom-top, about)
	}
	s.shapes = append(s.shapes, names...)
}

// fit shortens a text to a width.
func (s *sheet) fit(c class, text string, width float64) string {
	if s.measure(c, text) <= width {
		return text
	}
	r := []rune(text)
	for n := len(r) - 1; n > 0; n-- {
		if t := string(r[:n]) + "…"; s.measure(c, t) <= width {
			return t
		}
	}
	return ""
}

// hours are lines through the drawing.
func (s *sheet) hours(c *chart) {
	bottom := bodiesTop + bodyHeight*float64(min(len(c.day.Bodies), 12))
	for _, t := range c.axis.ticks(64 / s.unit) {
		x := math.Round(s.column(t.column)) + 0.5
		s.line(grid, [2]float64{x, barsTop}, [2]float64{x, bottom})
		s.write(textQuiet, x, barsTop+barsHeight+20, atMiddle, t.text)
	}
	for _, p := range c.axis.parts[:max(0, len(c.axis.parts)-1)] {
		x := s.column(c.axis.end(p) + gapColumns/2)
		for y := barsTop; y < bottom; y += 12 {
			s.line(grid, [2]float64{x, y}, [2]float64{x, min(y+5, bottom)})
		}
	}
}

// bars are frames a minute.
func (s *sheet) bars(c *chart) {
	top := nice(c.most)
	base := barsTop + barsHeight
	for _, part := range []float64{0, 0.5, 1} {
		y := math.Round(base-barsHeight*part) + 0.5
		s.line(grid, [2]float64{left, y}, [2]float64{sheetWidth - right, y})
		s.write(textQuiet, left-8, y+4, atEnd, number(top*part))
	}
	s.write(textQuiet, left-8, barsTop-12, atEnd, "per min")
	for i := range c.bins {
		b := &c.bins[i]
		y := base
		for w, n := range b.frames {
			if n == 0 {
				continue
			}
			h := max(1.5, float64(n)/c.axis.minutes/top*barsHeight)
			s.rect([ways]class{barKept, barDropped, barOpen}[w], s.column(float64(i))+0.5, y-h, s.unit-1, h, "")
			y -= h
		}
	}
}

// light is the exposure of frames without flash: the median of a column as a line,
// the middle four fifths as a band, and marks where flash fired.
func (s *sheet) light(c *chart) {
	if !c.light {
		s.write(textQuiet, left, lightTop+20, atStart, "no exposure is known")
		return
	}
	y := func(ev float64) float64 { return lightTop + lightHigh*(c.high-ev)/(c.high-c.low) }
	step := 1.0
	for (c.high-c.low)/step > 6 {
		step *= 2
	}
	for ev := c.low; ev <= c.high+1e-9; ev += step {
		at := math.Round(y(ev)) + 0.5
		s.line(grid, [2]float64{left, at}, [2]float64{sheetWidth - right, at})
		s.write(textQuiet, left-8, at+4, atEnd, number(ev))
	}
	s.write(textQuiet, left-8, lightTop-14, atEnd, "EV 100")
	var line [][2]float64
	last := -10
	finish := func() { // to the right edge of the last column
		if n := len(line); n > 0 {
			s.line(lightLine, append(line, [2]float64{line[n-1][0] + s.unit/2, line[n-1][1]})...)
		}
		line = nil
	}
	for i := range c.bins {
		b := &c.bins[i]
		x := s.column(float64(i)) + s.unit/2
		if b.flash > 0 {
			s.rect(flashMark, x-1.5, lightTop+lightHigh+8, 3, 8, "")
		}
		ev, ok := b.middle()
		if !ok {
			continue
		}
		low, high := y(b.ev[len(b.ev)*9/10]), y(b.ev[len(b.ev)/10])
		s.rect(lightRange, x-s.unit/2, max(lightTop, low-2), s.unit, min(lightTop+lightHigh, high+2)-max(lightTop, low-2), "")
		// In a pause or with flash no light is known.
		if i-last > 3 || c.axis.part(float64(i)) != c.axis.part(float64(last)) {
			finish()
		}
		if line == nil {
			line = append(line, [2]float64{x - s.unit/2, y(ev)})
		}
		line = append(line, [2]float64{x, y(ev)})
		last = i
	}
	finish()
	s.write(textQuiet, left-8, lightTop+lightHigh+17, atEnd, "flash")
}

// bodies are what each body took.
func (s *sheet) bodies(c *chart) {
	most := 1
	for i := range c.bins {
		for _, n := range c.bins[i].bodies {
			most = max(most, n)
		}
	}
	for k, name := range c.day.Bodies[:min(len(c.day.Bodies), 12)] {
		base := bodiesTop + bodyHeight*float64(k+1) - 4
		s.write(textQuiet, left-8, base-6, atEnd, s.fit(textQuiet, plain(name), left-14))
		s.line(grid, [2]float64{left, base + 0.5}, [2]float64{sheetWidth - right, base + 0.5})
		for i := range c.bins {
			if n := c.bins[i].bodies[k]; n > 0 {
				h := max(1.5, float64(n)/float64(most)*(bodyHeight-8))
				s.rect(bodyBar, s.column(float64(i))+0.5, base-h, s.unit-1, h, "")
			}
		}
	}
}

// describe says in words what there is to see, for those who cannot.
func (c *chart) describe() string {
	text := c.summary() + "."
	for _, s := range c.scenes {
		from, until := c.axis.time(s.from), c.axis.time(s.to)
		text += fmt.Sprintf(" %s, %s to %s: %d frames, %d kept.", s.name, from.Format("15:04"), until.Format("15:04"), s.frames, s.kept)
	}
	return text
}
