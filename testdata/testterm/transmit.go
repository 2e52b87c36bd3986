package testterm

import (
	"bytes"
	"compress/zlib"
	"encoding/base64"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// Limits of one picture, as kitty has them: ten thousand pixels a side, and
// here no more than 64 MiB of pixels.
const (
	maxImageSide  = 10000
	maxImageBytes = 64 << 20
)

// maxChunk is the largest chunk of base64 a program may send (kitty graphics
// protocol, "Remote client").
const maxChunk = 4096

// mediaReader gets what a command names instead of sending it.
type mediaReader func(medium byte, name string, offset, size int) ([]byte, error)

// transmission is a picture whose chunks are arriving.
type transmission struct {
	active bool
	first  command
	data   []byte
	over   bool
}

// chunk takes one piece of a picture; the last one (m=0) stores it. An error is
// answered as "CODE:words".
func (g *Grid) chunk(cmd command) {
	t := &g.loading
	if !t.active {
		*t = transmission{active: true, first: cmd}
		t.first.data = nil
	} else {
		for _, key := range []byte("stfovScrUpizIX") {
			if cmd.has(key) && cmd.keys[key] != t.first.keys[key] {
				g.complain("graphics: key %c in a later chunk", key)
			}
		}
	}
	more := cmd.num('m') == 1
	if len(cmd.data) > maxChunk || more && len(cmd.data)%4 != 0 {
		g.complain("graphics: a chunk of %d bytes", len(cmd.data))
	}
	part := make([]byte, base64.StdEncoding.DecodedLen(len(cmd.data)))
	n, err := base64.StdEncoding.Decode(part, cmd.data)
	if err != nil {
		n, err = base64.RawStdEncoding.Decode(part, cmd.data)
	}
	if err != nil {
		g.complain("graphics: payload is not base64: %v", err)
	}
	if len(t.data)+n > maxImageBytes {
		t.over = true
	} else {
		t.data = append(t.data, part[:n]...)
	}
	if more {
		return
	}
	done := *t
	*t = transmission{}
	g.store(done)
}

func (g *Grid) store(t transmission) {
	cmd := t.first
	if t.over {
		g.answerGraphics(cmd, errors.New("EFBIG:too much data"))
		return
	}
	if cmd.id('i') != 0 && cmd.id('I') != 0 {
		g.answerGraphics(cmd, errors.New("EINVAL:both i and I"))
		return
	}
	pix, err := loadPixels(cmd, t.data, g.media)
	if err != nil || cmd.flag('a', 't') == 'q' {
		g.answerGraphics(cmd, err)
		return
	}
	im := &Image{ID: cmd.id('i'), Number: cmd.id('I'), Pix: pix}
	g.scr().images.add(im)
	if cmd.flag('a', 't') == 'T' {
		g.show(im, cmd)
	}
	if im.Number != 0 {
		cmd.keys['i'] = fmt.Sprint(im.ID)
	}
	g.answerGraphics(cmd, nil)
}

// loadPixels gets the picture from where the command says it lies. Names of
// files and shared memory are followed as a terminal does on its own machine.
func loadPixels(cmd command, data []byte, media mediaReader) (*image.NRGBA, error) {
	format, w, h := cmd.num('f'), cmd.num('s'), cmd.num('v')
	if format == 0 {
		format = 32
	}
	want := 0
	switch format {
	case 24, 32:
		if w <= 0 || h <= 0 || w > maxImageSide || h > maxImageSide || w*h*4 > maxImageBytes {
			return nil, fmt.Errorf("EINVAL:size %dx%d", w, h)
		}
		want = w * h * format / 8
	case 100:
	default:
		return nil, fmt.Errorf("EINVAL:unknown format %d", format)
	}
	medium := cmd.flag('t', 'd')
	if medium != 'd' {
		var err error
		if data, err = media(medium, string(data), cmd.num('O'), cmd.num('S')); err != nil {
			return nil, fmt.Errorf("EBADF:%w", err)
		}
	}
	if o := cmd.flag('o', 0); o == 'z' {
		r, err := zlib.NewReader(bytes.NewReader(data))
		if err != nil {
			return nil, fmt.Errorf("EINVAL:%w", err)
		}
		limit := want
		if format == 100 {
			limit = maxImageBytes
		}
		if data, err = io.ReadAll(io.LimitReader(r, int64(limit)+1)); err != nil {
			return nil, fmt.Errorf("EINVAL:%w", err)
		}
	} else if o != 0 {
		return nil, fmt.Errorf("EINVAL:unknown compression %c", o)
	}
	if format == 100 {
		return decodePNG(data)
	}
	if len(data) < want {
		return nil, fmt.Errorf("ENODATA:insufficient image data: %d < %d", len(data), want)
	}
	if len(data) > want && medium == 'd' { // shared memory may be rounded up to pages
		return nil, fmt.Errorf("EFBIG:too much image data: %d > %d", len(data), want)
	}
	return unpack(data[:want], w, h, format/8), nil
}

func unpack(data []byte, w, h, bytesPerPixel int) *image.NRGBA {
	im := image.NewNRGBA(image.Rect(0, 0, w, h))
	if bytesPerPixel == 4 {
		copy(im.Pix, data)
		return im
	}
	for from, to := 0, 0; from < len(data); from, to = from+3, to+4 {
		copy(im.Pix[to:to+3], data[from:from+3])
		im.Pix[to+3] = 255
	}
	return im
}

func decodePNG(data []byte) (*image.NRGBA, error) {
	c, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("EBADPNG:%w", err)
	}
	if c.Width > maxImageSide || c.Height > maxImageSide || c.Width*c.Height*4 > maxImageBytes {
		return nil, fmt.Errorf("EINVAL:size %dx%d", c.Width, c.Height)
	}
	src, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("EBADPNG:%w", err)
	}
	im := image.NewNRGBA(image.Rect(0, 0, c.Width, c.Height))
	draw.Draw(im, im.Bounds(), src, src.Bounds().Min, draw.Src)
	return im, nil
}

