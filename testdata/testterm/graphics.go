package testterm

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"strconv"
)

// command is the control data of one graphics command (kitty graphics
// protocol, "Control data reference").
type command struct {
	keys map[byte]string
	data []byte
}

func parseCommand(b []byte) (command, error) {
	control, data, _ := bytes.Cut(b, []byte(";"))
	cmd := command{map[byte]string{}, data}
	if len(control) == 0 {
		return cmd, nil
	}
	for part := range bytes.SplitSeq(control, []byte(",")) {
		key, value, found := bytes.Cut(part, []byte("="))
		if !found || len(key) != 1 || len(value) == 0 || len(value) > 20 {
			return cmd, fmt.Errorf("malformed control data %.40q", part)
		}
		if _, err := strconv.ParseInt(string(value), 10, 64); err != nil && !bytes.ContainsAny(key, "atod") {
			return cmd, fmt.Errorf("not a number: %.40q", part)
		}
		cmd.keys[key[0]] = string(value)
	}
	return cmd, nil
}

func (c command) has(key byte) bool { return c.keys[key] != "" }

// num is a number, clamped to what any key may hold.
func (c command) num(key byte) int {
	n, _ := strconv.ParseInt(c.keys[key], 10, 64)
	return int(max(math.MinInt32, min(n, math.MaxUint32)))
}

func (c command) id(key byte) uint32 { return uint32(max(0, c.num(key))) }

// flag is a one-letter value, or def.
func (c command) flag(key, def byte) byte {
	if v := c.keys[key]; v != "" {
		return v[0]
	}
	return def
}

// graphics acts on one APC G command.
func (g *Grid) graphics(b []byte) {
	if g.answerer.Tmux && !g.enveloped {
		g.complain("graphics outside of a passthrough envelope")
		return
	}
	cmd, err := parseCommand(b)
	if err != nil {
		g.complain("graphics: %v", err)
		return
	}
	if g.loading.active {
		if a := cmd.flag('a', g.loading.first.flag('a', 't')); a == g.loading.first.flag('a', 't') {
			g.chunk(cmd)
			return
		}
		g.complain("graphics: a=%c between the chunks of a picture", cmd.flag('a', 't'))
		g.loading = transmission{}
	}
	switch a := cmd.flag('a', 't'); a {
	case 't', 'T', 'q':
		g.chunk(cmd)
	case 'p':
		g.answerGraphics(cmd, g.putImage(cmd))
	case 'd':
		g.deleteImages(cmd)
	default:
		g.complain("graphics: unknown action a=%c", a)
	}
}

// putImage is a=p.
func (g *Grid) putImage(cmd command) error {
	im := g.named(cmd)
	if im == nil {
		return fmt.Errorf("ENOENT:no image with id %d or number %d", cmd.id('i'), cmd.id('I'))
	}
	g.show(im, cmd)
	return nil
}

func (g *Grid) named(cmd command) *Image {
	switch store := g.scr().images; {
	case cmd.id('i') != 0:
		return store.find(cmd.id('i'))
	case cmd.id('I') != 0:
		return store.numbered(cmd.id('I'))
	}
	return nil
}

// show makes a placement. Without a size in cells it is as big as the part of
// the picture is; C=1 leaves the cursor, else it goes behind the last cell.
func (g *Grid) show(im *Image, cmd command) {
	bounds := im.Pix.Bounds()
	src := bounds
	src.Min.X, src.Min.Y = clamp(cmd.num('x'), 0, src.Max.X), clamp(cmd.num('y'), 0, src.Max.Y)
	if w := cmd.num('w'); w > 0 {
		src.Max.X = min(src.Max.X, src.Min.X+w)
	}
	if h := cmd.num('h'); h > 0 {
		src.Max.Y = min(src.Max.Y, src.Min.Y+h)
	}
	size := image.Pt(clamp(cmd.num('c'), 0, maxSide), clamp(cmd.num('r'), 0, maxSide))
	if size.X == 0 && size.Y == 0 {
		size.X = ceilDiv(src.Dx()+clamp(cmd.num('X'), 0, g.cell.X), g.cell.X)
		size.Y = ceilDiv(src.Dy()+clamp(cmd.num('Y'), 0, g.cell.Y), g.cell.Y)
	} else if size.X == 0 { // the other side keeps the picture's shape
		size.X = ceilDiv(size.Y*g.cell.Y*src.Dx(), max(1, src.Dy())*g.cell.X)
	} else if size.Y == 0 {
		size.Y = ceilDiv(size.X*g.cell.X*src.Dy(), max(1, src.Dx())*g.cell.Y)
	}
	size = image.Pt(clamp(size.X, 1, maxSide), clamp(size.Y, 1, maxSide))
	virtual := cmd.num('U') == 1
	at := image.Pt(g.cursor.col, g.cursor.row)
	if virtual {
		at = image.Point{}
	}
	g.scr().images.place(im, Placement{
		Image: im.ID, ID: cmd.id('p'), Virtual: virtual,
		Area: image.Rectangle{at, at.Add(size)}, Source: src, Z: cmd.num('z'),
	})
	if virtual || cmd.num('C') == 1 {
		return
	}
	g.cursor.pending = false
	for range size.Y - 1 {
		g.index()
	}
	g.cursor.col = min(g.cursor.col+size.X, g.cols-1)
}

func ceilDiv(a, b int) int { return (a + b - 1) / b }

// deleteImages is a=d. A small letter takes placements away, a capital one the
// pictures' data too.
func (g *Grid) deleteImages(cmd command) {
	store, what := g.scr().images, cmd.flag('d', 'a')
	free := what >= 'A' && what <= 'Z'
	x, y := cmd.num('x')-1, cmd.num('y')-1
	in := func(p Placement, area image.Rectangle) bool { return !p.Virtual && p.Area.Overlaps(area) }
	switch what | 0x20 {
	case 'a':
		store.unplace(free, func(_ *Image, p Placement) bool { return in(p, image.Rect(0, 0, g.cols, g.rows)) })
	case 'i', 'n':
		im := store.find(cmd.id('i'))
		if what|0x20 == 'n' {
			im = store.numbered(cmd.id('I'))
		}
		if im == nil {
			return
		}
		store.unplace(false, func(other *Image, p Placement) bool {
			return other == im && (!cmd.has('p') || p.ID == cmd.id('p'))
		})
		if free && len(im.Placements) == 0 {
			store.remove(im.ID)
		}
	case 'c':
		x, y = g.cursor.col, g.cursor.row
		fallthrough
	case 'p', 'q':
		store.unplace(free, func(_ *Image, p Placement) bool {
			return in(p, image.Rect(x, y, x+1, y+1)) && (what|0x20 != 'q' || p.Z == cmd.num('z'))
		})
	case 'x':
		store.unplace(free, func(_ *Image, p Placement) bool { return in(p, image.Rect(x, 0, x+1, g.rows)) })
	case 'y':
		store.unplace(free, func(_ *Image, p Placement) bool { return in(p, image.Rect(0, y, g.cols, y+1)) })
	case 'z':
		store.unplace(free, func(_ *Image, p Placement) bool { return !p.Virtual && p.Z == cmd.num('z') })
	case 'r':
		store.unplace(free, func(im *Image, _ Placement) bool { return im.ID >= cmd.id('x') && im.ID <= cmd.id('y') })
		if free {
			for _, im := range store.list() {
				if im.ID >= cmd.id('x') && im.ID <= cmd.id('y') {
					store.remove(im.ID)
				}
			}
		}
	default:
		g.complain("graphics: unknown deletion d=%c", what)
	}
}
