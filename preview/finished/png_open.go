package finished

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"

	"garner/preview/icc"
)

// This file walks the chunks of a PNG: PNG Specification, Third Edition, §5
// (structure) and §11 (chunks).

const pngSignature = "\x89PNG\r\n\x1a\n"

// maxChunks bounds the walk: some writers cut the data into 8 KiB.
const maxChunks = 1 << 17

// maxText is how much of a text chunk is kept, unpacked.
const maxText = 64 << 10

// pngBody is how a PNG's samples lie.
type pngBody struct {
	kind       byte // colour type
	depth      int
	interlaced bool
	data       int64 // where the first IDAT chunk is
	palette    [256][4]uint16
	colours    int       // of the palette
	key        [3]uint16 // the colour that is transparent
	keyed      bool
}

// Colour types, §11.2.1: bits for palette, colour and alpha.
const (
	pngPalette = 1
	pngColour  = 2
	pngAlpha   = 4
)

// chunk is one of the file: its data lie at 8 behind its place.
type chunk struct {
	name   string
	at     int64
	length int64
}

// pngChunk reads the head of the chunk at a place.
func (p *Picture) pngChunk(at int64) (chunk, error) {
	var b [8]byte
	if at > p.size-12 {
		return chunk{}, &TruncatedError{}
	}
	if n, err := p.r.ReadAt(b[:], at); n < len(b) {
		if ended(err) {
			return chunk{}, &TruncatedError{}
		}
		return chunk{}, err
	}
	c := chunk{string(b[4:]), at, int64(binary.BigEndian.Uint32(b[:]))}
	for _, l := range b[4:] {
		if l|0x20 < 'a' || l|0x20 > 'z' {
			return c, FormatError("a broken PNG: something that is no chunk")
		}
	}
	if c.length > p.size-12-at {
		return c, &TruncatedError{0, p.Height}
	}
	return c, nil
}

func (c chunk) next() int64 { return c.at + 12 + c.length }

// pngData reads a chunk's data, if they are not more than is read of it and its sum
// is right.
func (p *Picture) pngData(c chunk, most int64) ([]byte, error) {
	if c.length > most {
		return nil, UnsupportedError("is larger than is read")
	}
	b, err := readRange(p.r, c.at+4, c.length+8)
	if err != nil {
		return nil, err
	}
	end := len(b) - 4
	if crc32.ChecksumIEEE(b[:end]) != binary.BigEndian.Uint32(b[end:]) {
		return nil, FormatError(fmt.Sprintf("a broken PNG: the checksum of %s is wrong", c.name))
	}
	return b[4:end:end], nil
}

func (p *Picture) openPNG() error {
	g := &pngBody{}
	p.body = g
	at, total := int64(len(pngSignature)), int64(0)
	colour := pngColours{}
	for i := 0; ; i++ {
		c, err := p.pngChunk(at)
		if err != nil {
			return err
		}
		switch {
		case i == maxChunks:
			return FormatError("a PNG of more chunks than are read")
		case (i == 0) != (c.name == "IHDR"):
			return FormatError("a broken PNG: its header is not its first chunk")
		case i == 0:
			err = p.pngHeader(g, c)
		case c.name == "IDAT":
			if g.data == 0 {
				g.data = c.at
			}
			total += c.length
		case c.name == "PLTE" && g.kind == pngColour|pngPalette:
			err = p.pngPalette(g, c)
		case c.name == "tRNS":
			err = p.pngTransparency(g, c)
		case c.name == "IEND":
			return p.pngDone(g, &colour, total)
		case c.name[0]&0x20 == 0 && c.name != "PLTE":
			err = UnsupportedError("a PNG with the chunk " + c.name + ", which is not read")
		default:
			p.pngAside(&colour, c)
		}
		if err != nil {
			return err
		}
		at = c.next()
	}
}

