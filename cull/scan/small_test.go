package scan

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/preview/build"
	"garner/preview/small"
)

// freed takes a raw of a frame out of the card and returns the small picture of it.
func (c card) freed(f cull.Frame, i int) []byte {
	c.t.Helper()
	file := f.Files[i]
	p := filepath.Join(c.dir, filepath.FromSlash(file.Path))
	b, err := os.ReadFile(p)
	if err != nil {
		c.t.Fatal(err)
	}
	picture, o, err := small.Of(context.Background(), bytes.NewReader(b), int64(len(b)))
	if err != nil {
		c.t.Fatal(err)
	}
	o.Frame, o.Path, o.Role, o.Sum = string(f.ID), file.Path, string(file.Role), sha256.Sum256(b)
	head := sha256.Sum256(b[:min(len(b), headSize)])
	o.Head = hex.EncodeToString(head[:])
	for _, a := range f.Aliases {
		o.Aliases = append(o.Aliases, string(a))
	}
	out, err := small.Wrap(picture, o)
	if err != nil {
		c.t.Fatal(err)
	}
	if err := os.Remove(p); err != nil {
		c.t.Fatal(err)
	}
	return out
}

// stays is what of a frame may not change when its raw is freed.
type stays struct {
	Name, Kind, Body string
	Taken            cull.Stamp
	Shot             cull.Shot
	Aliases          []cull.ID
	Companions       []string
}

func staying(frames []cull.Frame) map[cull.ID]stays {
	m := map[cull.ID]stays{}
	for _, f := range frames {
		s := stays{f.Name, f.Kind, f.Body, f.Taken, f.Shot, f.Aliases, nil}
		for _, file := range f.Files {
			if file.Role == cull.RoleVoice || file.Role == cull.RoleSidecar {
				s.Companions = append(s.Companions, file.Path)
			}
		}
		m[f.ID] = s
	}
	return m
}

// Raws of every kind of identity, alone, in two slots or beside a JPEG, with and
// without voice notes and sidecars: whichever are replaced by small pictures, wherever
// those lie, a scan that knows the frames and one from nothing give the same frames.
func TestSmallPicturesKeepTheirFrames(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	for n := range 10 {
		r := rand.New(rand.NewPCG(seed, uint64(n)))
		c := newCard(t)
		for i := range 8 {
			s := shot([]string{"1001", "2002", ""}[r.IntN(3)], 5+i/4, 10*(i%4)+1)
			switch r.IntN(4) {
			case 0:
				s.Taken = build.Clock{}
			case 1:
				s.Taken = build.Clock{Wall: time.Date(2026, 6, 13, 14, 2, 5, 0, time.UTC)} // a second like others, and nothing finer
			}
			b, name := rawFile(t, s, uint8(10+i*20)), fmt.Sprintf("A/F_%04d", i)
			c.put(name+".DNG", b)
			if r.IntN(4) == 0 {
				c.put(fmt.Sprintf("A-2/F_%04d.DNG", i), b)
			}
			if r.IntN(3) == 0 {
				c.put(name+".JPG", jpegFile(t, s, uint8(10+i*20)))
			}
			for _, ext := range []string{".WAV", ".xmp"} {
				if r.IntN(3) == 0 {
					c.put(name+ext, []byte("note"))
				}
			}
		}
		first := c.scan(nil)
		want := staying(first.Frames)
		for _, f := range first.Frames {
			if r.IntN(2) == 0 {
				continue
			}
			for i, file := range f.Files {
				if file.Kind != "DNG" {
					continue
				}
				to := cull.SmallPath(file.Path)
				if r.IntN(4) == 0 {
					to = fmt.Sprintf("somewhere/%s-%d.jpeg", f.ID, i)
				}
				c.put(to, c.freed(f, i))
			}
		}
		after := c.scan(first.Frames)
		if d := cmp.Diff(want, staying(after.Frames)); d != "" {
			t.Fatalf("round %d:\n%s", n, d)
		}
		if len(after.Gone) > 0 {
			t.Errorf("gone: %v", after.Gone)
		}
		if again := c.scan(after.Frames); len(again.Changed) > 0 {
			t.Errorf("a third scan changed %v", again.Changed)
		}
		if d := cmp.Diff(want, staying(c.scan(nil).Frames)); d != "" {
			t.Fatalf("round %d, from nothing:\n%s", n, d)
		}
	}
}

// One that was cut off is its frame's all the same, and says so; one that took its
// original's place in the catalogue is looked at.
func TestSmallPictureThatIsDamagedOrNew(t *testing.T) {
	c := newCard(t)
	c.put("A/F_0001.DNG", rawFile(t, shot("1001", 5, 11), 50))
	first := c.scan(nil)
	f := first.Frames[0]
	b := c.freed(f, 0)
	p := cull.SmallPath(f.Files[0].Path)
	c.put(p, b)
	info, err := os.Stat(filepath.Join(c.dir, filepath.FromSlash(p)))
	if err != nil {
		t.Fatal(err)
	}
	put := f
	put.Files = []cull.File{{Path: p, Role: cull.RoleSmall, Kind: "JPEG", Size: info.Size(), Mod: info.ModTime(),
		Of: cull.Origin{Path: f.Files[0].Path, Kind: "DNG", Size: f.Files[0].Size, Head: f.Files[0].Head}}}
	put.Previews = nil
	got := c.scan([]cull.Frame{put}).Frames
	if len(got) != 1 || got[0].ID != f.ID || !got[0].Freed() || len(got[0].Previews) == 0 || got[0].Files[0].Of != put.Files[0].Of {
		t.Errorf("%+v", got)
	}
	c.put(p, b[:len(b)-100])
	got = c.scan(nil).Frames
	if len(got) != 1 || got[0].ID != f.ID || !slices.ContainsFunc(got[0].Problems, func(p cull.Problem) bool { return p.Code == "small-changed" }) {
		t.Errorf("%+v", got)
	}
}