// readMedium reads a file (f), a temporary file (t) or shared memory (s). The
// last two are removed once read, whatever was in them; a temporary file only
// where the protocol allows it, so that a bug cannot delete a person's files.
func readMedium(medium byte, name string, offset, size int) ([]byte, error) {
	switch medium {
	case 's':
		return readShared(name, offset, size)
	case 'f', 't':
		if !filepath.IsAbs(name) || strings.ContainsRune(name, 0) {
			return nil, errors.New("not an absolute path")
		}
		for _, forbidden := range []string{"/dev/", "/proc/", "/sys/"} {
			if strings.HasPrefix(filepath.ToSlash(filepath.Clean(name)), forbidden) && !strings.HasPrefix(name, "/dev/shm/") {
				return nil, errors.New("not a place for pictures")
			}
		}
		if medium == 't' && strings.Contains(name, "tty-graphics-protocol") && inTemp(name) {
			defer os.Remove(name)
		}
		return readPart(name, offset, size)
	}
	return nil, fmt.Errorf("unknown medium %c", medium)
}

func inTemp(name string) bool {
	for _, dir := range []string{"/tmp", "/dev/shm", os.TempDir()} {
		if rel, err := filepath.Rel(dir, name); err == nil && filepath.IsLocal(rel) {
			return true
		}
	}
	return false
}

// readPart reads a regular file from offset on, size bytes where size is set.
func readPart(name string, offset, size int) ([]byte, error) {
	info, err := os.Lstat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("not a regular file")
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if _, err := f.Seek(int64(max(0, offset)), io.SeekStart); err != nil {
		return nil, err
	}
	limit := int64(maxImageBytes)
	if size > 0 {
		limit = min(limit, int64(size))
	}
	return io.ReadAll(io.LimitReader(f, limit))
}