// pngDone settles what all chunks together say.
func (p *Picture) pngDone(g *pngBody, colour *pngColours, total int64) error {
	// Deflate makes at most 1032 bytes of one.
	switch raw := g.rowBytes(p.Width) * int64(p.Height); {
	case g.data == 0:
		return &TruncatedError{0, p.Height}
	case raw/1032 > total:
		return &SizeError{p.Width, p.Height, "more than the data can hold"}
	case g.memory(p) > math.MaxInt32:
		return &SizeError{p.Width, p.Height, "more than is read of an interlaced PNG"}
	case g.kind&pngPalette != 0 && g.colours == 0:
		return FormatError("a broken PNG: it has no palette")
	}
	if g.kind&pngAlpha != 0 || g.keyed {
		p.hasAlpha()
	}
	return p.pngSpace(colour)
}

// pngHeader reads IHDR and what sizes and depths it allows.
func (p *Picture) pngHeader(g *pngBody, c chunk) error {
	b, err := p.pngData(c, 13)
	if err != nil || len(b) != 13 {
		return FormatError("a broken PNG: its header cannot be")
	}
	w, h := binary.BigEndian.Uint32(b), binary.BigEndian.Uint32(b[4:])
	p.Width, p.Height = int(min(w, 1<<31-1)), int(min(h, 1<<31-1))
	if err := p.admit(); err != nil {
		return err
	}
	g.depth, g.kind, g.interlaced = int(b[8]), b[9], b[12] == 1
	allowed := map[byte]string{0: "\x01\x02\x04\x08\x10", 2: "\x08\x10", 3: "\x01\x02\x04\x08", 4: "\x08\x10", 6: "\x08\x10"}[g.kind]
	ok := false
	for _, d := range []byte(allowed) {
		ok = ok || int(d) == g.depth
	}
	if !ok || b[10] != 0 || b[11] != 0 || b[12] > 1 {
		return FormatError("a broken PNG: its header cannot be")
	}
	p.Bits, p.Model = g.depth, Grey
	if g.kind&pngColour != 0 {
		p.Model = RGB
	}
	return nil
}

func (p *Picture) pngPalette(g *pngBody, c chunk) error {
	b, err := p.pngData(c, 3*256)
	if err != nil || len(b)%3 != 0 || len(b) == 0 || g.colours > 0 {
		return FormatError("a broken PNG: its palette cannot be")
	}
	g.colours = len(b) / 3
	for i := range g.colours {
		g.palette[i] = [4]uint16{wide(b[3*i]), wide(b[3*i+1]), wide(b[3*i+2]), 65535}
	}
	return nil
}

// pngTransparency reads tRNS: how much of a palette's colours is seen, or the one
// colour that is not.
func (p *Picture) pngTransparency(g *pngBody, c chunk) error {
	b, err := p.pngData(c, 256)
	wrong := FormatError("a broken PNG: its transparency cannot be")
	switch {
	case err != nil:
		return wrong
	case g.kind == 0 && len(b) == 2:
		g.key[0] = binary.BigEndian.Uint16(b)
	case g.kind == pngColour && len(b) == 6:
		for i := range g.key {
			g.key[i] = binary.BigEndian.Uint16(b[2*i:])
		}
	case g.kind&pngPalette != 0 && len(b) <= g.colours:
		for i, v := range b {
			g.palette[i][3] = wide(v)
		}
	default:
		return wrong
	}
	g.keyed = true
	return nil
}

// pngAside takes what is not needed for the samples. What is broken of it is left
// out, as the standard wants (§13.2).
func (p *Picture) pngAside(colour *pngColours, c chunk) {
	most := int64(maxText)
	switch c.name {
	case "iCCP":
		most = icc.MaxProfile
	case "iTXt", "zTXt", "eXIf":
		most = maxEmbedded
	case "tEXt", "sRGB", "gAMA", "cHRM", "cICP":
	default:
		return
	}
	b, err := p.pngData(c, most)
	if err != nil {
		if c.name == "iCCP" {
			p.ProfileFault = err.Error()
		}
		return
	}
	switch c.name {
	case "eXIf":
		p.Exif = b
	case "iTXt", "zTXt", "tEXt":
		p.pngText(c.name, b)
	default:
		colour.take(c.name, b)
	}
}
