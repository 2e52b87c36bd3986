package returned

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/preview/exif"
	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/pix"
)

// headBytes is how much of a file tells its content from another, as of frames' files.
const headBytes = 64 << 10

func headOf(file *os.File) (string, error) {
	h := sha256.New()
	if _, err := io.Copy(h, io.NewSectionReader(file, 0, headBytes)); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// head reads what is compared with what is remembered.
func (l listed) head(root string) (string, error) {
	file, err := os.Open(filepath.Join(root, filepath.FromSlash(l.path)))
	if err != nil {
		return "", err
	}
	defer file.Close()
	return headOf(file)
}

// read opens one picture, decodes it and compares it.
func (k *known) read(ctx context.Context, root string, l listed, head string) (Picture, error) {
	file, err := os.Open(filepath.Join(root, filepath.FromSlash(l.path)))
	if err != nil {
		return Picture{}, err
	}
	defer file.Close()
	opened, err := finished.Open(file, l.size)
	if err != nil {
		return Picture{}, err
	}
	p := described(opened)
	p.Path, p.Size, p.Mod, p.Head = l.path, l.size, l.mod, head
	m, err := small(ctx, file, l.size, opened)
	if err != nil {
		return Picture{}, err
	}
	look, err := pix.Look(m)
	if err != nil {
		return Picture{}, err
	}
	p.Look, p.Grey = cull.Look(look), opened.Model == finished.Grey || look.Grey
	p.Likes, err = k.compare(m, look)
	return p, err
}

// described takes over what the heads of a picture say.
func described(f *finished.Picture) Picture {
	p := Picture{Format: string(f.Format), Width: f.Width, Height: f.Height, HasProfile: f.Profile != nil, ProfileFault: f.ProfileFault,
		ColorSpace: f.ColorSpace, Remarks: f.Remarks, Taken: stampOf(f.Meta.Taken), Make: f.Meta.Make, Model: f.Meta.Model,
		Serial: f.Meta.Serial, Sources: f.Meta.SourceNames}
	if pix.Turned(f.Orientation) {
		p.Width, p.Height = p.Height, p.Width
	}
	if f.Profile != nil {
		info, err := icc.Read(f.Profile)
		if err != nil {
			p.ProfileFault = err.Error()
		}
		p.Profile = info.Description
	}
	p.Documents = withoutEmpty(append([]string{f.Meta.DocumentID, f.Meta.OriginalDocumentID}, idsOf(f.Meta.DerivedFrom)...)...)
	for _, r := range f.Meta.Ingredients {
		if ids := idsOf(r); len(ids) > 0 {
			p.Ingredients = append(p.Ingredients, ids)
		}
	}
	return p
}

func idsOf(r finished.Reference) []string { return withoutEmpty(r.DocumentID, r.OriginalDocumentID) }

func withoutEmpty(ids ...string) []string {
	return slices.DeleteFunc(ids, func(s string) bool { return s == "" })
}

func stampOf(t exif.Time) cull.Stamp {
	s := cull.Stamp{Wall: t.Wall, Digits: t.Digits, ZoneIs: cull.ZoneUnknown}
	if t.HasZone {
		s.Zone, s.ZoneIs = t.Zone, cull.ZoneKnown
	}
	return s
}

// sentence is an error without the path, which is said already.
func sentence(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Sprintf("cannot %s: %v", p.Op, p.Err)
	}
	return err.Error()
}
