package returned

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math"
	"slices"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

const (
	// wholeMost is how far, in bits, a picture is at most from a frame of its own shape
	// that it shows uncropped: nearer than this nobody looks for a crop.
	wholeMost = 6.0
	// sameShape is the ratio up to which two shapes are one.
	sameShape = 1.02
	// likesMost bounds the frames that are remembered, and mostLike those that a
	// picture may look like: one that looks like more says nothing.
	likesMost = 64
	mostLike  = 1000
)

// compare finds the frames that a picture may be a crop of, nearest first: all that
// likeness weighs, and some more.
func (k *known) compare(m *jpeg.Image, look pix.Looks) ([]Like, error) {
	shape := float64(m.Width) / float64(m.Height)
	var likes []Like
	whole := nothing
	for i := range k.frames {
		f := &k.frames[i]
		if l, ok := k.looks[f.ID]; ok && alikeShape(f.shape(), shape) {
			bits := pix.Apart(look, l)
			likes = append(likes, Like{f.ID, bits, 1})
			whole = min(whole, bits)
		}
	}
	if whole > wholeMost {
		var err error
		if likes, err = k.crops(m); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(likes, func(a, b Like) int { return cmp.Or(cmp.Compare(a.Bits, b.Bits), cmp.Compare(a.Frame, b.Frame)) })
	near := 0
	for near < len(likes) && likes[near].Bits < likes[0].Bits+alikeSame {
		near++
	}
	if near > mostLike {
		return nil, nil
	}
	likes = likes[:min(len(likes), max(near, likesMost))]
	for i := range likes {
		likes[i].Bits = math.Round(likes[i].Bits*100) / 100
		likes[i].Share = math.Round(likes[i].Share*1000) / 1000
	}
	return likes, nil
}

// crops compares with every frame, as a crop of it.
func (k *known) crops(m *jpeg.Image) ([]Like, error) {
	type shaped struct {
		shape float64
		query pix.Query
	}
	var queries []shaped
	var likes []Like
	for i := range k.frames {
		f := &k.frames[i]
		l, ok := k.looks[f.ID]
		if !ok {
			continue
		}
		at := slices.IndexFunc(queries, func(q shaped) bool { return alikeShape(q.shape, f.shape()) })
		if at < 0 {
			q, err := pix.NewQuery(m, f.shape())
			if err != nil {
				return nil, err
			}
			at, queries = len(queries), append(queries, shaped{f.shape(), q})
		}
		bits, crop := queries[at].query.Find(l)
		likes = append(likes, Like{f.ID, bits, crop.Share()})
	}
	return likes, nil
}

// shape is the width of a frame for its height; 1.5 where nobody knows.
func (f *Frame) shape() float64 {
	if f.Width <= 0 || f.Height <= 0 {
		return 1.5
	}
	return float64(f.Width) / float64(f.Height)
}

func alikeShape(a, b float64) bool { return a < b*sameShape && b < a*sameShape }

// compareMethod is the number of the way in which pictures are compared. A change
// that gives other Likes takes another one.
const compareMethod = 1

// digest tells whether frames are those that a picture was compared with.
func (k *known) digest() string {
	h := sha256.New()
	put := func(v ...any) {
		for _, x := range v {
			binary.Write(h, binary.BigEndian, x)
		}
	}
	put(int64(compareMethod))
	order := make([]int, len(k.frames))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(k.frames[a].ID, k.frames[b].ID) })
	for _, i := range order {
		f := &k.frames[i]
		if l, ok := k.looks[f.ID]; ok {
			put([]byte(f.ID), int64(f.Width), int64(f.Height), l.Method, l.Parts[:])
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}
