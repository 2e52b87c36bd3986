package intake

import (
	"bytes"
	"io"

	"garner/cull/scan"
	"garner/preview/jpeg"
	"garner/preview/raw"
	"garner/store/vfs"
)

// sector is what a card loses at once, in bytes.
const sector = 512

// damaged says which of two files of one size that ought to be equal is damaged: -1
// the first, 1 the second, 0 when it can't be told. A card that fails gives back
// sectors of one single value where the other file has a picture (common practice);
// else an embedded JPEG that no longer decodes tells.
func damaged(fsys vfs.FS, a, b string) int {
	fa, aerr := fsys.Open(a)
	if aerr == nil {
		defer fa.Close()
	}
	fb, berr := fsys.Open(b)
	if berr == nil {
		defer fb.Close()
	}
	if aerr != nil || berr != nil {
		return verdict(aerr != nil, berr != nil)
	}
	emptyA, emptyB, aerr, berr := dead(fa, fb)
	if who := verdict(aerr != nil, berr != nil); who != 0 {
		return who
	}
	if who := verdict(emptyA > emptyB, emptyB > emptyA); who != 0 {
		return who
	}
	return verdict(broken(fa, a), broken(fb, b))
}

func verdict(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

// dead counts, in the sectors that differ, those that hold one single value in one
// file and not in the other.
func dead(a, b io.Reader) (inA, inB int, aerr, berr error) {
	p, q := make([]byte, 1<<20), make([]byte, 1<<20)
	for {
		n, err := io.ReadFull(a, p)
		m, err2 := io.ReadFull(b, q)
		x, y := p[:min(n, m)], q[:min(n, m)]
		if bytes.Equal(x, y) {
			x = nil
		}
		for len(x) > 0 {
			k := min(sector, len(x))
			if !bytes.Equal(x[:k], y[:k]) {
				switch one, two := single(x[:k]), single(y[:k]); {
				case one && !two:
					inA++
				case two && !one:
					inB++
				}
			}
			x, y = x[k:], y[k:]
		}
		if end(err) || end(err2) {
			return inA, inB, nil, nil
		}
		if err != nil || err2 != nil {
			return inA, inB, err, err2
		}
	}
}

func end(err error) bool { return err == io.EOF || err == io.ErrUnexpectedEOF }

// single reports whether all bytes have one value.
func single(p []byte) bool {
	for _, c := range p {
		if c != p[0] {
			return false
		}
	}
	return true
}

// mostPreview bounds the JPEG that is decoded to see whether it is whole, in bytes.
const mostPreview = 64 << 20

// broken reports whether the largest embedded JPEG no longer decodes.
func broken(f vfs.File, path string) bool {
	info, err := f.Stat()
	if err != nil {
		return true
	}
	loc, err := raw.Locate(f, info.Size())
	if err != nil {
		return scan.CameraFile(path)
	}
	best := raw.Preview{}
	for _, p := range loc.Previews {
		if p.Length > best.Length && p.Length <= mostPreview {
			best = p
		}
	}
	if best.Length == 0 {
		return false
	}
	if best.Offset > info.Size()-best.Length {
		return true
	}
	data := make([]byte, best.Length)
	if _, err := f.ReadAt(data, best.Offset); err != nil {
		return true
	}
	m, err := jpeg.Decode(data, jpeg.Options{Scale: 8, Luma: true})
	return err != nil || m.Truncated
}
