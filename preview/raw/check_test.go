package raw_test

import (
	"bytes"
	"errors"
	"fmt"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
)

// located reads a file twice and holds everything that Locate promises of any
// input: the limits, the types of error, previews inside the file that begin with
// SOI, their order and roles, the same answer again.
func located(t testing.TB, data []byte) (*raw.File, error) {
	t.Helper()
	c := &craft.Counter{R: bytes.NewReader(data)}
	f, err := raw.Locate(c, int64(len(data)))
	if c.Reads > raw.MaxReads || c.Bytes > raw.MaxBytes {
		t.Fatalf("%d reads, %d bytes", c.Reads, c.Bytes)
	}
	again, err2 := raw.Locate(bytes.NewReader(data), int64(len(data)))
	if a, b := show(f, err), show(again, err2); a != b {
		t.Fatalf("first\n%s\nthen\n%s", a, b)
	}
	if err != nil {
		var format *raw.FormatError
		var unsupported *raw.UnsupportedError
		if f != nil || !errors.As(err, &format) && !errors.As(err, &unsupported) {
			t.Fatalf("file %v with error %T %v", f, err, err)
		}
		return nil, err
	}
	promises(t, data, f)
	return f, nil
}

func promises(t testing.TB, data []byte, f *raw.File) {
	t.Helper()
	if f.Kind == "" || f.Size != int64(len(data)) {
		t.Fatalf("kind %q, size %d of %d", f.Kind, f.Size, len(data))
	}
	whole, seenCut := 0, false
	for i, p := range f.Previews {
		inside := p.Offset >= 0 && p.Length > 0 && p.Offset <= f.Size && p.Length <= f.Size-p.Offset
		switch {
		case p.Whole && (!inside || !bytes.HasPrefix(data[p.Offset:], []byte{0xFF, 0xD8})):
			t.Fatalf("whole preview %+v is no JPEG inside the file", p)
		case p.Whole && (p.Width == 0 || p.Height == 0):
			t.Fatalf("whole preview %+v without a size", p)
		case p.Whole && seenCut:
			t.Fatalf("whole preview %+v after one that is cut off", p)
		case !p.Whole && inside:
			t.Fatalf("preview %+v is not whole though inside", p)
		}
		if p.Whole {
			whole++
			if i > 0 && f.Previews[i-1].Width*f.Previews[i-1].Height < p.Width*p.Height {
				t.Fatalf("preview %d is larger than the one before", i)
			}
		}
		seenCut = seenCut || !p.Whole
		if want := role(i == 0 || i == whole && !p.Whole, p); p.Role != want {
			t.Fatalf("preview %+v should be %q", p, want)
		}
	}
	if none := has(f, raw.ProblemNoPreview); none != (whole == 0) {
		t.Fatalf("%d whole previews, problem no-preview: %v", whole, none)
	}
	if has(f, raw.ProblemNoTime) == f.Meta.Taken.Known() {
		t.Fatalf("time %+v, problem no-time: %v", f.Meta.Taken, has(f, raw.ProblemNoTime))
	}
	if x := f.XMP; x.Length < 0 || x.Length > 0 && (x.Offset < 0 || x.Offset > f.Size || x.Length > f.Size-x.Offset) {
		t.Fatalf("packet %+v outside the file", x)
	}
}

// role restates the rule of the contract.
func role(largest bool, p raw.Preview) raw.Role {
	switch n := p.Width * p.Height; {
	case largest && n >= 3_000_000:
		return raw.RoleFull
	case n >= 300_000:
		return raw.RoleScreen
	default:
		return raw.RoleThumb
	}
}

func has(f *raw.File, code string) bool {
	for _, p := range f.Problems {
		if p.Code == code {
			return true
		}
	}
	return false
}

// show prints a result without pointers.
func show(f *raw.File, err error) string {
	if f == nil {
		return fmt.Sprint("no file: ", err)
	}
	g := *f
	bias := "unknown"
	if g.Meta.Bias != nil {
		bias = fmt.Sprint(*g.Meta.Bias)
	}
	g.Meta.Bias = nil
	return fmt.Sprintf("%+v bias %s, %v", g, bias, err)
}

// spot is a preview's place and size.
type spot struct {
	off, length   int64
	width, height int
}

func spots(f *raw.File) (whole, cut []spot) {
	for _, p := range f.Previews {
		s := spot{p.Offset, p.Length, p.Width, p.Height}
		if p.Whole {
			whole = append(whole, s)
		} else {
			cut = append(cut, s)
		}
	}
	return whole, cut
}
