package finished_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"garner/preview/finished"
	"garner/preview/internal/craft"
)

// scene is samples that compress, differ between channels and have every step:
// gradients, a flat part and noise. With 8 bits each is 257 times one of these.
func scene(w, h, channels, bits int) []uint16 {
	px := make([]uint16, 0, w*h*channels)
	seed := uint32(1)
	for y := range h {
		for x := range w {
			for c := range channels {
				v := x*65535/w*(c+1) + y*40503*c/h
				switch {
				case x < w/4 && y > h/2:
					v = 65535 - c*20000
				case x > 3*w/4:
					seed = seed*1664525 + 1013904223
					v += int(seed >> 20)
				}
				u := uint16(v)
				if bits == 8 {
					u = u >> 8 * 257
				}
				px = append(px, u)
			}
		}
	}
	return px
}

// baseTIFF is a plain TIFF of one strip, for other programs to write anew.
func baseTIFF(order binary.ByteOrder, w, h, channels, bits, photometric int, px []uint16, more ...func(*craft.TIFF) craft.Field) []byte {
	t := craft.NewTIFF(order)
	var data []byte
	for _, v := range px {
		if bits == 8 {
			data = append(data, byte(v>>8))
		} else {
			data = append(data, 0, 0)
			order.PutUint16(data[len(data)-2:], v)
		}
	}
	at := t.Blob(data)
	fields := []craft.Field{
		t.Long(256, uint32(w)), t.Long(257, uint32(h)), t.Short(258, slices.Repeat([]uint16{uint16(bits)}, channels)...),
		t.Short(259, 1), t.Short(262, uint16(photometric)), t.Long(273, at), t.Short(277, uint16(channels)),
		t.Long(278, uint32(h)), t.Long(279, uint32(len(data))), t.Short(284, 1),
	}
	for _, f := range more {
		fields = append(fields, f(t))
	}
	slices.SortStableFunc(fields, func(a, b craft.Field) int { return int(a.Tag) - int(b.Tag) })
	return t.Bytes(t.IFD(0, fields...))
}

// planarTIFF is the same with each channel by itself, which tiffcp does not make of
// 16 bits.
func planarTIFF(order binary.ByteOrder, w, h, channels, bits, photometric int, px []uint16) []byte {
	t := craft.NewTIFF(order)
	var at, size []uint32
	for c := range channels {
		var data []byte
		for i := c; i < len(px); i += channels {
			data = append(data, 0, 0)
			if order.PutUint16(data[len(data)-2:], px[i]); bits == 8 {
				data = data[:len(data)-1]
			}
		}
		at, size = append(at, t.Blob(data)), append(size, uint32(len(data)))
	}
	return t.Bytes(t.IFD(0,
		t.Long(256, uint32(w)), t.Long(257, uint32(h)), t.Short(258, slices.Repeat([]uint16{uint16(bits)}, channels)...),
		t.Short(259, 1), t.Short(262, uint16(photometric)), t.Long(273, at...), t.Short(277, uint16(channels)),
		t.Long(278, uint32(h)), t.Long(279, size...), t.Short(284, 2)))
}

func extra(kind uint16) func(*craft.TIFF) craft.Field {
	return func(t *craft.TIFF) craft.Field { return t.Short(338, kind) }
}

func open(t testing.TB, b []byte) *finished.Picture {
	t.Helper()
	p, err := finished.Open(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// rowsOf is all rows, one after the other.
func rowsOf(p *finished.Picture) ([]uint16, error) {
	var out []uint16
	next := 0
	err := p.Rows(context.Background(), func(y int, row []uint16) error {
		if y != next || len(row) != p.Width*p.Channels() {
			return fmt.Errorf("row %d of %d samples, want row %d of %d", y, len(row), next, p.Width*p.Channels())
		}
		next++
		out = append(out, row...)
		return nil
	})
	if err == nil && next != p.Height {
		err = fmt.Errorf("%d rows of %d without an error", next, p.Height)
	}
	return out, err
}

func mustRows(t testing.TB, b []byte) []uint16 {
	t.Helper()
	px, err := rowsOf(open(t, b))
	if err != nil {
		t.Fatal(err)
	}
	return px
}

// farthest is the largest difference of samples and where it is.
func farthest(a, b []uint16) (diff, at int) {
	if len(a) != len(b) {
		return 1 << 20, 0
	}
	at = -1
	for i := range a {
		if d := int(a[i]) - int(b[i]); max(d, -d) > diff {
			diff, at = max(d, -d), i
		}
	}
	return diff, at
}

// run runs a program and returns the file that it wrote; "OUT" and "IN" among the
// arguments stand for files.
func run(t testing.TB, in []byte, ext, tool string, args ...string) []byte {
	t.Helper()
	dir := t.TempDir()
	from, to := filepath.Join(dir, "in"+ext), filepath.Join(dir, "out"+ext)
	if err := os.WriteFile(from, in, 0o600); err != nil {
		t.Fatal(err)
	}
	args = slices.Clone(args)
	for i, a := range args {
		switch a {
		case "IN":
			args[i] = from
		case "OUT":
			args[i] = to
		}
	}
	out, err := exec.Command(tool, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", tool, args, err, out)
	}
	b, err := os.ReadFile(to)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
