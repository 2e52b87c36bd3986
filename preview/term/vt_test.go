package term

import (
	"bytes"
	"compress/zlib"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi/kitty"
)

// vt is as much of a terminal as the painter needs, written from ECMA-48 and
// sw.kovidgoyal.net/kitty/graphics-protocol ("Unicode placeholders" among
// others). It is strict: what it does not know, what leaves the screen or the
// allowed area, and what the protocol forbids, is an error of the test.
type vt struct {
	t            testing.TB
	cols, rows   int
	allowed      Area // cells that may be written
	allowedAreas []Area
	cells        []vtCell
	col, row     int
	saved        [2]int
	fg, bg       int64 // -1 = default; 1<<32|n = palette
	wrap         bool
	images       map[int]vtImage
	placements   map[[2]int]vtPlacement // by picture and number
	virtual      map[int][2]int         // those that placeholder cells show
	chunks       []byte
	chunkKeys    map[string]string
	flashed      bool // at some time no picture was shown, after one had been
	shown        bool
	refused      []string
	bytes        int
	tmux         bool // graphics must come in envelopes
	shm          string
	diacritics   map[rune]int

	cw, ch   int // pixels of a cell
	tiles    map[string]*image.NRGBA
	drawn    int         // sixel strings
	largest  image.Point // of their sizes
	colours  int         // the most in one
	lastFile []byte
}

type vtCell struct {
	text   string
	fg, bg int64
}

type vtImage struct {
	w, h int
	rgba []byte
}

type vtPlacement struct{ col, row, c, r int }

func newVT(t testing.TB, cols, rows int) *vt {
	v := &vt{t: t, cols: cols, rows: rows, allowed: Area{0, 0, cols, rows}, wrap: true,
		images: map[int]vtImage{}, placements: map[[2]int]vtPlacement{}, virtual: map[int][2]int{}, fg: -1, bg: -1}
	v.tiles = map[string]*image.NRGBA{}
	v.cells = make([]vtCell, cols*rows)
	for i := range v.cells {
		v.cells[i] = vtCell{"~", -1, -1}
	}
	return v
}

func (v *vt) at(col, row int) *vtCell { return &v.cells[row*v.cols+col] }

// text is written by somebody else to every cell outside a.
func (v *vt) text(a Area) {
	for i := range v.cells {
		col, row := i%v.cols, i/v.cols
		if col < a.Col || col >= a.Col+a.Cols || row < a.Row || row >= a.Row+a.Rows {
			v.cells[i] = vtCell{"~", -1, -1}
		}
	}
}

func (v *vt) feed(p []byte) {
	v.t.Helper()
	v.feedPart(p)
	if v.saved != [2]int{v.col, v.row} || !v.wrap || v.chunks != nil {
		v.t.Errorf("left behind: cursor %d,%d, wrap %v, %d bytes of a picture", v.col, v.row, v.wrap, len(v.chunks))
	}
}

// feedPart is feed where a picture's data may go on in the next bytes.
func (v *vt) feedPart(p []byte) {
	v.t.Helper()
	v.bytes += len(p)
	v.run(p, false)
}

// visible counts what shows a picture: placements, and placeholder cells whose
// picture is there.
func (v *vt) visible() (n int) {
	for _, c := range v.cells {
		if c.fg>>32 == 1 && strings.HasPrefix(c.text, string(kitty.Placeholder)) {
			if _, ok := v.virtual[int(c.fg&0xff)]; ok {
				n++
			}
		}
	}
	return n + len(v.placements)
}

// evict is the terminal's making room: a picture goes with its placements.
func (v *vt) evict(id int) {
	delete(v.images, id)
	delete(v.virtual, id)
	for at := range v.placements {
		if at[0] == id {
			delete(v.placements, at)
		}
	}
}

func (v *vt) run(p []byte, inside bool) {
	v.t.Helper()
	for len(p) > 0 {
		if p[0] != esc {
			r, n := utf8.DecodeRune(p)
			v.print(r)
			p = p[n:]
			continue
		}
		switch p[1] {
		case '7':
			v.saved, p = [2]int{v.col, v.row}, p[2:]
		case '8':
			v.col, v.row, p = v.saved[0], v.saved[1], p[2:]
		case '[':
			n := 2 + bytes.IndexFunc(p[2:], func(r rune) bool { return r >= 0x40 })
			v.csi(string(p[2:n]), p[n])
			p = p[n+1:]
		case 'P':
			n := 7
			if !bytes.HasPrefix(p, []byte("\x1bPtmux;")) {
				n := bytes.Index(p, []byte("\x1b\\"))
				v.sixels(p[2:n])
				p = p[n+2:]
				break
			}
			if inside {
				v.t.Fatalf("DCS %.20q", p)
			}
			var in []byte
			for ; p[n] != esc || p[n+1] == esc; n++ {
				if p[n] == esc {
					n++
				}
				in = append(in, p[n])
			}
			if p[n+1] != '\\' {
				v.t.Fatalf("end of an envelope: %.20q", p[n:])
			}
			p = p[n+2:]
			if len(in) > 5000 {
				v.t.Errorf("an envelope of %d bytes", len(in))
			}
			v.run(in, true)
		case ']':
			n := bytes.IndexByte(p, bel)
			v.file(string(p[2:n]))
			p = p[n+1:]
		case '_':
			n := bytes.Index(p, []byte("\x1b\\"))
			if inside != v.tmux {
				v.t.Errorf("graphics command inside an envelope: %v", inside)
			}
			v.graphics(string(p[3:n]))
			p = p[n+2:]
		default:
			v.t.Fatalf("ESC %.20q", p[1:])
		}
	}
}

