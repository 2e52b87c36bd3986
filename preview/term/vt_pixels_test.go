package term

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/color"
	"image/jpeg"
	"slices"
	"strconv"
	"strings"
)

// This file is what of a terminal draws pixels into its cells. A cell that is
// written loses them. It is strict too: a cell may be covered in part only where
// nothing else stands.

const tileMark = "\x00" // a cell's text where it shows pixels; the rest names them

// tile returns the pixels of a cell, nil if it shows none.
func (v *vt) tile(text string) *image.NRGBA {
	if !strings.HasPrefix(text, tileMark) {
		return nil
	}
	return v.tiles[text]
}

// pixels draws from the cursor's cell on. What is transparent keeps what was
// there; with whole the cells that are touched lose it.
func (v *vt) pixels(m *image.NRGBA, whole bool) {
	v.t.Helper()
	if v.cw == 0 || v.ch == 0 {
		v.t.Fatal("pixels on a terminal whose cells have none")
	}
	for y := 0; y < m.Rect.Dy(); y += v.ch {
		for x := 0; x < m.Rect.Dx(); x += v.cw {
			v.pixelCell(m.SubImage(image.Rect(x, y, x+v.cw, y+v.ch)).(*image.NRGBA), v.col+x/v.cw, v.row+y/v.ch, whole)
		}
	}
}

func (v *vt) pixelCell(m *image.NRGBA, col, row int, whole bool) {
	v.t.Helper()
	touched, all := false, m.Rect.Dx() == v.cw && m.Rect.Dy() == v.ch
	for y := m.Rect.Min.Y; y < m.Rect.Max.Y; y++ {
		for x := m.Rect.Min.X; x < m.Rect.Max.X; x++ {
			set := m.NRGBAAt(x, y).A != 0
			touched, all = touched || set, all && set
		}
	}
	if !touched {
		return
	}
	if col >= v.cols || row >= v.rows {
		v.t.Fatalf("pixels at %d,%d", col, row)
	}
	tile := image.NewNRGBA(image.Rect(0, 0, v.cw, v.ch))
	if old := v.tile(v.at(col, row).text); old != nil && !whole {
		copy(tile.Pix, old.Pix)
	} else if s := v.at(col, row).text; !all && s != " " && !whole {
		v.t.Fatalf("a part of the cell %d,%d is covered, where %q stands", col, row, s)
	}
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			if c := m.NRGBAAt(m.Rect.Min.X+x, m.Rect.Min.Y+y); c.A != 0 {
				tile.SetNRGBA(x, y, c)
			}
		}
	}
	name := tileMark + strconv.Itoa(v.drawn) + "/" + strconv.Itoa(len(v.tiles))
	v.tiles[name] = tile
	v.put(col, row, vtCell{name, -1, -1})
}

// oldest is how many drawings ago the oldest was made of which a cell shows
// something.
func (v *vt) oldest() (n int) {
	for _, c := range v.cells {
		if v.tile(c.text) != nil {
			drawing, _, _ := strings.Cut(c.text[1:], "/")
			k, _ := strconv.Atoi(drawing)
			n = max(n, v.drawn-k)
		}
	}
	return n
}

// sixels draws a control string; that it says what it should is tested where it is
// made.
func (v *vt) sixels(p []byte) {
	v.t.Helper()
	v.drawn++
	at := bytes.IndexByte(p, '"') + 1
	number := func() (n int) {
		for ; at < len(p) && p[at] >= '0' && p[at] <= '9'; at++ {
			n = n*10 + int(p[at]-'0')
		}
		if at < len(p) && p[at] == ';' {
			at++
		}
		return n
	}
	number()
	number()
	m := image.NewNRGBA(image.Rect(0, 0, number(), number()))
	v.largest = image.Pt(max(v.largest.X, m.Rect.Dx()), max(v.largest.Y, m.Rect.Dy()))
	colours := map[int]color.NRGBA{}
	now, x, y, n := 0, 0, 0, 1
	for at < len(p) {
		c := p[at]
		at++
		switch {
		case c == '$':
			x = 0
		case c == '-':
			x, y = 0, y+6
		case c == '!':
			n = number()
			continue
		case c == '#':
			now = number()
			if p[at-1] == ';' {
				number()
				channel := func() uint8 { return uint8((number()*255 + 50) / 100) }
				colours[now] = color.NRGBA{channel(), channel(), channel(), 255}
			}
		case c >= '?' && c <= '~':
			for range n {
				for bit := range 6 {
					if (c-'?')>>bit&1 != 0 {
						m.SetNRGBA(x, y+bit, colours[now])
					}
				}
				x++
			}
		default:
			v.t.Fatalf("%q among sixels", c)
		}
		n = 1
	}
	v.colours = max(v.colours, len(colours))
	v.pixels(m, false)
}

// file shows a file inside of the text (iterm2.com/documentation-images.html).
func (v *vt) file(s string) {
	v.t.Helper()
	head, data, _ := strings.Cut(s, ":")
	raw, err := base64.StdEncoding.DecodeString(data)
	if err != nil {
		v.t.Fatal(err)
	}
	keys := map[string]string{}
	for _, kv := range strings.Split(strings.TrimPrefix(head, "1337;File="), ";") {
		k, val, _ := strings.Cut(kv, "=")
		keys[k] = val
	}
	// One of the two is in cells, the other follows.
	cols, _ := strconv.Atoi(keys["width"])
	rows, _ := strconv.Atoi(keys["height"])
	one := cols > 0 && keys["height"] == "auto" || rows > 0 && keys["width"] == "auto"
	if !one || keys["inline"] != "1" || keys["size"] != strconv.Itoa(len(raw)) || keys["doNotMoveCursor"] != "1" || keys["preserveAspectRatio"] != "1" || len(keys) != 6 {
		v.t.Fatalf("a file of %d bytes with %v", len(raw), keys)
	}
	m, err := jpeg.Decode(bytes.NewReader(raw))
	if err != nil {
		v.t.Fatal(err)
	}
	v.lastFile = raw
	w, h := m.Bounds().Dx(), m.Bounds().Dy()
	scale := float64(cols*v.cw) / float64(w)
	if rows > 0 {
		scale = float64(rows*v.ch) / float64(h)
	}
	out := image.NewNRGBA(image.Rect(0, 0, int(float64(w)*scale+1e-6), int(float64(h)*scale+1e-6)))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			out.Set(x, y, m.At(min(int(float64(x)/scale), w-1), min(int(float64(y)/scale), h-1)))
		}
	}
	v.pixels(out, true)
}

// quarters returns which quarters of a cell a character fills.
func quarters(r rune) (bits int, ok bool) {
	bits = slices.Index(quadrantRunes[:], string(r))
	return bits, bits >= 0
}

// drawQuarters draws a cell in two colours.
func drawQuarters(out *image.NRGBA, cell image.Rectangle, bits int, front, back color.NRGBA) {
	middle := image.Pt((cell.Min.X+cell.Max.X)/2, (cell.Min.Y+cell.Max.Y)/2)
	for k, r := range []image.Rectangle{
		{cell.Min, middle}, image.Rect(middle.X, cell.Min.Y, cell.Max.X, middle.Y),
		image.Rect(cell.Min.X, middle.Y, middle.X, cell.Max.Y), {middle, cell.Max},
	} {
		c := back
		if bits>>k&1 != 0 {
			c = front
		}
		fill(out, r, c)
	}
}
