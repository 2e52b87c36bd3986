package free

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math/bits"
	"slices"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/small"
	"garner/store"
	"garner/store/vfs"
)

// maxSmall is more than a small picture has.
const maxSmall = 300 << 20

var (
	errUnlisted = errors.New("is in no manifest of its bag")
	errStrange  = errors.New("is the small picture of another file")
	errPicture  = errors.New("is not the picture that is in the original")
	errVery     = errors.New("is the original itself, under another name")
)

// read returns all bytes of a regular file of a bag, past the system's cache where
// that can be done, if they are those that the bag's manifest has.
func (b *bag) read(fsys vfs.FS, at string) ([]byte, error) {
	want, listed := b.tags.Sum(at)
	if !listed {
		return nil, store.Wrap("read", b.file(at), errUnlisted)
	}
	data, err := readFile(fsys, b.file(at))
	if err == nil && sha256.Sum256(data) != want {
		err = store.Wrap("read", b.file(at), store.ErrMismatch)
	}
	return data, err
}

// readFile reads a small picture.
func readFile(fsys vfs.FS, name string) ([]byte, error) {
	info, err := fsys.Lstat(name)
	if err == nil && !info.Mode().IsRegular() {
		err = store.ErrNotRegular
	}
	if err == nil && info.Size() > maxSmall {
		err = errors.New("is too large for a small picture")
	}
	if err != nil {
		return nil, store.Wrap("read", name, err)
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, store.Wrap("read", name, err)
	}
	defer f.Close()
	f.DropCache()
	data, err := io.ReadAll(io.LimitReader(f, maxSmall))
	return data, store.Wrap("read", name, err)
}

// stands reports, as an error, that some bytes are not a whole small picture of a file.
func stands(data []byte, f File, frame cull.Frame) (small.Original, error) {
	o, err := small.Check(data)
	if err != nil {
		return o, err
	}
	known := func(id string) bool {
		return cull.ID(id) == frame.ID || slices.Contains(frame.Aliases, cull.ID(id))
	}
	if o.Path != f.Path || o.Sum != f.Sum || o.Bytes != f.Bytes || !known(o.Frame) && !slices.ContainsFunc(o.Aliases, known) {
		return o, errStrange
	}
	return o, nil
}

// shows reports, as an error, that a small picture does not show what the JPEG inside an
// original does. Of one that was not made smaller every coded byte is compared.
func shows(inside, data []byte, o small.Original) error {
	if o.LongEdge == 0 {
		if !small.SameScans(inside, data) {
			return errPicture
		}
		return nil
	}
	a, err := look(inside)
	if err != nil {
		return err
	}
	b, err := look(data)
	if err != nil {
		return err
	}
	differ := 0
	for i := range a.Parts {
		differ += bits.OnesCount64(a.Parts[i] ^ b.Parts[i])
	}
	if differ > maxDiffer*len(a.Parts) {
		return fmt.Errorf("%w, made smaller", errPicture)
	}
	return nil
}

// maxDiffer is how many bits of a hash differ at most, on average, between a picture and
// the same made smaller; between two different ones it is about 32.
const maxDiffer = 8

func look(b []byte) (pix.Looks, error) {
	m, err := jpeg.Decode(b, jpeg.Options{Scale: 4})
	if err != nil {
		return pix.Looks{}, err
	}
	return pix.Look(m)
}