func (v *vt) csi(params string, final byte) {
	v.t.Helper()
	switch final {
	case 'H':
		var r, c int
		if n, _ := fmt.Sscanf(params, "%d;%d", &r, &c); n != 2 || r < 1 || c < 1 || r > v.rows || c > v.cols {
			v.t.Fatalf("CUP %s", params)
		}
		v.col, v.row = c-1, r-1
	case 'X':
		n, _ := strconv.Atoi(params)
		for i := range n {
			if v.drawn > 0 && v.tile(v.at(v.col+i, v.row).text) != nil {
				v.t.Fatalf("sixels at %d,%d are erased with ECH, which xterm does for a while only", v.col+i, v.row)
			}
			v.put(v.col+i, v.row, vtCell{" ", -1, v.bg})
		}
	case 'm':
		v.sgr(params)
	case 'h', 'l':
		switch params {
		case "?7":
			v.wrap = final == 'h'
		case "?2026":
		default:
			v.t.Errorf("mode %s", params)
		}
	default:
		v.t.Errorf("CSI %s %c", params, final)
	}
}

func (v *vt) sgr(params string) {
	v.t.Helper()
	f := strings.Split(params, ";")
	num := func(i int) int64 { n, _ := strconv.ParseInt(f[i], 10, 64); return n }
	colour := func() int64 {
		if f[1] == "5" && len(f) == 3 {
			return 1<<32 | num(2)
		}
		if f[1] != "2" || len(f) != 5 {
			v.t.Errorf("SGR %s", params)
			return -1
		}
		return num(2)<<16 | num(3)<<8 | num(4)
	}
	switch f[0] {
	case "":
		v.fg, v.bg = -1, -1
	case "38":
		v.fg = colour()
	case "48":
		v.bg = colour()
	case "39":
		v.fg = -1
	default:
		v.t.Errorf("SGR %s", params)
	}
}

func (v *vt) put(col, row int, c vtCell) {
	v.t.Helper()
	if at := (Area{col, row, 1, 1}); slices.ContainsFunc(v.allowedAreas, func(a Area) bool { return at.within(a) == at }) {
		*v.at(col, row) = c
		return
	}
	a := v.allowed
	if col < a.Col || col >= a.Col+a.Cols || row < a.Row || row >= a.Row+a.Rows {
		v.t.Fatalf("%q written at %d,%d, outside %v", c.text, col, row, a)
	}
	*v.at(col, row) = c
}

func (v *vt) print(r rune) {
	v.t.Helper()
	if v.number(r) >= 0 {
		v.at(v.col-1, v.row).text += string(r)
		return
	}
	v.put(v.col, v.row, vtCell{string(r), v.fg, v.bg})
	v.col++
}

