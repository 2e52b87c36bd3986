package preview

import (
	"context"
	"errors"
	"fmt"
	"io"

	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/raw"
)

// MaxPreview is the longest embedded JPEG that is read, in bytes. That of a
// 150 MP body at the best quality has about half of it.
const MaxPreview = 128 << 20

// ErrNoPicture says that nothing of a file could be shown.
var ErrNoPicture = errors.New("no picture that can be shown")

// View says how a picture is wanted.
type View struct {
	Orientation   int       // Exif 1..8 of the stored picture; 0 = 1
	LongEdge      int       // pixels; 0 = as large as it is
	Width, Height int       // of the full picture as stored, 0 = unknown: black bars that the shape does not explain are cut off
	ColorSpace    string    // of the samples where the JPEG has no profile of its own: as exif.Meta has it
	Unsearched    bool      // of a Detail: it is not for looking at, so that its focus is what the camera noted, else the centre
	Decoders      *Decoders // shared by all that is rendered with it; nil = there is one for this picture
}

// Picture is what was rendered. Its samples are sRGB wherever that is known how.
type Picture struct {
	*jpeg.Image
	Used       raw.Preview // the embedded JPEG it was made from
	ColorSpace string      // of the samples now: "sRGB", "uncalibrated", or "" for not known
	From       string      // the space that the samples were converted from, "" = they are as they were coded. From a profile: untrusted
	Unmanaged  string      // why the profile of the JPEG could not be followed; "" = it was, or there is none
	Problems   []raw.Problem

	// Source is the embedded JPEG itself where it shows this very picture, for
	// terminals that take JPEGs: whole, upright as it is stored, in sRGB or a space
	// that is not known, with nothing cut off, and less than twice as large. Else nil.
	Source []byte
}

// Render reads the one embedded JPEG that fits the view best, decodes it at the
// scale needed, fits it and turns it upright. Where that one is broken the next
// is tried; what it ran into is in Problems. It reads only the bytes of what it
// tries.
//
// The Picture is nil on an error. ErrNoPicture (wrapped around what was wrong
// with the last try) means that the file holds nothing to show; any other
// error comes from ctx or from reading.
func Render(ctx context.Context, r io.ReaderAt, previews []raw.Preview, v View) (*Picture, error) {
	var problems []raw.Problem
	var part *decoded // the largest part of a broken one
	last := errors.New("none is embedded")
	for _, p := range inOrder(previews, v.LongEdge) {
		m, err := decode(ctx, r, p, v)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var failed *readError
		switch {
		case errors.As(err, &failed):
			return nil, failed.err // the medium, not the picture: another preview would not help
		case err != nil:
			last = err
			problems = append(problems, broken(p, err))
			continue
		}
		if !m.Truncated {
			return m.finish(v, problems), nil
		}
		problems = append(problems, damaged(p, m.Rows, m.Height))
		if part == nil {
			part = m
		}
	}
	if part == nil {
		return nil, fmt.Errorf("%w: %w", ErrNoPicture, last)
	}
	return part.finish(v, problems), nil
}

// readError is a fault of the reader, apart from those of the picture.
type readError struct{ err error }

func (e *readError) Error() string { return e.err.Error() }
func (e *readError) Unwrap() error { return e.err }

func broken(p raw.Preview, err error) raw.Problem {
	return raw.Problem{Code: "preview-broken",
		Text: fmt.Sprintf("the %dx%d preview at %d could not be decoded: %v", p.Width, p.Height, p.Offset, err)}
}

func damaged(p raw.Preview, rows, height int) raw.Problem {
	return raw.Problem{Code: "preview-damaged",
		Text: fmt.Sprintf("the %dx%d preview at %d is damaged from row %d of %d on", p.Width, p.Height, p.Offset, rows, height)}
}

// read returns the bytes of one preview; a fault of the reader is a *readError.
func read(ctx context.Context, r io.ReaderAt, p raw.Preview) ([]byte, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if p.Length > MaxPreview {
		return nil, fmt.Errorf("its %d bytes are more than a preview has", p.Length)
	}
	src, err := readUpTo(r, p.Offset, p.Length)
	if err != nil {
		return nil, &readError{err}
	}
	return src, nil
}

// decoded is a preview as it was decoded, and the bytes it came from.
type decoded struct {
	*jpeg.Image
	used  raw.Preview
	src   []byte
	scale int
}

// decode reads and decodes one preview.
func decode(ctx context.Context, r io.ReaderAt, p raw.Preview, v View) (*decoded, error) {
	src, err := read(ctx, r, p)
	if err != nil {
		return nil, err
	}
	scale := scaleFor(p.Width, p.Height, v.LongEdge)
	m, err := v.Decoders.Decode(src, jpeg.Options{Scale: scale, Stop: ctx.Done()})
	if err != nil {
		return nil, err
	}
	return &decoded{m, p, src, scale}, nil
}

// step is how much is read of a preview that claims more than was seen of it.
const step = 4 << 20

// readUpTo returns the bytes at offset, fewer than length where the file ends
// before: what a cut-off preview claims does not decide the allocation.
func readUpTo(r io.ReaderAt, offset, length int64) ([]byte, error) {
	var b []byte
	for int64(len(b)) < length {
		n := int(min(length-int64(len(b)), max(step, int64(len(b)))))
		b = append(b, make([]byte, n)...)
		at := len(b) - n
		got, err := r.ReadAt(b[at:], offset+int64(at))
		if got < n {
			b = b[:at+got]
			if err == io.EOF || err == io.ErrUnexpectedEOF {
				return b, nil
			}
			return nil, err
		}
	}
	return b, nil
}

// finish makes the view of a decoded picture. It is made smaller before it is
// converted and turned, since that is less to do.
func (d *decoded) finish(v View, problems []raw.Problem) *Picture {
	m := pix.TrimBars(d.Image, v.Width, v.Height)
	whole := m == d.Image
	if v.LongEdge > 0 {
		m = pix.Fit(m, v.LongEdge)
	}
	s := spaceOf(d.src, v.ColorSpace)
	s.toSRGB(m)
	m = pix.Orient(m, v.Orientation)
	out := &Picture{Image: m, Used: d.used, ColorSpace: s.shown(), From: s.from(), Unmanaged: s.trouble, Problems: problems}
	if whole && d.scale == 1 && s.profile == nil && (v.Orientation < 2 || v.Orientation > 8) && !m.Truncated && plain(d.src) {
		out.Source = d.src
	}
	return out
}