// graphics does one command of the protocol.
func (v *vt) graphics(s string) {
	v.t.Helper()
	head, data, _ := strings.Cut(s, ";")
	keys := map[string]string{}
	for _, kv := range strings.Split(head, ",") {
		k, val, _ := strings.Cut(kv, "=")
		if _, twice := keys[k]; twice {
			v.t.Errorf("%s twice in %q", k, head)
		}
		keys[k] = val
	}
	num := func(k string) int { n, _ := strconv.Atoi(keys[k]); return n }
	quiet := keys["a"] == "d" || keys["s"] == "1" && keys["v"] == "1" || v.chunks != nil && data == ""
	if want := map[bool]string{true: "2", false: "1"}[quiet]; keys["q"] != want {
		v.t.Errorf("answers wanted: %q", head)
	}
	if v.chunks != nil { // only m (and q) in later chunks, and nothing between them
		for k := range keys {
			if k != "m" && k != "q" {
				v.t.Errorf("%q inside a picture's chunks", head)
			}
		}
		if keys["q"] == "2" { // what follows is not wanted
			v.chunks = nil
			return
		}
		v.chunk(keys["m"], data)
		return
	}
	id := num("i")
	switch keys["a"] {
	case "t":
		if old, ok := v.images[id]; ok && old.w*old.h > 1 && !quiet {
			v.t.Errorf("picture %d is sent while there is one of that id", id)
		}
		before := v.visible()
		v.evict(id)
		if before > 0 && v.visible() == 0 {
			v.flashed = true
		}
		v.chunkKeys, v.chunks = keys, []byte{}
		v.chunk(keys["m"], data)
	case "p":
		if _, ok := v.images[id]; !ok {
			v.refused = append(v.refused, fmt.Sprintf("\x1b_Gi=%d;ENOENT:no such picture\x1b\\", id))
			return
		}
		if keys["U"] == "1" {
			v.virtual[id] = [2]int{num("c"), num("r")}
			if num("p") != 1 {
				v.t.Errorf("placements of picture %d would pile up", id)
			}
			return
		}
		if keys["C"] != "1" || num("p") == 0 {
			v.t.Errorf("a placement moves the cursor or has no number: %q", head)
		}
		v.placements[[2]int{id, num("p")}] = vtPlacement{v.col, v.row, num("c"), num("r")}
		v.shown = true
	case "d":
		before := v.visible()
		switch {
		case keys["d"] == "I" && id != 0 && keys["p"] == "":
			v.evict(id)
			// As kitty 0.26 was seen to do.
			for other := range v.images {
				if _, ok := v.virtual[other]; !ok && !v.placed(other) {
					v.evict(other)
				}
			}
		case keys["d"] == "i" && id != 0 && num("p") != 0:
			delete(v.placements, [2]int{id, num("p")})
		case keys["d"] == "i" && id != 0:
			m := v.images[id]
			v.evict(id)
			v.images[id] = m
		default:
			v.t.Errorf("deletes more than an own picture: %q", head)
		}
		if before > 0 && v.visible() == 0 {
			v.flashed = true
		}
	default:
		v.t.Errorf("command %q", head)
	}
}

func (v *vt) chunk(more, data string) {
	v.t.Helper()
	if len(data) > 4096 || more == "1" && len(data)%4 != 0 {
		v.t.Errorf("a chunk of %d bytes", len(data))
	}
	v.chunks = append(v.chunks, data...)
	if more == "1" {
		return
	}
	raw, err := base64.StdEncoding.DecodeString(string(v.chunks))
	if err != nil {
		v.t.Fatal(err)
	}
	v.chunks = nil
	v.load(raw)
}

func (v *vt) load(raw []byte) {
	v.t.Helper()
	k := v.chunkKeys
	num := func(key string) int { n, _ := strconv.Atoi(k[key]); return n }
	take := func(path string) {
		data, err := os.ReadFile(path)
		if err != nil {
			v.t.Fatal(err)
		}
		if st, _ := os.Stat(path); st.Mode().Perm()&0o077 != 0 {
			v.t.Errorf("%s can be read by others: %v", path, st.Mode())
		}
		if err := os.Remove(path); err != nil {
			v.t.Fatal(err)
		}
		raw = data[:num("S")]
	}
	switch k["t"] {
	case "s":
		take(filepath.Join(v.shm, string(raw)))
	case "t":
		if !strings.Contains(string(raw), "tty-graphics-protocol") {
			v.t.Errorf("the terminal would not delete %s", raw)
		}
		take(string(raw))
	case "d":
		if k["S"] != "" {
			v.t.Error("S with direct data")
		}
	default:
		v.t.Errorf("medium %q", k["t"])
	}
	im := vtImage{w: num("s"), h: num("v")}
	if k["o"] == "z" {
		z, err := zlib.NewReader(bytes.NewReader(raw))
		if err != nil {
			v.t.Fatal(err)
		}
		if raw, err = io.ReadAll(z); err != nil {
			v.t.Fatal(err)
		}
	}
	switch k["f"] {
	case "24":
		for i := 0; i+2 < len(raw); i += 3 {
			im.rgba = append(im.rgba, raw[i], raw[i+1], raw[i+2], 255)
		}
	case "32":
		im.rgba = raw
	case "100":
		m, err := png.Decode(bytes.NewReader(raw))
		if err != nil {
			v.t.Fatal(err)
		}
		im.w, im.h = m.Bounds().Dx(), m.Bounds().Dy()
		for y := range im.h {
			for x := range im.w {
				c := color.NRGBAModel.Convert(m.At(x, y)).(color.NRGBA)
				im.rgba = append(im.rgba, c.R, c.G, c.B, c.A)
			}
		}
	}
	if len(im.rgba) != im.w*im.h*4 {
		v.t.Fatalf("%d bytes for %dx%d pixels", len(im.rgba)/4, im.w, im.h)
	}
	id := num("i")
	v.images[id] = im
}

// pictures counts those that are more than what is left of one.
func (v *vt) pictures() (n int) {
	for _, m := range v.images {
		if m.w*m.h > 1 {
			n++
		}
	}
	return n
}

func (v *vt) placed(id int) bool {
	for at := range v.placements {
		if at[0] == id {
			return true
		}
	}
	return false
}

// screen returns what is to be seen, with cells of cw by ch pixels. Cells
// without a picture are of the colour back.
func (v *vt) screen(cw, ch int, back color.NRGBA) *image.NRGBA {
	v.t.Helper()
	out := image.NewNRGBA(image.Rect(0, 0, v.cols*cw, v.rows*ch))
	for row := range v.rows {
		id, pr, pc := 0, 0, 0
		for col := range v.cols {
			c := *v.at(col, row)
			r, n := utf8.DecodeRuneInString(c.text)
			if r == kitty.Placeholder {
				// Missing diacritics: the cell to the left, one column on.
				rest := []rune(c.text[n:])
				if len(rest) == 2 {
					id, pr, pc = int(c.fg&0xff), v.number(rest[0]), v.number(rest[1])
				} else {
					pc++
				}
				if c.fg != 1<<32|int64(id) || len(rest)%2 != 0 {
					v.t.Fatalf("placeholder %q of colour %x at %d,%d", c.text, c.fg, col, row)
				}
				size, ok := v.virtual[id]
				if !ok { // nothing is to be seen
					fill(out, image.Rect(col*cw, row*ch, (col+1)*cw, (row+1)*ch), back)
					continue
				}
				v.draw(out, image.Rect(col*cw, row*ch, (col+1)*cw, (row+1)*ch), v.images[id], pc*cw, pr*ch, size[0]*cw, size[1]*ch, back)
				continue
			}
			box := image.Rect(col*cw, row*ch, (col+1)*cw, (row+1)*ch)
			if tile := v.tile(c.text); tile != nil {
				fill(out, box, back)
				draw.Draw(out, box, tile, image.Point{}, draw.Over)
				continue
			}
			bits, _ := quarters(r)
			drawQuarters(out, box, max(bits, 0), v.rgb(c.fg, back), v.rgb(c.bg, back))
		}
	}
	for at, p := range v.placements {
		r := image.Rect(p.col*cw, p.row*ch, (p.col+p.c)*cw, (p.row+p.r)*ch)
		v.draw(out, r, v.images[at[0]], 0, 0, p.c*cw, p.r*ch, back)
	}
	return out
}

// draw copies what of a picture that is shown at w by h pixels is in r.
func (v *vt) draw(out *image.NRGBA, r image.Rectangle, m vtImage, x0, y0, w, h int, back color.NRGBA) {
	for y := range r.Dy() {
		dst := out.Pix[out.PixOffset(r.Min.X, r.Min.Y+y):]
		src := m.rgba[(y0+y)*m.h/h*m.w*4:]
		for x := range r.Dx() {
			o := (x0 + x) * m.w / w * 4
			c := color.NRGBA{src[o], src[o+1], src[o+2], 255}
			if src[o+3] == 0 {
				c = back
			}
			dst[4*x], dst[4*x+1], dst[4*x+2], dst[4*x+3] = c.R, c.G, c.B, c.A
		}
	}
}

func fill(out *image.NRGBA, r image.Rectangle, c color.NRGBA) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := out.Pix[out.PixOffset(r.Min.X, y):out.PixOffset(r.Max.X, y)]
		for ; len(row) >= 4; row = row[4:] {
			row[0], row[1], row[2], row[3] = c.R, c.G, c.B, c.A
		}
	}
}

// diacritics are the numbers of the marks that placeholders have.
func (v *vt) number(r rune) int {
	if v.diacritics == nil {
		v.diacritics = map[rune]int{}
		for i := range maxRows {
			v.diacritics[kitty.Diacritic(i)] = i
		}
	}
	if n, ok := v.diacritics[r]; ok {
		return n
	}
	return -1
}

// rgb returns a colour; those of the palette as xterm's 256colres.h has them.
func (v *vt) rgb(c int64, back color.NRGBA) color.NRGBA {
	if c < 0 {
		return back
	}
	if c>>32 == 0 {
		return color.NRGBA{byte(c >> 16), byte(c >> 8), byte(c), 255}
	}
	switch n := c & 0xff; {
	case n >= 232:
		g := byte(8 + 10*(n-232))
		return color.NRGBA{g, g, g, 255}
	case n >= 16:
		n -= 16
		level := [...]byte{0, 95, 135, 175, 215, 255}
		return color.NRGBA{level[n/36], level[n/6%6], level[n%6], 255}
	}
	v.t.Errorf("colour %d belongs to the user", c&0xff)
	return back
}
